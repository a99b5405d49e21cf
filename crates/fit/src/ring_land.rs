//! How far the floor of a cut stays above the top ring when the piston is at its highest. Leaves out the ring's own
//! gap and what hot gas does to the land.

use parts::Piston;
use units::Length;
use units::length::inch;

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

/// 0.030 in of growth, the upper end of the 0.015 to 0.030 in that running pistons rise with steel rods, and 0.004 in
/// of rock: a tenth of a millimetre of skirt clearance over a skirt as long as the bore's radius, at the wall
/// (derived, and common practice, no source).
pub fn usual_rise() -> Rise {
    Rise { growth: Length::new::<inch>(0.030), rock: Length::new::<inch>(0.004) }
}

/// How far rocking lifts the ring at the wall: skirt clearance over skirt length is the lean, times the distance from
/// the pin's middle to the wall. Small angles; the piston rocks about its pin.
pub fn rock_rise(skirt_clearance: Length, skirt_length: Length, bore: Length) -> Length {
    skirt_clearance * (0.5 * bore / skirt_length)
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
