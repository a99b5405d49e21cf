//! What a figure from the flow bench is worth as an area: the flow of air at a test pressure, and back.
//!
//! Leaves out leaks and the fixture: a bad radius at the port's mouth costs flow that the engine does not lose. A bench
//! figure holds the loss along the port too, whose pipe has wall friction of its own: one or two per cent count twice.

use gas::orifice::ideal_mass_flux_kg_per_m2_s;

/// Air of 0.075 lb/ft3, to which benches reduce their figures (flow-bench makers' handbooks), kg/m3.
pub const BENCH_DENSITY_KG_PER_M3: f64 = 1.2014;
/// The pressure that goes with it, Pa.
pub const BENCH_PRESSURE_PA: f64 = 101_325.0;
/// Ratio of heat capacities of air at room temperature.
const GAMMA: f64 = 1.4;
/// Gas constant of air, J/(kg K).
const AIR_J_PER_KG_K: f64 = 287.05;

/// Speed of incompressible air that a pressure drop makes, m/s: sqrt(2 dp / rho). The trade's 1096.7 sqrt(H / rho) with
/// H in inches of water and rho in lb/ft3, ft/min; 353 ft/s at 28 inH2O.
pub fn bench_speed_m_per_s(drop_pa: f64) -> f64 {
    (2.0 * drop_pa / BENCH_DENSITY_KG_PER_M3).sqrt()
}

/// A flow at one test pressure as it would be at another: Q2 = Q1 sqrt(dp2 / dp1).
///
/// Trade practice, for turbulent flow of incompressible air; wrong where the lift is under 0.05 of the valve's head.
/// The isentropic flow that [`effective_area_m2`] uses rises a little less: 2.5 % from 10 to 28 inH2O.
pub fn flow_at_m3_per_s(flow_m3_per_s: f64, from_pa: f64, to_pa: f64) -> f64 {
    flow_m3_per_s * (to_pa / from_pa).sqrt()
}

/// Effective area of a bench flow, m2: the throat of a loss-free nozzle that passes as much at that pressure drop.
///
/// A = Q rho0 / G, G the isentropic mass flux of air from rest at `BENCH_PRESSURE_PA` to that less the drop; the flow is
/// counted at the density before the valve. Source: J. B. Heywood (1988), "Internal Combustion Engine Fundamentals",
/// eqs. 6.22 and C.8. At 28 inH2O the flux is 0.962 of the incompressible one.
pub fn effective_area_m2(flow_m3_per_s: f64, drop_pa: f64) -> f64 {
    let t0_k = BENCH_PRESSURE_PA / (BENCH_DENSITY_KG_PER_M3 * AIR_J_PER_KG_K);
    let flux = ideal_mass_flux_kg_per_m2_s(
        GAMMA,
        AIR_J_PER_KG_K,
        BENCH_PRESSURE_PA,
        t0_k,
        BENCH_PRESSURE_PA - drop_pa,
    );
    flow_m3_per_s * BENCH_DENSITY_KG_PER_M3 / flux
}

#[cfg(test)]
mod tests {
    use super::*;

    const INH2O_PA: f64 = 249.089;
    const CFM: f64 = 0.3048 * 0.3048 * 0.3048 / 60.0;
    const SQUARE_INCH: f64 = 0.0254 * 0.0254;

    #[test]
    fn exact_trade_numbers_at_28_inches() {
        let ft_per_s = bench_speed_m_per_s(28.0 * INH2O_PA) / 0.3048;
        // The trade cuts 353.5 off to 353.
        assert!((ft_per_s - 353.0).abs() < 0.6, "{ft_per_s}");
        let cfm = bench_speed_m_per_s(28.0 * INH2O_PA) * SQUARE_INCH / CFM;
        assert!((cfm - 147.0).abs() < 0.31, "{cfm}");
        let scale = flow_at_m3_per_s(1.0, 10.0 * INH2O_PA, 28.0 * INH2O_PA);
        assert!((scale - 1.6733).abs() < 1e-4, "{scale}");
    }

    #[test]
    fn exact_compressible_factors() {
        for (inches, factor) in [(28.0, 0.963), (20.0, 0.975)] {
            // One square inch of ideal throat passes less than the incompressible figure by the factor.
            let ideal = bench_speed_m_per_s(inches * INH2O_PA) * SQUARE_INCH;
            let found = SQUARE_INCH / effective_area_m2(ideal, inches * INH2O_PA);
            // Rounded to the nearest 0.001 or so where they are quoted.
            assert!((found - factor).abs() < 2e-3, "{inches}: {found}");
        }
    }

    #[test]
    fn exact_the_same_head_on_another_bench_has_nearly_the_same_area() {
        let at_28 = effective_area_m2(0.12, 28.0 * INH2O_PA);
        let at_10 =
            effective_area_m2(flow_at_m3_per_s(0.12, 28.0 * INH2O_PA, 10.0 * INH2O_PA), 10.0 * INH2O_PA);
        assert!((at_28 / at_10 - 1.0).abs() < 0.03);
    }
}
