//! How much the piston sweeps from bottom to top. Leaves out where the piston is in between: that is `motion`.

use std::f64::consts::FRAC_PI_4;

use parts::Block;
use units::length::meter;
use units::{Area, Length, Volume};

/// Area of the bore, `pi/4 B^2`.
pub fn bore_area(block: &Block) -> Area {
    FRAC_PI_4 * block.bore.value * block.bore.value
}

/// What the piston sweeps: bore area times the true travel.
pub fn swept_volume(block: &Block) -> Volume {
    bore_area(block) * piston_travel(block)
}

/// True travel of the piston, never less than the stroke.
///
/// ```text
/// travel = sqrt((L + r)^2 - e^2) - sqrt((L - r)^2 - e^2)
/// ```
/// `r` half the stroke, `L` rod length, `e` pin offset: at both ends throw and rod lie in one line, of length `L + r`
/// at the top and `L - r` at the bottom, and the pin stands `e` beside the bore axis (plane geometry, exact). Without
/// offset it is the stroke for any rod. To first order the offset adds `stroke e^2 / (2 (L^2 - r^2))`: 0.003 % for 1 mm
/// on a 136 mm rod.
///
/// A crank that cannot turn ([`crank_turns`]) has no bottom; it gets the plain stroke.
pub fn piston_travel(block: &Block) -> Length {
    let (throw_m, rod_m) = (block.stroke.value.get::<meter>() / 2.0, block.rod_length.value.get::<meter>());
    let offset_m = block.pin_offset.value.get::<meter>();
    if offset_m == 0.0 || !crank_turns(block) {
        return block.stroke.value;
    }
    // The difference of the two roots, written without its cancellation: (a - b)/(sqrt a + sqrt b), a - b = 4 L r.
    let top_m = ((rod_m + throw_m).powi(2) - offset_m * offset_m).sqrt();
    let bottom_m = ((rod_m - throw_m).powi(2) - offset_m * offset_m).sqrt();
    Length::new::<meter>(4.0 * rod_m * throw_m / (top_m + bottom_m))
}

/// Whether the rod is long enough for the crank to turn all the way round: `L > r + |e|`.
pub fn crank_turns(block: &Block) -> bool {
    block.rod_length.value > block.stroke.value / 2.0 + block.pin_offset.value.abs()
}
