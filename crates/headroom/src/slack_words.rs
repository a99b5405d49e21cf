//! Slack in words: which adjustment, how far, and what stops it.

use parts::Duty;
use parts::limit::Check;
use units::angular_velocity::{radian_per_second, revolution_per_minute};
use units::length::meter;
use units::{AngularVelocity, CrankAngle, Length, UnitSystem, show};

use crate::finding::Finding;
use crate::slack::{RevSlack, Slack};
use crate::slack_change::{Adjustment, Kind};
use crate::slack_search::{Limited, Stop, Way};
use crate::words;

/// What an adjustment does when it goes its own way, and when it goes the other: `intake lift`, `more`, `less`.
pub fn adjustment(adjustment: Adjustment) -> (String, [&'static str; 2]) {
    let of = |duty: Duty, what: &str| match duty {
        Duty::Intake => format!("intake {what}"),
        Duty::Exhaust => format!("exhaust {what}"),
    };
    match adjustment {
        Adjustment::Lift(duty) => (of(duty, "valve lift"), ["more", "less"]),
        Adjustment::Ratio(duty) => (of(duty, "rocker ratio"), ["more", "less"]),
        Adjustment::Advance(duty) => (of(duty, "cam timing"), ["advance", "retard"]),
        Adjustment::AdvanceCam => ("cam timing, both lobes".to_owned(), ["advance", "retard"]),
        Adjustment::Duration(duty) => (of(duty, "duration"), ["longer", "shorter"]),
        Adjustment::Skim => ("head face".to_owned(), ["skim", "spacer"]),
        Adjustment::Deck => ("block deck".to_owned(), ["skim", "spacer"]),
        Adjustment::GasketThickness => ("gasket".to_owned(), ["thicker", "thinner"]),
        Adjustment::ValveDiameter(duty) => (of(duty, "valve diameter"), ["larger", "smaller"]),
        Adjustment::Margin(duty) => (of(duty, "valve margin"), ["thicker", "thinner"]),
        Adjustment::HeadShiftX => ("head along the crank".to_owned(), ["to the front", "to the rear"]),
        Adjustment::HeadShiftY => ("head across the engine".to_owned(), ["to the left", "to the right"]),
        Adjustment::Revs => ("highest speed used".to_owned(), ["more", "less"]),
    }
}

/// An amount of an adjustment.
pub fn amount(adjustment: Adjustment, si: f64, system: UnitSystem) -> String {
    match adjustment.kind() {
        Kind::Length => show(Length::new::<meter>(si), system),
        Kind::CrankAngle => format!("{:.1}°", CrankAngle::from_radians(si).degrees()),
        Kind::Ratio => format!("{si:.3}"),
        Kind::Speed => {
            let rpm = AngularVelocity::new::<radian_per_second>(si).get::<revolution_per_minute>();
            format!("{rpm:.0} rpm")
        }
    }
}

/// What stops an adjustment.
pub fn stop(stop: &Stop) -> String {
    subject(stop.of, stop.valve.as_deref())
}

fn subject(of: Limited, valve: Option<&str>) -> String {
    let check = match of {
        Limited::Gap(check) => check,
        Limited::TrainHeld(Duty::Intake) => return "intake train to lift-off".to_owned(),
        Limited::TrainHeld(Duty::Exhaust) => return "exhaust train to lift-off".to_owned(),
        Limited::QuenchAtSpeed => return "piston to head at speed".to_owned(),
    };
    if check == Check::ValveToValve && valve.is_none() {
        return "valve to valve".to_owned();
    }
    let valves = valve.map(|name| name.split('/').map(str::to_owned).collect::<Vec<String>>());
    let mut names = valves.unwrap_or_default().into_iter();
    let (valve, other) = (names.next(), names.next());
    let limit = check.usual();
    let finding = Finding { other_valve: other, ..Finding::unmeasured(check, valve, limit, "") };
    words::subject(&finding)
}

/// `0.31 mm, then intake valve to piston`.
pub fn way(of: Adjustment, way: &Way, most_si: f64, system: UnitSystem) -> String {
    if let Some((of_what, valve)) = way.short_already.first()
        && way.first.is_none()
    {
        return format!("{} is under its limit already", subject(*of_what, valve.as_deref()));
    }
    match &way.first {
        None => format!("no limit within {}", amount(of, most_si, system)),
        Some(first) => format!("{}, then {}", amount(of, first.at_si, system), stop(first)),
    }
}

/// The verdict: what runs out first, and the revs.
pub fn verdict(slacks: &[Slack], revs: Option<&RevSlack>, system: UnitSystem) -> Vec<String> {
    let mut sentences = Vec::new();
    let mut stops: Vec<(&Slack, bool, &Stop)> = Vec::new();
    for slack in slacks {
        stops.extend(slack.more.first.iter().map(|stop| (slack, true, stop)));
        stops.extend(slack.less.first.iter().map(|stop| (slack, false, stop)));
    }
    stops.sort_by(|a, b| (a.2.at_si / a.0.most_si).total_cmp(&(b.2.at_si / b.0.most_si)));
    let already = slacks.iter().find_map(|slack| slack.more.short_already.first());
    if let Some((check, valve)) = already {
        let what = subject(*check, valve.as_deref());
        sentences.push(format!("There is no slack as it stands: {what} is under its limit already."));
    }
    match stops.first() {
        Some((slack, more, first)) => {
            let (name, ways) = adjustment(slack.adjustment);
            let by = amount(slack.adjustment, first.at_si, system);
            let way = ways[usize::from(!more)];
            sentences.push(format!(
                "The least slack is in {name}: {by} {way}, then {} is at its limit.",
                stop(first)
            ));
        }
        None => sentences.push("No adjustment within reason meets a limit.".to_owned()),
    }
    if let Some(revs) = revs {
        let duty = match revs.duty {
            Duty::Intake => "intake",
            Duty::Exhaust => "exhaust",
        };
        let at = revs.lift_off.get::<revolution_per_minute>();
        let left = revs.rev_limit.map_or(String::new(), |limit| {
            let left = at - limit.get::<revolution_per_minute>();
            if left >= 0.0 {
                format!(", {left:.0} over the highest speed used")
            } else {
                format!(", {:.0} under the highest speed used", -left)
            }
        });
        sentences.push(format!("The {duty} train comes apart at {at:.0} rpm{left}."));
    }
    sentences
}
