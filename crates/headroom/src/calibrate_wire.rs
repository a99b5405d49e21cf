//! A calibration, and a prediction beside its measurement, as JSON; every number has its unit in its name.

use serde::Serialize;

use crate::calibrate::Calibration;
use crate::calibrate_words::HALF_WIDTH;
use crate::foretold::Foretold;
use crate::wire::FORMAT;

/// [`Calibration`].
#[derive(Debug, Serialize)]
pub struct CalibrationWire {
    format: u32,
    engine: String,
    verdict: Vec<String>,
    factors: Vec<FactorWire>,
    brake_scale: f64,
    brake_scale_half_width: f64,
    chi2_per_speed: f64,
    widened_by: f64,
    least_information: f64,
    fidelity: &'static str,
    curve: Vec<PointWire>,
    assumed: Vec<String>,
}

#[derive(Debug, Serialize)]
struct FactorWire {
    name: &'static str,
    value: f64,
    half_width: f64,
    half_width_before: f64,
    source_before: &'static str,
    told_by_pulls: f64,
}

#[derive(Debug, Serialize)]
struct PointWire {
    rpm: f64,
    measured_n_m: f64,
    before_n_m: f64,
    after_n_m: f64,
    after_half_width_n_m: f64,
}

impl CalibrationWire {
    /// With the sentences of the answer.
    pub fn new(answer: &Calibration, verdict: Vec<String>) -> Self {
        Self {
            format: FORMAT,
            engine: answer.engine.clone(),
            verdict,
            factors: answer
                .fit
                .estimates
                .iter()
                .map(|one| FactorWire {
                    name: one.multiplier.key(),
                    value: one.factor,
                    half_width: HALF_WIDTH * one.sd,
                    half_width_before: HALF_WIDTH * one.multiplier.prior_sd(),
                    source_before: one.multiplier.prior_source(),
                    told_by_pulls: one.told_by_pulls,
                })
                .collect(),
            brake_scale: 1.0 + answer.fit.scale.0,
            brake_scale_half_width: HALF_WIDTH * answer.fit.scale.1,
            chi2_per_speed: answer.fit.chi2_per_speed,
            widened_by: answer.fit.widened_by,
            least_information: answer.fit.least_information,
            fidelity: answer.fidelity.name(),
            curve: (0..answer.speeds_rpm.len())
                .map(|i| PointWire {
                    rpm: answer.speeds_rpm[i],
                    measured_n_m: answer.measured_nm[i],
                    before_n_m: answer.fit.before_nm[i],
                    after_n_m: answer.fit.after_nm[i],
                    after_half_width_n_m: HALF_WIDTH * answer.fit.after_sd_nm[i],
                })
                .collect(),
            assumed: answer.assumed.clone(),
        }
    }
}

/// [`Foretold`].
#[derive(Debug, Serialize)]
pub struct ForetoldWire {
    format: u32,
    verdict: Vec<String>,
    holds: bool,
    calibrated: bool,
    predicted_percent: f64,
    measured_percent: f64,
    measured_from_percent: Option<f64>,
    measured_to_percent: Option<f64>,
    by_speed: Vec<ForetoldAtWire>,
}

#[derive(Debug, Serialize)]
struct ForetoldAtWire {
    rpm: f64,
    predicted_percent: f64,
    measured_percent: Option<f64>,
}

impl ForetoldWire {
    /// With the sentences of the answer.
    pub fn new(answer: &Foretold, verdict: Vec<String>) -> Self {
        Self {
            format: FORMAT,
            verdict,
            holds: answer.holds(),
            calibrated: answer.calibrated,
            predicted_percent: answer.predicted_percent,
            measured_percent: answer.measured_percent,
            measured_from_percent: answer.measured_interval.map(|ends| ends.0),
            measured_to_percent: answer.measured_interval.map(|ends| ends.1),
            by_speed: answer
                .by_speed
                .iter()
                .map(|at| ForetoldAtWire {
                    rpm: at.rpm,
                    predicted_percent: at.predicted_percent,
                    measured_percent: at.measured_percent,
                })
                .collect(),
        }
    }
}
