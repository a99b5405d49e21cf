//! Many engines at once: the same answers as one by one, in order, and a way to stop.

use cycle::batch::{BatchProgress, sweep_batch, sweep_batch_watched};
use cycle::example::{Sizes, engine};
use cycle::fidelity::Fidelity;
use cycle::model::Model;
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
