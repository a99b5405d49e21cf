//! The block: bore, crank throw and deck.

use units::{Length, Reading};

use crate::readings::visit_readings;

/// What one cylinder sees of the block and crank.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// Diameter of the finished bore.
    pub bore: Reading<Length>,
    /// Full travel of the piston with no pin offset: twice the crank throw.
    pub stroke: Reading<Length>,
    /// Between the centres of big and small end.
    pub rod_length: Reading<Length>,
    /// Gudgeon pin offset from the bore axis; positive toward the side that the crank throw moves to after top dead
    /// centre.
    pub pin_offset: Reading<Length>,
    /// How far the lead-in chamfer at the top of the bore reaches outward, seen from above; 0 for a sharp edge.
    pub chamfer_width: Reading<Length>,
    /// How far that chamfer reaches down the bore.
    pub chamfer_depth: Reading<Length>,
    /// Between the centres of neighbouring bores.
    pub bore_spacing: Option<Reading<Length>>,
}

visit_readings!(Block {
    bore, stroke, rod_length, pin_offset, chamfer_width, chamfer_depth; bore_spacing?
});
