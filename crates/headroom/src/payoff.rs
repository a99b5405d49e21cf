//! Is a candidate better than its base where the engine is used, by how much, and which change is to thank or to blame?
//!
//! Both engines are marched under the same readings, so that what is uncertain in both cancels. Leaves out how sure the
//! answer is (`payoff_doubt.rs`), how much flow the engine can use (`payoff_demand.rs`) and the words.

use std::collections::BTreeMap;

use cycle::fidelity::Fidelity;
use cycle::from_build::{FromBuildError, LobeFits, model_with};
use cycle::model::{Model, Spark};
use cycle::network_plan::PlanError;
use cycle::speed_point::SpeedPoint;
use fit::relief_of_block::removed_by;
use parts::estimate_running::filled;
use parts::{Build, Cylinder};
use pulls::Weights;
use sheet::Candidate;
use thiserror::Error;
use units::{Reading, Volume};
use volume::clearance_volumes;

use crate::attribution::{MOST_EXACT, Orders, exact_shares};
use crate::check::CheckAnswer;
use crate::payoff_change::{Group, groups, mixture};
use crate::payoff_curves::CurveDoubt;
use crate::payoff_cut::{Cut, cut_for};
use crate::payoff_demand::{Demand, demand, less_flow_models};
use crate::payoff_doubt::{Chances, Doubt, Moves};
pub use crate::payoff_march::Means;
use crate::payoff_march::{
    BandSpeeds, March, all_means, cost_of_a_point, means, settings, sound_for_all, spread,
};
use crate::payoff_next::{Next, next};
use crate::payoff_progress::{Doing, GoOn, Progress};
use crate::payoff_readings::paired_readings;
use crate::payoff_sampled::{Sampled, sampled};

/// What an engine brake with fixed temperatures repeats to over a band, relative: 0.5 to 1 % on one day (racing press and
/// common practice, no source); a chassis brake 1 to 2 %.
pub const USUAL_REPEATABILITY: f64 = 0.01;

/// How a payoff is judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PayoffOptions {
    /// How finely the engines are marched; by their number of cylinders when left out.
    pub fidelity: Option<Fidelity>,
    /// Speeds over the band.
    pub n_points: usize,
    /// What the dyno repeats to, relative; the swap sheet's own when left out, else [`USUAL_REPEATABILITY`].
    pub repeatability: Option<f64>,
    /// Pairs of engines to march under sampled readings, in the place of what each reading does by itself; 0 for none.
    pub n_samples: u32,
}

impl Default for PayoffOptions {
    fn default() -> Self {
        Self { fidelity: None, n_points: 6, repeatability: None, n_samples: 0 }
    }
}

/// Two engines made comparable: nothing missing, the same weather, the same band.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    /// As it is.
    pub base: Build,
    /// As it is to be, with every cut made.
    pub candidate: Build,
}

/// The answer.
#[derive(Clone, Debug)]
pub struct PayoffAnswer {
    /// Name of the base.
    pub base: String,
    /// Name of the candidate.
    pub name: String,
    /// What had to be cut for the candidate to be judged at all; `None` when nothing is in the way.
    pub cut: Option<Cut>,
    /// How finely the engines were marched.
    pub fidelity: Fidelity,
    /// Lowest and highest speed of the band, rpm.
    pub band_rpm: [f64; 2],
    /// Whether some speeds of the band count more than others.
    pub weighted: bool,
    /// Means over the band: base, candidate.
    pub means: [Means; 2],
    /// Relative gain in mean torque over the band.
    pub gain: f64,
    /// The same of power.
    pub power_gain: f64,
    /// Below and above the band.
    pub outside: Vec<Outside>,
    /// Every speed that was marched, below, in and above the band: base, candidate.
    pub points: [Vec<SpeedPoint>; 2],
    /// What the readings leave open in the curves, at a few speeds of the band.
    pub curves: Vec<CurveDoubt>,
    /// What each change brought, largest first; they add up to the whole.
    pub shares: Vec<Share>,
    /// How sure it is.
    pub chances: Chances,
    /// What each uncertain reading does to it, largest first.
    pub doubts: Vec<Doubt>,
    /// What sampled engines say, where they were asked for.
    pub sampled: Option<Sampled>,
    /// The gain with the spark set anew for each engine, as early as knock allows; `None` where the sheets leave that to the
    /// engine anyway.
    pub respark: Option<f64>,
    /// What the engine can use of the head's flow.
    pub demand: Option<Demand>,
    /// What to measure next, for fit and payoff, what is likeliest to turn the answer first.
    pub next: Vec<Next>,
}

/// Means beside the band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outside {
    /// Whether it lies above the band.
    pub above: bool,
    /// Lowest and highest speed, rpm.
    pub rpm: [f64; 2],
    /// Base, candidate.
    pub means: [Means; 2],
}

/// What one group of changes brought.
#[derive(Clone, Debug, PartialEq)]
pub struct Share {
    /// The group.
    pub group: Group,
    /// Gain in mean torque over the band, N m.
    pub torque_n_m: f64,
    /// The same over the base's mean torque.
    pub gain: f64,
    /// Gain in mean power over the band, W.
    pub power_w: f64,
    /// One standard error of `gain` from sampling orders; 0 where every mixture was worked out.
    pub standard_error: f64,
}

/// A comparison that cannot be made.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum PayoffError {
    /// An engine that does not run.
    #[error(transparent)]
    Build(#[from] FromBuildError),
    /// Pipes that make no network.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// No band.
    #[error("a band that does not rise, expected [use] band_from below band_to")]
    Band,
    /// Engines of different kinds.
    #[error("{candidate} cylinders against {base} of the base, expected as many")]
    Cylinders {
        /// Of the base.
        base: usize,
        /// Of the candidate.
        candidate: usize,
    },
    /// Nothing could be computed.
    #[error("fewer than two speeds of the band could be computed for both engines, expected at least two")]
    Broke,
    /// Whoever watched said so.
    #[error("stopped before it was done")]
    Stopped,
}

impl Pair {
    /// What is missing is estimated for each by itself; weather and band are the base's, for both are tried on one day.
    pub fn new(base: &Build, candidate: &Build) -> Result<Self, PayoffError> {
        let counts = [base, candidate].map(|build| build.cylinders.len());
        if counts[0] != counts[1] {
            return Err(PayoffError::Cylinders { base: counts[0], candidate: counts[1] });
        }
        let [base, mut candidate] = [base, candidate].map(|build| {
            let mut build = Build { running: filled(build).running, ..build.clone() };
            know_cuts(&mut build);
            build
        });
        candidate.running.weather = base.running.weather;
        candidate.running.band = base.running.band.clone();
        Ok(Self { base, candidate })
    }
}

/// Puts the volume of the cuts into a build. No reading of a payoff moves it noticeably, it takes longer to find than all else
/// about a cylinder, and it is asked for hundreds of times.
fn know_cuts(build: &mut Build) {
    let as_known = |volume| Some(Reading::measured(volume, Volume::default()));
    let mut known: Vec<(Cylinder, Cylinder)> = Vec::new();
    for cylinder in &mut build.cylinders {
        let alike = known.iter().find(|(other, _)| {
            other.block == cylinder.block && other.piston == cylinder.piston && other.head == cylinder.head
        });
        if let Some((_, done)) = alike {
            cylinder.block = done.block.clone();
            cylinder.piston = done.piston.clone();
            continue;
        }
        let before = cylinder.clone();
        for idx in 0..before.block.reliefs.len() {
            cylinder.block.reliefs[idx].removed =
                as_known(removed_by(&before.block, &before.block.reliefs[idx]));
        }
        if !before.piston.fly_cuts.is_empty() && before.piston.fly_cut_volume.is_none() {
            cylinder.piston.fly_cut_volume = as_known(clearance_volumes(&before).fly_cut);
        }
        known.push((before, cylinder.clone()));
    }
}

/// Judges a candidate against its base; `fit` is what the check of the candidate said.
pub fn payoff(
    base: &Build,
    candidate: &Candidate,
    fit: &CheckAnswer,
    options: &PayoffOptions,
) -> Result<PayoffAnswer, PayoffError> {
    payoff_watched(base, candidate, fit, options, &|_| true)
}

/// The same; `go_on` hears of every engine speed that was marched, and ends it with [`PayoffError::Stopped`] by saying false.
pub fn payoff_watched(
    base: &Build,
    candidate: &Candidate,
    fit: &CheckAnswer,
    options: &PayoffOptions,
    go_on: GoOn<'_>,
) -> Result<PayoffAnswer, PayoffError> {
    let cut = cut_for(&candidate.build, fit);
    let judged = cut.as_ref().map_or(&candidate.build, |cut| &cut.build);
    let pair = Pair::new(base, judged)?;
    let band = BandSpeeds::of(&pair.base.running.band, options.n_points).ok_or(PayoffError::Band)?;
    let repeatability =
        options.repeatability.or(candidate.payoff.repeatability).unwrap_or(USUAL_REPEATABILITY);
    let fidelity = options.fidelity.unwrap_or(usual_fidelity(pair.base.cylinders.len()));
    let mut fits = LobeFits::default();
    let groups = groups(&pair, &candidate.payoff.groups, &mut fits)?;
    let readings = paired_readings(&pair, candidate);

    let [of_base, of_candidate] = [&pair.base, &pair.candidate].map(|build| model_with(build, &mut fits));
    let nominal = [of_base?.0, of_candidate?.0];
    let mixed = Mixtures::of(&pair, &groups, &mut fits)?;
    let starved = less_flow_models(&pair.candidate, &mut fits)?;
    let resparked = resparked(&nominal);
    let mut models: Vec<Model> = nominal.to_vec();
    models.extend(mixed.models.iter().cloned());
    models.extend(starved.iter().map(|(_, model)| model.clone()));
    models.extend(resparked.iter().flatten().cloned());

    // Everything that is compared over the band is marched in one go.
    let changes = March::of(Doing::Changes, &models, &band.speeds_rpm, fidelity);
    let beside = Beside::of(&nominal, &band, fidelity);
    let moves = Moves::of(&pair, &readings, &nominal, &band, &fits);
    let other = other_grid(fidelity);
    let grid = March::of(Doing::Grid, &nominal, &band.speeds_rpm, other);
    let of_samples = (2 * options.n_samples) as usize * band.speeds_rpm.len();
    let cost: f64 = [&changes, &beside.march, &moves.march, &grid].map(March::cost).iter().sum();
    let progress = Progress::new(go_on, cost + of_samples as f64 * cost_of_a_point(fidelity));

    let marched = changes.run(&progress)?;
    let averages = all_means(&marched, &band).ok_or(PayoffError::Broke)?;
    let both = [averages[0], averages[1]];
    let (of_mixtures, rest) = averages[2..].split_at(mixed.models.len());
    let (of_starved, of_resparked) = rest.split_at(starved.len());

    let shares = mixed.shares(&groups, of_mixtures, both[0]);
    let (outside, points) = beside.around(&marched, &progress)?;
    let (doubts, curves) = moves.doubts(&readings, &progress)?;
    let gain = gain(&both);
    let grid = grid_error(&grid.run(&progress)?, &band, [fidelity, other], gain);
    let sampled = match options.n_samples {
        0 => None,
        n => Some(sampled(&pair, &readings, &band, fidelity, n, &fits, &progress)?),
    };
    let chances = Chances::of(gain, &doubts, &shares, grid, repeatability, sampled.as_ref());
    let next = next(fit, &doubts, &chances);
    Ok(PayoffAnswer {
        base: base.name.clone(),
        name: candidate.name.clone(),
        cut,
        fidelity,
        band_rpm: band.ends(),
        weighted: !band.weights.is_even(),
        means: both,
        gain,
        power_gain: relative(both[0].power_w, both[1].power_w),
        outside,
        respark: resparked
            .is_some()
            .then(|| relative(of_resparked[0].torque_n_m, of_resparked[1].torque_n_m)),
        demand: demand(&points[1], &band, &starved, of_starved, both[1]),
        points,
        curves,
        shares,
        chances,
        doubts,
        sampled,
        next,
    })
}

impl PayoffAnswer {
    /// The same engines before a dyno that repeats otherwise.
    pub fn judged_by(&self, fit: &CheckAnswer, repeatability: f64) -> Self {
        let (known, sampled) = (&self.chances, self.sampled.as_ref());
        let chances =
            Chances::of(self.gain, &self.doubts, &self.shares, known.from_grid, repeatability, sampled);
        Self { next: next(fit, &self.doubts, &chances), chances, ..self.clone() }
    }
}

/// Engines up to so many cylinders are marched at `normal`: their pulsing feels the grid most, and they cost least.
const FEW_CYLINDERS: usize = 2;

fn usual_fidelity(n_cylinders: usize) -> Fidelity {
    if n_cylinders <= FEW_CYLINDERS { Fidelity::Normal } else { Fidelity::Screen }
}

/// Largest knock integral of a spark that is set anew: a tenth from knock (common practice, no source).
const RESPARK_INTEGRAL: f64 = 0.9;

/// Both engines lit as early as best torque and knock allow; `None` where no timing is given.
fn resparked(nominal: &[Model; 2]) -> Option<[Model; 2]> {
    let given = |model: &Model| matches!(model.spark, Spark::Given(_));
    nominal.iter().any(given).then(|| {
        nominal
            .clone()
            .map(|model| Model { spark: Spark::KnockLimited { integral: RESPARK_INTEGRAL }, ..model })
    })
}

/// Relative gain in mean torque.
pub(crate) fn gain(means: &[Means; 2]) -> f64 {
    relative(means[0].torque_n_m, means[1].torque_n_m)
}

/// How much more the second is, over the first.
pub(crate) fn relative(base: f64, candidate: f64) -> f64 {
    (candidate - base) / base
}

/// Every mixture of two engines that the shares need.
struct Mixtures {
    sets: Vec<u128>,
    models: Vec<Model>,
    /// Orders that were sampled, where there are too many changes for all mixtures.
    orders: Option<Orders>,
}

/// Sampled orders, with their reverses, where there are more changes than [`MOST_EXACT`].
const ORDER_PAIRS: usize = 12;

impl Mixtures {
    fn of(pair: &Pair, groups: &[Group], fits: &mut LobeFits) -> Result<Self, PayoffError> {
        let orders = (groups.len() > MOST_EXACT).then(|| Orders::sample(groups.len(), ORDER_PAIRS, 1));
        let sets: Vec<u128> = match &orders {
            Some(orders) => orders.sets(),
            None => (0..1u128 << groups.len()).collect(),
        };
        let whole = (1u128 << groups.len()) - 1;
        let models = sets.iter().map(|&set| {
            // With all changes made it is the candidate itself, whatever else differs without any effect by itself.
            let mixed = if set == whole { pair.candidate.clone() } else { mixture(pair, groups, set) };
            model_with(&mixed, fits).map(|(model, _)| model)
        });
        let models = models.collect::<Result<_, _>>()?;
        Ok(Self { sets, models, orders })
    }

    /// Largest first.
    fn shares(&self, groups: &[Group], means: &[Means], base: Means) -> Vec<Share> {
        let torque: Vec<f64> = means.iter().map(|mean| mean.torque_n_m).collect();
        let power: Vec<f64> = means.iter().map(|mean| mean.power_w).collect();
        let (torque, errors) = self.split(&torque, groups.len());
        let (power, _) = self.split(&power, groups.len());
        let mut shares: Vec<Share> = groups
            .iter()
            .enumerate()
            .map(|(idx, group)| Share {
                group: group.clone(),
                torque_n_m: torque[idx],
                gain: torque[idx] / base.torque_n_m,
                power_w: power[idx],
                standard_error: errors[idx] / base.torque_n_m,
            })
            .collect();
        shares.sort_by(|a, b| b.gain.abs().total_cmp(&a.gain.abs()));
        shares
    }

    /// The share of each group and its standard error.
    fn split(&self, values: &[f64], n: usize) -> (Vec<f64>, Vec<f64>) {
        let Some(orders) = &self.orders else { return (exact_shares(values), vec![0.0; n]) };
        let known: BTreeMap<u128, f64> = self.sets.iter().copied().zip(values.iter().copied()).collect();
        let shares = orders.shares(&known).expect("every mixture of the orders was marched");
        shares.into_iter().map(|share| (share.share, share.standard_error)).unzip()
    }
}

/// How far below and above the band it is looked, of its ends; an eighth more revs is what somebody may still hold a gear for
/// (common practice, no source).
const BELOW: f64 = 0.75;
const ABOVE: f64 = 1.12;

/// Both engines below and above the band, to be marched.
struct Beside {
    /// Speeds of the band.
    n_inner: usize,
    march: March,
}

impl Beside {
    fn of(nominal: &[Model; 2], band: &BandSpeeds, fidelity: Fidelity) -> Self {
        let [from, to] = band.ends();
        let (below, above) = (spread(BELOW * from, from, 3), spread(to, ABOVE * to, 3));
        let speeds: Vec<f64> = below[..2].iter().chain(&above[1..]).copied().collect();
        let march = March::of(Doing::Beside, nominal, &speeds, fidelity);
        Self { n_inner: band.speeds_rpm.len(), march }
    }

    /// Means beside the band, and every point of both engines in rising speed.
    fn around(
        &self,
        in_band: &[Vec<SpeedPoint>],
        progress: &Progress<'_>,
    ) -> Result<(Vec<Outside>, [Vec<SpeedPoint>; 2]), PayoffError> {
        let marched = self.march.run(progress)?;
        let all: Vec<Vec<SpeedPoint>> = marched
            .iter()
            .zip(in_band)
            .map(|(outer, inner)| [&outer[..2], &inner[..], &outer[2..]].concat())
            .collect();
        let n = self.n_inner;
        let outside = [(false, 0..3), (true, n + 1..n + 4)].into_iter().filter_map(|(above, range)| {
            let parts: Vec<Vec<SpeedPoint>> = all.iter().map(|pull| pull[range.clone()].to_vec()).collect();
            let sound = sound_for_all(&parts);
            let [base, candidate] = [0, 1].map(|idx| means(&parts[idx], &sound, &Weights::default()));
            let rpm = [parts[0][0].rpm, parts[0][2].rpm];
            Some(Outside { above, rpm, means: [base?, candidate?] })
        });
        let outside = outside.collect();
        let mut all = all.into_iter();
        let points = [all.next().unwrap_or_default(), all.next().unwrap_or_default()];
        Ok((outside, points))
    }
}

/// The grid that the one of a payoff is held against.
fn other_grid(fidelity: Fidelity) -> Fidelity {
    match fidelity {
        Fidelity::Screen | Fidelity::Fine => Fidelity::Normal,
        Fidelity::Normal => Fidelity::Screen,
    }
}

/// How far the gain may be off for the grid it was marched on, from the gain on another one.
///
/// With cells h and r h long and an error that goes with the cell, D = f(rh) - f(h) makes the error of the finer D / (r - 1) and
/// that of the coarser D r / (r - 1) (Richardson; Roache (1998), Verification and Validation in Computational Science and
/// Engineering, ch. 5, from memory). The scheme is of second order where gas flows smoothly, so first order overstates it there.
fn grid_error(
    on_other: &[Vec<SpeedPoint>],
    band: &BandSpeeds,
    [fidelity, other]: [Fidelity; 2],
    gain_here: f64,
) -> f64 {
    let Some(there) = all_means(on_other, band) else { return 0.0 };
    let apart = (gain(&[there[0], there[1]]) - gain_here).abs();
    let [here_m, there_m] = [fidelity, other].map(|one| settings(one).intake_cell_m);
    apart * here_m / (here_m - there_m).abs()
}
