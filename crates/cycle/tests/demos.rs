//! The running engines of the demos: they settle, their accounts close, and what they give keeps within the limits of physics.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use cycle::fidelity::{Fidelity, Settings};
use cycle::from_build::model;
use cycle::model::{End, Model, Side};
use cycle::speed_point::{Outcome, SpeedPoint};
use cycle::sweep::{sweep, sweep_with};
use parts::estimate_running::filled;
use units::angular_velocity::revolution_per_minute;

/// Every demo that is a whole engine.
const DEMOS: [&str; 4] = ["dunlin", "heron", "kestrel", "teal"];

/// The model of a demo and the ends of its band, rpm.
fn demo(name: &str) -> (Model, [f64; 2]) {
    let path = format!("{}/../../demos/{name}.build.toml", env!("CARGO_MANIFEST_DIR"));
    let build = sheet::read_build(&std::fs::read_to_string(path).unwrap()).unwrap().build;
    let band = filled(&build).running.band;
    let rpm = [band.from, band.to].map(|end| end.unwrap().value.get::<revolution_per_minute>());
    (model(&build).unwrap().0, rpm)
}

/// Speeds from one to another, rpm.
fn speeds([from, to]: [f64; 2], n: usize) -> Vec<f64> {
    (0..n).map(|i| from + (to - from) * i as f64 / (n - 1) as f64).collect()
}

/// Settled, with accounts that close: mass to 1e-10 of what is trapped, energy to 1e-8 of the fuel's.
fn settled(name: &str, points: &[SpeedPoint]) {
    for point in points {
        let at = format!("{name} at {:.0} rpm", point.rpm);
        assert_eq!(point.outcome, Outcome::Converged, "{at}, {:e} off", point.error);
        assert!(point.mass_gap.abs() < 1e-10, "{at}: mass {:e}", point.mass_gap);
        assert!(point.energy_gap < 1e-8, "{at}: energy {:e}", point.energy_gap);
        // The stated error is at least twice what trapped mass and work changed by over the last cycle.
        assert!(point.error < 1e-3, "{at}: {:e} off", point.error);
    }
}

/// The throttle of a model, or what lets the air in where it has none, narrowed.
fn throttle(model: &mut Model, open: f64) {
    for pipe in model.pipes.iter_mut().filter(|pipe| pipe.side == Side::Intake) {
        for end in [&mut pipe.left, &mut pipe.right] {
            if let End::Source(_, loss) = end {
                loss.open *= open;
            }
        }
    }
}

/// How far trapped masses and works of a point are from those of another, over their means.
fn apart(point: &SpeedPoint, other: &SpeedPoint) -> f64 {
    let n = other.cylinders.len() as f64;
    let trapped = other.cylinders.iter().map(|c| c.trapped_kg).sum::<f64>() / n;
    let work = other.cylinders.iter().map(|c| c.work_j.abs()).sum::<f64>() / n;
    let pairs = point.cylinders.iter().zip(&other.cylinders);
    pairs
        .map(|(a, b)| ((a.trapped_kg - b.trapped_kg).abs() / trapped).max((a.work_j - b.work_j).abs() / work))
        .fold(0.0, f64::max)
}

/// What a march says it is off by is what it is off by, or more, in at least 95 of 100: against marches fifty times as near, wide
/// open, half shut and nearly shut.
#[test]
fn converges_as_near_as_it_says() {
    let settings = Fidelity::Screen.settings();
    let exact = Settings { accuracy: 2e-4, most_cycles: 300, ..settings };
    let (mut n, mut kind) = (0, Vec::new());
    for name in DEMOS {
        for open in [1.0, 0.4, 0.15] {
            let (mut model, band) = demo(name);
            throttle(&mut model, open);
            let speeds = speeds(band, 5);
            let stopped = sweep_with(&model, &speeds, Fidelity::Screen, &settings).unwrap();
            let truth = sweep_with(&model, &speeds, Fidelity::Screen, &exact).unwrap();
            for (stopped, truth) in stopped.iter().zip(&truth) {
                assert_eq!(truth.outcome, Outcome::Converged, "{name} {open} {} rpm", truth.rpm);
                let off = apart(stopped, truth);
                assert!(
                    off < 1.1 * settings.accuracy,
                    "{name}, open {open}, {:.0} rpm: {off:e} off",
                    stopped.rpm
                );
                n += 1;
                if stopped.error < off {
                    kind.push((name, open, stopped.rpm, off, stopped.error));
                }
            }
        }
    }
    assert!(20 * kind.len() <= n, "{} of {n}: {kind:?}", kind.len());
}

/// Cells half as long move torque by less than half a percent where air goes in straight. Carburettors narrow over 24 mm,
/// little more than a cell, and what that costs falls with the cells: by less than two and a half percent
/// of torque, most where they flow most.
#[test]
fn converges_with_the_grid_on_every_demo() {
    for (name, most) in [("kestrel", 0.005), ("teal", 0.025), ("heron", 0.025), ("dunlin", 0.025)] {
        let (model, band) = demo(name);
        let speeds = speeds(band, 3);
        let curve = |fidelity| sweep(&model, &speeds, fidelity).unwrap();
        for (normal, fine) in curve(Fidelity::Normal).iter().zip(curve(Fidelity::Fine)) {
            let moved = normal.torque_n_m / fine.torque_n_m - 1.0;
            assert!(moved.abs() < most, "{name}: torque moves by {moved:.4} at {:.0} rpm", normal.rpm);
        }
    }
}

/// Every demo settles at every speed of its band, and a thousand turns beyond it; accounts close at every one.
#[test]
fn issue_6_every_speed_of_every_demo_settles() {
    for name in DEMOS {
        let (model, [from, to]) = demo(name);
        let points = sweep(&model, &speeds([from, to + 1000.0], 14), Fidelity::Normal).unwrap();
        settled(name, &points);
    }
}

/// Where a valve opens to ten times the pressure of a pipe whose gas runs away, the pipe is fed at the speed of sound: the
/// Kestrel's exhaust port above 7800 rpm.
#[test]
fn issue_6_gas_that_runs_away_from_a_valve_is_fed() {
    let (model, _) = demo("kestrel");
    settled("kestrel", &sweep(&model, &[8000.0, 8500.0, 9000.0, 10_000.0], Fidelity::Normal).unwrap());
}
