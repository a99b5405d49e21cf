//! The ways around a cut: one change or two at a time, each solved for the value that would just do, cheapest first.
//! Leaves out the cut itself.

use fit::Scene;
use parts::limit::Check;
use parts::{Build, Duty};
use units::Length;
use units::length::meter;

use crate::clearance::Clearance;
use crate::fallback_change::Change;
use crate::fallback_price::{Price, price};
use crate::fallback_side_effect::{newly_short, newly_short_moving};
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
    /// By how much, in metres, radians or as a bare number; always positive, in the sense of the change's name.
    pub by_si: f64,
    /// The reading it leads to on the worst cylinder, in SI; `None` where only the difference says anything.
    pub to_si: Option<f64>,
}

/// Changes that go together without one undoing the other, and that a shop would do at once.
const PAIRS: [[Change; 2]; 11] = [
    [Change::LessLift, Change::ThickerGasket],
    [Change::SmallerValve, Change::HeadShift],
    [Change::SmallerValve, Change::LessLift],
    [Change::SmallerValve, Change::ThickerGasket],
    [Change::DeeperSeat, Change::LessLift],
    [Change::LessRatio, Change::ThickerGasket],
    [Change::SmallerValve, Change::LessRatio],
    [Change::DeeperSeat, Change::LessRatio],
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
    // When a valve opens is nothing to block and gasket.
    let singles = Change::ALL
        .into_iter()
        .filter(|change| (for_gasket || *change != Change::WiderOpening) && !change.is_crank_angle());
    let mut found: Vec<Fallback> = singles.filter_map(|change| tried(&[change])).collect();
    found.extend(PAIRS.iter().filter_map(|pair| tried(pair)));
    cheapest_first(found)
}

/// Changes that give a valve room over the piston, alone and together: what lifts the head or sinks the valve, and what makes
/// it follow the piston less closely. A lobe is turned away from the top, or toward it, which
/// helps where the valve is nearest on the far side of its nose.
fn ways_to_piston(duty: Duty) -> Vec<Vec<Change>> {
    let (away, toward) = match duty {
        Duty::Intake => (Change::LaterLobe, Change::EarlierLobe),
        Duty::Exhaust => (Change::EarlierLobe, Change::LaterLobe),
    };
    use Change::{DeeperSeat, LessLift, LessRatio, ThickerGasket};
    [
        &[ThickerGasket][..],
        &[DeeperSeat],
        &[LessLift],
        &[LessRatio],
        &[away],
        &[toward],
        &[DeeperSeat, ThickerGasket],
        &[LessLift, ThickerGasket],
        &[LessRatio, ThickerGasket],
        &[away, ThickerGasket],
        &[away, LessLift],
        &[away, LessRatio],
    ]
    .map(<[Change]>::to_vec)
    .to_vec()
}

/// The same as [`fallbacks`] for a valve's gap to the piston on its worst cylinder. Side effects on everything that moves are
/// looked at too.
pub fn fallbacks_to_piston(build: &Build, question: &Question, motions: &Motions) -> Vec<Fallback> {
    let mut few = build.clone();
    few.cylinders.retain(|cylinder| cylinder.number == question.cylinder);
    let Some(duty) = few.cylinders.first().and_then(|cylinder| Some(cylinder.valve(&question.valve)?.duty))
    else {
        return Vec::new();
    };
    let limit = build.limits.of(question.check).least;
    let moving = |changed: &Build| {
        let cylinder = changed.cylinders.first()?;
        let is_as_it_was = few.cylinders.first().is_some_and(|before| before.gear == cylinder.gear);
        let motions = if is_as_it_was { motions } else { &motions.refitted(duty, &cylinder.gear) };
        Moving::new(cylinder, motions).ok()
    };
    let gap = |changed: &Build| gap_of(&moving(changed)?, question.check, &question.valve);
    let before = moving(&few);
    let tried = |changes: Vec<Change>| {
        let mut found = solve(&few, question, &changes, [0.0; 2], limit, &gap)?;
        if let (Some(before), Some(after)) = (&before, moving(&changed_by(&few, question, &found.changes))) {
            found.newly_short.extend(newly_short_moving(build, before, &after));
        }
        Some(found)
    };
    cheapest_first(ways_to_piston(duty).into_iter().filter_map(tried).collect())
}

/// The build with changes made as far as they were solved for; `inward` of none of them is asked.
fn changed_by(build: &Build, question: &Question, changes: &[Changed]) -> Build {
    let mut changed = build.clone();
    for one in changes {
        for cylinder in &mut changed.cylinders {
            one.change.apply(cylinder, &question.valve, one.by_si, [0.0; 2]);
        }
    }
    changed
}

/// Changes with which a cut is survived that is not survived alone: single ones, solved for the value that would just do.
/// `spare` is the least that is left over any limit on any cylinder.
pub fn with_the_cut(
    build: &Build,
    question: &Question,
    spare: &dyn Fn(&Build) -> Option<Length>,
) -> Vec<Fallback> {
    let few = distinct(build);
    let inward = inward(&few, question);
    let none = Length::default();
    let tried = |change: Change| solve(&few, question, &[change], inward, none, spare);
    let changes = [
        Change::LessLift,
        Change::LessRatio,
        Change::ThickerGasket,
        Change::DeeperSeat,
        Change::SmallerValve,
    ];
    let shifted = [Change::HeadShift, Change::WiderOpening];
    // Where the valve comes to need no cut at all the cut's margins jump, and the change is a way without a cut.
    let on_limit = |fallback: &Fallback| fallback.gap.value.abs() < ON_LIMIT_M;
    cheapest_first(changes.into_iter().chain(shifted).filter_map(tried).filter(on_limit).collect())
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

/// A gap this near its limit is on it, in metres: a tenth of a micrometre.
const GAP_ACCURACY_M: f64 = 1e-7;

/// What is farther than this from zero did not end on a limit, in metres.
const ON_LIMIT_M: f64 = 5e-6;

/// Shares are found to this at the least: a fraction of a micrometre in the longest range.
const SHARE_ACCURACY: f64 = 1e-7;

/// The least share of the changes' ranges that brings the gap to its limit; `None` when no share does.
///
/// Found between the last look that is short and the first that is enough; the gap goes evenly with every change.
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
    // No gap is as short as can be.
    let over = |share: f64| gap(&at(share)).map_or(-1.0, |gap| (gap - limit).value);
    let mut short = (0.0, over(0.0));
    let n_looks = if changes.iter().any(|change| change.may_do_harm_farther_on()) { N_LOOKS } else { 1 };
    let mut looks = (1..=n_looks).map(|look| f64::from(look) / f64::from(n_looks)).map(|s| (s, over(s)));
    let enough = loop {
        match looks.next()? {
            look if look.1 >= 0.0 => break look,
            look => short = look,
        }
    };
    let enough = crossing(over, short, enough);
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

/// The share between a short one and one that is enough where the gap is on its limit: regula falsi with the Illinois
/// weights (Dowell and Jarratt 1971, BIT 11, 168-174), by halves where it crawls.
fn crossing(over: impl Fn(f64) -> f64, mut short: (f64, f64), mut enough: (f64, f64)) -> f64 {
    let mut n_kept = [0_u32; 2];
    while enough.0 - short.0 > SHARE_ACCURACY {
        let part = short.1 / (short.1 - enough.1);
        let crawls = n_kept.iter().any(|n| *n > 2);
        let middle = if crawls { 0.5 } else { part.clamp(0.0, 1.0) } * (enough.0 - short.0) + short.0;
        let value = over(middle);
        if value.abs() <= GAP_ACCURACY_M {
            return middle;
        }
        if value < 0.0 {
            short = (middle, value);
            n_kept = [0, n_kept[1] + 1];
            enough.1 *= if n_kept[1] > 1 { 0.5 } else { 1.0 };
        } else {
            enough = (middle, value);
            n_kept = [n_kept[0] + 1, 0];
            short.1 *= if n_kept[0] > 1 { 0.5 } else { 1.0 };
        }
    }
    enough.0
}
