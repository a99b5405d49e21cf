//! What a cut does to the lead-in chamfer that squeezes the rings together when the piston goes in. Leaves out the
//! finish of the edges, which is hand work.

use units::Length;

use crate::relief_cut::ReliefCut;
use crate::relief_margin::Margin;
use crate::relief_volume::Metal;

/// What is left of the chamfer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChamferLeft {
    /// Height of chamfer below the floor of the cut: positive when a strip of it goes all round, negative by how far
    /// the cut makes a window in the wall below. A sharp bore has none.
    pub strip: Margin,
    /// Straight across the window; its edges are to be broken where the rings pass.
    pub window: Length,
}

/// What a cut leaves of the chamfer; `None` for an empty cut.
///
/// Limit: [`crate::relief_limit::Left::Chamfer`].
pub fn chamfer_left(cut: &ReliefCut) -> Option<ChamferLeft> {
    let lowest = cut.extent.as_ref()?.lowest;
    let depth = match cut.metal {
        Metal::Block { chamfer_depth, .. } => chamfer_depth,
        Metal::Piston { .. } => 0.0,
    };
    Some(ChamferLeft { strip: Margin::new(depth + lowest.z, lowest), window: cut.chord() })
}
