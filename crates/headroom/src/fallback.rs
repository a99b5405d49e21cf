//! The ways around a cut: one change or two at a time, each solved for the value that would just do, cheapest first.
//! Leaves out the cut itself.

use fit::Scene;
use parts::Build;
use parts::limit::Check;
use units::Length;
use units::length::meter;

use crate::clearance::Clearance;
use crate::fallback_change::Change;
use crate::fallback_price::{Price, price};
use crate::fallback_side_effect::newly_short;
use crate::motions::Motions;
use crate::moving::Moving;
use crate::relief_fly_cut::gap_of;

/// The gap that is to reach its limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// Which check.
    pub check: Check,
    /// Of which valve.
    pub valve: String,
    /// The cylinder where it comes out worst.
    pub cylinder: usize,
}

/// Changes that would just do, all else staying as it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Fallback {
    /// One, or two that go the same share of their reasonable range.
    pub changes: Vec<Changed>,
    /// The gap of the changed build, computed anew; on the limit. With a cut: what is left over the limit that kills it.
    pub gap: Length,
    /// What it costs.
    pub price: Price,
    /// Other checks that are then newly under their limits.
    pub newly_short: Vec<(Check, Option<String>)>,
}

/// One change and how far it goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Changed {
    /// What changes.
    pub change: Change,
    /// By how much, in metres or radians; always positive, in the sense of the change's name.
    pub by_si: f64,
    /// The reading it leads to on the worst cylinder, in SI; `None` where only the difference says anything.
    pub to_si: Option<f64>,
}

/// Changes that go together without one undoing the other, and that a shop would do at once.
const PAIRS: [[Change; 2]; 8] = [
    [Change::LessLift, Change::ThickerGasket],
    [Change::SmallerValve, Change::HeadShift],
    [Change::SmallerValve, Change::LessLift],
    [Change::SmallerValve, Change::ThickerGasket],
    [Change::DeeperSeat, Change::LessLift],
    [Change::DeeperSeat, Change::ThickerGasket],
    [Change::HeadShift, Change::ThickerGasket],
    [Change::Overbore, Change::HeadShift],
];

/// Everything that brings a valve's gap to block or gasket to its limit on every cylinder; empty when nothing sensible
/// does it.
pub fn fallbacks(build: &Build, question: &Question) -> Vec<Fallback> {
    let few = &distinct(build);
    let limit = build.limits.of(question.check).least;
    let gap = |changed: &Build| least_gap(changed, question);
    let inward = inward(build, question);
    let tried = |changes: &[Change]| solve(few, question, changes, inward, limit, &gap);
    let for_gasket = question.check == Check::ValveToGasket;
    let singles = Change::ALL.into_iter().filter(|change| for_gasket || *change != Change::WiderOpening);
    let mut found: Vec<Fallback> = singles.filter_map(|change| tried(&[change])).collect();
    found.extend(PAIRS.iter().filter_map(|pair| tried(pair)));
    cheapest_first(found)
}

/// The same for a valve's gap to the piston on its worst cylinder: what lifts the head or sinks the valve. Less lift helps
/// only with the lobe that gives it, and is left to `check` with that lobe.
pub fn fallbacks_to_piston(build: &Build, question: &Question, motions: &Motions) -> Vec<Fallback> {
    let mut few = build.clone();
    few.cylinders.retain(|cylinder| cylinder.number == question.cylinder);
    let limit = build.limits.of(question.check).least;
    let gap = |changed: &Build| {
        let moving = Moving::new(changed.cylinders.first()?, motions).ok()?;
        gap_of(&moving, question.check, &question.valve)
    };
    let tried = |changes: &[Change]| solve(&few, question, changes, [0.0; 2], limit, &gap);
    let ways: [&[Change]; 3] =
        [&[Change::ThickerGasket], &[Change::DeeperSeat], &[Change::DeeperSeat, Change::ThickerGasket]];
    cheapest_first(ways.into_iter().filter_map(tried).collect())
}

/// Changes with which a cut is survived that is not survived alone: single ones, solved for the value that would just do.
/// `spare` is the least that is left over any limit, of a build with the worst cylinder alone.
pub fn with_the_cut(
    build: &Build,
    question: &Question,
    spare: &dyn Fn(&Build) -> Option<Length>,
) -> Vec<Fallback> {
    let mut few = build.clone();
    few.cylinders.retain(|cylinder| cylinder.number == question.cylinder);
    let inward = inward(&few, question);
    let none = Length::default();
    let tried = |change: Change| solve(&few, question, &[change], inward, none, spare);
    let changes = [Change::LessLift, Change::ThickerGasket, Change::DeeperSeat, Change::SmallerValve];
    let shifted = [Change::HeadShift, Change::WiderOpening];
    cheapest_first(changes.into_iter().chain(shifted).filter_map(tried).collect())
}

fn cheapest_first(mut found: Vec<Fallback>) -> Vec<Fallback> {
    let key = |fallback: &Fallback| (fallback.newly_short.len(), fallback.price.rank_percent);
    found.sort_by(|a, b| {
        let ((few_a, price_a), (few_b, price_b)) = (key(a), key(b));
        few_a.cmp(&few_b).then(price_a.total_cmp(&price_b))
    });
    found
}

/// The build with one of each set of cylinders that are the same but for their number.
fn distinct(build: &Build) -> Build {
    let mut few = build.clone();
    few.cylinders.clear();
    for cylinder in &build.cylinders {
        let same = |other: &parts::Cylinder| {
            parts::Cylinder { number: cylinder.number, ..other.clone() } == *cylinder
        };
        if !few.cylinders.iter().any(same) {
            few.cylinders.push(cylinder.clone());
        }
    }
    few
}

/// Least gap over the cylinders.
fn least_gap(build: &Build, question: &Question) -> Option<Length> {
    let gaps = build.cylinders.iter().filter_map(|cylinder| {
        Some(Clearance::new(question.check, cylinder, cylinder.valve(&question.valve)?)?.gap())
    });
    gaps.reduce(|a, b| if b < a { b } else { a })
}

/// Unit vector from the valve on its worst cylinder to the bore axis, which is the way a head would have to go.
fn inward(build: &Build, question: &Question) -> [f64; 2] {
    let cylinder = build.cylinders.iter().find(|cylinder| cylinder.number == question.cylinder);
    let scene = cylinder
        .and_then(|cylinder| cylinder.valve(&question.valve).map(|valve| Scene::new(cylinder, valve)));
    let center = scene.map_or([0.0; 2], |scene| scene.valve().seated.truncate().to_array());
    let length = center[0].hypot(center[1]);
    if length > 0.0 { center.map(|part| -part / length) } else { [0.0; 2] }
}

/// Shares of the range at which ways that may do harm farther on are looked at.
const N_LOOKS: u32 = 8;

/// Shares are found to this: a fraction of a micrometre in the longest range.
const SHARE_ACCURACY: f64 = 1e-6;

/// The least share of the changes' ranges that brings the gap to its limit; `None` when no share does.
///
/// By halving between a share that is short and the first look that is enough; the gap goes evenly with every change.
fn solve(
    build: &Build,
    question: &Question,
    changes: &[Change],
    inward: [f64; 2],
    limit: Length,
    gap: &dyn Fn(&Build) -> Option<Length>,
) -> Option<Fallback> {
    let most: Vec<f64> = changes.iter().map(|change| change.most_si(build, &question.valve)).collect();
    let at = |share: f64| {
        let mut changed = build.clone();
        for (change, most) in changes.iter().zip(&most) {
            for cylinder in &mut changed.cylinders {
                change.apply(cylinder, &question.valve, share * most, inward);
            }
        }
        changed
    };
    if most.iter().any(|most| *most <= 0.0) {
        return None;
    }
    let enough_at = |share: f64| gap(&at(share)).is_some_and(|gap| gap >= limit);
    let mut enough =
        (1..=N_LOOKS).map(|look| f64::from(look) / f64::from(N_LOOKS)).find(|s| enough_at(*s))?;
    let mut short = enough - 1.0 / f64::from(N_LOOKS);
    while enough - short > SHARE_ACCURACY {
        let middle = 0.5 * (short + enough);
        if enough_at(middle) { enough = middle } else { short = middle }
    }
    let changed = at(enough);
    let worst = |build: &Build| build.cylinders.iter().position(|known| known.number == question.cylinder);
    let idx = worst(build).unwrap_or(0);
    let (before, after) = (&build.cylinders[idx], &changed.cylinders[idx]);
    let (valve_before, valve_after) = (before.valve(&question.valve)?, after.valve(&question.valve)?);
    Some(Fallback {
        changes: changes
            .iter()
            .zip(&most)
            .map(|(change, most)| Changed {
                change: *change,
                by_si: enough * most,
                to_si: change.reading_si(after, valve_after),
            })
            .collect(),
        gap: gap(&changed).unwrap_or(Length::new::<meter>(f64::NAN)),
        price: price([before, after], [valve_before, valve_after], changes),
        newly_short: newly_short(build, &changed),
    })
}
