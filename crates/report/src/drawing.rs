//! What is drawn: lines, arcs, circles and words on named layers, in millimetres. Leaves out how any file format
//! writes them.

use glam::DVec2;
use units::Length;
use units::length::millimeter;

/// What an item shows. Layers have the same names in every format that has layers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// Colours of a map.
    Dye,
    /// Hatching over them.
    Hatch,
    /// Warnings across a drawing.
    Warning,
    /// Line along which parts touch.
    Contact,
    /// Line along which a gap is on its limit.
    Limit,
    /// Cylinder bore, or side of the piston.
    Bore,
    /// Outer edge of the lead-in chamfer.
    Chamfer,
    /// Edge of the metal to remove.
    Cut,
    /// Edge of the gasket opening.
    Gasket,
    /// Bolt, oil and water holes.
    Holes,
    /// Dowels.
    Dowels,
    /// Centres and axes.
    Centers,
    /// Dimensions.
    Dimensions,
    /// Words.
    Text,
    /// The bars that check a printer.
    ScaleBar,
    /// What belongs to the sheet of paper.
    Frame,
}

impl Layer {
    /// All layers, in the order they are drawn.
    pub const ALL: [Self; 16] = [
        Self::Dye,
        Self::Hatch,
        Self::Warning,
        Self::Contact,
        Self::Limit,
        Self::Bore,
        Self::Chamfer,
        Self::Cut,
        Self::Gasket,
        Self::Holes,
        Self::Dowels,
        Self::Centers,
        Self::Dimensions,
        Self::Text,
        Self::ScaleBar,
        Self::Frame,
    ];

    /// Name in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Dye => "DYE",
            Self::Hatch => "HATCH",
            Self::Warning => "WARNING",
            Self::Contact => "CONTACT",
            Self::Limit => "LIMIT",
            Self::Bore => "BORE",
            Self::Chamfer => "CHAMFER",
            Self::Cut => "CUT",
            Self::Gasket => "GASKET",
            Self::Holes => "HOLES",
            Self::Dowels => "DOWELS",
            Self::Centers => "CENTERS",
            Self::Dimensions => "DIMENSIONS",
            Self::Text => "TEXT",
            Self::ScaleBar => "SCALE_BAR",
            Self::Frame => "FRAME",
        }
    }

    /// How its lines look.
    pub fn line(self) -> Line {
        let (width_mm, dash_mm): (f64, &'static [f64]) = match self {
            Self::Cut | Self::Contact => (0.5, &[]),
            Self::Limit => (0.4, &[1.6, 1.2]),
            Self::Bore | Self::Holes | Self::Dowels => (0.3, &[]),
            Self::ScaleBar => (0.25, &[]),
            Self::Gasket => (0.25, &[4.0, 1.5]),
            Self::Centers => (0.13, &[6.0, 1.0, 1.0, 1.0]),
            Self::Dye
            | Self::Hatch
            | Self::Warning
            | Self::Chamfer
            | Self::Dimensions
            | Self::Text
            | Self::Frame => (0.13, &[]),
        };
        let color = match self {
            Self::Cut => Color { red: 200, green: 20, blue: 30, index: 1 },
            Self::Warning => Color { red: 240, green: 150, blue: 140, index: 1 },
            Self::Gasket => Color { red: 20, green: 90, blue: 170, index: 5 },
            Self::Dimensions => Color { red: 70, green: 70, blue: 70, index: 8 },
            _ => Color { red: 0, green: 0, blue: 0, index: 7 },
        };
        Line { width_mm, dash_mm, color }
    }
}

/// Width, dashes and colour of a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Width in millimetres.
    pub width_mm: f64,
    /// Lengths of dash, gap, dash, gap in millimetres; empty for a full line.
    pub dash_mm: &'static [f64],
    /// Its colour.
    pub color: Color,
}

/// A colour, and its nearest in the short palette of drawing exchange files.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "parts of a colour")]
pub struct Color {
    pub red: u8,
    pub green: u8,
    pub blue: u8,
    pub index: u8,
}

/// A corner of a path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vertex {
    /// Where, in millimetres.
    pub at: DVec2,
    /// Bend of the way to the next vertex: tangent of a quarter of the angle that the arc turns, positive to the
    /// left; 0 for a straight line.
    pub bulge: f64,
}

/// Where a text stands against its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// To the right of it.
    Left,
    /// Across it.
    Middle,
    /// To the left of it.
    Right,
}

/// A shape.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// Straight lines and arcs from vertex to vertex.
    Path {
        /// Corners in order.
        vertices: Vec<Vertex>,
        /// Whether the last is joined to the first.
        closed: bool,
    },
    /// A circle.
    Circle {
        /// Centre, in millimetres.
        center: DVec2,
        /// Radius, in millimetres.
        radius_mm: f64,
    },
    /// Plain colour wherever loops go around, drawn in its own colour.
    Area {
        /// Corners of each loop; a hole turns the other way.
        loops: Vec<Vec<DVec2>>,
        /// Its colour.
        color: Color,
    },
    /// One line of words.
    Text {
        /// Where its base line starts, is centred or ends.
        at: DVec2,
        /// Size of the letters from line to line, in millimetres.
        size_mm: f64,
        /// Angle of the base line from `+x`, in radians.
        turn_rad: f64,
        /// Which part of it stands at the point.
        anchor: Anchor,
        /// The words.
        words: String,
    },
}

/// A shape on its layer.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What it shows.
    pub layer: Layer,
    /// What it is.
    pub shape: Shape,
}

/// Items in the order they are drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    /// The items.
    pub items: Vec<Item>,
}

/// Length of the ticks of arrowheads, and how far extension lines run past the dimension line, in millimetres.
const ARROW_MM: f64 = 2.5;
const PAST_MM: f64 = 1.2;

/// Size of dimension text, in millimetres.
const DIMENSION_TEXT_MM: f64 = 3.2;

impl Drawing {
    /// Adds a straight line.
    pub fn line(&mut self, layer: Layer, from: DVec2, to: DVec2) {
        self.path(layer, [from, to].map(|at| Vertex { at, bulge: 0.0 }).into(), false);
    }

    /// Adds a path.
    pub fn path(&mut self, layer: Layer, vertices: Vec<Vertex>, closed: bool) {
        self.items.push(Item { layer, shape: Shape::Path { vertices, closed } });
    }

    /// Adds a circle.
    pub fn circle(&mut self, layer: Layer, center: DVec2, radius_mm: f64) {
        self.items.push(Item { layer, shape: Shape::Circle { center, radius_mm } });
    }

    /// Adds plain colour inside loops.
    pub fn area(&mut self, layer: Layer, loops: Vec<Vec<DVec2>>, color: Color) {
        self.items.push(Item { layer, shape: Shape::Area { loops, color } });
    }

    /// Adds a line of words.
    pub fn text(&mut self, at: DVec2, size_mm: f64, anchor: Anchor, words: impl Into<String>) {
        self.turned_text(Layer::Text, at, size_mm, 0.0, anchor, words.into());
    }

    /// Adds a cross.
    pub fn cross(&mut self, layer: Layer, at: DVec2, arm_mm: f64) {
        self.line(layer, at - DVec2::X * arm_mm, at + DVec2::X * arm_mm);
        self.line(layer, at - DVec2::Y * arm_mm, at + DVec2::Y * arm_mm);
    }

    /// Adds a dimension between two points, its line `off_mm` to the left of the way between them, with the distance
    /// in both units.
    pub fn dimension(&mut self, from: DVec2, to: DVec2, off_mm: f64) {
        let way = (to - from).try_normalize().unwrap_or(DVec2::X);
        let aside = way.perp() * off_mm.signum();
        let [a, b] = [from, to].map(|end| end + aside * off_mm.abs());
        for (end, on_line) in [(from, a), (to, b)] {
            self.line(Layer::Dimensions, end, on_line + aside * PAST_MM);
        }
        let layer = Layer::Dimensions;
        // Arrows stand outside where there is no room between.
        let outside = (to - from).length() < 4.0 * ARROW_MM;
        let (inward, reach) = if outside { (-1.0, 3.0 * ARROW_MM) } else { (1.0, 0.0) };
        self.line(layer, a - way * reach, b + way * reach);
        self.arrow(a, way * inward);
        self.arrow(b, -way * inward);
        // Words are read from below or from the right.
        let flipped = way.x < -1e-9 || (way.x.abs() <= 1e-9 && way.y < 0.0);
        let along = if flipped { -way } else { way };
        let (middle, lift) = (0.5 * (a + b), along.perp() * 1.0);
        let words = both(from.distance(to));
        let (at, anchor) = if outside {
            (b + way * reach, if flipped { Anchor::Right } else { Anchor::Left })
        } else {
            (middle, Anchor::Middle)
        };
        self.turned_text(layer, at + lift, DIMENSION_TEXT_MM, along.to_angle(), anchor, words);
    }

    /// Adds words with a line and an arrow to a point.
    pub fn leader(&mut self, to: DVec2, from: DVec2, words: impl Into<String>) {
        self.line(Layer::Dimensions, from, to);
        self.arrow(to, (from - to).try_normalize().unwrap_or(DVec2::X));
        let (anchor, aside) = if from.x < to.x { (Anchor::Right, -1.0) } else { (Anchor::Left, 1.0) };
        let at = from + DVec2::new(aside, -0.3 * DIMENSION_TEXT_MM);
        self.turned_text(Layer::Dimensions, at, DIMENSION_TEXT_MM, 0.0, anchor, words.into());
    }

    fn arrow(&mut self, tip: DVec2, away: DVec2) {
        let side = away.perp() * (0.2 * ARROW_MM);
        let vertices = [away * ARROW_MM + side, DVec2::ZERO, away * ARROW_MM - side];
        self.path(Layer::Dimensions, vertices.map(|by| Vertex { at: tip + by, bulge: 0.0 }).into(), false);
    }

    pub(crate) fn turned_text(
        &mut self,
        layer: Layer,
        at: DVec2,
        size_mm: f64,
        turn_rad: f64,
        anchor: Anchor,
        words: String,
    ) {
        self.items.push(Item { layer, shape: Shape::Text { at, size_mm, turn_rad, anchor, words } });
    }

    /// Adds all items of another drawing, moved.
    pub fn add_moved(&mut self, other: &Self, by: DVec2) {
        self.items.extend(other.items.iter().map(|item| item.moved(by)));
    }

    /// The corners of the smallest upright rectangle around everything but words; `None` when there is nothing.
    pub fn bounds(&self) -> Option<[DVec2; 2]> {
        self.items
            .iter()
            .filter_map(Item::bounds)
            .reduce(|[low, high], [other_low, other_high]| [low.min(other_low), high.max(other_high)])
    }
}

impl Item {
    fn moved(&self, by: DVec2) -> Self {
        let mut moved = self.clone();
        match &mut moved.shape {
            Shape::Path { vertices, .. } => vertices.iter_mut().for_each(|vertex| vertex.at += by),
            Shape::Circle { center, .. } => *center += by,
            Shape::Area { loops, .. } => loops.iter_mut().flatten().for_each(|at| *at += by),
            Shape::Text { at, .. } => *at += by,
        }
        moved
    }

    /// The rectangle around the item; an arc counts with its whole circle when it turns far, which is never too
    /// little.
    pub fn bounds(&self) -> Option<[DVec2; 2]> {
        match &self.shape {
            Shape::Path { vertices, closed } => {
                let n = vertices.len();
                let ends = (0..n).flat_map(|idx| {
                    let (from, to) = (vertices[idx], vertices[(idx + 1) % n]);
                    let bends = from.bulge != 0.0 && (*closed || idx + 1 < n);
                    let around = if bends { arc(from.at, to.at, from.bulge) } else { None };
                    let reach = around.map_or(DVec2::ZERO, |arc| DVec2::splat(arc.height_mm()));
                    [from.at - reach, from.at + reach, to.at - reach, to.at + reach]
                });
                let corners: Vec<DVec2> = ends.collect();
                let low = corners.iter().copied().reduce(DVec2::min)?;
                Some([low, corners.into_iter().reduce(DVec2::max)?])
            }
            Shape::Circle { center, radius_mm } => {
                Some([*center - DVec2::splat(*radius_mm), *center + DVec2::splat(*radius_mm)])
            }
            Shape::Area { loops, .. } => {
                let corners = || loops.iter().flatten().copied();
                Some([corners().reduce(DVec2::min)?, corners().reduce(DVec2::max)?])
            }
            Shape::Text { .. } => None,
        }
    }
}

/// An arc of a path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    /// Centre, in millimetres.
    pub center: DVec2,
    /// Radius, in millimetres.
    pub radius_mm: f64,
    /// Angle of its start, in radians.
    pub from_rad: f64,
    /// Angle that it turns, positive to the left.
    pub turn_rad: f64,
}

impl Arc {
    /// How far it rises from its chord.
    fn height_mm(self) -> f64 {
        self.radius_mm * (1.0 - (0.5 * self.turn_rad).cos())
    }

    /// A point of it, at a share of the way.
    pub fn point(self, share: f64) -> DVec2 {
        self.center + DVec2::from_angle(self.from_rad + self.turn_rad * share) * self.radius_mm
    }
}

/// The arc between two points with a bulge; `None` for a straight line.
pub fn arc(from: DVec2, to: DVec2, bulge: f64) -> Option<Arc> {
    if bulge == 0.0 || from == to {
        return None;
    }
    let turn_rad = 4.0 * bulge.atan();
    let chord = to - from;
    // The centre lies beside the middle of the chord by half of it over the tangent of half the turn.
    let center = 0.5 * (from + to) + chord.perp() * (0.25 * (1.0 / bulge - bulge));
    Some(Arc { center, radius_mm: center.distance(from), from_rad: (from - center).to_angle(), turn_rad })
}

/// A length in millimetres and inches.
pub fn both(length_mm: f64) -> String {
    units::show_both(Length::new::<millimeter>(length_mm))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_arc_of_a_bulge() {
        // A quarter turn to the left about the origin.
        let quarter = arc(DVec2::X, DVec2::Y, (std::f64::consts::FRAC_PI_8).tan()).expect("an arc");
        assert!(quarter.center.length() < 1e-12 && (quarter.radius_mm - 1.0).abs() < 1e-12);
        assert!((quarter.turn_rad - std::f64::consts::FRAC_PI_2).abs() < 1e-12);
        assert!(quarter.point(0.5).distance(DVec2::splat(0.5_f64.sqrt())) < 1e-12);
        let back = arc(DVec2::Y, DVec2::X, -(std::f64::consts::FRAC_PI_8).tan()).expect("an arc");
        assert!(back.center.length() < 1e-12);
    }

    #[test]
    fn exact_bounds() {
        let mut drawing = Drawing::default();
        assert_eq!(drawing.bounds(), None);
        drawing.circle(Layer::Bore, DVec2::new(1.0, 2.0), 3.0);
        drawing.line(Layer::Cut, DVec2::ZERO, DVec2::new(9.0, 0.0));
        assert_eq!(drawing.bounds(), Some([DVec2::new(-2.0, -1.0), DVec2::new(9.0, 5.0)]));
    }
}
