//! How far the floor of a cut stays above the top ring when the piston is at its highest. Leaves out the ring's own
//! gap and what hot gas does to the land.

use parts::{Piston, estimate};
use units::Length;

use crate::piston_pose::rock_limit_rad;
use crate::relief_cut::ReliefCut;
use crate::relief_margin::Margin;

/// How far a piston stands higher in the running engine than turned over by hand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rise {
    /// Stretch of rod and crank, bearing clearances taken up, and heat.
    pub growth: Length,
    /// The ring's high side when the piston rocks on its pin.
    pub rock: Length,
}

/// Growth as measured on the piston, else [`estimate::piston_growth`]; rock as far as skirt and land let it lean, at the
/// wall: the ring rises by the lean times half the bore (small angles; the piston rocks about its pin).
pub fn rise_of(piston: &Piston, bore: Length) -> Rise {
    let lean_rad = rock_limit_rad(
        piston.skirt_clearance.value.value,
        piston.skirt_length.value.value,
        piston.land_clearance.value.value,
        piston.compression_height.value.value,
    );
    let growth = piston.metal.growth.unwrap_or_else(estimate::piston_growth).value;
    Rise { growth, rock: 0.5 * lean_rad * bore }
}

/// Height of the top ring's upper face above the deck (negative below), piston at the top of its stroke.
pub fn ring_upper_face(piston: &Piston, rise: Rise) -> Length {
    piston.deck_offset.value - piston.top_land_height.value + rise.growth + rise.rock
}

/// Wall left between the lowest point of the cut and the top ring's upper face at its highest; negative when the ring
/// runs over the edge of the cut. `None` for an empty cut.
///
/// Limit: [`crate::relief_limit::Left::TopRing`].
pub fn to_top_ring(cut: &ReliefCut, piston: &Piston, rise: Rise) -> Option<Margin> {
    let lowest = cut.extent.as_ref()?.lowest;
    Some(Margin::new(lowest.z - ring_upper_face(piston, rise).value, lowest))
}
