//! Putting a setting on a build: advance, gasket, skim, deck, ratio, lash. Leaves out what may be set how far.

use parts::train::{Lash, LashAt};
use parts::{Build, Cylinder, Duty, ValveGear};
use sheet::plan::Adjusted;
use units::{Basis, CrankAngle, Length, Quantity, Ratio, Reading, Volume};

/// Settings this near to what the parts have are no change, in SI: a nanometre, a billionth of ratio or radian.
const SAME_SI: f64 = 1e-9;

/// Sets one thing on every cylinder; whether that changed anything, or `None` where there is nothing to set.
///
/// A skim takes the area of the chamber's edge at the face times its depth from the chamber, as if the walls there stood
/// upright: what a burette would find differs where they lean.
pub fn set(build: &mut Build, of: Adjusted, to_si: f64) -> Option<bool> {
    let mut changed = false;
    for cylinder in &mut build.cylinders {
        changed |= set_cylinder(cylinder, of, to_si)?;
    }
    Some(changed)
}

/// Sets one thing on one cylinder.
pub fn set_cylinder(cylinder: &mut Cylinder, of: Adjusted, to_si: f64) -> Option<bool> {
    let given = |amount_si: f64| amount_si.abs() > SAME_SI;
    match of {
        Adjusted::CamAdvance => {
            advance(gear_mut(cylinder, Duty::Intake)?, to_si);
            advance(gear_mut(cylinder, Duty::Exhaust)?, to_si);
            Some(given(to_si))
        }
        Adjusted::IntakeAdvance => {
            advance(gear_mut(cylinder, Duty::Intake)?, to_si);
            Some(given(to_si))
        }
        Adjusted::ExhaustAdvance => {
            advance(gear_mut(cylinder, Duty::Exhaust)?, to_si);
            Some(given(to_si))
        }
        Adjusted::GasketThickness => {
            let thickness = &mut cylinder.gasket.thickness.value;
            let changed = given(to_si - thickness.si());
            *thickness = Length::from_si(to_si);
            Some(changed)
        }
        Adjusted::Skim => {
            skim(cylinder, to_si);
            Some(given(to_si))
        }
        Adjusted::Deck => {
            deck(cylinder, to_si);
            Some(given(to_si))
        }
        Adjusted::IntakeRatio => set_ratio(cylinder, Duty::Intake, to_si),
        Adjusted::ExhaustRatio => set_ratio(cylinder, Duty::Exhaust, to_si),
        Adjusted::IntakeLash => set_lash(cylinder, Duty::Intake, to_si),
        Adjusted::ExhaustLash => set_lash(cylinder, Duty::Exhaust, to_si),
    }
}

fn gear_mut(cylinder: &mut Cylinder, duty: Duty) -> Option<&mut ValveGear> {
    match duty {
        Duty::Intake => cylinder.gear.intake.as_mut(),
        Duty::Exhaust => cylinder.gear.exhaust.as_mut(),
    }
}

fn advance(gear: &mut ValveGear, by_rad: f64) {
    let installed = &mut gear.lobe.timing.installed_advance.value;
    *installed = CrankAngle::from_radians(installed.radians() + by_rad);
}

fn skim(cylinder: &mut Cylinder, by_m: f64) {
    let head = &mut cylinder.head;
    let area_m2 = volume::outline_area(&head.chamber).si();
    head.chamber_volume.value = Volume::from_si(head.chamber_volume.value.si() - area_m2 * by_m);
    let wall = &mut head.chamber_wall_height.value;
    *wall = Length::from_si((wall.si() - by_m).max(0.0));
    for valve in &mut head.valves {
        valve.recess.value = Length::from_si(valve.recess.value.si() - by_m);
    }
}

fn deck(cylinder: &mut Cylinder, by_m: f64) {
    let offset = &mut cylinder.piston.deck_offset.value;
    *offset = Length::from_si(offset.si() + by_m);
    // The chamfer keeps its angle and loses what is taken off.
    let block = &mut cylinder.block;
    let depth_m = block.chamfer_depth.value.si();
    if depth_m > 0.0 {
        let left = ((depth_m - by_m) / depth_m).max(0.0);
        block.chamfer_width.value *= left;
        block.chamfer_depth.value *= left;
    }
}

/// Another ratio lifts the valve in proportion, lash and all.
fn set_ratio(cylinder: &mut Cylinder, duty: Duty, to: f64) -> Option<bool> {
    let gear = gear_mut(cylinder, duty)?;
    let before = gear.train.ratio.value.si();
    let lash_m = lash_at_valve_m(gear).unwrap_or(0.0);
    // Lash at the cam, seen from the valve, grows with the ratio; at the valve it stays.
    let at_valve = matches!(gear.train.lash, Lash::Solid { at: LashAt::Valve, .. });
    gear.train.ratio.value = Ratio::from_si(to);
    let lash_after_m = if at_valve { lash_m } else { lash_m * to / before };
    for valve in cylinder.head.valves.iter_mut().filter(|valve| valve.duty == duty) {
        let lift_m = (valve.lift.value.si() + lash_m) * to / before - lash_after_m;
        valve.lift.value = Length::from_si(lift_m.max(0.0));
    }
    Some((to - before).abs() > SAME_SI)
}

/// Hot lash as the valve sees it; `None` for a train that has none to set.
fn lash_at_valve_m(gear: &ValveGear) -> Option<f64> {
    let Lash::Solid { at, cold, hot } = &gear.train.lash else { return None };
    let lash_m = hot.unwrap_or(*cold).value.si();
    Some(match at {
        LashAt::Valve => lash_m,
        LashAt::Cam => lash_m * gear.train.ratio.value.si(),
    })
}

fn set_lash(cylinder: &mut Cylinder, duty: Duty, to_m: f64) -> Option<bool> {
    let gear = gear_mut(cylinder, duty)?;
    let before_m = lash_at_valve_m(gear)?;
    let Lash::Solid { cold, hot, .. } = &mut gear.train.lash else { return None };
    let was = hot.unwrap_or(*cold);
    let changed = (to_m - was.value.si()).abs() > SAME_SI;
    *hot = Some(Reading { value: Length::from_si(to_m), ..was });
    let after_m = lash_at_valve_m(gear)?;
    for valve in cylinder.head.valves.iter_mut().filter(|valve| valve.duty == duty) {
        let lift_m = valve.lift.value.si() + before_m - after_m;
        valve.lift.value = Length::from_si(lift_m.max(0.0));
    }
    Some(changed)
}

/// Puts a build on another fuel of the same kind; its motor octane is then estimated.
pub fn set_octane(build: &mut Build, research: Ratio) {
    let tolerance = Ratio::from_si(0.0);
    let octane = Reading { value: research, tolerance, basis: Basis::Catalogue };
    build.running.fuel.research_octane = Some(octane);
    build.running.fuel.motor_octane = None;
}

/// How deep a setting cuts into metal, in metres.
pub fn metal_m(of: Adjusted, to_si: f64) -> f64 {
    match of {
        Adjusted::Skim | Adjusted::Deck => to_si,
        _ => 0.0,
    }
}
