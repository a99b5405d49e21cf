//! Many engines at once: the same answers as one by one, in order, and a way to stop.

use cycle::batch::{BatchProgress, sweep_batch, sweep_batch_at, sweep_batch_watched};
use cycle::example::{Sizes, engine};
use cycle::fidelity::Fidelity;
use cycle::model::{Model, Spark};
use cycle::network_plan::PlanError;
use cycle::speed_point::{Outcome, SpeedPoint};
use cycle::sweep::sweep;
use gas::lane::{Width, widths};
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicUsize, Ordering};

fn singles(compressions: &[f64]) -> Vec<Model> {
    let sizes = |compression| Sizes { n_cylinders: 1, compression, ..Sizes::default() };
    compressions.iter().map(|&c| engine(&sizes(c))).collect()
}

/// A model that cannot run is an error of its own; the others answer in their places.
#[test]
fn exact_one_answer_a_model_in_order() {
    let mut models = singles(&[9.0, 10.0, 11.0]);
    models[1].cylinders.clear();
    let answers = sweep_batch(&models, &[3000.0, 5000.0], Fidelity::Screen);
    assert_eq!(answers.len(), 3);
    assert!(answers[1].is_err());
    let torque = |i: usize| answers[i].as_ref().map_or(f64::NAN, |points| points[0].torque_n_m);
    assert!(torque(0) < torque(2), "{} {}", torque(0), torque(2));
}

/// Watched to the end every point is counted once; broken off there is no answer.
#[test]
fn exact_watched_and_broken_off() {
    let models = singles(&[9.0, 11.0]);
    let furthest = AtomicUsize::new(0);
    let count = |at: BatchProgress| {
        furthest.fetch_max(at.n_done, Ordering::Relaxed);
        assert_eq!(at.n_points, 4);
        ControlFlow::Continue(())
    };
    assert!(sweep_batch_watched(&models, &[3000.0, 5000.0], Fidelity::Screen, &count).is_some());
    assert_eq!(furthest.into_inner(), 4);
    let stop = |_| ControlFlow::Break(());
    assert!(sweep_batch_watched(&models, &[3000.0, 5000.0], Fidelity::Screen, &stop).is_none());
}

/// Variants of one engine whose pipes keep their cells.
fn variants(n: usize) -> Vec<Model> {
    let at = |i: usize| (i as f64 * 0.618_034).fract();
    (0..n)
        .map(|i| {
            let mut model = engine(&Sizes {
                n_cylinders: 2,
                compression: 8.0 + 4.0 * at(i),
                runner_m: [0.33 + 0.04 * at(3 * i + 1), 0.034 + 0.004 * at(5 * i)],
                intake_deg: [10.0 + 20.0 * at(7 * i), 50.0 + 30.0 * at(2 * i)],
                throttle: 0.4 + 0.6 * at(11 * i),
                ..Sizes::default()
            });
            model.spark = Spark::KnockLimited { integral: 0.95 };
            model.charge.lambda = [0.9, 1.0][i % 2];
            model
        })
        .collect()
}

const SPEEDS: [f64; 5] = [1800.0, 2700.0, 3900.0, 5200.0, 6600.0];

type Answers = Vec<Result<Vec<SpeedPoint>, PlanError>>;

fn at(width: Width, models: &[Model]) -> Answers {
    let settings = Fidelity::Screen.settings();
    let go_on = |_| ControlFlow::Continue(());
    sweep_batch_at(width, models, &SPEEDS, Fidelity::Screen, &settings, &go_on).expect("nobody stops it")
}

/// Alone, among others, in another place, with more or fewer lanes: the same bits.
#[test]
fn exact_same_bits_whatever_runs_beside() {
    let models = variants(11);
    let widest = Width::widest();
    let all = at(widest, &models);
    assert!(all.iter().flatten().flatten().all(|p| p.outcome == Outcome::Converged));
    for (i, model) in models.iter().enumerate().step_by(4) {
        assert_eq!(at(widest, std::slice::from_ref(model)), all[i..=i], "variant {i} alone");
    }
    let backwards: Vec<Model> = models.iter().rev().cloned().collect();
    let turned: Answers = at(widest, &backwards).into_iter().rev().collect();
    assert_eq!(turned, all);
    for &width in widths() {
        assert_eq!(at(width, &models[..3]), all[..3], "{width:?}");
    }
}

/// Side by side or along its pipes, an engine does the same to the last bit.
#[test]
fn exact_agrees_with_one_engine_at_a_time() {
    let models = variants(4);
    for (model, batch) in models.iter().zip(at(Width::widest(), &models)) {
        assert_eq!(sweep(model, &SPEEDS, Fidelity::Screen), batch);
    }
}

/// A lane whose engine breaks or never settles does not touch its neighbours.
#[test]
fn exact_neighbours_of_a_broken_engine_are_as_they_were() {
    let mut models = variants(6);
    let before = at(Width::widest(), &models);
    // No gas engine: a cylinder that is burned to nothing a million times over.
    models[2].heat.factor = 1e9;
    let after = at(Width::widest(), &models);
    for i in [0, 1, 3, 4, 5] {
        assert_eq!(before[i], after[i], "variant {i}");
    }
    assert_ne!(before[2], after[2]);
}
