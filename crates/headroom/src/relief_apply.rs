//! A relief as part of the engine: the build with the cuts made. Leaves out how a cut is found; volumes, checks and swaps
//! see the build and need not know why it was cut.

use fit::relief_cutter::Cutter;
use parts::{Build, Cylinder, Pocket, Relief, estimate};
use units::angle::{degree, radian};
use units::length::{meter, millimeter};
use units::{Angle, Length, Reading};

use crate::contact::with_contacts;
use crate::relief::{Proposed, ReliefAnswer};
use crate::relief_fly_cut::ProposedPocket;

/// The build with one cut made on every cylinder that needs it.
///
/// Valves whose first contact was measured stand where that contact says: the trial was made before the cut.
pub fn with_relief(build: &Build, cut: &Proposed) -> Build {
    let (mut build, _) = with_contacts(build);
    for (number, relief) in &cut.reliefs {
        if let Some(cylinder) = build.cylinders.iter_mut().find(|cylinder| cylinder.number == *number) {
            put_relief(cylinder, relief.clone());
        }
    }
    forget_contacts(&mut build);
    build
}

/// The build with one pocket cut into every piston.
pub fn with_fly_cut(build: &Build, pocket: &ProposedPocket) -> Build {
    let (mut build, _) = with_contacts(build);
    for (number, cut) in &pocket.fly_cuts {
        if let Some(cylinder) = build.cylinders.iter_mut().find(|cylinder| cylinder.number == *number) {
            put_fly_cut(cylinder, cut.clone());
        }
    }
    forget_contacts(&mut build);
    build
}

/// The build with every cut of an answer made.
pub fn with_reliefs(build: &Build, answer: &ReliefAnswer) -> Build {
    let cuts = answer.valves.iter().filter_map(|relief| relief.cut.as_ref().ok());
    let cut = cuts.fold(build.clone(), |build, cut| with_relief(&build, cut));
    let pockets = answer.pistons.iter().filter_map(|relief| relief.cut.as_ref().ok());
    pockets.fold(cut, |build, pocket| with_fly_cut(&build, pocket))
}

/// Positions were taken from the contacts; a second time they would be looked for from there.
fn forget_contacts(build: &mut Build) {
    let valves = build.cylinders.iter_mut().flat_map(|cylinder| &mut cylinder.head.valves);
    valves.for_each(|valve| valve.contact_lift = None);
}

/// Puts a relief into the block, in the place of the one its valve had.
pub fn put_relief(cylinder: &mut Cylinder, relief: Relief) {
    cylinder.block.reliefs.retain(|known| known.valve != relief.valve);
    cylinder.block.reliefs.push(relief);
}

/// Puts a fly-cut into the piston, in the place of the one its valve had.
pub fn put_fly_cut(cylinder: &mut Cylinder, cut: Pocket) {
    cylinder.piston.fly_cuts.retain(|known| known.valve != cut.valve);
    cylinder.piston.fly_cuts.push(cut);
}

/// A relief that is still to be cut: set up on its valve within [`estimate::cut_setup`], its cutter within 0.05 mm and its
/// depth stop within 0.05 mm, leaning within 0.3 degrees (common practice, no source).
pub fn relief_to_cut(valve: &str, cutter: &Cutter) -> Relief {
    let planned = |value_m: f64, tolerance_mm: f64| {
        Reading::assumed(Length::new::<meter>(value_m), Length::new::<millimeter>(tolerance_mm))
    };
    let on_deck = cutter.end - cutter.axis * (cutter.end.z / cutter.axis.z);
    let set_up = |value_m: f64| Reading::assumed(Length::new::<meter>(value_m), estimate::cut_setup());
    let lean =
        |along: f64| Reading::assumed(Angle::new::<radian>((along / cutter.axis.z).atan()), lean_tolerance());
    let layback = Angle::new::<radian>(cutter.layback[0].asin());
    let by_hand = if layback.value > 0.0 { Angle::new::<degree>(2.0) } else { Angle::default() };
    Relief {
        valve: valve.to_owned(),
        x: set_up(on_deck.x),
        y: set_up(on_deck.y),
        diameter: planned(2.0 * cutter.radius, 0.05),
        plunge: planned(-cutter.end.z / cutter.axis.z, 0.05),
        corner_radius: planned(cutter.corner, if cutter.corner > 0.0 { 0.1 } else { 0.0 }),
        layback: Reading::assumed(layback, by_hand),
        tilt_x: lean(cutter.axis.x),
        tilt_y: lean(cutter.axis.y),
        removed: None,
    }
}

/// A pocket that is still to be cut, as [`relief_to_cut`].
pub fn fly_cut_to_cut(valve: &str, cutter: &Cutter) -> Pocket {
    let planned = |value_m: f64, tolerance_mm: f64| {
        Reading::assumed(Length::new::<meter>(value_m), Length::new::<millimeter>(tolerance_mm))
    };
    let set_up = |value_m: f64| Reading::assumed(Length::new::<meter>(value_m), estimate::cut_setup());
    let along_valve = Reading::assumed(Angle::default(), lean_tolerance());
    Pocket {
        valve: valve.to_owned(),
        x: set_up(cutter.end.x),
        y: set_up(cutter.end.y),
        diameter: planned(2.0 * cutter.radius, 0.05),
        depth: planned(-cutter.end.z / cutter.axis.z, 0.05),
        tilt_x: along_valve,
        tilt_y: along_valve,
        from_valve: [true; 2],
    }
}

fn lean_tolerance() -> Angle {
    Angle::new::<degree>(0.3)
}
