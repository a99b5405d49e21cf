//! `[friction]`: bearings and the model that is used on them.

use units::{Length, Ratio};

use super::block::SIZE;
use super::usual::{CALLIPER, FACTOR as FACTOR_USUAL};
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words};

/// Friction.
pub const FRICTION: Section = Section {
    key: "friction",
    meaning: "what rubbing and the own accessories of the engine take",
    shape: Shape::Once,
    entries: &[
        &LAW,
        &FACTOR.entry,
        &MAIN_DIAMETER.entry,
        &MAIN_LENGTH.entry,
        &MAINS,
        &PIN_DIAMETER.entry,
        &PIN_LENGTH.entry,
        &CAM_BEARINGS,
    ],
    sections: &[],
};

/// Whose.
pub const LAW: Entry = Entry::new(
    Words {
        key: "law",
        meaning: "whose model: components of Patton, Nitschke and Heywood, a curve over speed of Barnes-Moss, or one over peak pressure and piston speed of Chen and Flynn",
        measure: "",
        example: "components",
    },
    Form::Choice(&["components", "barnes_moss", "chen_flynn"]),
    Missing::Estimated("friction.law"),
);

/// Factor.
pub const FACTOR: Field<Ratio> = Field::new(
    Words { key: "factor", meaning: "times this", measure: "motoring on a brake", example: "1.0 ± 0.1" },
    Range::from(0.0, 10.0),
    FACTOR_USUAL,
    Missing::Estimated("friction.factor"),
);

/// Bearing.
pub const MAIN_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "main_diameter",
        meaning: "diameter of a main bearing",
        measure: "micrometer or callipers",
        example: "58 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("friction.main_diameter"),
);

/// Bearing.
pub const MAIN_LENGTH: Field<Length> = Field::new(
    Words {
        key: "main_length",
        meaning: "length of one main bearing shell",
        measure: "micrometer or callipers",
        example: "25 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("friction.main_length"),
);

/// Bearing.
pub const PIN_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "pin_diameter",
        meaning: "diameter of a crank pin",
        measure: "micrometer or callipers",
        example: "48 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("friction.pin_diameter"),
);

/// Bearing.
pub const PIN_LENGTH: Field<Length> = Field::new(
    Words {
        key: "pin_length",
        meaning: "length of the bearing of one rod",
        measure: "micrometer or callipers",
        example: "24 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("friction.pin_length"),
);

/// How many.
pub const MAINS: Entry = Entry::new(
    Words { key: "mains", meaning: "number of main bearings", measure: "", example: "5" },
    Form::Count { least: 1, most: 40 },
    Missing::Estimated("friction.mains"),
);

/// How many.
pub const CAM_BEARINGS: Entry = Entry::new(
    Words {
        key: "cam_bearings",
        meaning: "number of camshaft bearings, all camshafts together",
        measure: "",
        example: "5",
    },
    Form::Count { least: 0, most: 80 },
    Missing::Estimated("friction.cam_bearings"),
);
