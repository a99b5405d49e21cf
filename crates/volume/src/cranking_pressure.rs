//! What a compression gauge might show while the starter turns the engine: an indicator, never a verdict.

use units::Pressure;
use units::pressure::pascal;

/// Exponents between which compression at cranking speed falls: walls take heat and rings leak, so it lies well below
/// the 1.4 of air without loss (common practice, no source).
pub const CRANKING_EXPONENTS: [f64; 2] = [1.2, 1.3];

/// Gauge pressure at the end of compression.
///
/// ```text
/// p_gauge = p_air (epsilon^n - 1)
/// ```
/// `epsilon` effective compression from the closing of the intake valve, `n` the polytropic exponent, one of
/// [`CRANKING_EXPONENTS`] for the two ends of what is usual (polytropic compression, any engine text).
///
/// A real gauge shows what starter speed, leakage, oil on the rings and its own dead volume leave: about ± 0.7 bar
/// (10 psi) beyond the spread of the exponents (common practice, no source). Good for comparing cylinders or camshafts
/// on one engine, not for judging fuel.
pub fn cranking_pressure(effective_compression: f64, air_pressure: Pressure, exponent: f64) -> Pressure {
    let air_pa = air_pressure.get::<pascal>();
    Pressure::new::<pascal>(air_pa * (effective_compression.powf(exponent) - 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::pressure::psi;

    #[test]
    fn exact_no_compression_shows_nothing() {
        for exponent in CRANKING_EXPONENTS {
            assert_eq!(cranking_pressure(1.0, Pressure::new::<psi>(14.7), exponent).get::<pascal>(), 0.0);
        }
    }

    /// Doubling with exponent 1 doubles the absolute pressure.
    #[test]
    fn exact_boyle() {
        let air = Pressure::new::<pascal>(100_000.0);
        assert_eq!(cranking_pressure(2.0, air, 1.0).get::<pascal>(), 100_000.0);
    }

    /// 8.1 effective shows 167 to 209 psi, worked by hand from 14.7 psi; both printed without decimals.
    #[test]
    fn regress_usual_spread() {
        let [low, high] = CRANKING_EXPONENTS
            .map(|exponent| cranking_pressure(8.1, Pressure::new::<psi>(14.7), exponent).get::<psi>());
        assert!((low - 167.0).abs() < 1.0 && (high - 209.0).abs() < 1.0, "{low} to {high} psi");
    }
}
