//! What somebody read of the air, which may be less than a correction needs. Leaves out what is made of it.

use units::ThermodynamicTemperature;

use crate::weather::Weather;
use crate::weather_humidity::Humidity;
use crate::weather_pressure::Barometer;

/// Readings of the air, each there or not.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct WeatherReadings {
    /// Barometer.
    pub barometer: Option<Barometer>,
    /// Air at the engine's inlet.
    pub inlet: Option<ThermodynamicTemperature>,
    /// Air where the humidity was read.
    pub dry_bulb: Option<ThermodynamicTemperature>,
    /// Humidity.
    pub humidity: Option<Humidity>,
}

/// A reading without which nothing can be corrected.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum WeatherMissing {
    /// No barometer.
    #[error("no barometer was read; give it with --baro \"98.2 kPa\" as the barometer in the cell shows it")]
    Barometer,
    /// No temperature.
    #[error("no air temperature was read; give it with --air-temp \"24 degC\"")]
    Inlet,
    /// No humidity.
    #[error("no humidity was read; give it with --humidity \"45 %\", --dew-point or --wet-bulb")]
    Humidity,
}

impl WeatherReadings {
    /// The weather, where all of it was read. The air of the cell stands in for that of the inlet and the other way round.
    pub fn complete(&self) -> Result<Weather, WeatherMissing> {
        Ok(Weather {
            barometer: self.barometer.ok_or(WeatherMissing::Barometer)?,
            inlet: self.inlet.or(self.dry_bulb).ok_or(WeatherMissing::Inlet)?,
            dry_bulb: self.dry_bulb,
            humidity: self.humidity.ok_or(WeatherMissing::Humidity)?,
        })
    }

    /// These, and where one is missing that of `other`.
    pub fn or(self, other: Self) -> Self {
        Self {
            barometer: self.barometer.or(other.barometer),
            inlet: self.inlet.or(other.inlet),
            dry_bulb: self.dry_bulb.or(other.dry_bulb),
            humidity: self.humidity.or(other.humidity),
        }
    }
}
