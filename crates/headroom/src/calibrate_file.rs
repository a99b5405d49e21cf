//! A calibration as a file: what was found, on which pulls, for which engine; read back where a prediction is to be made with it.
//!
//! Leaves out paths. Format 1.

use cycle::multipliers::Multipliers;
use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::calibrate::Calibration;
use crate::calibrate_prior::Multiplier;
use crate::calibrate_words::HALF_WIDTH;

const FORMAT: u32 = 1;

/// What a file says.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CalibrationFile {
    format: u32,
    /// Name of the build it was made for.
    pub engine: String,
    /// The verdict, for people.
    #[serde(default)]
    pub verdict: Vec<String>,
    factor: Vec<FactorFile>,
    #[serde(default)]
    brake: Option<BrakeFile>,
    #[serde(default)]
    pull: Vec<PullFile>,
    #[serde(default)]
    curve: Vec<PointFile>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct FactorFile {
    name: String,
    value: f64,
    /// Half-width of the 95 % interval; nothing for one that was held.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    half_width: Option<f64>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct BrakeFile {
    scale: f64,
    half_width: f64,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PullFile {
    name: String,
    digest: String,
    to_sheet_air: f64,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PointFile {
    rpm: f64,
    measured_n_m: f64,
    before_n_m: f64,
    after_n_m: f64,
}

/// Why a file is no calibration.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum CalibrationFileError {
    /// Not readable.
    #[error("{0}")]
    Toml(String),
    /// A format of another time.
    #[error("format {found}, expected {FORMAT}")]
    Format {
        /// What stands there.
        found: u32,
    },
    /// A factor nobody knows.
    #[error("factor `{found}`, expected flow, friction, burn or heat-loss")]
    Name {
        /// What stands there.
        found: String,
    },
    /// A factor that is no factor.
    #[error("factor {name} = {found}, expected a number from 0.2 to 5")]
    Value {
        /// Whose.
        name: String,
        /// What stands there.
        found: f64,
    },
}

/// The file of a calibration.
pub fn write(calibration: &Calibration, verdict: Vec<String>) -> String {
    let factor = Multiplier::ALL.into_iter().map(|one| {
        let found = calibration.fit.estimates.iter().find(|estimate| estimate.multiplier == one);
        FactorFile {
            name: one.key().to_owned(),
            value: found.map_or(1.0, |found| found.factor),
            half_width: found.map(|found| HALF_WIDTH * found.sd),
        }
    });
    let (scale, sd) = calibration.fit.scale;
    let point = |i: usize| PointFile {
        rpm: calibration.speeds_rpm[i],
        measured_n_m: calibration.measured_nm[i],
        before_n_m: calibration.fit.before_nm[i],
        after_n_m: calibration.fit.after_nm[i],
    };
    let file = CalibrationFile {
        format: FORMAT,
        engine: calibration.engine.clone(),
        verdict,
        factor: factor.collect(),
        brake: Some(BrakeFile { scale: 1.0 + scale, half_width: HALF_WIDTH * sd }),
        pull: calibration
            .pulls
            .iter()
            .map(|pull| PullFile {
                name: pull.name.clone(),
                digest: pull.digest.clone(),
                to_sheet_air: pull.to_sheet_air,
            })
            .collect(),
        curve: (0..calibration.speeds_rpm.len()).map(point).collect(),
    };
    let text = toml::to_string(&file).expect("tables, texts and numbers are TOML");
    format!(
        "# A model held against measured pulls. Give it to `headroom pull` and `headroom swap` with --calibration.\n{text}"
    )
}

/// Reads one.
pub fn read(text: &str) -> Result<CalibrationFile, CalibrationFileError> {
    let file: CalibrationFile = toml::from_str(text)
        .map_err(|wrong| CalibrationFileError::Toml(wrong.to_string().trim_end().to_owned()))?;
    if file.format != FORMAT {
        return Err(CalibrationFileError::Format { found: file.format });
    }
    for factor in &file.factor {
        if Multiplier::parse(&factor.name).is_none() {
            return Err(CalibrationFileError::Name { found: factor.name.clone() });
        }
        if !(0.2..=5.0).contains(&factor.value) {
            return Err(CalibrationFileError::Value { name: factor.name.clone(), found: factor.value });
        }
    }
    Ok(file)
}

impl CalibrationFile {
    /// All four factors; 1 for what the file does not name.
    pub fn multipliers(&self) -> Multipliers {
        let mut all = Multipliers::default();
        for factor in &self.factor {
            if let Some(one) = Multiplier::parse(&factor.name) {
                one.put(&mut all, factor.value);
            }
        }
        all
    }

    /// One factor and the half-width of its 95 % interval; 1 and none for what the file does not name.
    pub fn factor(&self, of: Multiplier) -> (f64, Option<f64>) {
        let named = self.factor.iter().find(|factor| Multiplier::parse(&factor.name) == Some(of));
        named.map_or((1.0, None), |factor| (factor.value, factor.half_width))
    }

    /// The names of the pulls it was made on.
    pub fn pull_names(&self) -> Vec<&str> {
        self.pull.iter().map(|pull| pull.name.as_str()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibrate::CalibrationPull;
    use crate::calibrate_fit::{Estimate, Fit, Observed};
    use cycle::fidelity::Fidelity;

    fn one() -> Calibration {
        Calibration {
            engine: "Heron".to_owned(),
            pulls: vec![CalibrationPull {
                name: "a1".to_owned(),
                digest: "00".to_owned(),
                to_sheet_air: 1.01,
            }],
            speeds_rpm: vec![3000.0],
            measured_nm: vec![200.0],
            observed: Observed { torque_nm: vec![200.0], sd_nm: vec![2.0], scale_sd: 0.005 },
            pull_sd: (0.005, false),
            fit: Fit {
                estimates: vec![Estimate {
                    multiplier: Multiplier::Friction,
                    factor: 1.15,
                    sd: 0.04,
                    told_by_pulls: 0.9,
                }],
                scale: (0.001, 0.004),
                before_nm: vec![206.0],
                after_nm: vec![200.5],
                after_sd_nm: vec![1.0],
                chi2_per_speed: 0.5,
                widened_by: 1.0,
                least_information: 12.0,
                n_sweeps: 9,
            },
            fidelity: Fidelity::Normal,
            assumed: Vec::new(),
        }
    }

    #[test]
    fn exact_a_calibration_comes_back_from_its_file() {
        let text = write(&one(), vec!["Friction high.".to_owned()]);
        let back = read(&text).expect("it was just written");
        assert_eq!(back.multipliers(), Multipliers { friction: 1.15, ..Multipliers::default() });
        assert_eq!(back.pull_names(), ["a1"]);
        assert_eq!(back.engine, "Heron");
    }

    #[test]
    fn exact_what_is_no_calibration_is_refused_with_the_reason() {
        let text = write(&one(), Vec::new());
        let wrong =
            |from: &str, to: &str| read(&text.replace(from, to)).expect_err("it is wrong").to_string();
        assert_eq!(wrong("format = 1", "format = 9"), "format 9, expected 1");
        assert!(wrong("\"friction\"", "\"luck\"").contains("factor `luck`, expected flow"));
        assert!(wrong("1.15", "-3.0").contains("expected a number from 0.2 to 5"));
        assert!(wrong("engine = ", "motor = ").contains("motor"));
    }
}
