//! The compression ratio: of the whole stroke (static), and of what is left of it once the intake valve has closed
//! (effective). Leaves out where the piston is when the valve closes: that is `motion`.

use parts::Cylinder;
use units::{Length, Volume};

use crate::clearance_volume::clearance_volumes;
use crate::swept_volume::{bore_area, swept_volume};

/// `(V_s + V_c) / V_c`: how many times the space above the piston shrinks.
///
/// `V_s` swept, `V_c` clearance volume (any engine text). Without a positive clearance volume there is no such number;
/// the quotient is returned as it comes out, infinite or negative.
pub fn compression_ratio(swept: Volume, clearance: Volume) -> f64 {
    ((swept + clearance) / clearance).value
}

/// Compression over the whole stroke, as workshop manuals state it.
///
/// Independent of the rod's length, but for what a pin offset adds to the travel
/// ([`piston_travel`](crate::piston_travel)).
pub fn static_compression(cylinder: &Cylinder) -> f64 {
    compression_ratio(swept_volume(&cylinder.block), clearance_volumes(cylinder).total())
}

/// Compression of what is left of the stroke when the intake valve closes; the trade calls it dynamic compression.
///
/// `piston_down` is how far the piston then stands below its highest place (`motion`'s slider-crank gives it for a
/// closing angle). The convention takes the closing on the seat: the advertised duration's event, lash taken up
/// (common practice, no source). At speed the inertia of the charge closes the cylinder earlier than that, so the
/// figure compares camshafts at cranking speed and says nothing about knock at speed.
pub fn effective_compression(cylinder: &Cylinder, piston_down: Length) -> f64 {
    compression_ratio(bore_area(&cylinder.block) * piston_down, clearance_volumes(cylinder).total())
}
