//! Torque curves of invented engines: accounts, grid, convergence, threads.

use cycle::example::{Sizes, engine};
use cycle::fidelity::Fidelity;
use cycle::speed_point::{Outcome, SpeedPoint};
use cycle::sweep::{sweep, sweep_with};
use proptest::prelude::*;

const SPEEDS: [f64; 5] = [1500.0, 2500.0, 3500.0, 4500.0, 6000.0];

fn curve(sizes: &Sizes, fidelity: Fidelity) -> Vec<SpeedPoint> {
    sweep(&engine(sizes), &SPEEDS, fidelity).expect("a model that runs")
}

#[test]
fn exact_accounts_close_at_every_speed() {
    for point in curve(&Sizes::default(), Fidelity::Normal) {
        assert_eq!(point.outcome, Outcome::Converged, "{} rpm", point.rpm);
        assert!(point.mass_gap.abs() < 1e-10, "mass {} at {} rpm", point.mass_gap, point.rpm);
        assert!(point.energy_gap < 1e-8, "energy {} at {} rpm", point.energy_gap, point.rpm);
    }
}

/// Cells half as long move torque by less than half a percent.
#[test]
fn converges_with_the_grid() {
    for (normal, fine) in
        curve(&Sizes::default(), Fidelity::Normal).iter().zip(curve(&Sizes::default(), Fidelity::Fine))
    {
        let moved = normal.torque_n_m / fine.torque_n_m - 1.0;
        assert!(moved.abs() < 5e-3, "torque moves by {moved} at {} rpm", normal.rpm);
    }
}

/// Where a march stops, trapped mass is within the accuracy asked, or a tenth more, of a march three thousand times closer, also behind a
/// nearly shut throttle with a big plenum.
#[test]
fn converges_to_the_accuracy_asked() {
    let slow = Sizes { plenum: 4.0, throttle: 0.15, ..Sizes::default() };
    for sizes in [Sizes::default(), slow] {
        let model = engine(&sizes);
        let settings = Fidelity::Screen.settings();
        let exact = cycle::fidelity::Settings { accuracy: 1e-6, most_cycles: 400, ..settings };
        let stopped = sweep_with(&model, &SPEEDS, Fidelity::Screen, &settings).expect("it runs");
        let truth = sweep_with(&model, &SPEEDS, Fidelity::Screen, &exact).expect("it runs");
        for (stopped, truth) in stopped.iter().zip(&truth) {
            assert_eq!(truth.outcome, Outcome::Converged, "{truth:?}");
            for (a, b) in stopped.cylinders.iter().zip(&truth.cylinders) {
                let off = (a.trapped_kg / b.trapped_kg - 1.0).abs();
                assert!(
                    off < 1.1 * settings.accuracy,
                    "{off} off at {} rpm, said {}",
                    stopped.rpm,
                    stopped.error
                );
            }
        }
    }
}

#[test]
fn exact_same_bits_at_any_number_of_threads() {
    let on = |n: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(n).build().expect("a small pool");
        pool.install(|| curve(&Sizes::default(), Fidelity::Screen))
    };
    assert_eq!(on(1), on(3));
}

#[test]
fn exact_torque_is_that_of_the_work_less_friction() {
    for point in curve(&Sizes::default(), Fidelity::Screen) {
        let displacement = 4.0 * 0.25 * std::f64::consts::PI * 0.086_f64.powi(3);
        let mean = point.gross_mep_pa + point.pumping_mep_pa - point.friction_mep_pa;
        let torque = mean * displacement / (4.0 * std::f64::consts::PI);
        assert!((point.torque_n_m - torque).abs() < 1e-9 * torque.abs());
        let work: f64 = point.cylinders.iter().map(|c| c.work_j).sum();
        assert!((work / displacement / (point.gross_mep_pa + point.pumping_mep_pa) - 1.0).abs() < 1e-12);
    }
}

/// Finite figures from a march that converged or says that it did not, or an honest word that it broke.
fn makes_sense(point: &SpeedPoint) {
    match &point.outcome {
        Outcome::Broke(why) => assert!(!why.is_empty()),
        Outcome::Converged | Outcome::NotConverged => {
            assert!(point.torque_n_m.is_finite() && point.exhaust_k.is_finite(), "{point:?}");
            assert!(point.volumetric_efficiency > 0.0 && point.volumetric_efficiency < 2.5, "{point:?}");
            assert!(point.indicated_efficiency < 0.65, "{point:?}");
            assert!(point.cylinders.iter().all(|c| c.trapped_kg > 0.0 && c.peak_pa > 0.0));
            assert!(point.mass_gap.abs() < 1e-9 && point.energy_gap < 1e-7, "{point:?}");
        }
    }
}

prop_compose! {
    fn any_sizes()(
        n_cylinders in 1usize..7, bore_m in 0.05..0.11, stroke_over_bore in 0.6..1.4, compression in 6.0..14.0,
        runner_m in 0.08..0.9, primary_m in 0.1..1.2, over_bore in 0.3..0.55, lift_over_head in 0.12..0.35,
        opens in -10.0..50.0, closes in 30.0..100.0, plenum in 0.3..6.0, throttle in 0.05..1.0,
    ) -> Sizes {
        Sizes {
            n_cylinders, bore_m, stroke_m: stroke_over_bore * bore_m, compression,
            runner_m: [runner_m, 0.42 * bore_m], primary_m: [primary_m, 0.42 * bore_m],
            intake_over_bore: over_bore, lift_over_head, intake_deg: [opens, closes],
            exhaust_deg: [closes, opens.max(2.0)], plenum, throttle,
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, max_shrink_iters: 20, ..ProptestConfig::default() })]

    /// Any engines.
    #[test]
    fn exact_any_engine_ends(sizes in any_sizes(), slowest in 600.0..2500.0) {
        let speeds = [1.0, 1.7, 2.6, 3.6].map(|factor| factor * slowest);
        let points = sweep(&engine(&sizes), &speeds, Fidelity::Screen).expect("a plan");
        points.iter().for_each(makes_sense);
    }
}

/// A small, slow engine with wide overlap: without a bound on steps by its cylinder's volume it took in gas without end.
#[test]
fn regress_a_throttled_small_single_does_not_run_away() {
    let sizes = Sizes {
        n_cylinders: 1,
        bore_m: 0.05,
        stroke_m: 0.03,
        compression: 13.578359853811943,
        runner_m: [0.2978312158379616, 0.021],
        primary_m: [1.0330997102584452, 0.021],
        intake_over_bore: 0.5185279671243991,
        lift_over_head: 0.12,
        intake_deg: [49.136763591845344, 30.0],
        exhaust_deg: [30.0, 49.136763591845344],
        plenum: 0.3,
        throttle: 0.05,
    };
    let speeds = [1.0, 1.7, 2.6, 3.6].map(|factor| factor * 600.0);
    for point in sweep(&engine(&sizes), &speeds, Fidelity::Screen).expect("a plan") {
        makes_sense(&point);
    }
}
