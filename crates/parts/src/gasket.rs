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
}

impl Visit for Gasket {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        show(&mut self.thickness, path, "thickness", see);
        self.opening.visit_as(["opening_x", "opening_y", "opening"], path, see);
    }
}
