//! `[block]`: bore, crank throw and deck.

use units::Length;

use super::relief::{DECK_THICKNESS, HOLE, RELIEF, WALL};
use super::usual::{BORE_GAUGE, CALLIPER, CRANK_TRAIN, DEPTH};
use super::{Field, Missing, Range, Section, Shape, Words};

/// A size that is never zero, mm.
pub const SIZE: Range = Range::open(0.1, 10_000.0);
/// A size that may be zero, mm.
pub const EXTENT: Range = Range::from(0.0, 10_000.0);
/// A place or offset of either sign, mm.
pub const OFFSET: Range = Range::open(-10_000.0, 10_000.0);

/// The block.
pub const BLOCK: Section = Section {
    key: "block",
    meaning: "bore, crank throw and deck",
    shape: Shape::Once,
    entries: &[
        &BORE.entry,
        &STROKE.entry,
        &ROD_LENGTH.entry,
        &PIN_OFFSET.entry,
        &CHAMFER_WIDTH.entry,
        &CHAMFER_DEPTH.entry,
        &BORE_SPACING.entry,
        &DECK_HEIGHT.entry,
        &DECK_THICKNESS.entry,
    ],
    sections: &[&RELIEF, &WALL, &HOLE],
};

/// Diameter of the finished bore.
pub const BORE: Field<Length> = Field::new(
    Words {
        key: "bore",
        meaning: "diameter of the finished bore",
        measure: "bore gauge near the top of the bore, along and across the crank, averaged",
        example: "82.00 mm ± 0.01",
    },
    SIZE,
    BORE_GAUGE,
    Missing::Required,
);

/// Full travel of the piston.
pub const STROKE: Field<Length> = Field::new(
    Words {
        key: "stroke",
        meaning: "twice the crank throw",
        measure: "dial indicator on the crown from bottom to top dead centre, or the grinder's card",
        example: "76.5 mm",
    },
    SIZE,
    CRANK_TRAIN,
    Missing::Required,
);

/// Between the centres of big and small end.
pub const ROD_LENGTH: Field<Length> = Field::new(
    Words {
        key: "rod_length",
        meaning: "between the centres of big and small end",
        measure: "rod fixture, or callipers over both pins less half of each pin",
        example: "132.0 mm",
    },
    SIZE,
    CRANK_TRAIN,
    Missing::Estimated("block.rod_length"),
);

/// Gudgeon pin offset.
pub const PIN_OFFSET: Field<Length> = Field::new(
    Words {
        key: "pin_offset",
        meaning: "gudgeon pin off the bore axis, positive toward the side the crank throw moves to after top dead centre",
        measure: "surface plate and height gauge on the piston's skirt, both sides",
        example: "0.8 mm",
    },
    OFFSET,
    CALLIPER,
    Missing::Estimated("block.pin_offset"),
);

/// Reach of the lead-in chamfer seen from above.
pub const CHAMFER_WIDTH: Field<Length> = Field::new(
    Words {
        key: "chamfer_width",
        meaning: "how far the chamfer at the top of the bore reaches outward, seen from above; 0 for a sharp edge",
        measure: "callipers across the chamfer's outer edge, less the bore, halved",
        example: "0.6 mm",
    },
    EXTENT,
    CALLIPER,
    Missing::Taken("as wide as deep; with neither, the smaller of usual lead-in chamfers"),
);

/// Reach of the lead-in chamfer down the bore.
pub const CHAMFER_DEPTH: Field<Length> = Field::new(
    Words {
        key: "chamfer_depth",
        meaning: "how far that chamfer reaches down the bore",
        measure: "depth gauge from the deck to where the bore turns straight",
        example: "0.6 mm",
    },
    EXTENT,
    CALLIPER,
    Missing::Taken("as deep as wide; with neither, the smaller of usual lead-in chamfers"),
);

/// Between the centres of neighbouring bores.
pub const BORE_SPACING: Field<Length> = Field::new(
    Words {
        key: "bore_spacing",
        meaning: "between the centres of neighbouring bores; where block and head both give one and they differ, chamber \
                  and valves of each cylinder are moved by what the difference adds up to from the middle of the row",
        measure: "callipers over two neighbouring bores' far walls, less one bore",
        example: "95.0 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Taken("the head's own spacing"),
);

/// From crank centre to deck.
pub const DECK_HEIGHT: Field<Length> = Field::new(
    Words {
        key: "deck_height",
        meaning: "from the crank's axis to the deck; with rod_length and piston.compression_height it gives the deck \
                  offset when that was not measured",
        measure: "height gauge from the main bearing bore to the deck, plus half the bearing bore",
        example: "203.5 mm",
    },
    SIZE,
    DEPTH,
    Missing::Taken("not known"),
);
