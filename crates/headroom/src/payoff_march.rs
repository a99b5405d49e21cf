//! Many engines over one band: marched side by side, averaged over the speeds the user drives. Leaves out what they are.

use cycle::batch::sweep_batch;
use cycle::fidelity::Fidelity;
use cycle::model::Model;
use cycle::network_plan::PlanError;
use cycle::speed_point::{Outcome, SpeedPoint};
use parts::running::Band;
use pulls::{Curve, Measure, Weights};
use units::angular_velocity::revolution_per_minute;

/// Speeds of the band, evenly spaced, and what each of them counts.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct BandSpeeds {
    pub speeds_rpm: Vec<f64>,
    pub weights: Weights,
}

/// Means over a band.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Means {
    /// Torque, N m.
    pub torque_n_m: f64,
    /// Power, W.
    pub power_w: f64,
}

impl BandSpeeds {
    /// `n` speeds over the band of a build; `None` of a band that does not rise.
    pub fn of(band: &Band, n: usize) -> Option<Self> {
        let rpm = |speed: Option<units::Reading<units::AngularVelocity>>| {
            speed.map(|speed| speed.value.get::<revolution_per_minute>())
        };
        let (from, to) = (rpm(band.from)?, rpm(band.to)?);
        let points = band.weights.iter().map(|one| (one.speed.get::<revolution_per_minute>(), one.weight));
        let weights = Weights::new(points.collect()).unwrap_or_default();
        (0.0 < from && from < to).then(|| Self { speeds_rpm: spread(from, to, n.max(2)), weights })
    }

    /// The same band at fewer or more speeds.
    pub fn with(&self, n: usize) -> Self {
        let [from, to] = self.ends();
        Self { speeds_rpm: spread(from, to, n), weights: self.weights.clone() }
    }

    /// Lowest and highest speed.
    pub fn ends(&self) -> [f64; 2] {
        [self.speeds_rpm[0], self.speeds_rpm[self.speeds_rpm.len() - 1]]
    }
}

/// `n` speeds from one to another, both among them.
pub(crate) fn spread(from: f64, to: f64, n: usize) -> Vec<f64> {
    let last = (n.max(2) - 1) as f64;
    (0..n.max(2)).map(|idx| from + (to - from) * idx as f64 / last).collect()
}

/// What each model does at each speed. Models that are the same are marched once.
pub(crate) fn march(
    models: &[Model],
    speeds_rpm: &[f64],
    fidelity: Fidelity,
) -> Result<Vec<Vec<SpeedPoint>>, PlanError> {
    let mut different: Vec<Model> = Vec::new();
    let at: Vec<usize> = models
        .iter()
        .map(|model| {
            let known = different.iter().position(|known| known == model);
            known.unwrap_or_else(|| {
                different.push(model.clone());
                different.len() - 1
            })
        })
        .collect();
    let marched: Vec<Vec<SpeedPoint>> =
        sweep_batch(&different, speeds_rpm, fidelity).into_iter().collect::<Result<_, _>>()?;
    Ok(at.into_iter().map(|idx| marched[idx].clone()).collect())
}

/// Which speeds can be used for a comparison: none of the engines broke there.
pub(crate) fn sound_for_all(pulls: &[Vec<SpeedPoint>]) -> Vec<bool> {
    let n = pulls.first().map_or(0, Vec::len);
    let broke =
        |point: &SpeedPoint| matches!(point.outcome, Outcome::Broke(_)) || !point.torque_n_m.is_finite();
    (0..n).map(|idx| !pulls.iter().any(|pull| broke(&pull[idx]))).collect()
}

/// Means of every pull over the speeds that none of them broke at; `None` of fewer than two.
pub(crate) fn all_means(pulls: &[Vec<SpeedPoint>], band: &BandSpeeds) -> Option<Vec<Means>> {
    let sound = sound_for_all(pulls);
    pulls.iter().map(|pull| means(pull, &sound, &band.weights)).collect()
}

/// Means over the speeds that can be used; `None` of fewer than two.
pub(crate) fn means(points: &[SpeedPoint], sound: &[bool], weights: &Weights) -> Option<Means> {
    let used = points.iter().zip(sound).filter(|(_, sound)| **sound).map(|(point, _)| point);
    let (speed_rpm, torque_nm): (Vec<f64>, Vec<f64>) = used.map(|p| (p.rpm, p.torque_n_m)).unzip();
    let curve = Curve { speed_rpm, torque_nm };
    (curve.speed_rpm.len() > 1).then(|| Means {
        torque_n_m: curve.mean(Measure::Torque, weights),
        power_w: 1e3 * curve.mean(Measure::Power, weights),
    })
}
