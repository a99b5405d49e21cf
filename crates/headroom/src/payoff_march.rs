//! Many engines over one band: marched side by side, averaged over the speeds the user drives. Leaves out what they are.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicUsize, Ordering};

use cycle::batch::sweep_batch_at;
use cycle::fidelity::{Fidelity, Settings};
use cycle::model::Model;
use cycle::speed_point::{Outcome, SpeedPoint};
use gas::lane::Width;
use parts::running::Band;
use pulls::{Curve, Measure, Weights};
use rayon::prelude::*;
use units::angular_velocity::revolution_per_minute;

use crate::payoff::PayoffError;
use crate::payoff_progress::{Doing, Progress};

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

/// How closely cycles have to repeat themselves when engines are compared: what is left over is noise in their difference.
const ACCURACY: f64 = 1e-3;

/// Engines handed to one thread at once: two rounds of the widest lanes.
const AT_ONCE: usize = 16;

/// The grid on which many engines are told apart: cells of 40 mm, so that a pipe a few millimetres longer is not one with another
/// number of cells, which on the 80 mm of `screen` makes more of a difference than its length.
const COMPARED: (f64, f64) = (0.040, 3.0);

/// How an engine is marched that is to be compared: on the grid of its fidelity, but settled.
pub(crate) fn settings(fidelity: Fidelity) -> Settings {
    let of_fidelity = fidelity.settings();
    let finer = (COMPARED.0 / of_fidelity.intake_cell_m).min(1.0);
    Settings {
        most_step_deg: of_fidelity.most_step_deg.min(COMPARED.1),
        accuracy: of_fidelity.accuracy.min(ACCURACY),
        ..of_fidelity.coarsened(finer)
    }
}

/// Models to be marched at some speeds; those that are the same are marched once.
pub(crate) struct March {
    doing: Doing,
    different: Vec<Model>,
    /// Where each model stands among the different ones.
    at: Vec<usize>,
    speeds_rpm: Vec<f64>,
    fidelity: Fidelity,
}

impl March {
    pub fn of(doing: Doing, models: &[Model], speeds_rpm: &[f64], fidelity: Fidelity) -> Self {
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
        Self { doing, different, at, speeds_rpm: speeds_rpm.to_vec(), fidelity }
    }

    /// What it takes, in the cost of cells of a metre: half the cell makes twice the cells and twice the steps.
    pub fn cost(&self) -> f64 {
        self.n_points() as f64 * cost_of_a_point(self.fidelity)
    }

    /// What each model does at each speed.
    pub fn run(&self, progress: &Progress<'_>) -> Result<Vec<Vec<SpeedPoint>>, PayoffError> {
        let settings = settings(self.fidelity);
        let (n_points, cost) = (self.n_points(), cost_of_a_point(self.fidelity));
        let done = AtomicUsize::new(0);
        let go_on = |_| {
            let n_done = done.fetch_add(1, Ordering::Relaxed) + 1;
            if progress.one_more(self.doing, n_done.min(n_points), n_points, cost) {
                ControlFlow::Continue(())
            } else {
                ControlFlow::Break(())
            }
        };
        let some = |models: &[Model]| {
            let width = Width::widest();
            sweep_batch_at(width, models, &self.speeds_rpm, self.fidelity, &settings, &go_on)
                .unwrap_or_default()
        };
        let marched: Vec<_> = self.different.par_chunks(AT_ONCE).flat_map_iter(some).collect();
        progress.stopped()?;
        let marched: Vec<Vec<SpeedPoint>> = marched.into_iter().collect::<Result<_, _>>()?;
        Ok(self.at.iter().map(|&idx| marched[idx].clone()).collect())
    }

    fn n_points(&self) -> usize {
        self.different.len() * self.speeds_rpm.len()
    }
}

/// See [`March::cost`].
pub(crate) fn cost_of_a_point(fidelity: Fidelity) -> f64 {
    settings(fidelity).intake_cell_m.powi(-2)
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
