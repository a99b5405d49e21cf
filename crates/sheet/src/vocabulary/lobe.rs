//! `[[cam.intake.duration]]`, `[cam.intake.events]` and `[cam.intake.table]`, the same for the exhaust: what is known of the
//! shape of a lobe.

use units::{CrankAngle, Length, Ratio};

use super::cam::CENTRE;
use super::train::{LASH, RATIO_RANGE};
use super::usual::{CAM_ANGLE, LASH as LASH_USUAL, LOBE_LIFT, ROCKER_RATIO};
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words};

/// A stated lift, mm.
pub const AT: Range = Range::open(0.0, 100.0);
/// How long a lobe lifts, degrees of the crank.
const SPAN: Range = Range::open(0.0, 720.0);
/// Fewest and most rows of a table.
pub const ROWS: std::ops::RangeInclusive<usize> = 12..=3000;

/// A duration.
pub const DURATION: Section = Section {
    key: "duration",
    meaning: "for how long the lobe lifts more than a stated lift; one table for each that the card gives",
    shape: Shape::List,
    entries: &[
        &LIFT.entry,
        &OF,
        &RATIO.entry,
        &LASH_OF_LIFT.entry,
        &LASTS.entry,
        &OPENING.entry,
        &CLOSING.entry,
    ],
    sections: &[],
};

/// Opening and closing.
pub const EVENTS: Section = Section {
    key: "events",
    meaning: "opening and closing at one stated lift, as cards give them; places the lobe and tells its duration",
    shape: Shape::Once,
    entries: &[&LIFT.entry, &OF, &RATIO.entry, &LASH_OF_LIFT.entry, &OPENS.entry, &CLOSES.entry],
    sections: &[],
};

/// A measured table.
pub const TABLE: Section = Section {
    key: "table",
    meaning: "lift measured angle by angle over the whole lobe, instead of lobe_lift and durations",
    shape: Shape::Once,
    entries: &[&ANGLES, &LIFTS, &UNIT, &LOBE_ROWS, &NOISE.entry, &RATIO.entry, &LASH_OF_LIFT.entry],
    sections: &[],
};

/// The stated lift.
pub const LIFT: Field<Length> = Field::new(
    Words { key: "at", meaning: "the stated lift", measure: "cam card", example: "0.050 in" },
    AT,
    LOBE_LIFT,
    Missing::Required,
);

/// Where it is measured.
pub const OF: Entry = Entry::new(
    Words { key: "of", meaning: "where that lift is measured", measure: "", example: "tappet" },
    Form::Choice(&["tappet", "valve"]),
    Missing::Taken("tappet"),
);

/// Rocker ratio of stated valve lifts.
pub const RATIO: Field<Ratio> = Field::new(
    Words {
        key: "ratio",
        meaning: "rocker ratio that lifts of the valve were stated or measured with",
        measure: "as printed on the card, or as the table was taken",
        example: "1.5",
    },
    RATIO_RANGE,
    ROCKER_RATIO,
    Missing::Taken("that of [train]"),
);

/// Lash of stated valve lifts.
pub const LASH_OF_LIFT: Field<Length> = Field::new(
    Words {
        key: "lash",
        meaning: "lash at the valve that they were stated or measured with",
        measure: "as printed on the card, or as the table was taken",
        example: "0 mm",
    },
    LASH,
    LASH_USUAL,
    Missing::Taken("that of [train]"),
);

/// Duration.
pub const LASTS: Field<CrankAngle> = Field::new(
    Words {
        key: "lasts",
        meaning: "the whole duration in crank degrees, of a lobe whose flanks mirror each other",
        measure: "cam card or degree wheel",
        example: "228 deg ± 1",
    },
    SPAN,
    CAM_ANGLE,
    Missing::Taken("opening and closing give it"),
);

/// Opening half.
pub const OPENING: Field<CrankAngle> = Field::new(
    Words {
        key: "opening",
        meaning: "crank degrees from the stated lift on the opening flank to the nose",
        measure: "degree wheel",
        example: "112 deg",
    },
    SPAN,
    CAM_ANGLE,
    Missing::Taken("half of lasts"),
);

/// Closing half.
pub const CLOSING: Field<CrankAngle> = Field::new(
    Words {
        key: "closing",
        meaning: "crank degrees from the nose to the stated lift on the closing flank",
        measure: "degree wheel",
        example: "116 deg",
    },
    SPAN,
    CAM_ANGLE,
    Missing::Taken("half of lasts"),
);

/// Opening.
pub const OPENS: Field<CrankAngle> = Field::new(
    Words {
        key: "opens",
        meaning: "opening before top dead centre for intake, before bottom for exhaust; negative after it",
        measure: "cam card or degree wheel",
        example: "6 deg",
    },
    CENTRE,
    CAM_ANGLE,
    Missing::Required,
);

/// Closing.
pub const CLOSES: Field<CrankAngle> = Field::new(
    Words {
        key: "closes",
        meaning: "closing after bottom dead centre for intake, after top for exhaust; negative before it",
        measure: "cam card or degree wheel",
        example: "42 deg",
    },
    CENTRE,
    CAM_ANGLE,
    Missing::Required,
);

/// Which shaft.
pub const ANGLES: Entry = Entry::new(
    Words {
        key: "angles",
        meaning: "which shaft the degrees of the rows belong to",
        measure: "",
        example: "cam",
    },
    Form::Choice(&["cam", "crank"]),
    Missing::Required,
);

/// What was measured.
pub const LIFTS: Entry = Entry::new(
    Words { key: "lifts", meaning: "what the lifts of the rows are", measure: "", example: "tappet" },
    Form::Choice(&["tappet", "valve"]),
    Missing::Taken("tappet"),
);

/// Unit of the lifts.
pub const UNIT: Entry = Entry::new(
    Words { key: "unit", meaning: "unit of the lifts", measure: "", example: "mm" },
    Form::LengthUnit,
    Missing::Required,
);

/// The rows.
pub const LOBE_ROWS: Entry = Entry::new(
    Words {
        key: "rows",
        meaning: "rows [angle, lift] in the order of rotation, from any zero, round the whole lobe and some base circle",
        measure: "degree wheel and dial indicator, every 2 to 5 degrees",
        example: "[[-80, 0], [-60, 0.04], [-50, 0.35], [-40, 1.6], [-30, 3.4], [-20, 5.2], [-10, 6.4], [0, 6.8], [10, 6.4], [20, 5.2], [30, 3.4], [40, 1.6], [50, 0.35], [60, 0.04], [80, 0]]",
    },
    Form::Rows,
    Missing::Required,
);

/// Noise of the indicator.
pub const NOISE: Field<Length> = Field::new(
    Words {
        key: "noise",
        meaning: "standard deviation of one reading of the indicator",
        measure: "read one place ten times",
        example: "0.005 mm",
    },
    Range::open(0.0, 1.0),
    LOBE_LIFT,
    Missing::Taken("judged from the rows"),
);
