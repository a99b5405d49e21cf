//! `[weather]`: the air that the engine breathes.

use units::{Pressure, Ratio, ThermodynamicTemperature};

use super::usual::{AIR_TEMPERATURE, BAROMETER, HYGROMETER};
use super::{Field, Missing, Range, Section, Shape, Words};

/// The weather.
pub const WEATHER: Section = Section {
    key: "weather",
    meaning: "the air that the engine breathes",
    shape: Shape::Once,
    entries: &[&PRESSURE.entry, &TEMPERATURE_OF_AIR.entry, &HUMIDITY.entry],
    sections: &[],
};

/// Barometer.
pub const PRESSURE: Field<Pressure> = Field::new(
    Words {
        key: "pressure",
        meaning: "barometer at the engine, not reduced to sea level",
        measure: "station barometer",
        example: "98.6 kPa",
    },
    Range::open(20.0, 150.0),
    BAROMETER,
    Missing::Estimated("weather.pressure"),
);

/// Air.
pub const TEMPERATURE_OF_AIR: Field<ThermodynamicTemperature> = Field::new(
    Words {
        key: "temperature",
        meaning: "temperature of the air at the mouth of the air cleaner",
        measure: "dry thermometer",
        example: "22 degC",
    },
    Range::open(-60.0, 90.0),
    AIR_TEMPERATURE,
    Missing::Estimated("weather.temperature"),
);

/// Damp.
pub const HUMIDITY: Field<Ratio> = Field::new(
    Words { key: "humidity", meaning: "relative humidity", measure: "hygrometer", example: "45 %" },
    Range::from(0.0, 1.0001),
    HYGROMETER,
    Missing::Estimated("weather.humidity"),
);
