//! What an engine gives over speed: predicted torque and power of a build, with what was assumed for it.

pub use cycle::fidelity::Fidelity;
use cycle::from_build::{Assumed, FromBuildError, model};
use cycle::model::Model;
use cycle::multipliers::Multipliers;
use cycle::network_plan::PlanError;
use cycle::speed_point::{Outcome, SpeedPoint};
use cycle::sweep::sweep;
use parts::Build;
use parts::estimate_running::filled;
use pulls::{Curve, Measure, Weights};
use thiserror::Error;
use units::angular_velocity::revolution_per_minute;
use units::{AngularVelocity, Reading};

/// Speeds of a pull whose number nobody gave.
pub const USUAL_POINTS: usize = 14;

/// Speeds between two looks at whether to go on. A sweep takes its speeds in chains of as many, so that a pull in stretches
/// and one in a piece are the same.
const STRETCH: usize = 4;

/// What an uncalibrated prediction of power is usually off by, relative: 6 to 10 % (common practice, no source).
pub const USUAL_ERROR: [f64; 2] = [0.06, 0.10];

/// What a change is usually predicted to once the model has been calibrated on pulls of the same engine, relative: 2 to 3 %
/// (common practice, no source).
pub const USUAL_ERROR_CALIBRATED: [f64; 2] = [0.02, 0.03];

/// How a pull is run; what is left out comes from the build's band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PullOptions {
    /// First speed, rpm.
    pub from_rpm: Option<f64>,
    /// Last speed, rpm.
    pub to_rpm: Option<f64>,
    /// Number of speeds, at least 2.
    pub n_points: usize,
    /// How finely.
    pub fidelity: Fidelity,
    /// What measured pulls of the base correct in the model; none where it runs on the sheet alone.
    pub calibration: Option<Multipliers>,
}

impl Default for PullOptions {
    fn default() -> Self {
        Self {
            from_rpm: None,
            to_rpm: None,
            n_points: USUAL_POINTS,
            fidelity: Fidelity::Normal,
            calibration: None,
        }
    }
}

/// A predicted pull.
#[derive(Clone, Debug, PartialEq)]
pub struct PullAnswer {
    /// Name of the build.
    pub name: String,
    /// In rising speed.
    pub points: Vec<SpeedPoint>,
    /// What was assumed about running, with the rule it was taken by.
    pub assumed: Vec<Assumed>,
    /// What measured pulls of the base corrected in the model, if any did.
    pub calibration: Option<Multipliers>,
}

/// A pull that cannot be run.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum PullError {
    /// The build does not make an engine that runs.
    #[error(transparent)]
    Build(#[from] FromBuildError),
    /// Its pipes do not make a network.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// Speeds that do not rise.
    #[error("speeds from {from_rpm:.0} to {to_rpm:.0} rpm, expected positive speeds that rise")]
    Speeds {
        /// First.
        from_rpm: f64,
        /// Last.
        to_rpm: f64,
    },
}

/// Predicts a pull.
pub fn pull(build: &Build, options: &PullOptions) -> Result<PullAnswer, PullError> {
    let speeds = speeds(build, options)?;
    let (model, assumed) = corrected_model(build, options)?;
    let points = sweep(&model, &speeds, options.fidelity)?;
    Ok(PullAnswer { name: build.name.clone(), points, assumed, calibration: options.calibration })
}

/// The same, a few speeds at a time: `go_on` hears the share that is done, and ends it with `None` by saying false.
pub fn pull_watched(
    build: &Build,
    options: &PullOptions,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Result<Option<PullAnswer>, PullError> {
    let speeds = speeds(build, options)?;
    let (model, assumed) = corrected_model(build, options)?;
    let mut points = Vec::with_capacity(speeds.len());
    for chain in speeds.chunks(STRETCH) {
        if !go_on(points.len() as f64 / speeds.len() as f64) {
            return Ok(None);
        }
        points.extend(sweep(&model, chain, options.fidelity)?);
    }
    Ok(Some(PullAnswer { name: build.name.clone(), points, assumed, calibration: options.calibration }))
}

/// The model of the sheet, with what measured pulls correct in it.
fn corrected_model(build: &Build, options: &PullOptions) -> Result<(Model, Vec<Assumed>), FromBuildError> {
    let (model, assumed) = model(build)?;
    Ok((options.calibration.as_ref().map_or_else(|| model.clone(), |by| model.multiplied(by)), assumed))
}

fn speeds(build: &Build, options: &PullOptions) -> Result<Vec<f64>, PullError> {
    let band = filled(build).running.band;
    let rpm = |speed: Option<Reading<AngularVelocity>>| {
        speed.map(|speed| speed.value.get::<revolution_per_minute>())
    };
    let from_rpm = options.from_rpm.or(rpm(band.from)).unwrap_or(f64::NAN);
    let to_rpm = options.to_rpm.or(rpm(band.to)).unwrap_or(f64::NAN);
    if !(0.0 < from_rpm && from_rpm < to_rpm) {
        return Err(PullError::Speeds { from_rpm, to_rpm });
    }
    let n = options.n_points.max(2);
    Ok((0..n).map(|i| from_rpm + (to_rpm - from_rpm) * i as f64 / (n - 1) as f64).collect())
}

impl PullAnswer {
    /// Points that mean something: all but those that broke.
    pub fn sound(&self) -> impl Iterator<Item = &SpeedPoint> {
        self.points.iter().filter(|point| !matches!(point.outcome, Outcome::Broke(_)))
    }

    /// The point of greatest torque.
    pub fn peak_torque(&self) -> Option<&SpeedPoint> {
        self.sound().max_by(|a, b| a.torque_n_m.total_cmp(&b.torque_n_m))
    }

    /// The point of greatest power.
    pub fn peak_power(&self) -> Option<&SpeedPoint> {
        self.sound().max_by(|a, b| a.power_w.total_cmp(&b.power_w))
    }

    /// Mean torque over the pull, N m: the area under the curve over its width.
    pub fn mean_torque_n_m(&self) -> Option<f64> {
        let (speed_rpm, torque_nm): (Vec<f64>, Vec<f64>) =
            self.sound().map(|point| (point.rpm, point.torque_n_m)).unzip();
        let curve = Curve { speed_rpm, torque_nm };
        (curve.speed_rpm.len() > 1).then(|| curve.mean(Measure::Torque, &Weights::default()))
    }
}
