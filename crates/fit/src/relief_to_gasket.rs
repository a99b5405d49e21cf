//! How far the cut stays inside the gasket opening, and off the fire ring or bead around it. Leaves out the bore
//! itself and the chamber, which are checked with the parts.

use units::Length;

use crate::relief_cut::ReliefCut;
use crate::relief_margin::{Levels, Margin, least_along_cut};
use crate::solid::Plan;

/// Least distance in the plane of the deck from the cut's outline to the edge of the gasket opening; negative where
/// the cut comes out from under the gasket's edge, so that the gasket overhangs it. `None` when the deck is not cut.
///
/// Limit: [`crate::relief_limit::Left::GasketOverCut`].
pub fn to_gasket_opening(cut: &ReliefCut, opening: &Plan) -> Option<Margin> {
    least_along_cut(cut, Levels::Deck, |p| -opening.outside(p.x, p.y))
}

/// Least width of flat deck between the cut and the inner edge of a fire ring or bead that lies `inset` outside the
/// edge of the opening; negative where the ring bridges the cut and has nothing under it.
///
/// Limit: [`crate::relief_limit::Left::FireRing`].
pub fn to_fire_ring(cut: &ReliefCut, opening: &Plan, inset: Length) -> Option<Margin> {
    to_gasket_opening(cut, opening).map(|margin| Margin { left: margin.left + inset, ..margin })
}
