//! Air with water vapour, from temperature, pressure and relative humidity.
//!
//! Leaves out fog (relative humidity is capped at one) and the real-gas heat capacity of vapour near saturation
//! (0.5 % of cp at 320 K saturated).

use crate::composition::Composition;
use crate::species::Species;

/// Saturation pressure of water over liquid, Pa.
///
/// ln p = C8/T + C9 + C10 T + C11 T^2 + C12 T^3 + C13 ln T.
/// Source: R. W. Hyland, A. Wexler (1983), as given in ASHRAE Handbook Fundamentals (2009), chapter 1, eq. 6;
/// coefficients from memory, held against CoolProp in `checks/gas_properties`. 273 to 473 K.
pub fn saturation_pressure_pa(t_k: f64) -> f64 {
    let t = t_k;
    (-5.800_220_6e3 / t + 1.391_499_3 - 4.864_023_9e-2 * t + 4.176_476_8e-5 * t * t
        - 1.445_209_3e-8 * t * t * t
        + 6.545_967_3 * t.ln())
    .exp()
}

/// How much more vapour saturated air holds than vacuum: 1.0016 + 3.15e-8 p - 7.4/p, p in Pa.
///
/// Source: A. L. Buck (1981), J. Appl. Meteorol. 20:1527, eq. 8's enhancement factor; from memory, held
/// against CoolProp. Near atmospheric pressure, -20 to 50 C.
fn enhancement(p_pa: f64) -> f64 {
    1.0016 + 3.15e-8 * p_pa - 7.4 / p_pa
}

/// Moist air at a temperature, pressure and relative humidity (0 to 1; values outside are clamped).
///
/// Mole fraction of water = relative humidity x enhancement x saturation pressure / pressure, at most 0.9.
pub fn humid_air(t_k: f64, p_pa: f64, relative_humidity: f64) -> Composition {
    let share =
        (relative_humidity.clamp(0.0, 1.0) * enhancement(p_pa) * saturation_pressure_pa(t_k) / p_pa).min(0.9);
    let dry = Composition::dry_air();
    let parts: Vec<_> = Species::ALL
        .iter()
        .map(|&s| (s, dry.mole_fraction(s) * (1.0 - share)))
        .chain([(Species::H2o, share)])
        .collect();
    Composition::from_moles(&parts)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn val_hyland_wexler_1983_boiling_point() {
        // 101.42 kPa at 100 C, the value of the source's own table.
        assert!((saturation_pressure_pa(373.15) / 101_420.0 - 1.0).abs() < 1e-3);
    }

    #[test]
    fn exact_dry_is_dry() {
        assert_eq!(humid_air(300.0, 1e5, 0.0).mole_fraction(Species::H2o), 0.0);
    }
}
