//! `opening_outline` and `chamber_outline`: a traced edge as a polygon.

use units::Length;

use super::block::OFFSET;
use super::usual::TRACING;
use super::{Entry, Field, Form, Missing, Section, Shape, Words};

/// Fewest and most corners.
pub const CORNERS: std::ops::RangeInclusive<usize> = 3..=500;

/// Pairs of keys of which a part has one: the round form and the polygon.
pub const EITHER: [[&str; 2]; 2] = [["opening", "opening_outline"], ["chamber_diameter", "chamber_outline"]];

const ENTRIES: &[&Entry] = &[&UNIT, &POINTS, &GROWTH.entry];

/// The gasket opening when it is not round.
pub const OUTLINE_OF_OPENING: Section = Section {
    key: "opening_outline",
    meaning: "the opening as a polygon instead of a diameter",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[],
};

/// The chamber when it is not round.
pub const OUTLINE_OF_CHAMBER: Section = Section {
    key: "chamber_outline",
    meaning: "the chamber's edge as a polygon instead of a diameter",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[],
};

/// Unit of the corners.
pub const UNIT: Entry = Entry::new(
    Words { key: "unit", meaning: "unit of the corners", measure: "", example: "mm" },
    Form::LengthUnit,
    Missing::Required,
);

/// The corners.
pub const POINTS: Entry = Entry::new(
    Words {
        key: "points",
        meaning: "corners [x, y] in order round the edge, from the bore axis: x positive to the front, y positive to the \
                  left; the last joins the first",
        measure: "blue the face, lay the gasket or a template over it on the dowels, scribe, and read off a grid",
        example: "[[40.0, 0.0], [0.0, 40.0], [-40.0, 0.0], [0.0, -40.0]]",
    },
    Form::Corners,
    Missing::Required,
);

/// How much larger the true edge is.
pub const GROWTH: Field<Length> = Field::new(
    Words {
        key: "growth",
        meaning: "how much larger the true edge is all round; its tolerance is that of the tracing",
        measure: "callipers across two known corners",
        example: "0 mm ± 0.2",
    },
    OFFSET,
    TRACING,
    Missing::Taken("0, with the tolerance of a usual tracing"),
);
