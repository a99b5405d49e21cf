//! Cam, train and springs as a sheet gives them, and what a swap does to them.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use parts::cam::{LiftAt, LobeSource, Span, TimingReference};
use parts::spring::CoilLoad;
use parts::train::{Follower, Lash};
use parts::{Build, Duty};
use sheet::{PartName, read_build, read_candidate};
use units::length::{inch, millimeter};
use units::mass::gram;
use units::{Basis, Length};

const SHEET: &str = r#"format = 1
name = "Gear"
[engine]
cylinders = 2
[block]
bore = "82 mm"
stroke = "76 mm"
[head]
chamber_volume = "42 cc"
[[head.valve]]
name = "in"
duty = "intake"
head_diameter = "51.3 mm"
x = "19 mm"
y = "0 mm"
[[head.valve]]
name = "ex"
duty = "exhaust"
head_diameter = "34 mm"
x = "-20 mm"
y = "0 mm"
[cam]
lobe_separation = "110 deg"
ground_advance = "4 deg"
[cam.intake]
lobe_lift = "0.3 in ± 0.001"
lift_at_tdc = "1.6 mm"
ramp_opening_height = "0.3 mm"
ramp_opening_rise = "0.01 mm"
[[cam.intake.duration]]
at = "0.050 in"
lasts = "228 deg"
[[cam.intake.duration]]
at = "1 mm"
of = "valve"
ratio = "1.6"
opening = "130 deg"
closing = "134 deg"
[cam.exhaust]
valve_lift = "9 mm"
lobe_lift = "0.29 in"
[cam.exhaust.events]
at = "0.050 in"
opens = "52 deg"
closes = "8 deg"
[train.intake]
follower = "roller"
roller_diameter = "0.700 in"
ratio = "1.5 ± 0.01"
preload = "0.75 mm"
[train.exhaust]
follower = "flat"
ratio = "1.5"
lash_cold = "0.3 mm"
lash_hot = "0.25 mm"
[spring.intake]
installed_height = "41 mm"
retainer_to_seal = "12 mm"
[[spring.intake.load]]
height = "41 mm"
load = "300 N"
[[spring.intake.load]]
height = "31 mm"
load = "640 N"
[spring.intake.inner]
installed_height = "38 mm"
seat_load = "100 N"
rate = "10 N/mm"
"#;

fn build() -> Build {
    read_build(SHEET).unwrap_or_else(|problems| panic!("{problems}")).build
}

fn candidate(swap: &str) -> sheet::Candidate {
    let text = format!("format = 1\nname = \"Swap\"\n{swap}");
    read_candidate(SHEET, &text, &mut |_| Err("none".into())).unwrap_or_else(|problems| panic!("{problems}"))
}

fn lift_mm(build: &Build, valve: &str) -> f64 {
    build.cylinders[1].valve(valve).unwrap().lift.value.get::<millimeter>()
}

#[test]
fn exact_every_word_reaches_its_part() {
    let build = build();
    let gear = build.cylinders[1].gear.intake.clone().unwrap();
    let LobeSource::Card(card) = &gear.lobe.source else { panic!("a card") };
    assert_eq!(card.durations.len(), 2);
    let LiftAt::Valve { ratio, lash } = card.durations[1].at else { panic!("at the valve") };
    assert_eq!((ratio.value.value, lash.value), (1.6, Length::default()));
    assert!(
        matches!(card.durations[1].span, Span::Flanks { closing, .. } if (closing.value.degrees() - 134.0).abs() < 1e-9)
    );
    assert!(card.ramp_opening.is_some() && card.ramp_closing.is_none());
    let TimingReference::Separation { separation, advance } = gear.lobe.timing.reference else {
        panic!("by separation")
    };
    assert!(
        (separation.value.degrees() - 110.0).abs() < 1e-9 && (advance.value.degrees() - 4.0).abs() < 1e-9
    );
    assert_eq!(gear.lobe.timing.installed_advance.basis, Basis::Assumed);
    assert_eq!(gear.lobe.pins.len(), 1);
    let Follower::Roller { radius } = gear.train.follower else { panic!("a roller") };
    assert!((radius.value.get::<inch>() - 0.35).abs() < 1e-12);
    assert!(
        matches!(gear.train.lash, Lash::Hydraulic { plunger_travel, .. } if plunger_travel.basis == Basis::Assumed)
    );
    // The estimate of a 2.02 in valve.
    assert!((gear.train.masses.valve.value.get::<gram>() - 118.0).abs() < 1e-9);
    let springs = gear.springs.unwrap();
    assert!(matches!(&springs.outer.load, CoilLoad::Progressive { points } if points.len() == 2));
    assert!(springs.inner.is_some() && springs.retainer_to_seal.is_some());
}

#[test]
fn exact_events_tell_place_and_duration() {
    let build = build();
    let gear = build.cylinders[0].gear.of(Duty::Exhaust).unwrap();
    assert!(matches!(gear.lobe.timing.reference, TimingReference::Events { .. }));
    let LobeSource::Card(card) = &gear.lobe.source else { panic!("a card") };
    assert!(
        matches!(card.durations[..], [one] if matches!(one.span, Span::Symmetric(whole) if (whole.value.degrees() - 240.0).abs() < 1e-9))
    );
}

#[test]
fn exact_valve_lift_is_measured_or_lobe_times_ratio() {
    let build = build();
    assert!((lift_mm(&build, "in") - 0.3 * 25.4 * 1.5).abs() < 1e-9);
    assert!((lift_mm(&build, "ex") - 9.0).abs() < 1e-9);
    let lift = build.cylinders[0].valve("in").unwrap().lift;
    let by_hand = (0.001_f64 * 25.4 * 1.5).hypot(0.3 * 25.4 * 0.01);
    assert!((lift.tolerance.get::<millimeter>() - by_hand).abs() < 1e-9);
}

#[test]
fn exact_rockers_springs_and_cams_are_swapped_by_themselves() {
    let rockers = candidate("[change.train.intake]\nratio = \"1.65\"\n");
    assert_eq!(rockers.parts_replaced, [PartName::Train]);
    assert!((lift_mm(&rockers.build, "in") - 0.3 * 25.4 * 1.65).abs() < 1e-9);
    // The card's own ratio stays with the card.
    let gear = rockers.build.cylinders[0].gear.intake.clone().unwrap();
    let LobeSource::Card(card) = &gear.lobe.source else { panic!("a card") };
    assert!(matches!(card.durations[1].at, LiftAt::Valve { ratio, .. } if ratio.value.value == 1.6));

    let springs = candidate(
        "[replace.spring.intake]\ninstalled_height = \"40 mm\"\nseat_load = \"350 N\"\nrate = \"35 N/mm\"\n",
    );
    assert_eq!(springs.parts_replaced, [PartName::Spring]);
    assert!(springs.build.cylinders[0].gear.intake.clone().unwrap().springs.unwrap().inner.is_none());

    let cam = candidate("[change.cam.intake]\nlobe_lift = \"8 mm\"\ncentreline = \"106 deg\"\n");
    assert_eq!(cam.parts_replaced, [PartName::Cam]);
    assert!((lift_mm(&cam.build, "in") - 12.0).abs() < 1e-9);
    assert!(cam.with_only(&[]).unwrap().cylinders == build().cylinders);
}

#[test]
fn exact_a_table_of_valve_lifts_is_kept_as_read() {
    let rows: Vec<String> = (-45..=45)
        .map(|step| {
            let deg = f64::from(step) * 4.0;
            let lift = if deg.abs() < 120.0 { 5.0 * (1.0 + (deg * 1.5).to_radians().cos()) } else { 0.0 };
            format!("[{deg}, {lift:.4}]")
        })
        .collect();
    let from = SHEET.find("[cam.exhaust]").unwrap();
    let to = SHEET.find("[train.intake]").unwrap();
    let table = format!(
        "[cam.exhaust]\ncentreline = \"112 deg\"\n[cam.exhaust.table]\nangles = \"crank\"\nlifts = \"valve\"\nunit = \"mm\"\nrows = [{}]\n",
        rows.join(", ")
    );
    let text = format!("{}{table}{}", &SHEET[..from], &SHEET[to..]);
    let build = read_build(&text).unwrap_or_else(|problems| panic!("{problems}")).build;
    let gear = build.cylinders[0].gear.exhaust.clone().unwrap();
    let LobeSource::Table(table) = &gear.lobe.source else { panic!("a table") };
    assert_eq!((table.rows.len(), table.rows[0].number), (91, 1));
    // Without lash of its own the table was measured with the train's, which is added.
    assert!((lift_mm(&build, "ex") - 10.3).abs() < 1e-9);
}

#[test]
fn exact_a_train_without_a_lobe_is_named() {
    let from = SHEET.find("lobe_lift = \"0.29 in\"").unwrap();
    let to = SHEET.find("[train.intake]").unwrap();
    let sheet = read_build(&format!("{}{}", &SHEET[..from], &SHEET[to..])).unwrap();
    assert!(sheet.build.cylinders[0].gear.exhaust.is_none());
    assert_eq!(sheet.notes, ["[train.exhaust] is not used: [cam.exhaust] describes no lobe"]);
}

/// Skirt, dish and loft come back as they were typed; what is not typed is assumed or not there.
#[test]
fn exact_what_leans_lofts_and_is_dished() {
    let typed = include_str!("../../../demos/heron.build.toml")
        .replacen("[piston]", "[piston]\nskirt_clearance = \"0.06 mm ± 0.01\"", 1)
        .replacen("[train.exhaust]", "[train.exhaust]\nloft = \"0.3 mm ± 0.1\"", 1)
        .replacen("[cam.intake]", "[piston.dish]\ndiameter = \"60 mm\"\ndepth = \"2 mm\"\n[cam.intake]", 1);
    let build = read_build(&typed).unwrap_or_else(|problems| panic!("{problems}")).build;
    let cylinder = &build.cylinders[0];
    let piston = &cylinder.piston;
    let mm = |length: Length| length.get::<millimeter>();
    assert!((mm(piston.skirt_clearance.value) - 0.06).abs() < 1e-12);
    assert_eq!(piston.skirt_clearance.basis, Basis::Measured);
    assert_eq!(piston.skirt_length.basis, Basis::Assumed);
    let dish = piston.dish.as_ref().expect("a dish");
    assert!((mm(dish.depth.value) - 2.0).abs() < 1e-12);
    assert_eq!((dish.x.value.value, dish.x.basis), (0.0, Basis::Assumed));
    assert!(piston.dome.is_none());
    let loft = |duty| cylinder.gear.of(duty).expect("gear").train.loft;
    assert!(loft(Duty::Intake).is_none());
    let exhaust = cylinder.head.valves.iter().find(|valve| valve.duty == Duty::Exhaust).expect("a valve");
    let travel = cylinder.travel(exhaust);
    assert!((mm(travel.value - exhaust.lift.value) - 0.3).abs() < 1e-12);
    assert!((travel.tolerance.value - exhaust.lift.tolerance.value.hypot(0.1e-3)).abs() < 1e-15);
}
