//! The cutter of a pocket that stands in a sheet, and what it takes out of a flat crown. Leaves out dish and dome.

use glam::DVec3;
use parts::{Cylinder, Pocket, Valve};
use units::Volume;
use units::volume::cubic_meter;

use crate::relief_cutter::{Cutter, CutterError, Shape};
use crate::relief_fly_cut::FlyCut;
use crate::relief_volume::{Metal, removed_after_m3};

/// The cutter of a pocket, in the bore frame with its origin moved to the crown datum plane. Pockets are flat-bottomed with
/// a square corner; one made along its valve leans with it.
pub fn cutter_of(pocket: &Pocket, valve: Option<&Valve>) -> Result<Cutter, CutterError> {
    let upright = [pocket.tilt_x.value, pocket.tilt_y.value];
    let tilt = valve.map_or(upright, |valve| pocket.tilt(valve));
    let [tan_x, tan_y] = tilt.map(|tilt| tilt.value.tan());
    let axis = DVec3::new(tan_x, tan_y, 1.0).normalize();
    let first = DVec3::new(axis.z, 0.0, -axis.x).normalize();
    let end = DVec3::new(pocket.x.value.value, pocket.y.value.value, -pocket.depth.value.value * axis.z);
    let square = Shape::Cutter { corner_radius: units::Length::default() };
    Cutter::new(end, axis, [first, axis.cross(first)], 0.5 * pocket.diameter.value.value, square)
}

/// The piston of a cylinder, its crown flat.
pub fn metal_of(cylinder: &Cylinder) -> Metal {
    let (block, piston) = (&cylinder.block, &cylinder.piston);
    Metal::Piston { radius: block.bore.value.value / 2.0 - piston.land_clearance.value.value }
}

/// The pocket as a cut in a flat crown; `None` for a cutter that cannot be.
pub fn cut_of(cylinder: &Cylinder, pocket: &Pocket) -> Option<FlyCut> {
    cutter_of(pocket, cylinder.valve(&pocket.valve))
        .ok()
        .map(|cutter| FlyCut::new(cutter, metal_of(cylinder)))
}

/// What all fly-cuts take out of a flat crown beyond the older pockets, to a ten-thousandth of a cubic centimetre for
/// each. A space that several share counts once.
pub fn fly_cuts_volume(cylinder: &Cylinder) -> Volume {
    let piston = &cylinder.piston;
    let cutter = |pocket: &Pocket| cutter_of(pocket, cylinder.valve(&pocket.valve)).ok();
    let mut gone: Vec<Cutter> = piston.pockets.iter().filter_map(cutter).collect();
    let mut removed = 0.0;
    for cut in piston.fly_cuts.iter().filter_map(cutter) {
        removed += removed_after_m3(&cut, &gone, &metal_of(cylinder), ACCURACY_M3);
        gone.push(cut);
    }
    Volume::new::<cubic_meter>(removed)
}

/// Volumes of cuts are found to this.
const ACCURACY_M3: f64 = 1e-10;
