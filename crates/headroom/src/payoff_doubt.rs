//! How sure a payoff is: what every uncertain reading does to it, what the model itself may be off by, and the chance that
//! the gain is real and that a dyno could show it. Leaves out what to measure next: `payoff_next.rs`.

use cycle::fidelity::Fidelity;
use cycle::from_build::{LobeFits, model_with};
use cycle::model::Model;
use rayon::prelude::*;
use units::reading::SDS_IN_TOLERANCE;

use crate::payoff::{Pair, PayoffError, Share, relative};
use crate::payoff_curves::CurveDoubt;
use crate::payoff_march::{BandSpeeds, March, all_means, sound_for_all};
use crate::payoff_move::{LEAST_MOVE, largest_move};
use crate::payoff_progress::{Doing, Progress};
use crate::payoff_readings::{PairedReading, moved};
use crate::payoff_sampled::Sampled;
use crate::sampling::chance_below;

/// What the share of one change may be off by, of itself, as a 95 % half-width; shares err independently of each other.
///
/// Two builds predicted by the same model err less in their difference than each by itself: what is wrong alike in both
/// cancels, and what is left goes with what was changed. An uncalibrated curve is 6 to 10 % off, a predicted change 2 to 3 %
/// (common practice, no source); a third of each share gives 2.8 % for two changes of 6 % that work against each other, and
/// nothing for two engines that are the same. From memory and judgement; no publication is known.
pub const MODEL_ERROR_OF_A_SHARE: f64 = 1.0 / 3.0;

/// Standard deviations by which a reading is moved to see what it does: a whole tolerance, so that what the march does not
/// resolve stays small beside it.
const STEP_SDS: f64 = SDS_IN_TOLERANCE;

/// What one uncertain reading does to the payoff.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubt {
    /// Which.
    pub reading: PairedReading,
    /// Change of the relative gain when the reading grows by one standard deviation.
    pub on_gain: f64,
    /// Its share of what the readings together make uncertain (first-order Sobol index: exact where the gain is straight in
    /// its readings; Saltelli et al. (2008), Global Sensitivity Analysis, ch. 1 and 4, from memory).
    pub share: f64,
}

/// How sure a gain is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chances {
    /// Best estimate of the relative gain in mean torque.
    pub gain: f64,
    /// 95 % half-width of the gain, everything together.
    pub half_width: f64,
    /// Half-width from the readings alone.
    pub from_readings: f64,
    /// Half-width from the model alone; see [`MODEL_ERROR_OF_A_SHARE`].
    pub from_model: f64,
    /// Half-width from the grid the engines are marched on.
    pub from_grid: f64,
    /// Chance that the candidate gives more than the base.
    pub better: f64,
    /// What the dyno repeats to, relative.
    pub repeatability: f64,
    /// Chance that it gives more than the base by more than that.
    pub shows_better: f64,
    /// Chance that it gives less than the base by more than that.
    pub shows_worse: f64,
}

/// A model with one reading moved.
struct Shifted {
    /// Position of the reading.
    reading: usize,
    /// 0 for the base, 1 for the candidate.
    of: usize,
    /// Standard deviations it was moved by.
    step: f64,
    model: Model,
}

/// Speeds of the band at which a moved reading is looked at.
const FEW_SPEEDS: usize = 3;

/// Both engines with each reading moved, to be marched.
///
/// Every reading is moved by its tolerance, in both engines where both have it, and both are marched again on the coarse grid
/// at a few speeds of the band: a change of a change needs no more.
pub(crate) struct Moves {
    shifted: Vec<Shifted>,
    band: BandSpeeds,
    /// To be marched.
    pub march: March,
}

impl Moves {
    pub fn of(
        pair: &Pair,
        readings: &[PairedReading],
        nominal: &[Model; 2],
        band: &BandSpeeds,
        fits: &LobeFits,
    ) -> Self {
        let shifted = shifted_models(pair, readings, nominal, fits);
        let band = band.with(FEW_SPEEDS);
        let models: Vec<Model> =
            nominal.iter().chain(shifted.iter().map(|one| &one.model)).cloned().collect();
        let march = March::of(Doing::Readings, &models, &band.speeds_rpm, Fidelity::Screen);
        Self { shifted, band, march }
    }

    /// What each reading does to the gain, largest first, those that do nothing left out; and what they all do to the curves.
    pub fn doubts(
        &self,
        readings: &[PairedReading],
        progress: &Progress<'_>,
    ) -> Result<(Vec<Doubt>, Vec<CurveDoubt>), PayoffError> {
        let marched = self.march.run(progress)?;
        let means = all_means(&marched, &self.band).ok_or(PayoffError::Broke)?;
        let means: Vec<f64> = means.iter().map(|mean| mean.torque_n_m).collect();
        let sound = sound_for_all(&marched);
        let curves = (0..self.band.speeds_rpm.len()).filter(|&idx| sound[idx]).map(|idx| {
            let torques: Vec<f64> = marched.iter().map(|points| points[idx].torque_n_m).collect();
            let moved: Vec<[f64; 2]> = self.moved(readings, &torques).into_iter().flatten().collect();
            CurveDoubt::of(self.band.speeds_rpm[idx], [torques[0], torques[1]], &moved, STEP_SDS)
        });
        Ok((self.effects(readings, &means), curves.collect()))
    }

    /// What each reading makes of the torques of both engines when it grows by [`STEP_SDS`], `None` of those that move neither;
    /// `torques` are of base, candidate, and every model that was moved.
    fn moved(&self, readings: &[PairedReading], torques: &[f64]) -> Vec<Option<[f64; 2]>> {
        let nominal = [torques[0], torques[1]];
        let mut moved = vec![None; readings.len()];
        for (one, torque) in self.shifted.iter().zip(&torques[2..]) {
            let both = moved[one.reading].get_or_insert(nominal);
            // An engine that only ran moved the other way is mirrored about the nominal one.
            both[one.of] += (torque - nominal[one.of]) * (STEP_SDS / one.step);
        }
        moved
    }

    /// What each reading does to the gain, from the mean torques of its models.
    fn effects(&self, readings: &[PairedReading], torques: &[f64]) -> Vec<Doubt> {
        let nominal = relative(torques[0], torques[1]);
        let moved = self.moved(readings, torques);
        let of_reading = |(reading, moved): (&PairedReading, Option<[f64; 2]>)| {
            let [base, candidate] = moved?;
            let on_gain = (relative(base, candidate) - nominal) / STEP_SDS;
            Some(Doubt { reading: reading.clone(), on_gain, share: 0.0 })
        };
        let mut doubts: Vec<Doubt> = readings.iter().zip(moved).filter_map(of_reading).collect();
        let variance: f64 = doubts.iter().map(|doubt| doubt.on_gain * doubt.on_gain).sum();
        if variance > 0.0 {
            doubts.iter_mut().for_each(|doubt| doubt.share = doubt.on_gain * doubt.on_gain / variance);
        }
        doubts.sort_by(|a, b| b.on_gain.abs().total_cmp(&a.on_gain.abs()));
        doubts
    }
}

/// The models that each reading makes of both engines; readings that move neither make none.
///
/// A reading is moved up, or down where the engine moved up would not run.
fn shifted_models(
    pair: &Pair,
    readings: &[PairedReading],
    nominal: &[Model; 2],
    fits: &LobeFits,
) -> Vec<Shifted> {
    let of_reading = |(at, reading): (usize, &PairedReading)| -> Vec<Shifted> {
        let mut fits = fits.clone();
        let one = std::slice::from_ref(reading);
        let steps = [STEP_SDS, -STEP_SDS];
        let moved = steps.map(|step| moved(pair, one, &[step]));
        let mut found = Vec::new();
        for (of, has) in [reading.in_base, reading.in_candidate].into_iter().enumerate() {
            let tried = steps.iter().zip(&moved).filter(|_| has).find_map(|(step, moved)| {
                let build = if of == 0 { &moved.base } else { &moved.candidate };
                Some((*step, model_with(build, &mut fits).ok()?.0))
            });
            let counts = |model: &Model| LEAST_MOVE <= largest_move(model, &nominal[of]);
            if let Some((step, model)) = tried.filter(|(_, model)| counts(model)) {
                found.push(Shifted { reading: at, of, step, model });
            }
        }
        found
    };
    let found: Vec<Vec<Shifted>> = readings.par_iter().enumerate().map(of_reading).collect();
    found.into_iter().flatten().collect()
}

impl Chances {
    /// From what is known of a gain; `grid` is a 95 % half-width. Readings, model and grid err independently; all are taken as normal. Sampled gains, where
    /// there are some, stand in the place of what each reading does by itself.
    pub(crate) fn of(
        gain: f64,
        doubts: &[Doubt],
        shares: &[Share],
        grid: f64,
        repeatability: f64,
        sampled: Option<&Sampled>,
    ) -> Self {
        let sampled = sampled.filter(|sampled| sampled.gains.len() > 1);
        let of_readings = match sampled {
            Some(sampled) => sampled.sd(),
            None => doubts.iter().map(|doubt| doubt.on_gain * doubt.on_gain).sum::<f64>().sqrt(),
        };
        let squares: f64 = shares.iter().map(|share| share.gain * share.gain).sum();
        let orders: f64 = shares.iter().map(|share| share.standard_error * share.standard_error).sum();
        let of_model = MODEL_ERROR_OF_A_SHARE / SDS_IN_TOLERANCE * squares.sqrt();
        let of_grid = grid / SDS_IN_TOLERANCE;
        let rest = of_model.hypot(of_grid).hypot(orders.sqrt());
        let sd = of_readings.hypot(rest);
        let above = |limit: f64| match sampled {
            Some(sampled) => {
                let each = sampled.gains.iter().map(|gain| chance_below(-limit, -gain, rest));
                each.sum::<f64>() / sampled.gains.len() as f64
            }
            None => chance_below(-limit, -gain, sd),
        };
        Self {
            gain,
            half_width: SDS_IN_TOLERANCE * sd,
            from_readings: SDS_IN_TOLERANCE * of_readings,
            from_model: SDS_IN_TOLERANCE * of_model,
            from_grid: grid,
            better: above(0.0),
            repeatability,
            shows_better: above(repeatability),
            shows_worse: 1.0 - above(-repeatability),
        }
    }

    /// One standard deviation of the gain.
    pub fn sd(&self) -> f64 {
        self.half_width / SDS_IN_TOLERANCE
    }
}
