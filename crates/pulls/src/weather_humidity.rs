//! How much of the air is water: vapour pressure from relative humidity, dew point or wet bulb. Leaves out what the water
//! does to an engine.

use units::pressure::pascal;
use units::thermodynamic_temperature::degree_celsius;
use units::{Pressure, Ratio, ThermodynamicTemperature};

use crate::weather_pressure::{StationPressure, from_pa};

/// How the humidity was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Humidity {
    /// Relative humidity, 0 to 1.
    Relative(Ratio),
    /// Dew point.
    DewPoint(ThermodynamicTemperature),
    /// A wet-bulb thermometer, ventilated.
    WetBulb(ThermodynamicTemperature),
}

/// Vapour pressure of saturated air over water, in pascals.
///
/// e_s = 611.21 exp((18.678 - t/234.5) t / (257.14 + t)), t in degC. Source: Buck, A. (1996), Hygrometer model CR-1A
/// user's manual, appendix 1, after Buck (1981), J. Appl. Meteorol. 20, 1527; constants from memory. Good to 0.05 % from 0 to 50 degC against IAPWS (`checks/pulls_corrections`).
pub fn saturation_pa(t_c: f64) -> f64 {
    611.21 * ((18.678 - t_c / 234.5) * t_c / (257.14 + t_c)).exp()
}

/// Pressure of the water vapour in the air, never negative.
///
/// A relative humidity is taken of saturation at `air`. A dew point saturates at itself. A wet bulb gives
/// e = e_s(t_w) - 6.53e-4 (1 + 0.000944 t_w) p (t - t_w), t in degC. Source: WMO-No. 8, Guide to Instruments and Methods of
/// Observation (2008), annex 4.B, eq. 4.B.6, for a psychrometer ventilated at 2.5 m/s or more; a bulb in still air reads too
/// high, so the air comes out too damp.
pub fn vapour_pressure(
    humidity: Humidity,
    air: ThermodynamicTemperature,
    station: StationPressure,
) -> Pressure {
    let t_c = air.get::<degree_celsius>();
    let pa = match humidity {
        Humidity::Relative(share) => share.value * saturation_pa(t_c),
        Humidity::DewPoint(dew) => saturation_pa(dew.get::<degree_celsius>()),
        Humidity::WetBulb(wet) => {
            let wet_c = wet.get::<degree_celsius>();
            let p_pa = station.pressure().get::<pascal>();
            saturation_pa(wet_c) - 6.53e-4 * (1.0 + 0.000_944 * wet_c) * p_pa * (t_c - wet_c)
        }
    };
    from_pa(pa.max(0.0))
}

#[cfg(test)]
mod tests {
    use units::pressure::kilopascal;

    use super::*;

    /// The three ways of saying one air agree: saturated air has its dew point and wet bulb at its own temperature.
    #[test]
    fn exact_saturated_air_three_ways() {
        let station = StationPressure::new(Pressure::new::<kilopascal>(98.0));
        for t_c in [0.0, 12.0, 25.0, 40.0] {
            let air = ThermodynamicTemperature::new::<degree_celsius>(t_c);
            let of = |humidity| vapour_pressure(humidity, air, station).get::<pascal>();
            let relative = of(Humidity::Relative(Ratio::new::<units::ratio::ratio>(1.0)));
            assert!((of(Humidity::DewPoint(air)) / relative - 1.0).abs() < 1e-12);
            assert!((of(Humidity::WetBulb(air)) / relative - 1.0).abs() < 1e-12);
        }
    }

    /// Saturation pressures of water, CRC Handbook of Chemistry and Physics, 85th ed. (2004), p. 6-8, from memory.
    #[test]
    fn val_crc_2004_saturation() {
        for (t_c, kpa) in [(0.0, 0.6113), (10.0, 1.2281), (20.0, 2.3388), (30.0, 4.2455), (40.0, 7.3814)] {
            let got = saturation_pa(t_c) / 1e3;
            assert!((got / kpa - 1.0).abs() < 1e-3, "{t_c} degC: {got} kPa, {kpa}");
        }
    }
}
