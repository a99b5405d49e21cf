//! The block: bore, crank throw and deck, and what was cut into it.

use units::{Length, Reading};

use crate::readings::{ReadingMut, Visit, show};
use crate::{DeckMetal, Relief};

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
    /// What was cut into bore and deck since.
    pub reliefs: Vec<Relief>,
    /// What was measured of the metal around the bore.
    pub metal: DeckMetal,
}

impl Visit for Block {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        show(&mut self.bore, path, "bore", see);
        show(&mut self.stroke, path, "stroke", see);
        show(&mut self.rod_length, path, "rod_length", see);
        show(&mut self.pin_offset, path, "pin_offset", see);
        show(&mut self.chamfer_width, path, "chamfer_width", see);
        show(&mut self.chamfer_depth, path, "chamfer_depth", see);
        if let Some(spacing) = &mut self.bore_spacing {
            show(spacing, path, "bore_spacing", see);
        }
        for relief in &mut self.reliefs {
            let relief_path = format!("{path}.relief.{}", relief.valve);
            relief.visit(&relief_path, see);
        }
        self.metal.visit(path, see);
    }
}
