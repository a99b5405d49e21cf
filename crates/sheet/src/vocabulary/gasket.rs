//! `[gasket]`: the plate between deck and head.

use units::Length;

use super::block::{EXTENT, OFFSET, SIZE};
use super::outline::OUTLINE_OF_OPENING;
use super::usual::{CALLIPER, GASKET_THICKNESS, POSITION};
use super::{Field, Missing, Range, Section, Shape, Words};

/// The gasket.
pub const GASKET: Section = Section {
    key: "gasket",
    meaning: "the plate between deck and head",
    shape: Shape::Once,
    entries: &[
        &THICKNESS.entry,
        &OPENING.entry,
        &OPENING_X.entry,
        &OPENING_Y.entry,
        &RING_INSET.entry,
        &RING_WIDTH.entry,
    ],
    sections: &[&OUTLINE_OF_OPENING],
};

/// Thickness when the head is torqued down.
pub const THICKNESS: Field<Length> = Field::new(
    Words {
        key: "thickness",
        meaning: "thickness when the head is torqued down",
        measure: "micrometer on a used gasket beside the fire ring, or solder squeezed between deck and head",
        example: "1.10 mm ± 0.05",
    },
    Range::open(0.0, 10_000.0),
    GASKET_THICKNESS,
    Missing::Estimated("gasket.thickness"),
);

/// Diameter of the round opening.
pub const OPENING: Field<Length> = Field::new(
    Words {
        key: "opening",
        meaning: "diameter of the opening over the bore, when it is round",
        measure: "callipers, four ways round",
        example: "84.0 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("gasket.opening"),
);

/// Out to the fire ring.
pub const RING_INSET: Field<Length> = Field::new(
    Words {
        key: "ring_inset",
        meaning: "from the edge of the opening outward to the fire ring or bead",
        measure: "callipers on the gasket",
        example: "0.5 mm",
    },
    EXTENT,
    CALLIPER,
    Missing::Taken("not known; asked for where a relief is cut"),
);

/// How wide the fire ring is.
pub const RING_WIDTH: Field<Length> = Field::new(
    Words {
        key: "ring_width",
        meaning: "width of the fire ring or bead",
        measure: "callipers on the gasket",
        example: "2.5 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Taken("not known"),
);

/// Centre of the opening along the crank.
pub const OPENING_X: Field<Length> = Field::new(
    Words {
        key: "opening_x",
        meaning: "centre of the opening along the crank from the bore axis, positive to the front",
        measure: "gasket on the block's dowels, edge to bore wall at front and back, difference halved",
        example: "0.3 mm",
    },
    OFFSET,
    POSITION,
    Missing::Estimated("gasket.opening_x"),
)
.turning();

/// Centre of the opening across the engine.
pub const OPENING_Y: Field<Length> = Field::new(
    Words {
        key: "opening_y",
        meaning: "centre of the opening across the engine from the bore axis, positive to the left looking forward",
        measure: "gasket on the block's dowels, edge to bore wall at left and right, difference halved",
        example: "0 mm",
    },
    OFFSET,
    POSITION,
    Missing::Estimated("gasket.opening_y"),
);
