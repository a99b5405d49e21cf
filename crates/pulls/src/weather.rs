//! The air an engine breathed during a pull. Leaves out what is made of it, which is the corrections' business.

use units::pressure::kilopascal;
use units::thermodynamic_temperature::degree_celsius;
use units::{Pressure, ThermodynamicTemperature};

use crate::weather_humidity::{Humidity, vapour_pressure};
use crate::weather_pressure::{Barometer, StationPressure};

/// Barometer, inlet air and humidity of a pull.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weather {
    /// The barometer as it was read.
    pub barometer: Barometer,
    /// Temperature of the air at the engine's inlet, which the corrections are written in.
    pub inlet: ThermodynamicTemperature,
    /// Temperature of the air where the humidity was read, if that was not the inlet.
    pub dry_bulb: Option<ThermodynamicTemperature>,
    /// The humidity as it was read.
    pub humidity: Humidity,
}

/// Why readings cannot be the air of a place.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum WeatherError {
    /// A barometer that stands nowhere on land.
    #[error("found a station pressure of {kpa:.2} kPa, expected 50 to 110 kPa{hint}")]
    Barometer {
        /// What was found.
        kpa: f64,
        /// What it may be instead.
        hint: &'static str,
    },
    /// A temperature no shop has.
    #[error("found {what} of {celsius:.1} degC, expected -40 to 80 degC")]
    Temperature {
        /// Which one.
        what: &'static str,
        /// What was found.
        celsius: f64,
    },
    /// A relative humidity outside 0 to 100 %.
    #[error("found a relative humidity of {percent:.0} %, expected 0 to 100 %")]
    RelativeHumidity {
        /// What was found.
        percent: f64,
    },
    /// A dew point or wet bulb above the air.
    #[error(
        "found {what} of {celsius:.1} degC above the air's {air_celsius:.1} degC, expected one at or under it"
    )]
    AboveAir {
        /// Which one.
        what: &'static str,
        /// What was found.
        celsius: f64,
        /// The air.
        air_celsius: f64,
    },
    /// A wet bulb so far under the air that no water would be left in it.
    #[error(
        "found a wet bulb of {celsius:.1} degC in air of {air_celsius:.1} degC, drier than air can be; expected a higher one"
    )]
    TooDry {
        /// What was found.
        celsius: f64,
        /// The air.
        air_celsius: f64,
    },
}

/// A wet bulb or a dew point may read this much above the air before it is called wrong, in kelvins: two thermometers.
const READING_SLACK_K: f64 = 0.5;
/// A vapour pressure this far under nothing is a matter of reading, in pascals (half a degree of wet bulb).
const DRY_SLACK_PA: f64 = 50.0;

impl Weather {
    /// Whether these can be readings of one air.
    pub fn check(&self) -> Result<(), WeatherError> {
        let kpa = self.station().pressure().get::<kilopascal>();
        if !(50.0..=110.0).contains(&kpa) {
            let hint = match kpa {
                kpa if kpa < 5.0 => "; is it written in another unit",
                kpa if kpa > 500.0 => "; is it written in hPa or mbar",
                _ => "",
            };
            return Err(WeatherError::Barometer { kpa, hint });
        }
        let air_celsius = self.dry_bulb().get::<degree_celsius>();
        for (what, t) in [("an inlet temperature", self.inlet), ("an air temperature", self.dry_bulb())] {
            let celsius = t.get::<degree_celsius>();
            if !(-40.0..=80.0).contains(&celsius) {
                return Err(WeatherError::Temperature { what, celsius });
            }
        }
        let above = |what, t: ThermodynamicTemperature| {
            let celsius = t.get::<degree_celsius>();
            if celsius.is_finite() && celsius <= air_celsius + READING_SLACK_K && -80.0 <= celsius {
                Ok(())
            } else {
                Err(WeatherError::AboveAir { what, celsius, air_celsius })
            }
        };
        match self.humidity {
            Humidity::Relative(share) if !(0.0..=1.0).contains(&share.value) => {
                Err(WeatherError::RelativeHumidity { percent: 100.0 * share.value })
            }
            Humidity::Relative(_) => Ok(()),
            Humidity::DewPoint(t) => above("a dew point", t),
            Humidity::WetBulb(t) => {
                above("a wet bulb", t)?;
                let celsius = t.get::<degree_celsius>();
                let p_pa = kpa * 1e3;
                let left = crate::weather_humidity::saturation_pa(celsius)
                    - 6.53e-4 * p_pa * (air_celsius - celsius);
                if left < -DRY_SLACK_PA { Err(WeatherError::TooDry { celsius, air_celsius }) } else { Ok(()) }
            }
        }
    }

    /// Pressure of the place.
    pub fn station(&self) -> StationPressure {
        self.barometer.station()
    }

    /// Temperature of the air the humidity belongs to.
    pub fn dry_bulb(&self) -> ThermodynamicTemperature {
        self.dry_bulb.unwrap_or(self.inlet)
    }

    /// Pressure of the water vapour.
    pub fn vapour(&self) -> Pressure {
        vapour_pressure(self.humidity, self.dry_bulb(), self.station())
    }

    /// Pressure of the air without its water.
    pub fn dry_pressure(&self) -> Pressure {
        self.station().pressure() - self.vapour()
    }
}
