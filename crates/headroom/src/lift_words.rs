//! Cam and springs in words: the answer first, then lift and events.

use motion::events::Events;
use parts::Duty;
use units::angular_velocity::revolution_per_minute;
use units::length::{inch, millimeter};
use units::pressure::{megapascal, psi};
use units::{AngularVelocity, CrankAngle, Length, Pressure, UnitSystem, show};

use crate::Status;
use crate::lift::{DutyLift, Level, LiftAnswer, duty_word};

/// What goes with every answer about cam and springs.
pub const CAUTION: &str = "Calculated from entered readings for a train that does not bend: real ones loft some hundred \
                           rpm earlier. Degree the cam and verify lift, coil bind and retainer clearance on the \
                           assembled engine with checking springs. Springs under load hurt people.";

/// What stands in the way, in one sentence; then lift and overlap.
pub fn verdict(answer: &LiftAnswer, system: UnitSystem) -> Vec<String> {
    let mut sentences = Vec::new();
    sentences.extend(
        answer
            .refused
            .iter()
            .map(|(duty, why)| format!("The {} lobe cannot be used: {why}.", duty_word(*duty))),
    );
    if answer.duties.is_empty() && answer.refused.is_empty() {
        sentences.push(
            "How the valves move is not known: no lobe is described. [cam.intake] and [cam.exhaust] want lobe_lift, \
             a duration and a centreline, or a table of lifts, and [train] a follower and a ratio."
                .to_owned(),
        );
        return sentences;
    }
    sentences.extend(standing(answer));
    sentences.extend(lifts(answer, system));
    for duty in &answer.unknown {
        sentences.push(format!("The {} lobe is not described.", duty_word(*duty)));
    }
    sentences
}

/// Whether it works.
fn standing(answer: &LiftAnswer) -> Option<String> {
    let list = |status: Status| -> Vec<&str> {
        let these = answer.troubles.iter().filter(|trouble| trouble.status == status);
        these.map(|trouble| trouble.text.as_str()).collect()
    };
    let (stop, tight) = (list(Status::Hits), list(Status::Tight));
    if answer.duties.is_empty() {
        return None;
    }
    Some(if !stop.is_empty() {
        format!("It does not work: {}.", stop.join("; "))
    } else if !tight.is_empty() {
        format!("It works, but {}.", tight.join("; "))
    } else {
        match (answer.revs, first_lift_off(answer)) {
            (Some(revs), Some(_)) => format!("Cam and springs work up to {}.", rpm(revs)),
            (None, Some((duty, speed))) => format!(
                "Cam and springs work; the {} train comes apart first, at {}.",
                duty_word(duty),
                rpm(speed)
            ),
            (_, None) => {
                "Nothing about the lobes stands in the way; without spring loads nothing can be said about speed."
                    .to_owned()
            }
        }
    })
}

/// The duty whose train comes apart first.
pub fn first_lift_off(answer: &LiftAnswer) -> Option<(Duty, AngularVelocity)> {
    let speeds = answer.duties.iter().filter_map(|one| match &one.springs {
        Some(Ok(springs)) => springs.lift_off.map(|(speed, _)| (one.duty, speed)),
        _ => None,
    });
    speeds.min_by(|a, b| a.1.value.total_cmp(&b.1.value))
}

fn lifts(answer: &LiftAnswer, system: UnitSystem) -> Option<String> {
    let each: Vec<String> = answer
        .duties
        .iter()
        .map(|one| {
            let at = format!("{} {}", degrees(one.centreline), side(one.duty));
            format!("{} lifts {} at {at}", duty_word(one.duty), show(one.greatest, system))
        })
        .collect();
    let together = answer.together.as_ref().map_or(String::new(), |together| {
        let overlap = together.overlap.iter().find(|(level, _)| *level == Level::FiftyThou);
        let overlap = overlap.map_or(String::new(), |(level, angle)| {
            format!(", overlap {} at {}", degrees(*angle), level.words())
        });
        format!("; separation {}{overlap}", degrees(together.separation))
    });
    let sentence = format!("{}{together}.", each.join(", "));
    let mut chars = sentence.chars();
    chars.next().map(|first| first.to_uppercase().chain(chars).collect())
}

/// Which side of top dead centre a centreline is counted on.
pub fn side(duty: Duty) -> &'static str {
    match duty {
        Duty::Intake => "after top dead centre",
        Duty::Exhaust => "before top dead centre",
    }
}

/// An angle as a degree wheel shows it: `108.0°`.
pub fn degrees(angle: CrankAngle) -> String {
    let text = format!("{:.1}°", angle.degrees());
    if text == "-0.0°" { "0.0°".to_owned() } else { text }
}

/// An engine speed to the next ten: `6840 rpm`.
pub fn rpm(speed: AngularVelocity) -> String {
    format!("{} rpm", tens(speed.get::<revolution_per_minute>()))
}

/// A number to the next ten.
pub fn tens(number: f64) -> String {
    format!("{:.0}", (number / 10.0).round() * 10.0)
}

/// Opening and closing as cards say them: `6.0 before top, 38.0 after bottom`.
pub fn events(events: &Events, duty: Duty) -> [String; 2] {
    let [opens, closes] = [events.opens_before_dead_centre(duty), events.closes_after_dead_centre(duty)]
        .map(CrankAngle::degrees);
    let [opens_at, closes_at] = match duty {
        Duty::Intake => ["top", "bottom"],
        Duty::Exhaust => ["bottom", "top"],
    };
    let opening = if opens < 0.0 { "after" } else { "before" };
    let closing = if closes < 0.0 { "before" } else { "after" };
    [
        format!("{:.1}° {opening} {opens_at}", opens.abs()),
        format!("{:.1}° {closing} {closes_at}", closes.abs()),
    ]
}

/// Area under a lift curve in the units of the answer.
pub fn area(one: &DutyLift, system: UnitSystem) -> Option<String> {
    let area = one.area?;
    Some(match system {
        UnitSystem::Metric => format!("{:.0} mm deg", area.millimetre_degrees()),
        UnitSystem::Inch => format!("{:.2} in deg", area.inch_degrees()),
    })
}

/// What the sheet states against what the curve gives, where they differ by more than their tolerances.
pub fn disagreement(one: &DutyLift, system: UnitSystem) -> Option<String> {
    let off = (one.stated.value - one.greatest).abs();
    let tolerance = one.stated.tolerance.get::<millimeter>().hypot(one.full.tolerance.get::<millimeter>());
    (off.get::<millimeter>() > tolerance).then(|| {
        format!(
            "{}: the sheet states a lift of {}, lobe, ratio and lash give {}",
            duty_word(one.duty),
            show(one.stated.value, system),
            show(one.greatest, system)
        )
    })
}

/// A contact pressure: `781 MPa`, `113 ksi`.
pub fn stress(pressure: Pressure, system: UnitSystem) -> String {
    match system {
        UnitSystem::Metric => format!("{:.0} MPa", pressure.get::<megapascal>()),
        UnitSystem::Inch => format!("{:.0} ksi", pressure.get::<psi>() / 1000.0),
    }
}

/// Lift gained in one cam degree, finer than lengths are shown elsewhere.
pub fn per_degree(gained: Length, system: UnitSystem) -> String {
    match system {
        UnitSystem::Metric => format!("{:.4} mm", gained.get::<millimeter>()),
        UnitSystem::Inch => format!("{:.5} in", gained.get::<inch>()),
    }
}
