//! A cylinder with its valves shut: compression, burning and expansion without pipes.
//!
//! For finding the best spark, and to hold the cylinder against closed formulas and other programs.

use crate::cylinder::{Cylinder, CylinderSetup};
use gas::lane::Lane;
use gas::network::Gain;

/// Runs a cylinder without flow from one angle (deg after firing TDC) to another in even steps, in lanes; gives the
/// cylinder at the end. `watch` sees every step.
#[inline(always)]
pub fn run_closed<L: Lane>(
    mut cylinder: Cylinder<L>,
    setup: &CylinderSetup<L>,
    from_deg: L,
    to_deg: L,
    n_steps: usize,
    mut watch: impl FnMut(L, &Cylinder<L>),
) -> Cylinder<L> {
    let shut = Gain::zero();
    let span = (to_deg - from_deg) / L::splat(n_steps as f64);
    let dt = span / (L::splat(6.0) * setup.speed_rpm);
    for i in 0..n_steps {
        let at = |i: usize| L::splat(i as f64).fma(span, from_deg);
        cylinder.advance(setup, [&shut, &shut], at(i), at(i + 1), dt);
        watch(at(i + 1), &cylinder);
    }
    cylinder
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::burning::Burning;
    use crate::charge_gas::ChargeGas;
    use crate::cylinder::WorkingGas;
    use crate::example::{Sizes, engine};
    use crate::model::{HeatLaw, Model};

    fn shut(mut model: Model) -> Model {
        for c in &mut model.cylinders {
            for flow in [&mut c.intake, &mut c.exhaust] {
                flow.into_m2.fill(0.0);
                flow.out_m2.fill(0.0);
            }
            c.crevice_m3 = 0.0;
        }
        model
    }

    /// Work over heat released of a constant-gamma cycle burned at TDC.
    fn otto(compression: f64, gamma: f64, n: usize) -> f64 {
        let mut model = shut(engine(&Sizes { compression, ..Sizes::default() }));
        model.heat.law = HeatLaw::None;
        let heat = 2.0e6;
        let gas = WorkingGas::perfect(gamma, 287.0, heat, 15.0);
        let burning = Burning { spark_deg: 0.0, start_deg: 0.0, duration_deg: 1e-9, a: 5.0, m_plus_one: 3.0 };
        let setup = CylinderSetup::new(&model, &model.cylinders[0], &gas, 3000.0, &burning);
        let start = Cylinder::filled(&setup, -180.0, 1e5, 320.0, [1.0 / 16.0, 0.0]);
        let mass = start.reading(&setup).mass_kg;
        let end = run_closed(start, &setup, -180.0, 0.0, n, |_, _| ());
        let lit = run_closed(end, &setup, 0.0, 1e-6, 1, |_, _| ());
        let end = run_closed(lit, &setup, 1e-6, 180.0, n, |_, _| ());
        end.cycle.gross_work / (heat * mass)
    }

    /// Otto: 1 - r^(1 - gamma).
    #[test]
    fn exact_instant_burn_of_a_perfect_gas_is_the_otto_cycle() {
        for (compression, gamma) in [(8.0, 1.4), (10.0, 1.3), (12.0, 1.35)] {
            let exact = 1.0 - f64::powf(compression, 1.0 - gamma);
            let found = otto(compression, gamma, 4000);
            assert!((found / exact - 1.0).abs() < 1e-6, "{compression} {gamma}: {found} against {exact}");
        }
    }

    /// The trapezoidal step is of second order.
    #[test]
    fn converges_with_the_square_of_the_step() {
        let exact = 1.0 - f64::powf(10.0, 1.0 - 1.3);
        let errors = [90, 180, 360].map(|n| (otto(10.0, 1.3, n) - exact).abs());
        for pair in errors.windows(2) {
            let order = (pair[0] / pair[1]).log2();
            assert!((1.8..2.3).contains(&order), "order {order}, errors {errors:?}");
        }
    }

    /// Real gas, heat loss, top land and leak: mass and energy are accounted for to rounding.
    #[test]
    fn exact_account_closes() {
        let model = engine(&Sizes::default());
        let gas = ChargeGas::of(&model).unwrap();
        let working = WorkingGas::new(&gas, 3.4e5).unwrap();
        let burning = Burning::half_burned_at(8.0, 22.0, 28.0);
        let setup =
            CylinderSetup::new(&model, &model.cylinders[0], &working, 3000.0, &burning).with_blow_by(1e-6);
        let start = Cylinder::filled(&setup, -120.0, 1.3e5, 350.0, [0.06, 0.05]);
        let mut end = run_closed(start, &setup, -120.0, 120.0, 480, |_, _| ());
        end.end_cycle(&setup, true);
        let sums = end.last;
        assert!(sums.mass_gap().abs() < 1e-14 * sums.start_mass, "{}", sums.mass_gap());
        let released = sums.gross_work + sums.heat;
        assert!(sums.energy_gap().abs() < 1e-11 * released, "{} of {released} J", sums.energy_gap());
        assert!(200.0 < sums.gross_work && 0.0 < sums.blow_by_mass);
    }
}
