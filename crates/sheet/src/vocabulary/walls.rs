//! `[walls]`: heat to the walls of the cylinder.

use units::{Ratio, ThermodynamicTemperature};

use super::usual::{FACTOR as FACTOR_USUAL, WALL_TEMPERATURE};
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words};

/// A temperature of anything about a running engine, degC.
pub const TEMPERATURE: Range = Range::open(-90.0, 1_500.0);

/// The walls.
pub const WALLS: Section = Section {
    key: "walls",
    meaning: "what the walls of the cylinder take",
    shape: Shape::Once,
    entries: &[
        &LAW,
        &FACTOR.entry,
        &HEAD_TEMPERATURE.entry,
        &CROWN_TEMPERATURE.entry,
        &BORE_TEMPERATURE.entry,
    ],
    sections: &[],
};

/// Whose.
pub const LAW: Entry = Entry::new(
    Words { key: "law", meaning: "whose heat transfer coefficient", measure: "", example: "woschni" },
    Form::Choice(&["woschni", "hohenberg", "annand"]),
    Missing::Estimated("walls.law"),
);

/// Factor.
pub const FACTOR: Field<Ratio> = Field::new(
    Words { key: "factor", meaning: "times this", measure: "", example: "1.0 ± 0.1" },
    Range::from(0.0, 10.0),
    FACTOR_USUAL,
    Missing::Estimated("walls.factor"),
);

/// How hot.
pub const HEAD_TEMPERATURE: Field<ThermodynamicTemperature> = Field::new(
    Words {
        key: "head_temperature",
        meaning: "chamber and valve faces at full load",
        measure: "templugs or thermocouples",
        example: "210 degC",
    },
    TEMPERATURE,
    WALL_TEMPERATURE,
    Missing::Estimated("walls.head_temperature"),
);

/// How hot.
pub const CROWN_TEMPERATURE: Field<ThermodynamicTemperature> = Field::new(
    Words {
        key: "crown_temperature",
        meaning: "crown at full load",
        measure: "templugs or thermocouples",
        example: "250 degC",
    },
    TEMPERATURE,
    WALL_TEMPERATURE,
    Missing::Estimated("walls.crown_temperature"),
);

/// How hot.
pub const BORE_TEMPERATURE: Field<ThermodynamicTemperature> = Field::new(
    Words {
        key: "bore_temperature",
        meaning: "bore at full load",
        measure: "templugs or thermocouples",
        example: "130 degC",
    },
    TEMPERATURE,
    WALL_TEMPERATURE,
    Missing::Estimated("walls.bore_temperature"),
);
