//! What an engine gives over speed: predicted torque and power of a build, with what was assumed for it.

pub use cycle::fidelity::Fidelity;
use cycle::fidelity::Settings;
use cycle::from_build::{Assumed, FromBuildError, model};
use cycle::model::Model;
use cycle::multipliers::Multipliers;
use cycle::network_plan::PlanError;
use cycle::speed_point::{Outcome, SpeedPoint};
use cycle::sweep::sweep_with;
use parts::Build;
use parts::estimate_running::filled;
use pulls::curve::{WeightsError, common_speeds};
use pulls::{
    Barometer, Correction, Curve, EngineKind, Humidity, Measure, Standard, StationPressure, Weather,
    WeatherError, Weights, correction,
};
use thiserror::Error;
use units::angular_velocity::revolution_per_minute;
use units::{AngularVelocity, Pressure, Quantity, Ratio, Reading, ThermodynamicTemperature};

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
    /// Step between the speeds in place of their number, rpm; the last speed is always among them.
    pub step_rpm: Option<f64>,
    /// How finely.
    pub fidelity: Fidelity,
    /// What measured pulls of the base correct in the model; none where it runs on the sheet alone.
    pub calibration: Option<Multipliers>,
    /// The air it is run in, where that of the sheet is not meant.
    pub air: PullAir,
    /// What to correct torque and power to.
    pub corrected_to: Option<Standard>,
    /// Whether the last cycle of every speed is kept by crank angle.
    pub traces: bool,
}

/// The air of a pull; what is left out comes from the build.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PullAir {
    /// Barometer at the engine.
    pub pressure: Option<Pressure>,
    /// Temperature of the air.
    pub temperature: Option<ThermodynamicTemperature>,
    /// Relative humidity, 0 to 1.
    pub humidity: Option<Ratio>,
}

impl Default for PullOptions {
    fn default() -> Self {
        Self {
            from_rpm: None,
            to_rpm: None,
            n_points: USUAL_POINTS,
            step_rpm: None,
            fidelity: Fidelity::Normal,
            air: PullAir::default(),
            corrected_to: None,
            traces: false,
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
    /// How much each speed counts in a mean.
    pub weights: Weights,
    /// The air it was run in.
    pub air: Weather,
    /// What a standard makes of torque and power in that air. The points themselves are not corrected.
    pub correction: Option<Correction>,
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
    /// More speeds than anybody can mean.
    #[error(
        "a step of {step_rpm:.1} rpm from {from_rpm:.0} to {to_rpm:.0} rpm, expected at most {MOST_POINTS} speeds"
    )]
    Step {
        /// As given.
        step_rpm: f64,
        /// First.
        from_rpm: f64,
        /// Last.
        to_rpm: f64,
    },
    /// Weights of the band that cannot be used.
    #[error(transparent)]
    Weights(#[from] WeightsError),
    /// Air that no correction holds for.
    #[error(transparent)]
    Weather(#[from] WeatherError),
}

/// Most speeds of a pull.
pub const MOST_POINTS: usize = 200;

/// Predicts a pull.
pub fn pull(build: &Build, options: &PullOptions) -> Result<PullAnswer, PullError> {
    let Asked { model, speeds, settings, mut answer } = asked(build, options)?;
    answer.points = sweep_with(&model, &speeds, options.fidelity, &settings)?;
    Ok(answer)
}

/// The same, a few speeds at a time: `go_on` hears the share that is done, and ends it with `None` by saying false.
pub fn pull_watched(
    build: &Build,
    options: &PullOptions,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Result<Option<PullAnswer>, PullError> {
    let Asked { model, speeds, settings, mut answer } = asked(build, options)?;
    for chain in speeds.chunks(STRETCH) {
        if !go_on(answer.points.len() as f64 / speeds.len() as f64) {
            return Ok(None);
        }
        answer.points.extend(sweep_with(&model, chain, options.fidelity, &settings)?);
    }
    Ok(Some(answer))
}

/// The model of the sheet, with what measured pulls correct in it.
fn corrected_model(build: &Build, options: &PullOptions) -> Result<(Model, Vec<Assumed>), FromBuildError> {
    let (model, assumed) = model(build)?;
    Ok((options.calibration.as_ref().map_or_else(|| model.clone(), |by| model.multiplied(by)), assumed))
}

/// What is to be run, and the answer without its points.
struct Asked {
    model: Model,
    speeds: Vec<f64>,
    settings: Settings,
    answer: PullAnswer,
}

fn asked(build: &Build, options: &PullOptions) -> Result<Asked, PullError> {
    let build = &in_air(build, &options.air);
    let running = filled(build).running;
    let band = &running.band;
    let rpm = |speed: Option<Reading<AngularVelocity>>| {
        speed.map(|speed| speed.value.get::<revolution_per_minute>())
    };
    let from_rpm = options.from_rpm.or(rpm(band.from)).unwrap_or(f64::NAN);
    let to_rpm = options.to_rpm.or(rpm(band.to)).unwrap_or(f64::NAN);
    let speeds = speeds(from_rpm, to_rpm, options)?;
    let weights = band.weights.iter().map(|w| (w.speed.get::<revolution_per_minute>(), w.weight)).collect();
    let weights = Weights::new(weights)?;
    let air = air(&running.weather);
    let engine = if build.running.boost.is_some() { EngineKind::SparkBoosted } else { EngineKind::Spark };
    let correction = options.corrected_to.map(|standard| correction(standard, engine, &air)).transpose()?;
    let (model, assumed) = corrected_model(build, options)?;
    let settings = Settings { traces: options.traces, ..options.fidelity.settings() };
    let answer = PullAnswer {
        name: build.name.clone(),
        points: Vec::new(),
        assumed,
        calibration: options.calibration,
        weights,
        air,
        correction,
    };
    Ok(Asked { model, speeds, settings, answer })
}

/// The speeds of a pull, rising, rpm.
fn speeds(from_rpm: f64, to_rpm: f64, options: &PullOptions) -> Result<Vec<f64>, PullError> {
    if !(0.0 < from_rpm && from_rpm < to_rpm && to_rpm.is_finite()) {
        return Err(PullError::Speeds { from_rpm, to_rpm });
    }
    if let Some(step_rpm) = options.step_rpm {
        if !(step_rpm > 0.0 && (to_rpm - from_rpm) / step_rpm < MOST_POINTS as f64) {
            return Err(PullError::Step { step_rpm, from_rpm, to_rpm });
        }
        return Ok(common_speeds(from_rpm, to_rpm, step_rpm));
    }
    let n = options.n_points.max(2);
    Ok((0..n).map(|i| from_rpm + (to_rpm - from_rpm) * i as f64 / (n - 1) as f64).collect())
}

/// The build in other air than its sheet says.
fn in_air(build: &Build, air: &PullAir) -> Build {
    let mut build = build.clone();
    let weather = &mut build.running.weather;
    fn put<Q: Quantity>(slot: &mut Option<Reading<Q>>, given: Option<Q>) {
        if let Some(value) = given {
            *slot = Some(Reading::measured(value, Q::from_si(0.0)));
        }
    }
    put(&mut weather.pressure, air.pressure);
    put(&mut weather.temperature, air.temperature);
    put(&mut weather.humidity, air.humidity);
    build
}

/// The air of a running section that has been filled, as corrections read it.
fn air(weather: &parts::running::Weather) -> Weather {
    let si = |reading: Option<f64>| reading.unwrap_or(f64::NAN);
    let pressure = Pressure::from_si(si(weather.pressure.map(|p| p.value.si())));
    let temperature = ThermodynamicTemperature::from_si(si(weather.temperature.map(|t| t.value.si())));
    let humidity = Ratio::from_si(si(weather.humidity.map(|h| h.value.si())));
    Weather {
        barometer: Barometer::Station(StationPressure::new(pressure)),
        inlet: temperature,
        dry_bulb: None,
        humidity: Humidity::Relative(humidity),
    }
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

    /// Mean torque over the pull, N m, each speed counted as the build's band says: the area under the weighted curve over
    /// that of the weights. `None` with fewer than two sound speeds, or where those that are sound do not count.
    pub fn mean_torque_n_m(&self) -> Option<f64> {
        let (speed_rpm, torque_nm): (Vec<f64>, Vec<f64>) =
            self.sound().map(|point| (point.rpm, point.torque_n_m)).unzip();
        let curve = Curve { speed_rpm, torque_nm };
        let mean = (curve.speed_rpm.len() > 1).then(|| curve.mean(Measure::Torque, &self.weights));
        mean.filter(|mean| mean.is_finite())
    }

    /// Corrected over predicted torque; 1 where nothing is corrected.
    pub fn factor(&self) -> f64 {
        self.correction.as_ref().map_or(1.0, |correction| correction.factor)
    }

    /// Speeds that did not settle, those that broke not among them.
    pub fn unsettled(&self) -> impl Iterator<Item = &SpeedPoint> {
        self.points.iter().filter(|point| point.outcome == Outcome::NotConverged)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rising(from_rpm: f64, to_rpm: f64, step_rpm: Option<f64>) -> Result<Vec<f64>, PullError> {
        speeds(from_rpm, to_rpm, &PullOptions { n_points: 3, step_rpm, ..PullOptions::default() })
    }

    #[test]
    fn exact_speeds_by_number_and_by_step() {
        assert_eq!(rising(2000.0, 6000.0, None), Ok(vec![2000.0, 4000.0, 6000.0]));
        assert_eq!(rising(1500.0, 2250.0, Some(250.0)), Ok(vec![1500.0, 1750.0, 2000.0, 2250.0]));
        assert_eq!(rising(1500.0, 2100.0, Some(250.0)), Ok(vec![1500.0, 1750.0, 2000.0, 2100.0]));
        assert!(matches!(rising(3000.0, 3000.0, None), Err(PullError::Speeds { .. })));
        for step_rpm in [0.0, -100.0, f64::NAN, 1e-9] {
            assert!(matches!(rising(1500.0, 7000.0, Some(step_rpm)), Err(PullError::Step { .. })));
        }
    }
}
