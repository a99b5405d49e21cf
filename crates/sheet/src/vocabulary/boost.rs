//! `[boost]`: air after a compressor and its cooler.

use units::{Pressure, Ratio, ThermodynamicTemperature};

use super::usual::{AIR_TEMPERATURE, GAUGE, SHARE};
use super::walls::TEMPERATURE;
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words};

/// The compressor.
pub const BOOST: Section = Section {
    key: "boost",
    meaning: "what a compressor and its cooler deliver at full load; without it the engine breathes by itself",
    shape: Shape::Once,
    entries: &[
        &PRESSURE.entry,
        &TEMPERATURE_AFTER.entry,
        &COMPRESSOR_EFFICIENCY.entry,
        &COOLER_EFFECTIVENESS.entry,
        &DRIVE,
        &BACK_PRESSURE.entry,
    ],
    sections: &[],
};

/// Boost.
pub const PRESSURE: Field<Pressure> = Field::new(
    Words {
        key: "pressure",
        meaning: "pressure over that of the air outside",
        measure: "gauge on the plenum",
        example: "0.6 bar",
    },
    Range::from(0.0, 1_000.0),
    GAUGE,
    Missing::Required,
);

/// Warmth.
pub const TEMPERATURE_AFTER: Field<ThermodynamicTemperature> = Field::new(
    Words {
        key: "temperature",
        meaning: "temperature after the cooler",
        measure: "thermocouple in the plenum",
        example: "55 degC",
    },
    TEMPERATURE,
    AIR_TEMPERATURE,
    Missing::Taken("by the efficiencies"),
);

/// Compressor.
pub const COMPRESSOR_EFFICIENCY: Field<Ratio> = Field::new(
    Words {
        key: "compressor_efficiency",
        meaning: "isentropic efficiency of the compressor",
        measure: "its map",
        example: "68 %",
    },
    Range::open(0.05, 1.0),
    SHARE,
    Missing::Estimated("boost.compressor_efficiency"),
);

/// Cooler.
pub const COOLER_EFFECTIVENESS: Field<Ratio> = Field::new(
    Words {
        key: "cooler_effectiveness",
        meaning: "share of the warming that the cooler takes back",
        measure: "temperatures before and after it",
        example: "65 %",
    },
    Range::from(0.0, 1.0001),
    SHARE,
    Missing::Estimated("boost.cooler_effectiveness"),
);

/// What drives it.
pub const DRIVE: Entry = Entry::new(
    Words { key: "drive", meaning: "what drives the compressor", measure: "", example: "crank" },
    Form::Choice(&["crank", "turbine"]),
    Missing::Estimated("boost.drive"),
);

/// Turbine.
pub const BACK_PRESSURE: Field<Pressure> = Field::new(
    Words {
        key: "back_pressure",
        meaning: "pressure over that of the air outside which the exhaust meets before its turbine",
        measure: "gauge before the turbine",
        example: "0.7 bar",
    },
    Range::from(0.0, 1_000.0),
    GAUGE,
    Missing::Taken("the exhaust goes to the open air"),
);
