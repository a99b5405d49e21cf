//! `[head]` and `[[head.valve]]`: chamber, valves and how well the head is located.

use units::{Angle, Length, Volume};

use super::block::{EXTENT, OFFSET, SIZE};
use super::outline::OUTLINE_OF_CHAMBER;
use super::usual::{ANGLE, BURETTE, CALLIPER, DEPTH, POSITION, TRAVEL, TWIST};
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words};

/// Lean of an axis, degrees.
pub const TILT: Range = Range::open(-60.0, 60.0);

/// Fewest and most valves in a cylinder.
pub const VALVES: std::ops::RangeInclusive<usize> = 2..=5;

const ENTRIES: &[&Entry] = &[
    &CHAMBER_VOLUME.entry,
    &CHAMBER_DIAMETER.entry,
    &CHAMBER_X.entry,
    &CHAMBER_Y.entry,
    &CHAMBER_WALL_HEIGHT.entry,
    &SHIFT_X.entry,
    &SHIFT_Y.entry,
    &TWIST_OF_HEAD.entry,
    &BORE_SPACING.entry,
];

/// The head.
pub const HEAD: Section = Section {
    key: "head",
    meaning: "the cylinder head over one bore",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[&OUTLINE_OF_CHAMBER, &VALVE],
};

/// What one cylinder's head has of its own.
pub const HEAD_OF_ONE: Section = Section {
    key: "head",
    meaning: "the cylinder head over one bore",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[&OUTLINE_OF_CHAMBER, &VALVE_OF_ONE],
};

/// A valve.
pub const VALVE: Section = Section {
    key: "valve",
    meaning: "one of the two to five valves of a cylinder",
    shape: Shape::List,
    entries: &[
        &NAME,
        &DUTY,
        &HEAD_DIAMETER.entry,
        &MARGIN.entry,
        &SEAT_ANGLE.entry,
        &STEM_DIAMETER.entry,
        &X.entry,
        &Y.entry,
        &RECESS.entry,
        &TILT_X.entry,
        &TILT_Y.entry,
        &LIFT.entry,
        &CONTACT_LIFT.entry,
    ],
    sections: &[],
};

/// The readings of a valve, for one cylinder or as a change.
pub const VALVE_OF_ONE: Section = Section {
    key: "valve",
    meaning: "readings of the valve of that name",
    shape: Shape::Named,
    entries: &[
        &HEAD_DIAMETER.entry,
        &MARGIN.entry,
        &SEAT_ANGLE.entry,
        &STEM_DIAMETER.entry,
        &X.entry,
        &Y.entry,
        &RECESS.entry,
        &TILT_X.entry,
        &TILT_Y.entry,
        &LIFT.entry,
        &CONTACT_LIFT.entry,
    ],
    sections: &[],
};

/// Chamber volume as poured.
pub const CHAMBER_VOLUME: Field<Volume> = Field::new(
    Words {
        key: "chamber_volume",
        meaning: "chamber below the head's gasket face with plug fitted and valves shut",
        measure: "burette through a greased plate, head tilted so that air leaves at the hole",
        example: "46.5 cc ± 0.3",
    },
    Range::from(0.0, 1.0e6),
    BURETTE,
    Missing::Required,
);

/// Diameter of a round chamber.
pub const CHAMBER_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "chamber_diameter",
        meaning: "diameter of the chamber's edge at the gasket face, when it is round",
        measure: "callipers, four ways round",
        example: "80.5 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("head.chamber_diameter"),
);

/// Centre of the chamber along the crank.
pub const CHAMBER_X: Field<Length> = Field::new(
    Words {
        key: "chamber_x",
        meaning: "centre of the chamber along the crank from the bore axis, positive to the front",
        measure: "gasket as a template on the dowels, bore circle scribed onto the head",
        example: "0 mm",
    },
    OFFSET,
    POSITION,
    Missing::Estimated("head.chamber_x"),
)
.turning();

/// Centre of the chamber across the engine.
pub const CHAMBER_Y: Field<Length> = Field::new(
    Words {
        key: "chamber_y",
        meaning: "centre of the chamber across the engine from the bore axis, positive to the left looking forward",
        measure: "gasket as a template on the dowels, bore circle scribed onto the head",
        example: "1.5 mm",
    },
    OFFSET,
    POSITION,
    Missing::Estimated("head.chamber_y"),
);

/// Straight part of the chamber wall.
pub const CHAMBER_WALL_HEIGHT: Field<Length> = Field::new(
    Words {
        key: "chamber_wall_height",
        meaning: "how far the chamber wall goes straight up from the gasket face before it turns into the roof",
        measure: "depth gauge along the wall beside the valve",
        example: "3 mm",
    },
    EXTENT,
    CALLIPER,
    Missing::Estimated("head.chamber_wall_height"),
);

/// Head off its dowels toward the front.
pub const SHIFT_X: Field<Length> = Field::new(
    Words {
        key: "shift_x",
        meaning: "how far the whole head sits toward the front of where the dowels should hold it",
        measure: "dial indicator on the head's end face, pushed both ways on the dowels: half the travel is the tolerance",
        example: "0 mm ± 0.1",
    },
    OFFSET,
    DEPTH,
    Missing::Estimated("head.shift_x"),
);

/// Head off its dowels to the left.
pub const SHIFT_Y: Field<Length> = Field::new(
    Words {
        key: "shift_y",
        meaning: "how far the whole head sits to the left of where the dowels should hold it",
        measure: "dial indicator on the head's side, pushed both ways on the dowels: half the travel is the tolerance",
        example: "0 mm ± 0.1",
    },
    OFFSET,
    DEPTH,
    Missing::Estimated("head.shift_y"),
);

/// Head turned about the bore axis.
pub const TWIST_OF_HEAD: Field<Angle> = Field::new(
    Words {
        key: "twist",
        meaning: "how far the head is turned about the bore axis, positive anticlockwise seen from above",
        measure: "the two shifts at both ends of the head, difference over their distance",
        example: "0 deg ± 0.05",
    },
    Range::open(-90.0, 90.0),
    TWIST,
    Missing::Estimated("head.twist"),
);

/// Between neighbouring chambers.
pub const BORE_SPACING: Field<Length> = Field::new(
    Words {
        key: "bore_spacing",
        meaning: "between the centres of neighbouring chambers, if the head was made for another spacing than the block's",
        measure: "callipers from valve guide to the same valve's guide in the next chamber",
        example: "95.0 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Taken("the block's spacing"),
);

/// Name of a valve.
pub const NAME: Entry = Entry::new(
    Words {
        key: "name",
        meaning: "unique in the cylinder; letters, digits, _ and -",
        measure: "",
        example: "exhaust",
    },
    Form::Name,
    Missing::Required,
);

/// What a valve lets through.
pub const DUTY: Entry = Entry::new(
    Words { key: "duty", meaning: "what the valve lets through", measure: "", example: "exhaust" },
    Form::Choice(&["intake", "exhaust"]),
    Missing::Required,
);

/// Largest diameter of a valve head.
pub const HEAD_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "head_diameter",
        meaning: "largest diameter of the valve head",
        measure: "callipers or micrometer over the margin",
        example: "40.0 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Required,
);

/// Cylindrical edge of a valve head.
pub const MARGIN: Field<Length> = Field::new(
    Words {
        key: "margin",
        meaning: "height of the cylindrical edge between face and seat",
        measure: "callipers' depth rod or an optical comparator at the edge",
        example: "1.2 mm",
    },
    EXTENT,
    CALLIPER,
    Missing::Estimated("head.valve.margin"),
);

/// Seat angle.
pub const SEAT_ANGLE: Field<Angle> = Field::new(
    Words {
        key: "seat_angle",
        meaning: "between the seat and the plane of the face",
        measure: "the grinder's setting, or a protractor on the valve",
        example: "45 deg",
    },
    Range::open(15.0, 75.0),
    ANGLE,
    Missing::Estimated("head.valve.seat_angle"),
);

/// Stem diameter.
pub const STEM_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "stem_diameter",
        meaning: "diameter of the stem",
        measure: "micrometer below the guide's wear mark",
        example: "8.0 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("head.valve.stem_diameter"),
);

/// Seated face centre along the crank.
pub const X: Field<Length> = Field::new(
    Words {
        key: "x",
        meaning: "centre of the seated valve's face along the crank from the bore axis, positive to the front",
        measure: "bore circle scribed onto the head through the gasket on the dowels, then edge distances fore and aft, \
                  difference halved",
        example: "21.5 mm ± 0.2",
    },
    OFFSET,
    POSITION,
    Missing::Required,
)
.turning();

/// Seated face centre across the engine.
pub const Y: Field<Length> = Field::new(
    Words {
        key: "y",
        meaning: "centre of the seated valve's face across the engine from the bore axis, positive to the left looking \
                  forward",
        measure: "as x, with the edge distances left and right",
        example: "0 mm ± 0.2",
    },
    OFFSET,
    POSITION,
    Missing::Required,
);

/// Seated face above the gasket face.
pub const RECESS: Field<Length> = Field::new(
    Words {
        key: "recess",
        meaning: "seated face centre above the head's gasket face; negative when it hangs below",
        measure: "depth gauge from a bar across the gasket face to the middle of the valve",
        example: "2.5 mm",
    },
    OFFSET,
    DEPTH,
    Missing::Estimated("head.valve.recess"),
);

/// Lean of a valve fore and aft.
pub const TILT_X: Field<Angle> = Field::new(
    Words {
        key: "tilt_x",
        meaning: "lean of the valve's axis seen from the side, positive when the stem tip leans to the front",
        measure: "protractor on a rod in the guide, head flat on its face",
        example: "0 deg",
    },
    TILT,
    ANGLE,
    Missing::Estimated("head.valve.tilt_x"),
)
.turning();

/// Lean of a valve left and right.
pub const TILT_Y: Field<Angle> = Field::new(
    Words {
        key: "tilt_y",
        meaning: "lean of the valve's axis seen along the crank, positive when the stem tip leans to the left looking forward",
        measure: "protractor on a rod in the guide, head flat on its face",
        example: "-15 deg",
    },
    TILT,
    ANGLE,
    Missing::Estimated("head.valve.tilt_y"),
);

/// Full travel of one valve.
pub const LIFT: Field<Length> = Field::new(
    Words {
        key: "lift",
        meaning: "full travel of this valve from its seat, lash taken off, when it is not that of its cam",
        measure: "dial indicator on the retainer with checking springs, over a whole turn of the cam",
        example: "10.4 mm",
    },
    EXTENT,
    TRAVEL,
    Missing::Taken("valve_lift of its cam"),
);

/// Lift of first contact in a trial assembly.
pub const CONTACT_LIFT: Field<Length> = Field::new(
    Words {
        key: "contact_lift",
        meaning: "lift at which the valve first touched the block in a trial assembly; before any relief in the sheet was cut; where it really sits follows from it",
        measure: "dial indicator on the retainer, valve pushed open by hand until it stops, head torqued on its gasket",
        example: "5.3 mm ± 0.1",
    },
    EXTENT,
    TRAVEL,
    Missing::Taken("the position x, y as it stands"),
);
