//! What measured pulls of an engine say about the model of it: a few factors, each on one cause, with their intervals.
//!
//! The pulls are brought to the air of the build's sheet and laid beside the predicted curve. Leaves out the fit
//! (`calibrate_fit.rs`), what is known beforehand (`calibrate_prior.rs`) and words.

use cycle::fidelity::Fidelity;
use cycle::from_build::{FromBuildError, model};
use cycle::multipliers::Multipliers;
use cycle::network_plan::PlanError;
use cycle::speed_point::Outcome;
use cycle::sweep::sweep;
use parts::Build;
use parts::estimate_running::filled;
use pulls::processing::ProcessingError;
use pulls::{Barometer, Curve, Humidity, Pull, Standard, StationPressure, Weather, WeatherError, correction};
use thiserror::Error;

use crate::calibrate_fit::{Fit, FitError, Observed, fit};
use crate::calibrate_prior::Multiplier;

/// How a calibration is made.
#[derive(Clone, Debug, PartialEq)]
pub struct CalibrateOptions {
    /// The factors that are fitted; the others stay at 1.
    pub fitted: Vec<Multiplier>,
    /// Speeds at which curves are laid beside each other.
    pub n_speeds: usize,
    /// How finely the model is run.
    pub fidelity: Fidelity,
    /// Standard deviation of the brake's scale, relative.
    pub brake_sd: f64,
    /// Standard deviation of what the model gets wrong of a curve's shape at one speed, relative.
    pub model_sd: f64,
}

/// Of the scale of a brake that is looked after: half of the 1 % that two good ones differ by (common practice, no source).
pub const USUAL_BRAKE_SD: f64 = 0.005;
/// Of a calibrated curve at one speed: half of [`crate::pull::USUAL_ERROR_CALIBRATED`]'s lower end.
pub const USUAL_MODEL_SD: f64 = 0.01;
/// Standard deviation of one pull among others of a day, relative, where fewer than three were made: 0.5 % (common practice,
/// no source).
pub const USUAL_PULL_SD: f64 = 0.005;

impl Default for CalibrateOptions {
    fn default() -> Self {
        Self {
            fitted: vec![Multiplier::Flow, Multiplier::Friction],
            n_speeds: 9,
            fidelity: Fidelity::Normal,
            brake_sd: USUAL_BRAKE_SD,
            model_sd: USUAL_MODEL_SD,
        }
    }
}

/// A model held against pulls.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// Name of the build.
    pub engine: String,
    /// The pulls it was held against, and the digests of the files they came from.
    pub pulls: Vec<CalibrationPull>,
    /// The speeds, rpm.
    pub speeds_rpm: Vec<f64>,
    /// Mean measured torque there, brought to the air of the build's sheet, N m.
    pub measured_nm: Vec<f64>,
    /// What is said of its deviations.
    pub observed: Observed,
    /// Scatter of whole pulls, relative, and whether it was measured rather than assumed.
    pub pull_sd: (f64, bool),
    /// What came out.
    pub fit: Fit,
    /// How finely the model was run.
    pub fidelity: Fidelity,
    /// What was supposed about the pulls.
    pub assumed: Vec<String>,
}

/// A pull that was used.
#[derive(Clone, Debug, PartialEq)]
pub struct CalibrationPull {
    /// Its name.
    pub name: String,
    /// Digest of the file it was read from.
    pub digest: String,
    /// Torque in the air of the build's sheet over torque as measured.
    pub to_sheet_air: f64,
}

/// Why a model cannot be calibrated.
#[derive(Debug, Error)]
pub enum CalibrateError {
    /// No pulls.
    #[error("no pull of the base, expected at least one")]
    NoPull,
    /// No factor.
    #[error("no factor to fit, expected at least one of flow, friction, burn, heat-loss")]
    NoFactor,
    /// Torque at the wheels.
    #[error(
        "{pull} was taken at the wheels, expected torque at the crankshaft; what the driveline takes is not known"
    )]
    AtWheels {
        /// Which pull.
        pull: String,
    },
    /// Pulls that share no band.
    #[error(
        "the pulls share {from_rpm:.0} to {to_rpm:.0} rpm, expected a band of at least {LEAST_BAND_RPM:.0} rpm"
    )]
    Band {
        /// From.
        from_rpm: f64,
        /// To.
        to_rpm: f64,
    },
    /// Inertia without times.
    #[error("{pull}: {source}")]
    Processing {
        /// Which pull.
        pull: String,
        /// Why.
        source: ProcessingError,
    },
    /// Air that is no air.
    #[error("{of}: {source}")]
    Weather {
        /// Whose.
        of: String,
        /// Why.
        source: WeatherError,
    },
    /// The build does not make an engine that runs.
    #[error(transparent)]
    Build(#[from] FromBuildError),
    /// The fit.
    #[error(transparent)]
    Fit(#[from] FitError<PredictError>),
}

/// Why the model gave no curve.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum PredictError {
    /// No network.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// A speed that broke off.
    #[error("the model broke off at {rpm:.0} rpm: {why}")]
    Broke {
        /// Where.
        rpm: f64,
        /// Why.
        why: String,
    },
}

/// Narrowest band of speeds a curve's shape can be read from. Our choice, no source.
const LEAST_BAND_RPM: f64 = 800.0;
/// Width over which readings are averaged at each speed, of the distance between speeds; never above 200 rpm.
const WIDTH: f64 = 0.5;

/// Calibrates the model of a build on pulls of the same engine, all of them of its state as the sheet has it.
pub fn calibrate(
    build: &Build,
    pulls: &[Pull],
    options: &CalibrateOptions,
) -> Result<Calibration, CalibrateError> {
    if options.fitted.is_empty() {
        return Err(CalibrateError::NoFactor);
    }
    let (model, _) = model(build)?;
    let measured = measured(build, pulls, options)?;
    let mut predict = |by: &Multipliers| {
        let points = sweep(&model.multiplied(by), &measured.speeds_rpm, options.fidelity)?;
        let torque = points.iter().map(|point| match &point.outcome {
            Outcome::Broke(why) => Err(PredictError::Broke { rpm: point.rpm, why: why.clone() }),
            _ => Ok(point.torque_n_m),
        });
        torque.collect()
    };
    let mut fitted = options.fitted.clone();
    fitted.sort();
    fitted.dedup();
    let fit = fit(&mut predict, &fitted, &measured.observed)?;
    Ok(Calibration {
        engine: build.name.clone(),
        pulls: measured.pulls,
        speeds_rpm: measured.speeds_rpm,
        measured_nm: measured.observed.torque_nm.clone(),
        observed: measured.observed,
        pull_sd: measured.pull_sd,
        fit,
        fidelity: options.fidelity,
        assumed: measured.assumed,
    })
}

struct Measured {
    pulls: Vec<CalibrationPull>,
    speeds_rpm: Vec<f64>,
    observed: Observed,
    pull_sd: (f64, bool),
    assumed: Vec<String>,
}

/// The mean of the pulls in the air of the sheet, and how well it is known.
///
/// Scatter is taken apart in two: whole pulls lie high or low together, which all speeds share, and each speed has its own.
/// The mean of n pulls has the variance of one over n. With one or two pulls the first is assumed.
fn measured(build: &Build, pulls: &[Pull], options: &CalibrateOptions) -> Result<Measured, CalibrateError> {
    let (mut used, mut curves, mut assumed) = (Vec::new(), Vec::new(), Vec::new());
    for pull in pulls {
        if pull.at_wheels {
            return Err(CalibrateError::AtWheels { pull: pull.name.clone() });
        }
        let curve =
            pull.curve().map_err(|source| CalibrateError::Processing { pull: pull.name.clone(), source })?;
        let to_sheet_air = to_sheet_air(build, pull, &mut assumed)?;
        curves.push(curve.scaled(to_sheet_air));
        assumed.extend(pull.assumed.iter().map(|line| format!("{}: {line}", pull.name)));
        used.push(CalibrationPull {
            name: pull.name.clone(),
            digest: pull.origin.digest.clone(),
            to_sheet_air,
        });
    }
    let (speeds_rpm, width_rpm) = common_speeds(&curves, options.n_speeds)?;
    let at_speeds: Vec<Vec<f64>> = curves
        .iter()
        .filter_map(|curve| curve.resampled(&speeds_rpm, width_rpm))
        .map(|curve| curve.torque_nm)
        .collect();
    let n = at_speeds.len() as f64;
    let torque_nm: Vec<f64> =
        (0..speeds_rpm.len()).map(|i| at_speeds.iter().map(|pull| pull[i]).sum::<f64>() / n).collect();
    let (whole, own, known) = scatter(&at_speeds, &torque_nm);
    let of_mean = |sd: f64| sd / n.sqrt();
    let sd_nm = torque_nm.iter().map(|torque| torque.abs() * of_mean(own).hypot(options.model_sd)).collect();
    Ok(Measured {
        pulls: used,
        speeds_rpm,
        observed: Observed { torque_nm, sd_nm, scale_sd: of_mean(whole).hypot(options.brake_sd) },
        pull_sd: (whole, known),
        assumed,
    })
}

/// Relative standard deviation of whole pulls, that of one speed within a pull, and whether the first was measured.
fn scatter(at_speeds: &[Vec<f64>], mean_nm: &[f64]) -> (f64, f64, bool) {
    let (n, n_speeds) = (at_speeds.len() as f64, mean_nm.len() as f64);
    let off: Vec<Vec<f64>> = at_speeds
        .iter()
        .map(|pull| pull.iter().zip(mean_nm).map(|(torque, mean)| torque / mean - 1.0).collect())
        .collect();
    let wholes: Vec<f64> = off.iter().map(|pull| pull.iter().sum::<f64>() / n_speeds).collect();
    let squares: f64 =
        off.iter().zip(&wholes).flat_map(|(pull, whole)| pull.iter().map(move |o| (o - whole).powi(2))).sum();
    let own = if n > 1.0 { (squares / ((n - 1.0) * (n_speeds - 1.0))).sqrt() } else { 0.0 };
    if n < 3.0 {
        return (USUAL_PULL_SD, own, false);
    }
    ((wholes.iter().map(|whole| whole * whole).sum::<f64>() / (n - 1.0)).sqrt(), own, true)
}

/// Speeds all curves cover, and the width readings are averaged over at each.
fn common_speeds(curves: &[Curve], n_speeds: usize) -> Result<(Vec<f64>, f64), CalibrateError> {
    if curves.is_empty() {
        return Err(CalibrateError::NoPull);
    }
    let first = |curve: &Curve| curve.speed_rpm.first().copied().unwrap_or(f64::NAN);
    let last = |curve: &Curve| curve.speed_rpm.last().copied().unwrap_or(f64::NAN);
    let from_rpm = curves.iter().map(first).fold(0.0, f64::max);
    let to_rpm = curves.iter().map(last).fold(f64::INFINITY, f64::min);
    if to_rpm - from_rpm < LEAST_BAND_RPM {
        return Err(CalibrateError::Band { from_rpm, to_rpm });
    }
    let n = n_speeds.max(2) - 1;
    let step = (to_rpm - from_rpm) / n as f64;
    let speeds = (0..=n).map(|i| from_rpm + step * i as f64).collect();
    Ok((speeds, (WIDTH * step).min(200.0)))
}

/// Torque in the air of the build's sheet over torque in the air of the pull, by SAE J1349 both ways: the difference between two
/// days, not the standard's own reference, counts. 1 where the pull's air was not read, which is then assumed.
fn to_sheet_air(build: &Build, pull: &Pull, assumed: &mut Vec<String>) -> Result<f64, CalibrateError> {
    let Ok(air) = pull.weather.complete() else {
        assumed.push(format!("{}: its air was not read; it is taken to be that of the sheet", pull.name));
        return Ok(1.0);
    };
    let factor = |of: &str, air: &Weather| {
        correction(Standard::SaeJ1349, pull.engine, air)
            .map(|one| one.factor)
            .map_err(|source| CalibrateError::Weather { of: of.to_owned(), source })
    };
    let weather = filled(build).running.weather;
    let (Some(pressure), Some(temperature), Some(humidity)) =
        (weather.pressure, weather.temperature, weather.humidity)
    else {
        assumed.push(format!("{}: the sheet's air is not known; the pull's is taken for it", pull.name));
        return Ok(1.0);
    };
    let sheet_air = Weather {
        barometer: Barometer::Station(StationPressure::new(pressure.value)),
        inlet: temperature.value,
        dry_bulb: None,
        humidity: Humidity::Relative(humidity.value),
    };
    Ok(factor(&pull.name, &air)? / factor("the sheet's weather", &sheet_air)?)
}
