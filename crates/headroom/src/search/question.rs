//! A plan made ready: which number is which combination, at which speeds it runs, what it is called by.

use cycle::model::Spark;
use parts::Build;
use parts::estimate_running::filled;
use pulls::digest::digest;
use sheet::Plan;
use thiserror::Error;
use units::angular_velocity::revolution_per_minute;
use units::{AngularVelocity, Quantity};

use super::setting;
use super::space::Space;

/// A plan with its combinations numbered.
///
/// Choices whose options change nothing that fit or compression depends on are the fastest digits, so that neighbours
/// share what was weighed.
#[derive(Clone, Debug)]
pub struct Question {
    /// The plan.
    pub plan: Plan,
    /// Its combinations.
    pub space: Space,
    /// What each digit is, the slowest first.
    pub digits: Vec<Digit>,
    /// Digits that fit and compression depend on: that many, the slowest.
    pub n_fit_digits: usize,
    /// The speeds every engine is run at, rpm.
    pub speeds_rpm: Vec<f64>,
    /// Where below ends and above begins, rpm.
    pub split_rpm: f64,
    /// A short name for the plan with every sheet it names, and for the rules by which rows are made.
    pub digest: String,
}

/// What a digit is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Digit {
    /// The option of a choice, by the choice's place in the plan.
    Choice(usize),
    /// The setting of an adjustment, by its place in the plan.
    Adjustment(usize),
}

/// A combination: an option of each choice and a setting of each adjustment, in SI, in the order of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Combination {
    /// The option of each choice.
    pub options: Vec<usize>,
    /// The setting of each adjustment, in SI.
    pub settings_si: Vec<f64>,
}

/// A plan that cannot be searched.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum QuestionError {
    /// Speeds that do not rise.
    #[error("band from {from_rpm:.0} over {split_rpm:.0} to {to_rpm:.0} rpm, expected speeds that rise")]
    Band {
        /// Lower end.
        from_rpm: f64,
        /// Where below ends.
        split_rpm: f64,
        /// Upper end.
        to_rpm: f64,
    },
}

/// Grows whenever the same plan would give other rows, so that half-done work of an older program is not mixed in.
const RULES: u32 = 1;

impl Question {
    /// Makes a plan ready.
    pub fn new(plan: Plan) -> Result<Self, QuestionError> {
        let band = filled(&plan.base).running.band;
        let rpm = |speed: AngularVelocity| speed.get::<revolution_per_minute>();
        let of_base = |speed: Option<units::Reading<AngularVelocity>>| speed.map(|speed| speed.value);
        let from_rpm = plan.band.from.or(of_base(band.from)).map_or(f64::NAN, rpm);
        let to_rpm = plan.band.to.or(of_base(band.to)).map_or(f64::NAN, rpm);
        let split_rpm = plan.band.split.map_or(0.5 * (from_rpm + to_rpm), rpm);
        if !(0.0 < from_rpm && from_rpm < split_rpm && split_rpm < to_rpm) {
            return Err(QuestionError::Band { from_rpm, split_rpm, to_rpm });
        }
        let n = plan.band.n_points;
        let speeds_rpm = (0..n).map(|i| from_rpm + (to_rpm - from_rpm) * i as f64 / (n - 1) as f64).collect();
        let only_runs = |choice: &usize| {
            let options = &plan.choices[*choice].options;
            options.iter().flat_map(|option| &option.parts).all(|part| part.only_runs())
        };
        let choices = 0..plan.choices.len();
        let fits = choices.clone().filter(|choice| !only_runs(choice)).map(Digit::Choice);
        let adjusts = (0..plan.adjustments.len()).map(Digit::Adjustment);
        let mut digits: Vec<Digit> = fits.chain(adjusts).collect();
        let n_fit_digits = digits.len();
        digits.extend(choices.filter(only_runs).map(Digit::Choice));
        let radix = |digit: &Digit| match digit {
            Digit::Choice(choice) => plan.choices[*choice].options.len(),
            Digit::Adjustment(adjustment) => plan.adjustments[*adjustment].settings_si.len(),
        };
        let space = Space::new(digits.iter().map(radix).collect());
        let mut bytes = format!("rules {RULES}, headroom {}\n", env!("CARGO_PKG_VERSION")).into_bytes();
        for text in plan.texts() {
            bytes.extend(text.len().to_le_bytes());
            bytes.extend(text.as_bytes());
        }
        let digest = digest(&bytes);
        Ok(Self { plan, space, digits, n_fit_digits, speeds_rpm, split_rpm, digest })
    }

    /// Number of combinations.
    pub fn n(&self) -> u64 {
        self.space.n()
    }

    /// The combination of a number.
    pub fn combination(&self, index: u64) -> Combination {
        let mut combination = Combination {
            options: vec![0; self.plan.choices.len()],
            settings_si: vec![0.0; self.plan.adjustments.len()],
        };
        for (digit, value) in self.digits.iter().zip(self.space.digits(index)) {
            match digit {
                Digit::Choice(choice) => combination.options[*choice] = value,
                Digit::Adjustment(at) => {
                    combination.settings_si[*at] = self.plan.adjustments[*at].settings_si[value];
                }
            }
        }
        combination
    }

    /// The engine with some options, on the plan's fuel, nothing set yet; `Err` says why there is none.
    pub fn parts_of(&self, options: &[usize]) -> Result<Build, String> {
        let mut build = self.plan.build(options).map_err(|problems| problems.to_string())?.build;
        if let Some(octane) = self.plan.must.octane {
            setting::set_octane(&mut build, octane);
        }
        Ok(build)
    }

    /// The engine as it is, on the plan's fuel.
    pub fn base(&self) -> Build {
        let mut build = self.plan.base.clone();
        if let Some(octane) = self.plan.must.octane {
            setting::set_octane(&mut build, octane);
        }
        build
    }

    /// The largest knock integral allowed of an engine with that timing.
    pub fn knock_most(&self, spark: &Spark) -> f64 {
        let given = matches!(spark, Spark::Given(_) | Spark::HalfBurnedAt(_) | Spark::Best);
        let usual = if given { 1.0 } else { f64::INFINITY };
        self.plan.must.knock_most.map_or(usual, |most| most.si())
    }
}
