//! `[fuel]`: what the engine burns, and how rich.

use units::Ratio;

use super::usual::{AFR, LAMBDA_PROBE, OCTANE, SHARE};
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words};

/// The fuel.
pub const FUEL: Section = Section {
    key: "fuel",
    meaning: "what the engine burns, and how rich",
    shape: Shape::Once,
    entries: &[
        &KIND,
        &LAMBDA.entry,
        &AIR_FUEL_RATIO.entry,
        &VAPOUR_SHARE.entry,
        &RESEARCH_OCTANE.entry,
        &MOTOR_OCTANE.entry,
    ],
    sections: &[],
};

/// Which.
pub const KIND: Entry = Entry::new(
    Words { key: "kind", meaning: "what it burns", measure: "", example: "gasoline" },
    Form::Choice(&[
        "gasoline",
        "e10",
        "e85",
        "ethanol",
        "methanol",
        "race_gasoline",
        "iso_octane",
        "propane",
        "methane",
    ]),
    Missing::Estimated("fuel.kind"),
);

/// How rich.
pub const LAMBDA: Field<Ratio> = Field::new(
    Words {
        key: "lambda",
        meaning: "air over what the fuel needs at full load; below 1 is rich",
        measure: "wide-band probe",
        example: "0.88",
    },
    Range::open(0.4, 2.0),
    LAMBDA_PROBE,
    Missing::Estimated("fuel.lambda"),
);

/// How rich.
pub const AIR_FUEL_RATIO: Field<Ratio> = Field::new(
    Words {
        key: "air_fuel_ratio",
        meaning: "air over fuel by mass at full load; instead of lambda",
        measure: "wide-band probe set to this fuel",
        example: "12.9",
    },
    Range::open(1.0, 40.0),
    AFR,
    Missing::Taken("by lambda"),
);

/// Vapour.
pub const VAPOUR_SHARE: Field<Ratio> = Field::new(
    Words {
        key: "vapour_share",
        meaning: "share of the fuel that is vapour where it is mixed in",
        measure: "",
        example: "0.5",
    },
    Range::from(0.0, 1.0001),
    SHARE,
    Missing::Estimated("fuel.vapour_share"),
);

/// RON.
pub const RESEARCH_OCTANE: Field<Ratio> = Field::new(
    Words { key: "research_octane", meaning: "research octane number", measure: "the pump", example: "98" },
    Range::open(30.0, 140.0),
    OCTANE,
    Missing::Taken("that of the fuel; of unleaded regular for engines of 1970 to 1989"),
);

/// MON.
pub const MOTOR_OCTANE: Field<Ratio> = Field::new(
    Words { key: "motor_octane", meaning: "motor octane number", measure: "the supplier", example: "88" },
    Range::open(30.0, 140.0),
    OCTANE,
    Missing::Taken("that of the fuel; of unleaded regular for engines of 1970 to 1989"),
);
