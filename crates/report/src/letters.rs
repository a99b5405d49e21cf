//! How much room words take on a drawing, and whether they stand in each other's way. Leaves out how letters look.

use glam::DVec2;

use crate::drawing::{Anchor, Drawing, Item, Layer, Shape};

/// Width of a line of words in Helvetica, in millimetres.
pub fn width_mm(words: &str, size_mm: f64) -> f64 {
    let share = |letter: char| u8::try_from(letter).map_or(0.556, helvetica_width);
    size_mm * words.chars().map(share).sum::<f64>()
}

/// Width of a letter in Helvetica against its size: the usual ones, and 0.556 for the rest (Adobe font metrics, from
/// memory). Only the placing of words depends on it.
pub fn helvetica_width(byte: u8) -> f64 {
    match byte {
        b'i' | b'j' | b'l' | b'\'' => 0.222,
        b' ' | b'!' | b',' | b'.' | b'/' | b':' | b';' | b'f' | b't' | b'I' => 0.278,
        b'(' | b')' | b'-' | b'r' => 0.333,
        b'c' | b'k' | b's' | b'v' | b'x' | b'y' | b'z' | b'J' => 0.5,
        b'w' | b'C' | b'D' | b'H' | b'N' | b'R' | b'U' => 0.722,
        b'm' | b'M' => 0.833,
        b'+' | b'=' => 0.584,
        b'A' | b'B' | b'E' | b'K' | b'P' | b'S' | b'V' | b'X' | b'Y' => 0.667,
        b'G' | b'O' | b'Q' => 0.778,
        _ => 0.556,
    }
}

/// Heights of letters over and under their base line, against their size.
const OVER: f64 = 0.75;
const UNDER: f64 = 0.22;

/// The rectangle that a line of words stands in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WordsBox {
    /// Its middle, in millimetres.
    pub center: DVec2,
    /// Half its width along the base line, half its height, in millimetres.
    pub half: DVec2,
    /// Unit vector along the base line.
    pub along: DVec2,
}

impl WordsBox {
    /// The box of an item; `None` for what is no words.
    pub fn of(item: &Item) -> Option<Self> {
        let Shape::Text { at, size_mm, turn_rad, anchor, words } = &item.shape else { return None };
        let width = width_mm(words, *size_mm);
        let along = DVec2::from_angle(*turn_rad);
        let middle = match anchor {
            Anchor::Left => 0.5 * width,
            Anchor::Middle => 0.0,
            Anchor::Right => -0.5 * width,
        };
        let center = *at + along * middle + along.perp() * (0.5 * (OVER - UNDER) * size_mm);
        Some(Self { center, half: 0.5 * DVec2::new(width, (OVER + UNDER) * size_mm), along })
    }

    /// Its corners, in order around it.
    pub fn corners(&self) -> [DVec2; 4] {
        let (x, y) = (self.along * self.half.x, self.along.perp() * self.half.y);
        [-x - y, x - y, x + y, y - x].map(|by| self.center + by)
    }

    /// Whether two boxes share any room: two rectangles do unless one of their four sides parts them.
    pub fn meets(&self, other: &Self) -> bool {
        let parts = |way: DVec2| {
            let reach = |one: &Self| {
                one.half.x * one.along.dot(way).abs() + one.half.y * one.along.perp().dot(way).abs()
            };
            (self.center - other.center).dot(way).abs() >= reach(self) + reach(other)
        };
        ![self.along, self.along.perp(), other.along, other.along.perp()].into_iter().any(parts)
    }

    /// Whether a straight line runs through it: a rectangle without height is a line.
    fn is_crossed(&self, from: DVec2, to: DVec2) -> bool {
        let along = (to - from).try_normalize().unwrap_or(DVec2::X);
        let line = Self { center: 0.5 * (from + to), half: DVec2::new(0.5 * from.distance(to), 0.0), along };
        self.meets(&line)
    }
}

/// Adds the first of several ways to draw the same that stands least in the way of what is there: words on words weigh most,
/// then words on lines that measure, then words on other lines.
pub fn add_clearest(drawing: &mut Drawing, ways: impl IntoIterator<Item = Drawing>) {
    let trouble = |way: &Drawing| trouble(drawing, way) + trouble(way, drawing);
    let best = ways.into_iter().min_by_key(trouble);
    drawing.items.extend(best.into_iter().flat_map(|way| way.items));
}

fn trouble(drawing: &Drawing, way: &Drawing) -> usize {
    let boxes = || way.items.iter().filter_map(WordsBox::of);
    let mut sum = 0;
    for item in &drawing.items {
        if let Some(known) = WordsBox::of(item) {
            // Counted from both sides.
            sum += 500 * boxes().filter(|words| known.meets(words)).count();
        }
        let weight = if item.layer == Layer::Dimensions { 10 } else { 1 };
        for ends in straight_parts(item) {
            sum += weight * boxes().filter(|words| words.is_crossed(ends[0], ends[1])).count();
        }
    }
    sum
}

/// An item's lines; circles and arcs as chords.
fn straight_parts(item: &Item) -> Vec<[DVec2; 2]> {
    let points: Vec<DVec2> = match &item.shape {
        Shape::Circle { center, radius_mm } => (0..=72)
            .map(|idx| {
                *center + DVec2::from_angle(f64::from(idx) * std::f64::consts::TAU / 72.0) * *radius_mm
            })
            .collect(),
        Shape::Path { vertices, closed } => {
            let first = vertices.first().filter(|_| *closed);
            vertices.iter().chain(first).map(|vertex| vertex.at).collect()
        }
        Shape::Text { .. } | Shape::Area { .. } => Vec::new(),
    };
    points.windows(2).map(|ends| [ends[0], ends[1]]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_boxes_that_meet() {
        let level = WordsBox { center: DVec2::ZERO, half: DVec2::new(10.0, 1.0), along: DVec2::X };
        let upright = |x: f64, y: f64| WordsBox { center: DVec2::new(x, y), along: DVec2::Y, ..level };
        assert!(level.meets(&upright(5.0, 5.0)) && level.meets(&upright(10.9, 0.0)));
        assert!(!level.meets(&upright(11.1, 0.0)) && !level.meets(&upright(0.0, 11.1)));
        // A diagonal beside a corner: the corner (10, 1) is 11/sqrt 2 = 7.78 along it.
        let along = DVec2::splat(0.5_f64.sqrt());
        let slanted = |far: f64| WordsBox { center: along * far, along: along.perp(), ..level };
        assert!(level.meets(&slanted(8.7)) && !level.meets(&slanted(8.8)));
        assert!(level.is_crossed(DVec2::new(3.0, -5.0), DVec2::new(3.0, 5.0)));
        assert!(!level.is_crossed(DVec2::new(3.0, 1.5), DVec2::new(3.0, 5.0)));
    }

    #[test]
    fn exact_words_stand_where_they_are_anchored() {
        let mut drawing = Drawing::default();
        for anchor in [Anchor::Left, Anchor::Middle, Anchor::Right] {
            drawing.text(DVec2::ZERO, 10.0, anchor, "00");
        }
        let centers: Vec<f64> =
            drawing.items.iter().filter_map(WordsBox::of).map(|words| words.center.x).collect();
        assert_eq!(centers.len(), 3);
        for (center, expected) in centers.into_iter().zip([5.56, 0.0, -5.56]) {
            assert!((center - expected).abs() < 1e-9, "{center}");
        }
    }
}
