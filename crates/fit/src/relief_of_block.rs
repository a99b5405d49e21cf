//! The cutter of a relief that stands in a sheet, and the reading of what it removes. Leaves out how it was chosen.

use glam::DVec3;
use parts::{Block, Relief};
use units::length::meter;
use units::volume::cubic_meter;
use units::{Length, Volume};

use crate::relief_cut::ReliefCut;
use crate::relief_cutter::{Cutter, CutterError, Shape};
use crate::relief_volume::{Metal, removed_after_m3};

/// The cutter of a relief, in the bore frame. A relief read from a sheet always has one.
pub fn cutter_of(relief: &Relief) -> Result<Cutter, CutterError> {
    let shape = Shape::LaidBack { corner_radius: relief.corner_radius.value, layback: relief.layback.value };
    cutter_at(
        [relief.x.value.value, relief.y.value.value],
        [relief.tilt_x.value.value, relief.tilt_y.value.value],
        relief.plunge.value.value,
        0.5 * relief.diameter.value.value,
        shape,
    )
}

/// A cutter whose axis meets the deck at a place, in metres and radians.
pub fn cutter_at(
    [x, y]: [f64; 2],
    tilt_rad: [f64; 2],
    plunge_m: f64,
    radius_m: f64,
    shape: Shape,
) -> Result<Cutter, CutterError> {
    let axis = DVec3::new(tilt_rad[0].tan(), tilt_rad[1].tan(), 1.0).normalize();
    let first = DVec3::new(axis.z, 0.0, -axis.x).normalize();
    let end = DVec3::new(x, y, 0.0) - axis * plunge_m;
    Cutter::new(end, axis, [first, axis.cross(first)], radius_m, shape)
}

/// The metal of a block around its bore.
pub fn metal_of(block: &Block) -> Metal {
    let si = |length: Length| length.get::<meter>();
    Metal::block(si(block.bore.value) / 2.0, si(block.chamfer_width.value), si(block.chamfer_depth.value))
}

/// The cut that a relief makes; `None` for a cutter that cannot be.
pub fn cut_of(block: &Block, relief: &Relief) -> Option<ReliefCut> {
    cutter_of(relief).ok().map(|cutter| ReliefCut::new(cutter, metal_of(block)))
}

/// Metal that a relief removes of what those before it in the block have left: as measured, else reckoned from cutters and
/// bore, to a hundred-thousandth of a cubic centimetre. A measured volume is taken to be the whole of what its cut added.
pub fn removed_by(block: &Block, relief: &Relief) -> Volume {
    let accuracy_m3 = 1e-11;
    relief.removed.map_or_else(
        || {
            let before = block.reliefs.iter().take_while(|other| !std::ptr::eq(*other, relief));
            let earlier: Vec<Cutter> = before.filter_map(|other| cutter_of(other).ok()).collect();
            let removed = cutter_of(relief)
                .map_or(0.0, |cutter| removed_after_m3(&cutter, &earlier, &metal_of(block), accuracy_m3));
            Volume::new::<cubic_meter>(removed)
        },
        |removed| removed.value,
    )
}
