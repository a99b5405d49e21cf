//! A closed line seen from above: a gasket opening or the edge of a chamber at the head face.

use units::{Basis, Length, Reading};

use crate::readings::{ReadingMut, show};

/// A closed outline in the bore frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// Where the outline's own origin lies along the crank, positive to the front.
    pub center_x: Reading<Length>,
    /// Where the outline's own origin lies across the engine, positive to the left.
    pub center_y: Reading<Length>,
    /// The line itself, about that origin.
    pub shape: Shape,
}

/// The form of an outline.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A circle about the outline's origin.
    Circle {
        /// Its diameter.
        diameter: Reading<Length>,
    },
    /// Straight lines from point to point, closed, not crossing itself, in either sense of rotation.
    Polygon {
        /// At least three corners.
        points: Vec<[Length; 2]>,
        /// How much larger the true outline is all round, as a reading: 0 with the tolerance of the tracing.
        growth: Reading<Length>,
    },
}

impl Outline {
    /// A circle about the bore axis.
    pub fn centred_circle(diameter: Reading<Length>) -> Self {
        let zero = Reading { value: Length::default(), tolerance: Length::default(), basis: Basis::Assumed };
        Self { center_x: zero, center_y: zero, shape: Shape::Circle { diameter } }
    }

    /// Mirrors the outline front to back.
    pub fn mirror(&mut self) {
        self.center_x.value = -self.center_x.value;
        if let Shape::Polygon { points, .. } = &mut self.shape {
            for point in points.iter_mut() {
                point[0] = -point[0];
            }
        }
    }
}

impl Outline {
    /// Shows its readings under the names the sheet gives them: `head.chamber_x`, `head.chamber_y`, and the size, which is
    /// a circle's diameter or a polygon's growth.
    pub(crate) fn visit_as(
        &mut self,
        [x, y, size]: [&str; 3],
        path: &str,
        see: &mut dyn FnMut(&str, ReadingMut),
    ) {
        show(&mut self.center_x, path, x, see);
        show(&mut self.center_y, path, y, see);
        match &mut self.shape {
            Shape::Circle { diameter } => show(diameter, path, size, see),
            Shape::Polygon { growth, .. } => show(growth, path, size, see),
        }
    }
}
