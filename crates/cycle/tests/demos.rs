//! The running engines of the demos: they settle, their accounts close, and what they give keeps within the limits of physics.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use cycle::fidelity::Fidelity;
use cycle::from_build::model;
use cycle::model::Model;
use cycle::speed_point::{Outcome, SpeedPoint};
use cycle::sweep::sweep;

/// The model of a demo.
fn demo(name: &str) -> Model {
    let path = format!("{}/../../demos/{name}.build.toml", env!("CARGO_MANIFEST_DIR"));
    let build = sheet::read_build(&std::fs::read_to_string(path).unwrap()).unwrap().build;
    model(&build).unwrap().0
}

fn settled(name: &str, points: &[SpeedPoint]) {
    for point in points {
        assert_eq!(
            point.outcome,
            Outcome::Converged,
            "{name} at {:.0} rpm, {:e} off",
            point.rpm,
            point.error
        );
    }
}

/// Where a valve opens to ten times the pressure of a pipe whose gas runs away, the pipe is fed at the speed of sound: the
/// Kestrel's exhaust port above 7800 rpm.
#[test]
fn issue_6_gas_that_runs_away_from_a_valve_is_fed() {
    let model = demo("kestrel");
    settled("kestrel", &sweep(&model, &[8000.0, 8500.0, 9000.0, 10_000.0], Fidelity::Normal).unwrap());
}
