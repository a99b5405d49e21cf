//! The head gasket: the plate between deck and head.

use units::{Length, Reading};

use crate::Outline;
use crate::readings::{ReadingMut, Visit, show};

/// A head gasket at one cylinder.
#[derive(Clone, Debug, PartialEq)]
pub struct Gasket {
    /// Thickness when the head is torqued down.
    pub thickness: Reading<Length>,
    /// The hole over the bore.
    pub opening: Outline,
    /// From the edge of the opening outward to the fire ring or bead.
    pub ring_inset: Option<Reading<Length>>,
    /// Width of the fire ring or bead.
    pub ring_width: Option<Reading<Length>>,
}

impl Visit for Gasket {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        show(&mut self.thickness, path, "thickness", see);
        self.opening.visit_as(["opening_x", "opening_y", "opening"], path, see);
        if let Some(inset) = &mut self.ring_inset {
            show(inset, path, "ring_inset", see);
        }
        if let Some(width) = &mut self.ring_width {
            show(width, path, "ring_width", see);
        }
    }
}
