//! Findings in words, for somebody with oily hands who must decide now: first the answer, then the reason, then the
//! number, then what to do.

use parts::Duty;
use parts::limit::Check;
use units::{CrankAngle, Length, UnitSystem, show, show_with_tolerance};

use crate::check::CheckAnswer;
use crate::contact::Explained;
use crate::finding::{Cure, Finding, Seen, Status};
use crate::place::{PlaceSeen, Surface};
use crate::running_quench::RunningQuench;

/// What a check is about, as the head of a line: `exhaust valve to block`.
pub fn subject(finding: &Finding) -> String {
    let valve = finding.valve.as_deref().map(valve_name).unwrap_or_default();
    let other = finding.other_valve.as_deref().map(valve_name).unwrap_or_default();
    match finding.check {
        Check::ValveToBlock => format!("{valve} to block"),
        Check::ValveToGasket => format!("{valve} to gasket"),
        Check::ValveToChamber => format!("{valve} to chamber wall"),
        Check::GasketOverBore => "gasket opening over bore".to_owned(),
        Check::GasketOverChamber => "gasket opening over chamber".to_owned(),
        Check::IntakeToPiston | Check::ExhaustToPiston => format!("{valve} to piston"),
        Check::PocketRadial => format!("{valve} to pocket wall"),
        Check::ValveToValve => format!("{valve} to {other}"),
        Check::PistonToHead => "piston to head".to_owned(),
        Check::PistonEdge => "piston edge to chamber".to_owned(),
        Check::RetainerToSeal => format!("retainer to seal, {valve}"),
        Check::CoilBind => format!("room to coil bind, {valve}"),
        Check::RockerSlot => format!("rocker slot to stud, {valve}"),
        Check::PushrodHole => format!("pushrod to its hole, {valve}"),
    }
}

/// `exhaust valve`, `front intake valve`: the sheet's name as people say it.
pub fn valve_name(name: &str) -> String {
    let words = name.replace('_', " ");
    if words.contains("valve") { words } else { format!("{words} valve") }
}

/// `cylinder 3`, `cylinders 1, 3 and 5`, `every cylinder`.
pub fn cylinders(numbers: &[usize], n_all: usize) -> String {
    match numbers {
        _ if numbers.len() == n_all && n_all > 1 => "every cylinder".to_owned(),
        [] => "no cylinder".to_owned(),
        [one] => format!("cylinder {one}"),
        [first @ .., last] => {
            let list: Vec<String> = first.iter().map(usize::to_string).collect();
            format!("cylinders {} and {last}", list.join(", "))
        }
    }
}

/// `8 o'clock (243°), 3.1 mm below the deck`.
pub fn place(place: &PlaceSeen, system: UnitSystem) -> String {
    let round = format!("{} o'clock ({:.0}° clockwise from the front)", place.clock(), place.clockwise_deg);
    let height = Length::new::<units::length::meter>(place.height_m.abs());
    match place.on {
        Surface::BoreWall => format!("{round}, {} below the deck", show(height, system)),
        Surface::Anywhere | Surface::HeadFace => String::new(),
        _ => round,
    }
}

/// `1 in 20`, `certain`: a chance from 0 to 1.
pub fn chance(chance: f64) -> String {
    if chance < 0.001 {
        "under 0.1 %".to_owned()
    } else if chance < 0.01 {
        format!("{:.1} %", chance * 100.0)
    } else if chance < 0.995 {
        format!("{:.0} %", chance * 100.0)
    } else {
        "over 99 %".to_owned()
    }
}

/// The findings of an answer in two or three sentences; the first alone decides.
pub fn verdict(answer: &CheckAnswer, n_cylinders: usize, system: UnitSystem) -> Vec<String> {
    let mut sentences = Vec::new();
    let hits: Vec<&Finding> = answer.with_status(Status::Hits).collect();
    let tight: Vec<&Finding> = answer.with_status(Status::Tight).collect();
    match (hits.as_slice(), tight.as_slice()) {
        ([first, more @ ..], _) => {
            sentences.push(format!("It does not clear: {}.", told(first, n_cylinders, system)));
            if !more.is_empty() {
                sentences.push(format!("It also hits elsewhere: {}.", subjects(more)));
            }
            if !tight.is_empty() {
                sentences.push(format!("Tight on top of that: {}.", subjects(&tight)));
            }
        }
        ([], [first, more @ ..]) => {
            sentences.push(format!("It clears, but under its limit: {}.", told(first, n_cylinders, system)));
            if !more.is_empty() {
                sentences.push(format!("Tight as well: {}.", subjects(more)));
            }
        }
        ([], []) => {
            // A valve first, if one could be checked: that is what was asked.
            let about_valve = |finding: &&Finding| finding.valve.is_none();
            let closest = answer
                .with_status(Status::Clear)
                .min_by(|a, b| about_valve(a).cmp(&about_valve(b)).then(spare(a).total_cmp(&spare(b))));
            sentences.push(match closest {
                Some(finding) => format!("It clears: {}.", told(finding, n_cylinders, system)),
                None => "Nothing could be checked: every check lacks a reading.".to_owned(),
            });
        }
    }
    sentences.extend(doubts(answer));
    let missing: Vec<&Finding> = answer.with_status(Status::Unmeasured).collect();
    if !missing.is_empty() {
        sentences.push(format!("Not known for want of readings: {}.", subjects(&missing)));
    }
    sentences
}

fn spare(finding: &Finding) -> f64 {
    finding.gap().map_or(f64::INFINITY, |gap| (gap - finding.limit).value)
}

fn subjects(findings: &[&Finding]) -> String {
    let list: Vec<String> = findings.iter().map(|finding| subject(finding)).collect();
    list.join(", ")
}

/// A clear finding that tolerances put in doubt, and the reading to blame.
fn doubts(answer: &CheckAnswer) -> Option<String> {
    const DOUBTFUL: f64 = 0.05;
    let in_doubt = answer.findings.iter().filter(|finding| finding.status != Status::Hits);
    let (finding, seen) = in_doubt
        .filter_map(|finding| finding.seen.as_ref().map(|seen| (finding, seen)))
        .filter(|(finding, seen)| chance_in_doubt(finding, seen) > DOUBTFUL)
        .max_by(|a, b| chance_in_doubt(a.0, a.1).total_cmp(&chance_in_doubt(b.0, b.1)))?;
    let what = subject(finding);
    let which = match finding.status {
        Status::Tight => "touches after all",
        _ => "is under its limit after all",
    };
    let weakest = seen.weakest.as_ref();
    let measure =
        weakest.map_or(String::new(), |weakest| format!("; to settle it, measure {} first", weakest.path));
    Some(format!(
        "As far as these readings go, there is a chance of {} that {what} {which}{measure}.",
        chance(chance_in_doubt(finding, seen))
    ))
}

fn chance_in_doubt(finding: &Finding, seen: &Seen) -> f64 {
    if finding.status == Status::Tight { seen.chance_of_hitting } else { seen.chance_under_limit }
}

/// One finding as the reason in a sentence.
pub fn told(finding: &Finding, n_cylinders: usize, system: UnitSystem) -> String {
    let Some(seen) = &finding.seen else { return subject(finding) };
    let on = cylinders(&finding.cylinders, n_cylinders);
    let limit = show(finding.limit, system);
    let gap = show(seen.gap, system);
    match (finding.check, finding.valve.as_deref(), &seen.first_contact) {
        (Check::GasketOverBore | Check::GasketOverChamber, _, _) => {
            let edge = if finding.check == Check::GasketOverBore { "bore" } else { "chamber" };
            let by = show(seen.gap.abs(), system);
            if finding.status == Status::Hits {
                format!(
                    "the gasket opening leaves {by} of the {edge} covered on {on}, {}",
                    place(&seen.place, system)
                )
            } else {
                format!("the gasket opening reaches {by} beyond the {edge} on {on} (limit {limit})")
            }
        }
        (Check::IntakeToPiston | Check::ExhaustToPiston, Some(valve), _) => format!(
            "the {} comes to {gap} from the piston{}{} on {on} (limit {limit})",
            valve_name(valve),
            crank(seen),
            phaser(seen)
        ),
        (Check::ValveToValve, Some(_), _) => {
            let (crank, phaser) = (crank(seen), phaser(seen));
            format!("{}: {gap} apart{crank}{phaser} on {on} (limit {limit})", subject(finding))
        }
        (
            Check::PocketRadial
            | Check::PistonToHead
            | Check::PistonEdge
            | Check::RetainerToSeal
            | Check::CoilBind
            | Check::RockerSlot
            | Check::PushrodHole,
            ..,
        ) => format!("{} is {gap} on {on} (limit {limit})", subject(finding)),
        (_, Some(valve), Some(contact)) => {
            let what = match contact.place.on {
                Surface::ChamberWall => "its chamber wall".to_owned(),
                on => format!("the {}", on.words()),
            };
            format!(
                "the {} meets {what} at {} lift on {on}, {}",
                valve_name(valve),
                show(contact.lift, system),
                place(&contact.place, system)
            )
        }
        (_, Some(valve), None) => {
            let lift = seen.lift.map_or(String::new(), |lift| format!(" at {} lift", show(lift, system)));
            format!(
                "the {} comes to {gap} from the {}{lift} on {on} (limit {limit}), {}",
                valve_name(valve),
                seen.place.on.words(),
                place(&seen.place, system)
            )
        }
        (_, None, _) => format!("{} is {gap} on {on} (limit {limit})", subject(finding)),
    }
}

/// What running takes from the gap between crown and head.
pub fn running(quench: &RunningQuench, system: UnitSystem) -> String {
    let rpm = quench.speed.get::<units::angular_velocity::revolution_per_minute>();
    let speed = if quench.speed_given { "the highest speed used" } else { "a speed taken for want of one" };
    let takes = show_with_tolerance(quench.takes.value, quench.takes.tolerance, system);
    let growth = &quench.growth;
    format!(
        "At {rpm:.0} rpm, {speed}, piston to head loses about {takes} to rod stretch ({}), bearings ({}) and heat ({}), \
         which leaves {}: an estimate with steel rods, crank bending left out.",
        show(growth.rod_stretch, system),
        show(growth.bearing_take_up, system),
        show(growth.thermal, system),
        show(quench.leaves, system)
    )
}

/// What a measured first contact says about a valve.
pub fn contact(explained: &Explained, n_cylinders: usize, system: UnitSystem) -> String {
    let valve = valve_name(&explained.valve);
    let on = cylinders(&explained.cylinders, n_cylinders);
    let lift = show(explained.contact_lift.value, system);
    match &explained.moved {
        Ok(moved) => {
            let way = if moved.value.value < 0.0 { "nearer to the bore axis" } else { "further out" };
            let by = show_with_tolerance(moved.value.abs(), moved.tolerance, system);
            format!(
                "The {valve} touched at {lift} lift on {on}: it sits {by} {way} than x and y in the sheet say, and is \
                 reckoned there."
            )
        }
        Err(reason) => format!("The first contact of the {valve} on {on} explains nothing: {reason}."),
    }
}

/// ` at 9° after top dead centre`: where the crank stands, nearest dead centre named.
pub fn crank(seen: &Seen) -> String {
    seen.crank.map_or_else(String::new, crank_words)
}

/// The same of a crank angle.
pub fn crank_words(crank: CrankAngle) -> String {
    let from_overlap = (crank.degrees() - 360.0 + 360.0).rem_euclid(720.0) - 360.0;
    let (from, centre) = if from_overlap.abs() <= 180.0 {
        (from_overlap, "overlap top dead centre")
    } else {
        let from_firing = (crank.degrees() + 360.0).rem_euclid(720.0) - 360.0;
        (from_firing, "firing top dead centre")
    };
    match from.round() as i64 {
        0 => format!(" at {centre}"),
        before if before < 0 => format!(" {}° before {centre}", -before),
        after => format!(" {after}° after {centre}"),
    }
}

/// ` with the intake cam 30° earlier than installed`: where the phasers then stand, if anywhere else.
pub fn phaser(seen: &Seen) -> String {
    let stands = |(duty, by): &(Duty, CrankAngle)| {
        let cam = match duty {
            Duty::Intake => "intake",
            Duty::Exhaust => "exhaust",
        };
        let way = if by.degrees() > 0.0 { "earlier" } else { "later" };
        format!("the {cam} cam {:.0}° {way}", by.degrees().abs())
    };
    if seen.phaser.is_empty() {
        return String::new();
    }
    let all: Vec<String> = seen.phaser.iter().map(stands).collect();
    format!(" with {} than installed", all.join(" and "))
}

/// The gap with its tolerance.
pub fn gap(seen: &Seen, system: UnitSystem) -> String {
    show_with_tolerance(seen.gap, seen.tolerance, system)
}

/// What to do, in one line.
pub fn cure(cure: &Cure, system: UnitSystem) -> String {
    match cure {
        Cure::LiftNoMoreThan(lift) => format!("keep the valve's lift below {}", show(*lift, system)),
        Cure::GasketNoThinnerThan(thickness) => {
            format!("a gasket of {} or more when compressed", show(*thickness, system))
        }
        Cure::ValveNoLargerThan(diameter) => format!("a valve of {} or less", show(*diameter, system)),
        Cure::ReliefOf(depth) => format!(
            "a relief that takes {} off there (see what it leaves before cutting)",
            show(*depth, system)
        ),
        Cure::OpeningLargerBy(by) => format!("a gasket opening {} larger", show(*by, system)),
        Cure::PocketDeeperBy(by) => format!(
            "a pocket in the crown {} deeper (see what crown it leaves), or less lift near top dead centre",
            show(*by, system)
        ),
        Cure::PocketLargerBy(by) => format!("a pocket {} larger in diameter", show(*by, system)),
        Cure::Measure(path) => format!("measure {path}"),
    }
}

/// The cautions that go with every answer about clearance.
pub const CAUTIONS: [&str; 2] = [
    "Calculated from entered readings; verify by trial assembly with checking springs and clay. Limits are conventions \
     with their source, not guarantees.",
    "Sonic-check before boring or notching, pressure-test after. Compressed springs and turning parts hurt people.",
];
