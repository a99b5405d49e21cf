//! The closed space of a cylinder: crank, clearance and crevice volume, surfaces, flame travel.

use std::f64::consts::PI;

use parts::{Outline, Running, Shape};
use units::Quantity;
use volume::{ClearancePart, clearance_volumes, outline_area};

use super::{FromBuildError, si};
use crate::model::{Cylinder, ValveFlow};

/// One cylinder. Everything that changes its volume (gasket, deck, reliefs, domes) comes in through `volume`; the ring
/// of space beside the top land is the crevice.
pub(super) fn cylinder(
    cylinder: &parts::Cylinder,
    running: &Running,
    fires_at_deg: f64,
    intake: ValveFlow,
    exhaust: ValveFlow,
) -> Result<Cylinder, FromBuildError> {
    let volumes = clearance_volumes(cylinder);
    let crevice_m3 = volumes.of(ClearancePart::TopLand).si().max(0.0);
    let clearance_m3 = volumes.total().si() - crevice_m3;
    if clearance_m3 <= 0.0 {
        let volume_cc = clearance_m3 * 1e6;
        return Err(FromBuildError::NoClearance { cylinder: cylinder.number, volume_cc });
    }
    let block = &cylinder.block;
    let bore_m = block.bore.value.si();
    Ok(Cylinder {
        bore_m,
        stroke_m: block.stroke.value.si(),
        rod_m: block.rod_length.value.si(),
        pin_offset_m: block.pin_offset.value.si(),
        clearance_m3,
        crevice_m3,
        fires_at_deg,
        head_area_ratio: head_area_ratio(cylinder),
        crown_area_ratio: crown_area_ratio(cylinder),
        flame_travel: flame_travel(running, bore_m),
        intake,
        exhaust,
    })
}

/// From the plug to the farthest wall over the bore: (B/2 + r) / B with the plug r off the axis.
fn flame_travel(running: &Running, bore_m: f64) -> f64 {
    let off_m = si(running.ignition.plug_x, 0.0).hypot(si(running.ignition.plug_y, 0.0));
    0.5 + (off_m / bore_m).min(0.5)
}

/// Surface of head and chamber over the bore's area, as if the chamber were a tub of its outline and volume: flat where
/// it does not reach, a roof of the outline's area, walls V / A high all round.
///
/// Plane and solid geometry of that tub; a hemisphere of the same volume has a few per cent less.
fn head_area_ratio(cylinder: &parts::Cylinder) -> f64 {
    let bore_m2 = 0.25 * PI * cylinder.block.bore.value.si().powi(2);
    let chamber = &cylinder.head.chamber;
    let outline_m2 = outline_area(chamber).si();
    if outline_m2 <= 0.0 {
        return 1.0;
    }
    let depth_m = (cylinder.head.chamber_volume.value.si() / outline_m2).max(0.0);
    let flat_m2 = (bore_m2 - outline_m2).max(0.0);
    ((flat_m2 + outline_m2 + around_m(chamber) * depth_m) / bore_m2).max(1.0)
}

/// Length of an outline, m.
fn around_m(outline: &Outline) -> f64 {
    match &outline.shape {
        Shape::Circle { diameter } => PI * diameter.value.si(),
        Shape::Polygon { points, .. } => {
            let m: Vec<[f64; 2]> = points.iter().map(|point| point.map(Quantity::si)).collect();
            let next = m.iter().cycle().skip(1);
            m.iter().zip(next).map(|(a, b)| (a[0] - b[0]).hypot(a[1] - b[1])).sum()
        }
    }
}

/// A dish or dome takes this much of the bore across (common practice, no source).
const CROWN_FORM_OVER_BORE: f64 = 0.8;

/// Surface of the crown over the bore's area: flat, with the wall of a round dish or dome of its volume.
fn crown_area_ratio(cylinder: &parts::Cylinder) -> f64 {
    let across_m = CROWN_FORM_OVER_BORE * cylinder.block.bore.value.si();
    let form_m2 = 0.25 * PI * across_m * across_m;
    let deep_m = cylinder.piston.crown_volume.value.si().abs() / form_m2;
    1.0 + PI * across_m * deep_m / (0.25 * PI * cylinder.block.bore.value.si().powi(2))
}
