//! `[[block.relief]]`, `[[block.wall]]` and `[[block.hole]]`: what was cut into bore and deck, and the metal around it.

use units::{Angle, Length, Volume};

use super::block::{EXTENT, OFFSET, SIZE};
use super::head::TILT;
use super::usual::{ANGLE, CALLIPER, DEPTH, POSITION, SONIC, TWO_FILLS};
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words};

/// A relief.
pub const RELIEF: Section = Section {
    key: "relief",
    meaning: "a relief cut into bore and deck; it stays in the block when the head is swapped",
    shape: Shape::List,
    entries: &[
        &VALVE,
        &DIAMETER.entry,
        &PLUNGE.entry,
        &CORNER_RADIUS.entry,
        &LAYBACK.entry,
        &X.entry,
        &Y.entry,
        &TILT_X.entry,
        &TILT_Y.entry,
        &REMOVED.entry,
    ],
    sections: &[],
};

/// A wall thickness.
pub const WALL: Section = Section {
    key: "wall",
    meaning: "a wall thickness by sonic tester from inside the bore, before any cut; four to eight around at each height",
    shape: Shape::List,
    entries: &[&CLOCKWISE.entry, &BELOW_DECK.entry, &THICKNESS.entry],
    sections: &[],
};

/// A hole in the deck.
pub const HOLE: Section = Section {
    key: "hole",
    meaning: "a bolt, water, oil or dowel hole in the deck near this bore",
    shape: Shape::List,
    entries: &[&NAME, &KIND, &HOLE_X.entry, &HOLE_Y.entry, &HOLE_DIAMETER.entry],
    sections: &[],
};

/// Which valve it was cut for.
pub const VALVE: Entry = Entry::new(
    Words { key: "valve", meaning: "name of the valve it was cut for", measure: "", example: "exhaust" },
    Form::Name,
    Missing::Required,
);

/// Diameter of the cutter.
pub const DIAMETER: Field<Length> = Field::new(
    Words {
        key: "diameter",
        meaning: "diameter of the cutter, where its end and its side would meet",
        measure: "callipers over the cutter, or a radius gauge in the cut",
        example: "40.0 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Required,
);

/// How deep it went.
pub const PLUNGE: Field<Length> = Field::new(
    Words {
        key: "plunge",
        meaning: "cutter's end below the deck, along its axis",
        measure: "depth stop of the machine, or depth gauge from the deck to the floor",
        example: "6.4 mm",
    },
    SIZE,
    DEPTH,
    Missing::Required,
);

/// Between floor and wall.
pub const CORNER_RADIUS: Field<Length> = Field::new(
    Words {
        key: "corner_radius",
        meaning: "radius between floor and wall of the cut; 0 for a square corner",
        measure: "radius gauge on the cutter",
        example: "1.0 mm",
    },
    EXTENT,
    CALLIPER,
    Missing::Estimated("block.relief.corner_radius"),
);

/// Lean of a hand-blended wall.
pub const LAYBACK: Field<Angle> = Field::new(
    Words {
        key: "layback",
        meaning: "angle between the wall and the cutter's axis, when the wall was laid back by hand",
        measure: "protractor against the wall",
        example: "30 deg",
    },
    Range::from(0.0, 80.0),
    ANGLE,
    Missing::Taken("0, as a cutter leaves it"),
);

/// Where the axis meets the deck, along the crank.
pub const X: Field<Length> = Field::new(
    Words {
        key: "x",
        meaning: "where the cutter's axis meets the deck, along the crank from the bore axis, positive to the front",
        measure: "from the set-up, or callipers across the cut",
        example: "23.9 mm",
    },
    OFFSET,
    POSITION,
    Missing::Taken("where the valve's axis meets the deck"),
)
.turning();

/// Where the axis meets the deck, across the engine.
pub const Y: Field<Length> = Field::new(
    Words {
        key: "y",
        meaning: "where the cutter's axis meets the deck, across the engine from the bore axis, positive to the left looking \
                  forward",
        measure: "from the set-up, or callipers across the cut",
        example: "0.5 mm",
    },
    OFFSET,
    POSITION,
    Missing::Taken("where the valve's axis meets the deck"),
);

/// Lean of the cutter fore and aft.
pub const TILT_X: Field<Angle> = Field::new(
    Words {
        key: "tilt_x",
        meaning: "lean of the cutter's axis seen from the side, positive when its top leans to the front",
        measure: "from the set-up",
        example: "0 deg",
    },
    TILT,
    ANGLE,
    Missing::Taken("the tilt of its valve"),
)
.turning();

/// Lean of the cutter left and right.
pub const TILT_Y: Field<Angle> = Field::new(
    Words {
        key: "tilt_y",
        meaning: "lean of the cutter's axis seen along the crank, positive when its top leans to the left looking forward",
        measure: "from the set-up",
        example: "-15 deg",
    },
    TILT,
    ANGLE,
    Missing::Taken("the tilt of its valve"),
);

/// What it took out.
pub const REMOVED: Field<Volume> = Field::new(
    Words {
        key: "removed",
        meaning: "metal removed",
        measure: "two burette fills, before and after",
        example: "0.32 cc",
    },
    Range::from(0.0, 1.0e6),
    TWO_FILLS,
    Missing::Taken("reckoned from the cutter and the bore"),
);

/// Where around the bore.
pub const CLOCKWISE: Field<Angle> = Field::new(
    Words {
        key: "clockwise",
        meaning: "where around the bore, clockwise from the front seen from above",
        measure: "paper degree wheel on the deck",
        example: "90 deg",
    },
    Range::open(-361.0, 361.0),
    ANGLE,
    Missing::Required,
);

/// How far down.
pub const BELOW_DECK: Field<Length> = Field::new(
    Words {
        key: "below_deck",
        meaning: "how far below the deck",
        measure: "depth gauge from the deck",
        example: "6 mm",
    },
    EXTENT,
    POSITION,
    Missing::Required,
);

/// How thick.
pub const THICKNESS: Field<Length> = Field::new(
    Words {
        key: "thickness",
        meaning: "from the bore's surface to the water",
        measure: "sonic tester set on a piece of the same iron",
        example: "5.1 mm",
    },
    SIZE,
    SONIC,
    Missing::Required,
);

/// What a hole is called.
pub const NAME: Entry = Entry::new(
    Words { key: "name", meaning: "what it is called", measure: "", example: "bolt_3" },
    Form::Name,
    Missing::Required,
);

/// What goes through it.
pub const KIND: Entry = Entry::new(
    Words { key: "kind", meaning: "what goes through it", measure: "", example: "bolt" },
    Form::Choice(&["bolt", "water", "oil", "dowel"]),
    Missing::Required,
);

/// Centre along the crank.
pub const HOLE_X: Field<Length> = Field::new(
    Words {
        key: "x",
        meaning: "centre along the crank from the bore axis, positive to the front",
        measure: "callipers from the bore, or the gasket laid on",
        example: "48.5 mm",
    },
    OFFSET,
    POSITION,
    Missing::Required,
);

/// Centre across the engine.
pub const HOLE_Y: Field<Length> = Field::new(
    Words {
        key: "y",
        meaning: "centre across the engine from the bore axis, positive to the left looking forward",
        measure: "callipers from the bore, or the gasket laid on",
        example: "33 mm",
    },
    OFFSET,
    POSITION,
    Missing::Required,
);

/// How wide.
pub const HOLE_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "diameter",
        meaning: "diameter; for a bolt that of the thread or of its counterbore, whichever is larger",
        measure: "callipers",
        example: "12.7 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Required,
);

/// How thick the deck is.
pub const DECK_THICKNESS: Field<Length> = Field::new(
    Words {
        key: "deck_thickness",
        meaning: "thickness of the deck plate beside the bore",
        measure: "hooked depth gauge through a water hole",
        example: "11 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Taken("not known; asked for where a relief is cut"),
);
