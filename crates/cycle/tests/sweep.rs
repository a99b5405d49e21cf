//! Torque curves of an invented engine.

use cycle::example::{Sizes, engine};
use cycle::fidelity::Fidelity;
use cycle::speed_point::{Outcome, SpeedPoint};
use cycle::sweep::sweep;

fn curve(sizes: &Sizes, speeds: &[f64], fidelity: Fidelity) -> Vec<SpeedPoint> {
    sweep(&engine(sizes), speeds, fidelity).expect("a model that runs")
}

#[test]
fn exact_accounts_close_at_every_speed() {
    for point in curve(&Sizes::default(), &[1500.0, 3000.0, 4500.0, 6000.0], Fidelity::Screen) {
        assert_eq!(point.outcome, Outcome::Converged, "{} rpm", point.rpm);
        assert!(point.mass_gap.abs() < 1e-10, "mass {} at {} rpm", point.mass_gap, point.rpm);
        assert!(point.energy_gap < 1e-8, "energy {} at {} rpm", point.energy_gap, point.rpm);
    }
}
