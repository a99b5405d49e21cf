//! How far each adjustment may still go, either way, before the first limit; which limit that is, and which
//! the second would be. Leaves out tolerances: everything at its nominal reading.

use motion::{SpringLoad, effective_mass, lift_off_speed};
use parts::limit::{Check, Limits, usual_lift_off_margin};
use parts::{Build, Cylinder, Duty, Use};
use units::AngularVelocity;

use crate::fallback_side_effect::gaps_m;
use crate::motions::Motions;
use crate::moving::Moving;
use crate::running_quench::growth_at;
use crate::slack_change::Adjustment;
use crate::slack_search::{Limited, Margin, Way, follow};
use crate::spring_room::room;

/// How far one adjustment may go.
#[derive(Clone, Debug, PartialEq)]
pub struct Slack {
    /// Which.
    pub adjustment: Adjustment,
    /// The way its name says; stops are amounts in SI.
    pub more: Way,
    /// The other way.
    pub less: Way,
    /// How far it was looked at each way, in SI.
    pub most_si: f64,
}

/// How fast the engine may turn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RevSlack {
    /// Whose train comes apart first.
    pub duty: Duty,
    /// The speed at which it does: where the springs no longer hold it on the lobe.
    pub lift_off: AngularVelocity,
    /// The highest speed used, when the sheet says.
    pub rev_limit: Option<AngularVelocity>,
}

/// The slack of every adjustment the build knows enough for. Each is followed alone, all else staying as it
/// is, on all cylinders at once; the worst of them stops it.
pub fn slack(build: &Build) -> Vec<Slack> {
    let cylinders = distinct(build);
    Adjustment::all()
        .into_iter()
        .filter(|adjustment| {
            let of_cylinder = |(cylinder, motions): &(Cylinder, Motions)| {
                adjustment.apply(cylinder, motions, 0.0).is_some()
            };
            adjustment.apply_to_use(&build.used, 0.0).is_some() && cylinders.iter().all(of_cylinder)
        })
        .map(|adjustment| {
            let toward = |sign: f64| {
                follow(adjustment.most_si(), adjustment.accuracy_si(), |by| {
                    margins_with(&cylinders, build, adjustment, sign * by)
                })
            };
            Slack { adjustment, more: toward(1.0), less: toward(-1.0), most_si: adjustment.most_si() }
        })
        .collect()
}

/// The speed at which the first valve train comes apart; `None` where no springs or masses are known.
pub fn rev_slack(build: &Build) -> Option<RevSlack> {
    let rev_limit = build.used.rev_limit.map(|speed| speed.value);
    let of = |(cylinder, motions): &(Cylinder, Motions), duty: Duty| {
        Some(RevSlack { duty, lift_off: lift_off(cylinder, motions, duty)?, rev_limit })
    };
    distinct(build)
        .iter()
        .flat_map(|known| [Duty::Intake, Duty::Exhaust].map(|duty| of(known, duty)))
        .flatten()
        .min_by(|a, b| a.lift_off.value.total_cmp(&b.lift_off.value))
}

/// The speed at which the springs no longer hold a train on its lobe; `None` where springs or masses are not known.
fn lift_off(cylinder: &Cylinder, motions: &Motions, duty: Duty) -> Option<AngularVelocity> {
    let gear = cylinder.gear.of(duty)?;
    let springs = gear.springs.as_ref()?;
    let load = SpringLoad::new(springs).ok()?;
    let mass = effective_mass(&gear.train, springs);
    Some(lift_off_speed(motions.of(duty).ok()?, &load, mass)?.0)
}

/// Everything over its limit with an adjustment made, the worst cylinder for each; `None` where it cannot be made.
pub fn margins_with(
    cylinders: &[(Cylinder, Motions)],
    build: &Build,
    adjustment: Adjustment,
    by: f64,
) -> Option<Vec<Margin>> {
    let used = adjustment.apply_to_use(&build.used, by)?;
    let mut worst: Vec<Margin> = Vec::new();
    for (cylinder, motions) in cylinders {
        let (cylinder, motions) = adjustment.apply(cylinder, motions, by)?;
        let gaps = margins(&cylinder, &motions, &build.limits);
        for margin in gaps.into_iter().chain(margins_at_speed(&cylinder, &motions, &used)) {
            match worst.iter_mut().find(|known| known.of == margin.of && known.valve == margin.valve) {
                Some(known) if margin.over_limit_si < known.over_limit_si => *known = margin,
                Some(_) => {}
                None => worst.push(margin),
            }
        }
    }
    Some(worst)
}

/// Every gap of one cylinder over its limit.
pub fn margins(cylinder: &Cylinder, motions: &Motions, limits: &Limits) -> Vec<Margin> {
    let over = |check: Check, valve: Option<String>, gap_m: f64| Margin {
        of: Limited::Gap(check),
        valve,
        over_limit_si: gap_m - limits.of(check).least.value,
    };
    let mut all: Vec<Margin> =
        gaps_m(cylinder).into_iter().map(|(check, valve, gap_m)| over(check, valve, gap_m)).collect();
    if let Ok(moving) = Moving::new(cylinder, motions) {
        all.extend(moving.gaps().map(|(check, valve, gap)| over(check, valve.map(str::to_owned), gap.value)));
    }
    for valve in &cylinder.head.valves {
        for check in [Check::RetainerToSeal, Check::CoilBind, Check::RockerSlot, Check::PushrodHole] {
            if let Some(room) = room(check, cylinder, valve) {
                all.push(over(check, Some(valve.name.clone()), room.gap.value));
            }
        }
    }
    all
}

/// What speed asks of one cylinder, where the highest speed used is known: trains that stay on their lobes to a margin
/// above it, and a piston that running does not bring to the head.
pub(crate) fn margins_at_speed(cylinder: &Cylinder, motions: &Motions, used: &Use) -> Vec<Margin> {
    let Some(speed) = used.rev_limit.map(|speed| speed.value) else { return Vec::new() };
    let margin = used.lift_off_margin.map_or_else(usual_lift_off_margin, |margin| margin.value);
    let held = |duty: Duty| {
        let over = lift_off(cylinder, motions, duty)? - speed - margin;
        Some(Margin { of: Limited::TrainHeld(duty), valve: None, over_limit_si: over.value })
    };
    let mut all: Vec<Margin> = [Duty::Intake, Duty::Exhaust].into_iter().filter_map(held).collect();
    let leaves = volume::quench(cylinder) - growth_at(cylinder, speed).total();
    all.push(Margin { of: Limited::QuenchAtSpeed, valve: None, over_limit_si: leaves.value });
    all
}

/// Cylinders that differ by more than their number, each with its motions; a lobe is fitted once.
pub fn distinct(build: &Build) -> Vec<(Cylinder, Motions)> {
    let mut found: Vec<(Cylinder, Motions)> = Vec::new();
    for cylinder in &build.cylinders {
        let same = |other: &Cylinder| Cylinder { number: cylinder.number, ..other.clone() } == *cylinder;
        if found.iter().any(|(known, _)| same(known)) {
            continue;
        }
        let fitted = found.iter().find(|(known, _)| known.gear == cylinder.gear);
        let motions = fitted.map_or_else(|| Motions::new(&cylinder.gear), |(_, motions)| motions.clone());
        found.push((cylinder.clone(), motions));
    }
    found
}
