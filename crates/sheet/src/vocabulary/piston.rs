//! `[piston]` and `[[piston.pocket]]`: where the crown stands, what is cut into it, where its top ring sits.

use units::{Angle, CrankAngle, Length, Volume};

use super::block::{EXTENT, OFFSET, SIZE};
use super::head::TILT;
use super::usual::{ANGLE, BORE_GAUGE, CALLIPER, CAM_ANGLE, DEPTH, POSITION, TRAVEL, TWO_FILLS};
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words};

const ENTRIES: &[&Entry] = &[
    &DECK_OFFSET.entry,
    &CROWN_VOLUME.entry,
    &LAND_CLEARANCE.entry,
    &TOP_LAND_HEIGHT.entry,
    &COMPRESSION_HEIGHT.entry,
    &SKIRT_CLEARANCE.entry,
    &SKIRT_LENGTH.entry,
    &CROWN_THICKNESS.entry,
    &MAKE,
    &FLY_CUT_VOLUME.entry,
    &GROOVE_DEPTH.entry,
    &GROOVE_HEIGHT.entry,
    &GROWTH.entry,
];

/// The piston.
pub const PISTON: Section = Section {
    key: "piston",
    meaning: "crown, ring land and where the crown stands at top dead centre",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[&DOME, &DISH, &POCKET, &FLY_CUT, &DROP],
};

/// What one cylinder's piston has of its own.
pub const PISTON_OF_ONE: Section = Section {
    key: "piston",
    meaning: "crown, ring land and where the crown stands at top dead centre",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[&DOME, &DISH, &POCKET_OF_ONE, &FLY_CUT],
};

/// Raised metal.
pub const DOME: Section = Section {
    key: "dome",
    meaning: "a round plateau about the bore axis with sloping sides, raised on the crown's flat",
    shape: Shape::Once,
    entries: &[&DOME_BASE.entry, &DOME_TOP.entry, &DOME_HEIGHT.entry],
    sections: &[],
};

/// A dish.
pub const DISH: Section = Section {
    key: "dish",
    meaning: "a round, flat-bottomed dish with upright sides",
    shape: Shape::Once,
    entries: &[&DISH_DIAMETER.entry, &DISH_DEPTH.entry, &DISH_X.entry, &DISH_Y.entry],
    sections: &[],
};

/// A valve pocket.
pub const POCKET: Section = Section {
    key: "pocket",
    meaning: "a round, flat-bottomed valve pocket in the crown",
    shape: Shape::List,
    entries: &[
        &VALVE,
        &X.entry,
        &Y.entry,
        &DIAMETER.entry,
        &DEPTH_OF_FLOOR.entry,
        &TILT_X.entry,
        &TILT_Y.entry,
    ],
    sections: &[],
};

/// A pocket cut since.
pub const FLY_CUT: Section = Section {
    key: "fly_cut",
    meaning: "a pocket cut since crown_volume was poured; it stands in the place of its valve's pocket and adds its own volume, \
              reckoned on a flat crown",
    shape: Shape::List,
    entries: &[
        &VALVE,
        &X.entry,
        &Y.entry,
        &DIAMETER.entry,
        &DEPTH_OF_FLY_CUT.entry,
        &TILT_X.entry,
        &TILT_Y.entry,
    ],
    sections: &[],
};

/// A drop from a seated valve to the crown.
pub const DROP: Section = Section {
    key: "drop",
    meaning: "how far a seated valve can be pushed open before it meets the piston, at a crank angle near overlap top dead centre; two or more a valve stand for the crown's geometry, whatever the cam",
    shape: Shape::List,
    entries: &[&DROP_VALVE, &AFTER_TOP.entry, &DROP_LENGTH.entry],
    sections: &[],
};

/// Whose drop.
pub const DROP_VALVE: Entry = Entry {
    words: Words {
        key: "valve",
        meaning: "name of the valve that was pushed open",
        measure: "as in [[head.valve]]",
        example: "intake",
    },
    ..VALVE
};

/// Where the crank stood.
pub const AFTER_TOP: Field<CrankAngle> = Field::new(
    Words {
        key: "after_tdc",
        meaning: "crank angle after overlap top dead centre, negative before it",
        measure: "degree wheel, top found by positive stop; 15, 10 and 5 degrees either side and the top itself",
        example: "10 deg",
    },
    Range::open(-90.0, 90.0),
    CAM_ANGLE,
    Missing::Required,
);

/// How far it went.
pub const DROP_LENGTH: Field<Length> = Field::new(
    Words {
        key: "drop",
        meaning: "travel of the valve from its seat to the piston, along the valve",
        measure: "dial indicator on the retainer, light checking spring, valve pushed down until it stops",
        example: "5.85 mm ± 0.05",
    },
    EXTENT,
    TRAVEL,
    Missing::Required,
);

/// The readings of a pocket, for one cylinder or as a change.
pub const POCKET_OF_ONE: Section = Section {
    key: "pocket",
    meaning: "readings of the pocket of the valve of that name",
    shape: Shape::Named,
    entries: &[&X.entry, &Y.entry, &DIAMETER.entry, &DEPTH_OF_FLOOR.entry, &TILT_X.entry, &TILT_Y.entry],
    sections: &[],
};

/// Crown above deck at top dead centre.
pub const DECK_OFFSET: Field<Length> = Field::new(
    Words {
        key: "deck_offset",
        meaning: "flat of the crown above the deck at top dead centre; negative when it stays in the hole",
        measure: "deck bridge and dial indicator over the pin line, both sides, averaged",
        example: "-0.35 mm ± 0.03",
    },
    OFFSET,
    DEPTH,
    Missing::Taken(
        "from block.deck_height, block.rod_length and compression_height when all are given, else a usual production deck",
    ),
);

/// Dish less dome.
pub const CROWN_VOLUME: Field<Volume> = Field::new(
    Words {
        key: "crown_volume",
        meaning: "what dish and pockets add to the space above the crown's flat, less what a dome takes; positive for a dish",
        measure: "piston at a known depth under a plate, rim greased, burette, less the plain cylinder",
        example: "4.0 cc",
    },
    Range::open(-1.0e6, 1.0e6),
    TWO_FILLS,
    Missing::Estimated("piston.crown_volume"),
);

/// Beside the top land.
pub const LAND_CLEARANCE: Field<Length> = Field::new(
    Words {
        key: "land_clearance",
        meaning: "between bore wall and top land, on one side",
        measure: "micrometer over the top land, taken from the bore, halved",
        example: "0.35 mm",
    },
    EXTENT,
    CALLIPER,
    Missing::Estimated("piston.land_clearance"),
);

/// Down to the top ring.
pub const TOP_LAND_HEIGHT: Field<Length> = Field::new(
    Words {
        key: "top_land_height",
        meaning: "from the crown's flat down to the upper face of the top ring groove",
        measure: "callipers' depth rod at the edge of the crown",
        example: "6.2 mm",
    },
    EXTENT,
    CALLIPER,
    Missing::Estimated("piston.top_land_height"),
);

/// From pin centre to crown.
pub const COMPRESSION_HEIGHT: Field<Length> = Field::new(
    Words {
        key: "compression_height",
        meaning: "from the pin's centre to the crown's flat",
        measure: "callipers from the top of the pin bore to the crown, plus half the pin bore",
        example: "38.5 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("piston.compression_height"),
);

/// Beside the skirt.
pub const SKIRT_CLEARANCE: Field<Length> = Field::new(
    Words {
        key: "skirt_clearance",
        meaning: "bore less skirt, on the diameter; with skirt_length it says how far the piston can lean about its pin",
        measure: "micrometer over the skirt across the pin, taken from the bore",
        example: "0.08 mm",
    },
    EXTENT,
    BORE_GAUGE,
    Missing::Estimated("piston.skirt_clearance"),
);

/// What guides the piston.
pub const SKIRT_LENGTH: Field<Length> = Field::new(
    Words {
        key: "skirt_length",
        meaning: "from the upper to the lower end of what guides the piston in its bore",
        measure: "callipers along the skirt",
        example: "42 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("piston.skirt_length"),
);

/// Foot of a dome.
pub const DOME_BASE: Field<Length> = Field::new(
    Words {
        key: "base_diameter",
        meaning: "diameter where the dome's sides meet the crown's flat",
        measure: "callipers",
        example: "78 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Required,
);

/// Plateau of a dome.
pub const DOME_TOP: Field<Length> = Field::new(
    Words {
        key: "top_diameter",
        meaning: "diameter of the dome's plateau, less than that of its base",
        measure: "callipers",
        example: "62 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Required,
);

/// Height of a dome.
pub const DOME_HEIGHT: Field<Length> = Field::new(
    Words {
        key: "height",
        meaning: "height of the dome's plateau over the crown's flat",
        measure: "depth gauge from the plateau to the flat",
        example: "4.0 mm",
    },
    SIZE,
    DEPTH,
    Missing::Required,
);

/// Diameter of a dish.
pub const DISH_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "diameter",
        meaning: "diameter of the dish",
        measure: "callipers at the floor",
        example: "62 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Required,
);

/// Floor of a dish.
pub const DISH_DEPTH: Field<Length> = Field::new(
    Words {
        key: "depth",
        meaning: "floor of the dish below the crown's flat",
        measure: "depth gauge from a bar across the crown",
        example: "2.0 mm",
    },
    EXTENT,
    DEPTH,
    Missing::Required,
);

/// Centre of a dish along the crank.
pub const DISH_X: Field<Length> = Field::new(
    Words {
        key: "x",
        meaning: "centre of the dish along the crank from the bore axis, positive to the front",
        measure: "callipers from the crown's edge",
        example: "0 mm",
    },
    OFFSET,
    CALLIPER,
    Missing::Estimated("piston.dish.x"),
)
.turning();

/// Centre of a dish across the engine.
pub const DISH_Y: Field<Length> = Field::new(
    Words {
        key: "y",
        meaning: "centre of the dish across the engine from the bore axis, positive to the left looking forward",
        measure: "callipers from the crown's edge",
        example: "0 mm",
    },
    OFFSET,
    CALLIPER,
    Missing::Estimated("piston.dish.y"),
);

/// Crown where a pocket goes.
pub const CROWN_THICKNESS: Field<Length> = Field::new(
    Words {
        key: "crown_thickness",
        meaning: "thickness of the crown where a pocket goes",
        measure: "ball-ended callipers or depth gauge from both sides",
        example: "8.0 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Taken("not known; asked for where a pocket is cut"),
);

/// How it is made.
pub const MAKE: Entry = Entry::new(
    Words {
        key: "make",
        meaning: "how the piston is made and used, for the crown it needs below a pocket",
        measure: "",
        example: "forged",
    },
    Form::Choice(&["cast", "forged", "forged_boosted"]),
    Missing::Taken("forged, without boost"),
);

/// Back of the ring groove.
pub const GROOVE_DEPTH: Field<Length> = Field::new(
    Words {
        key: "groove_depth",
        meaning: "from the top land's surface inward to the back of the top ring groove",
        measure: "callipers' depth rod",
        example: "4.2 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Taken("not known; asked for where a pocket is cut"),
);

/// Height of the ring groove.
pub const GROOVE_HEIGHT: Field<Length> = Field::new(
    Words {
        key: "groove_height",
        meaning: "between the faces of the top ring groove",
        measure: "feeler gauges",
        example: "1.5 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Taken("not known; asked for where a pocket is cut"),
);

/// Rise when running.
pub const GROWTH: Field<Length> = Field::new(
    Words {
        key: "growth",
        meaning: "how far the running piston stands higher than by hand: stretch, bearing clearance and heat",
        measure: "clay or a mark on the head after a hard run, against the cold clearance",
        example: "0.6 mm",
    },
    EXTENT,
    DEPTH,
    Missing::Taken("0.030 in"),
);

/// Which valve the pocket was cut for.
pub const VALVE: Entry = Entry::new(
    Words { key: "valve", meaning: "name of the valve it was cut for", measure: "", example: "intake" },
    Form::Name,
    Missing::Required,
);

/// Centre of the floor along the crank.
pub const X: Field<Length> = Field::new(
    Words {
        key: "x",
        meaning: "centre of the floor along the crank from the bore axis, positive to the front",
        measure: "callipers from the crown's edge, or transferred from the valve with a pointed dummy",
        example: "21 mm",
    },
    OFFSET,
    POSITION,
    Missing::Required,
)
.turning();

/// Centre of the floor across the engine.
pub const Y: Field<Length> = Field::new(
    Words {
        key: "y",
        meaning: "centre of the floor across the engine from the bore axis, positive to the left looking forward",
        measure: "callipers from the crown's edge, or transferred from the valve with a pointed dummy",
        example: "0 mm",
    },
    OFFSET,
    POSITION,
    Missing::Required,
);

/// Diameter of the cut.
pub const DIAMETER: Field<Length> = Field::new(
    Words {
        key: "diameter",
        meaning: "diameter of the cut, across its axis",
        measure: "callipers at the floor",
        example: "43 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Required,
);

/// Floor below the crown.
pub const DEPTH_OF_FLOOR: Field<Length> = Field::new(
    Words {
        key: "depth",
        meaning: "floor below the crown's flat, along the cut's axis at its centre",
        measure: "depth gauge from a bar across the crown",
        example: "2.5 mm",
    },
    EXTENT,
    DEPTH,
    Missing::Required,
);

/// Floor of a fly-cut below the crown.
pub const DEPTH_OF_FLY_CUT: Field<Length> = Field::new(
    Words {
        key: "depth",
        meaning: "floor below the crown's flat, along the cut's axis at its centre; negative where a leaning cutter's centre \
                  stays above it",
        measure: "depth stop of the machine",
        example: "2.5 mm",
    },
    OFFSET,
    DEPTH,
    Missing::Required,
);

/// What fly-cuts add.
pub const FLY_CUT_VOLUME: Field<Volume> = Field::new(
    Words {
        key: "fly_cut_volume",
        meaning: "what all fly-cuts together added to the space above the crown",
        measure: "two burette fills, before and after",
        example: "0.8 cc",
    },
    Range::from(0.0, 1.0e6),
    TWO_FILLS,
    Missing::Taken("reckoned from the cutters"),
);

/// Lean of the cut fore and aft.
pub const TILT_X: Field<Angle> = Field::new(
    Words {
        key: "tilt_x",
        meaning: "lean of the cut's axis seen from the side, positive when its top leans to the front",
        measure: "protractor against the floor",
        example: "0 deg",
    },
    TILT,
    ANGLE,
    Missing::Taken("the tilt of its valve"),
)
.turning();

/// Lean of the cut left and right.
pub const TILT_Y: Field<Angle> = Field::new(
    Words {
        key: "tilt_y",
        meaning: "lean of the cut's axis seen along the crank, positive when its top leans to the left looking forward",
        measure: "protractor against the floor",
        example: "-15 deg",
    },
    TILT,
    ANGLE,
    Missing::Taken("the tilt of its valve"),
);
