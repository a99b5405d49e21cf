//! Many engines at many speeds at once: what a search or a sensitivity study asks for.
//!
//! Leaves out which engines to try, and what to make of the answers.

use crate::fidelity::Fidelity;
use crate::model::Model;
use crate::network_plan::PlanError;
use crate::speed_point::SpeedPoint;
use crate::sweep::sweep;
use rayon::prelude::*;
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

/// How far a batch has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BatchProgress {
    /// Points that are done: engines times speeds.
    pub n_done: usize,
    /// Points there are.
    pub n_points: usize,
}

/// What each of some engines does at each of some speeds, rpm; one answer a model, in their order.
///
/// Every answer is the same whatever other engines are in the batch, and at any number of threads. Points that do not
/// converge, or break, say so in their outcome; an error is a model that cannot be run at all.
pub fn sweep_batch(
    models: &[Model],
    speeds_rpm: &[f64],
    fidelity: Fidelity,
) -> Vec<Result<Vec<SpeedPoint>, PlanError>> {
    let all = sweep_batch_watched(models, speeds_rpm, fidelity, &|_| ControlFlow::Continue(()));
    all.unwrap_or_default()
}

/// The same; `watch` is told from time to time, from any thread, how far it is, and may break it off: then `None`.
pub fn sweep_batch_watched(
    models: &[Model],
    speeds_rpm: &[f64],
    fidelity: Fidelity,
    watch: &(dyn Fn(BatchProgress) -> ControlFlow<()> + Sync),
) -> Option<Vec<Result<Vec<SpeedPoint>, PlanError>>> {
    let n_points = models.len() * speeds_rpm.len();
    let done = AtomicUsize::new(0);
    let stopped = AtomicBool::new(false);
    let answers = models
        .par_iter()
        .map(|model| {
            if stopped.load(Ordering::Relaxed) {
                return None;
            }
            let answer = sweep(model, speeds_rpm, fidelity);
            let n_done = done.fetch_add(speeds_rpm.len(), Ordering::Relaxed) + speeds_rpm.len();
            if watch(BatchProgress { n_done, n_points }).is_break() {
                stopped.store(true, Ordering::Relaxed);
            }
            Some(answer)
        })
        .collect::<Option<Vec<_>>>();
    answers.filter(|_| !stopped.into_inner())
}
