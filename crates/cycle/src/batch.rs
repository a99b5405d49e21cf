//! Many engines at many speeds at once: what a search or a sensitivity study asks for.
//!
//! Engines whose pipes are joined alike and have equal numbers of cells run side by side, one a lane. Leaves out which
//! engines to try, and what to make of the answers.

use crate::fidelity::{Fidelity, Settings};
use crate::grid::Grid;
use crate::model::{End, Model, PipeSide, Side};
use crate::network_plan::PlanError;
use crate::prepared::Prepared;
use crate::speed_point::SpeedPoint;
use crate::sweep::{CHAIN, Chain, Curves, Grids, Stages};
use gas::lane::{Width, dispatch, dispatch_along};
use rayon::prelude::*;
use std::collections::HashMap;
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
/// Every answer is the same to the last bit whatever other engines are in the batch, and at any number of threads. Points
/// that do not converge, or break, say so in their outcome; an error is a model that cannot be run at all.
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
    sweep_batch_at(Width::widest(), models, speeds_rpm, fidelity, &fidelity.settings(), watch)
}

/// The same with so many engines side by side, and with settings of one's own.
pub fn sweep_batch_at(
    width: Width,
    models: &[Model],
    speeds_rpm: &[f64],
    fidelity: Fidelity,
    settings: &Settings,
    watch: &(dyn Fn(BatchProgress) -> ControlFlow<()> + Sync),
) -> Option<Vec<Result<Vec<SpeedPoint>, PlanError>>> {
    let stages = Stages::of(settings);
    let n_points = models.len() * speeds_rpm.len();
    let done = AtomicUsize::new(0);
    let stopped = AtomicBool::new(false);
    let go_on = |n: usize| {
        let n_done = done.fetch_add(n, Ordering::Relaxed) + n;
        if watch(BatchProgress { n_done, n_points }).is_break() {
            stopped.store(true, Ordering::Relaxed);
        }
        !stopped.load(Ordering::Relaxed)
    };
    let run = |block: &Vec<usize>| {
        if stopped.load(Ordering::Relaxed) {
            return Vec::new();
        }
        let engines = prepare(models, block, &stages);
        let chains: Vec<Chain> = (engines.iter().filter_map(|engine| engine.as_ref().ok()))
            .flat_map(|grids| speeds_rpm.chunks(CHAIN).map(move |speeds_rpm| Chain { grids, speeds_rpm }))
            .collect();
        let together = side_by_side(&chains, width.lanes());
        let run = |chains: &[Chain]| {
            let curves = Curves { fidelity, stages: &stages, chains, watch: &mut |_| go_on(1) };
            if together { dispatch(width, curves) } else { dispatch_along(width, curves) }
        };
        let points = if together {
            run(&chains)
        } else {
            chains.par_iter().flat_map_iter(|chain| run(std::slice::from_ref(chain))).collect()
        };
        let mut points = points.into_iter();
        let answers = engines.iter().map(|engine| match engine {
            Ok(_) => Ok(points.by_ref().take(speeds_rpm.len().div_ceil(CHAIN)).flatten().collect()),
            Err(why) => {
                go_on(speeds_rpm.len());
                Err(why.clone())
            }
        });
        block.iter().copied().zip(answers).collect()
    };
    let blocks = blocks(models, speeds_rpm.len(), width.lanes(), &stages);
    let mut answers: Vec<(usize, _)> = blocks.par_iter().flat_map_iter(run).collect();
    answers.sort_by_key(|&(model, _)| model);
    (!stopped.into_inner()).then(|| answers.into_iter().map(|(_, answer)| answer).collect())
}

/// Lanes' worth of chains in a block: enough that few lanes idle at its end, few enough that every thread gets blocks.
const ROUNDS: usize = 8;

/// Whether chains are better run side by side than one after another along their pipes, which gives the same bits.
///
/// Pipes of fewer cells than there are lanes leave most of them empty, and side by side wins as soon as the lanes are in
/// use; with longer pipes it takes enough points that few lanes idle towards the end. From the bench `batch`.
fn side_by_side(chains: &[Chain], lanes: usize) -> bool {
    let n_points: usize = chains.iter().map(|chain| chain.speeds_rpm.len()).sum();
    let short = chains.first().is_some_and(|chain| {
        let grid = &chain.grids.fine.plan.grid;
        grid.total() <= lanes * grid.n_cells.len()
    });
    if short { 2 * n_points >= 3 * lanes } else { n_points >= 4 * lanes }
}

/// Positions of models that can run side by side, in blocks of a size that is worth it.
fn blocks(models: &[Model], n_speeds: usize, lanes: usize, stages: &Stages) -> Vec<Vec<usize>> {
    let mut group_of: HashMap<Vec<usize>, usize> = HashMap::new();
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (at, model) in models.iter().enumerate() {
        let group = *group_of.entry(likeness(model, stages)).or_insert(groups.len());
        if group == groups.len() {
            groups.push(Vec::new());
        }
        groups[group].push(at);
    }
    let chains = n_speeds.div_ceil(CHAIN).max(1);
    let size = (ROUNDS * lanes).div_ceil(chains);
    groups.iter().flat_map(|group| group.chunks(size).map(<[usize]>::to_vec)).collect()
}

/// Equal for models that can run side by side: what is joined to what, and the cells of every pipe on both grids.
fn likeness(model: &Model, stages: &Stages) -> Vec<usize> {
    let side = |side: Side| usize::from(side == Side::Exhaust);
    let end = |end: End| match end {
        End::Closed => [0, 0, 0],
        End::Source(i, _) => [1, i, 0],
        End::Volume(i, _) => [2, i, 0],
        End::Valves(i, duty) => [3, i, side(duty)],
        End::Join(i, place) => [4, i, usize::from(place == PipeSide::Right)],
    };
    let mut likeness = vec![model.cylinders.len(), model.pipes.len(), model.volumes.len()];
    likeness.extend(model.volumes.iter().map(|volume| side(volume.side)));
    for pipe in &model.pipes {
        likeness.push(side(pipe.side));
        likeness.extend(end(pipe.left).into_iter().chain(end(pipe.right)));
    }
    for stage in [&stages.coarse, &stages.fine] {
        likeness.extend(Grid::of(model, &stage.settings).n_cells);
    }
    likeness
}

/// Makes the models of a block ready; charges that come up again are worked out once.
fn prepare(models: &[Model], block: &[usize], stages: &Stages) -> Vec<Result<Grids, PlanError>> {
    let settings = &stages.fine.settings;
    let mut ready: Vec<Result<Grids, PlanError>> = Vec::with_capacity(block.len());
    for &at in block {
        let model = &models[at];
        let mut known = ready.iter().flatten();
        let alike = known.find_map(|grids| grids.fine.with_same_gas(model, settings).transpose());
        let fine = alike.unwrap_or_else(|| Prepared::new(model, settings));
        ready.push(fine.and_then(|fine| Grids::of(fine, stages)));
    }
    ready
}
