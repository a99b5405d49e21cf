//! Which pressure a barometer says: that of the place, or that of the place reduced to the sea. Leaves out humidity.
//!
//! The two differ by twelve percent at a thousand metres, and a weather service reports the second. They are different
//! types here; the only way from one to the other names the elevation.

use units::length::meter;
use units::pressure::pascal;
use units::{Length, Pressure};

/// Temperature of the standard atmosphere at the sea, in kelvins, and its fall with height, in kelvins a metre.
/// Source: ICAO Doc 7488 (1993), Manual of the ICAO Standard Atmosphere, section 2.
const SEA_LEVEL_K: f64 = 288.15;
const LAPSE_K_PER_M: f64 = 0.0065;
/// g / (R lapse) of the same source: 9.80665 / (287.05287 * 0.0065).
const EXPONENT: f64 = 9.806_65 / (287.052_87 * LAPSE_K_PER_M);

/// Pressure of the air where the engine runs, as a barometer in the cell shows it. What every correction wants.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct StationPressure(Pressure);

/// Pressure reduced to sea level, as weather services and airfields report it.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct SeaLevelPressure(Pressure);

impl StationPressure {
    /// A reading of a barometer in the cell.
    pub fn new(pressure: Pressure) -> Self {
        Self(pressure)
    }

    /// The pressure.
    pub fn pressure(self) -> Pressure {
        self.0
    }

    /// What a weather service would report for this pressure at `elevation`.
    pub fn to_sea_level(self, elevation: Length) -> SeaLevelPressure {
        SeaLevelPressure(self.0 / share_left(elevation))
    }
}

impl SeaLevelPressure {
    /// A figure of a weather service.
    pub fn new(pressure: Pressure) -> Self {
        Self(pressure)
    }

    /// The reported figure.
    pub fn reported(self) -> Pressure {
        self.0
    }

    /// Pressure of the air at `elevation`.
    ///
    /// p = p0 (1 - 0.0065 h / 288.15)^5.2559, the altimeter setting (QNH) undone. Source: ICAO Doc 7488 (1993), eq. 12,
    /// solved for the pressure at the height. Services that reduce with the day's temperature (QFF) differ from this by up
    /// to about 0.3 kPa at 500 m (from memory), so a barometer in the cell is better. Holds up to 11 km.
    pub fn at_elevation(self, elevation: Length) -> StationPressure {
        StationPressure(self.0 * share_left(elevation))
    }
}

/// Share of the sea-level pressure that is left at an elevation; one below the Dead Sea's shore is taken as it is.
fn share_left(elevation: Length) -> f64 {
    let base = 1.0 - LAPSE_K_PER_M * elevation.get::<meter>() / SEA_LEVEL_K;
    base.max(0.0).powf(EXPONENT)
}

/// What somebody gave for the barometer, before it is known where it stood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Barometer {
    /// Of the place.
    Station(StationPressure),
    /// Reduced to the sea, with the elevation of the place.
    SeaLevel(SeaLevelPressure, Length),
}

impl Barometer {
    /// The pressure of the place.
    pub fn station(self) -> StationPressure {
        match self {
            Self::Station(pressure) => pressure,
            Self::SeaLevel(pressure, elevation) => pressure.at_elevation(elevation),
        }
    }
}

/// The pressure a number of pascals is; private kernels compute with those.
pub(crate) fn from_pa(pa: f64) -> Pressure {
    Pressure::new::<pascal>(pa)
}

#[cfg(test)]
mod tests {
    use units::pressure::kilopascal;

    use super::*;

    /// ICAO Doc 7488 (1993), table 2: pressure of the standard atmosphere at heights.
    #[test]
    fn val_icao_1993_pressure_at_heights() {
        for (height_m, hpa) in
            [(0.0, 1013.25), (500.0, 954.61), (1000.0, 898.75), (2000.0, 794.95), (3000.0, 701.09)]
        {
            let at =
                SeaLevelPressure::new(Pressure::new::<pascal>(101_325.0))
                    .at_elevation(Length::new::<meter>(height_m));
            let got = at.pressure().get::<kilopascal>() * 10.0;
            // Half of the last printed digit.
            assert!((got - hpa).abs() < 0.006, "{height_m} m: {got} hPa, table {hpa}");
        }
    }

    #[test]
    fn exact_there_and_back() {
        let reported = SeaLevelPressure::new(Pressure::new::<kilopascal>(102.3));
        let height = Length::new::<meter>(640.0);
        let back = reported.at_elevation(height).to_sea_level(height).reported();
        assert!(((back / reported.reported()).value - 1.0).abs() < 1e-14);
    }
}
