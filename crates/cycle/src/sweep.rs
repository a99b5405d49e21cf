//! A torque curve: an engine marched to a cycle that repeats itself, at one speed after another.
//!
//! Speeds are taken in short chains: each begins with the state of its neighbour, and each is settled on a coarse grid
//! before the fine one. Chains do not depend on the number of threads, so neither do the results. Leaves out which
//! engines run side by side.

use crate::burning::Burning;
use crate::fidelity::{Fidelity, Settings};
use crate::model::Model;
use crate::network_plan::PlanError;
use crate::point_of_cycle::{point, unknown};
use crate::prepared::Prepared;
use crate::settle::{Job, Jobs, Settled, Stage, settle};
use crate::spark::{Known, first_burning};
use crate::speed_point::SpeedPoint;
use gas::lane::{Layout, Program, Width, dispatch_along};
use gas::network::NetworkError;
use rayon::prelude::*;
use std::sync::Arc;

/// Speeds of a chain.
pub(crate) const CHAIN: usize = 4;

/// How much longer the cells are on which an engine settles first.
const COARSER: f64 = 2.5;

/// Cycles it may take for that.
const MOST_COARSE_CYCLES: usize = 8;

/// What an engine does at each of some speeds, rpm, in their order.
///
/// A point that does not converge, or breaks, says so in its outcome. An error is a model that cannot be run at all.
pub fn sweep(model: &Model, speeds_rpm: &[f64], fidelity: Fidelity) -> Result<Vec<SpeedPoint>, PlanError> {
    sweep_with(model, speeds_rpm, fidelity, &fidelity.settings())
}

/// The same with settings of one's own; `fidelity` is only what the points are said to be.
pub fn sweep_with(
    model: &Model,
    speeds_rpm: &[f64],
    fidelity: Fidelity,
    settings: &Settings,
) -> Result<Vec<SpeedPoint>, PlanError> {
    let stages = Stages::of(settings);
    let grids = Grids::of(Prepared::new(model, settings)?, &stages)?;
    let chains: Vec<Vec<SpeedPoint>> = speeds_rpm
        .par_chunks(CHAIN)
        .map(|speeds_rpm| {
            let chain = Chain { grids: &grids, speeds_rpm };
            let curves = Curves { fidelity, stages: &stages, chains: &[chain], watch: &mut |_| true };
            dispatch_along(Width::widest(), curves).into_iter().flatten().collect()
        })
        .collect();
    Ok(chains.into_iter().flatten().collect())
}

/// How an engine is marched: first on the coarse grid, then on the fine one.
pub(crate) struct Stages {
    pub coarse: Stage,
    pub fine: Stage,
}

impl Stages {
    pub(crate) fn of(settings: &Settings) -> Self {
        let coarse = settings.coarsened(COARSER);
        Self {
            coarse: Stage { settings: coarse, most_cycles: MOST_COARSE_CYCLES },
            fine: Stage { settings: *settings, most_cycles: settings.most_cycles },
        }
    }
}

/// An engine made ready on both grids.
pub(crate) struct Grids {
    pub coarse: Prepared,
    pub fine: Prepared,
}

impl Grids {
    /// Of an engine that is ready on the fine grid.
    pub(crate) fn of(fine: Prepared, stages: &Stages) -> Result<Self, PlanError> {
        Ok(Self { coarse: fine.regridded(&stages.coarse.settings)?, fine })
    }
}

/// Speeds of one engine, each of which begins with the state of the one before.
#[derive(Clone, Copy)]
pub(crate) struct Chain<'a> {
    pub grids: &'a Grids,
    pub speeds_rpm: &'a [f64],
}

/// Chains of engines of one plan, the same grid on either stage: run to points, chain by chain.
pub(crate) struct Curves<'a> {
    pub fidelity: Fidelity,
    pub stages: &'a Stages,
    pub chains: &'a [Chain<'a>],
    /// Told of every point that is done, how many of this run that makes; says whether to go on.
    pub watch: &'a mut dyn FnMut(usize) -> bool,
}

impl Program for Curves<'_> {
    /// Fewer points where it was told to stop.
    type Output = Vec<Vec<SpeedPoint>>;

    #[inline(always)]
    fn run<X: Layout>(self) -> Self::Output {
        let mut desk = Desk::new(self);
        // Twice through the same loop, since a march is compiled into it whole.
        for on_fine in [false, true] {
            desk.open(on_fine);
            let stages = desk.curves.stages;
            let stage = if on_fine { &stages.fine } else { &stages.coarse };
            settle::<X>(stage, &mut desk);
        }
        desk.points.into_iter().map(|points| points.into_iter().flatten().collect()).collect()
    }
}

/// How a point starts on the fine grid: as it was left on the coarse one.
#[derive(Clone)]
struct Start {
    state: Arc<[f64]>,
    burnings: Vec<Burning<f64>>,
    known: Vec<Known>,
    cycles: usize,
    steps: usize,
}

/// A march that is to come: its place, and on the coarse grid the neighbour's state.
struct Waiting {
    chain: usize,
    speed: usize,
    from: Option<Arc<[f64]>>,
}

/// Gives out the marches of both stages and takes in what comes of them.
struct Desk<'a> {
    curves: Curves<'a>,
    on_fine: bool,
    stopped: bool,
    /// The next one last.
    waiting: Vec<Waiting>,
    /// By chain and speed.
    starts: Vec<Vec<Option<Start>>>,
    points: Vec<Vec<Option<SpeedPoint>>>,
    n_done: usize,
}

impl<'a> Desk<'a> {
    fn new(curves: Curves<'a>) -> Self {
        let places = |chain: &Chain| chain.speeds_rpm.len();
        let starts = curves.chains.iter().map(|chain| vec![None; places(chain)]).collect();
        let points = curves.chains.iter().map(|chain| vec![None; places(chain)]).collect();
        Self { on_fine: false, stopped: false, waiting: Vec::new(), starts, points, n_done: 0, curves }
    }

    /// Lays out the marches of a stage: on the coarse grid the first speeds of all chains, the others follow them.
    fn open(&mut self, on_fine: bool) {
        self.on_fine = on_fine;
        for (chain, points) in self.points.iter().enumerate().rev() {
            let n = if on_fine { points.len() } else { points.len().min(1) };
            self.waiting.extend((0..n).rev().map(|speed| Waiting { chain, speed, from: None }));
        }
    }

    /// The next speed of a chain follows, from the state of this one.
    fn follow(&mut self, chain: usize, speed: usize, from: Option<Arc<[f64]>>) {
        if speed + 1 < self.points[chain].len() {
            self.waiting.push(Waiting { chain, speed: speed + 1, from });
        }
    }

    fn settled_on_coarse(&mut self, chain: usize, speed: usize, outcome: Result<Settled, NetworkError>) {
        // What breaks on the coarse grid may still run on the fine one.
        let start = outcome.ok().map(|settled| Start {
            state: settled.state,
            burnings: settled.lit.iter().map(|choice| choice.burning).collect(),
            known: settled.known,
            cycles: settled.marched.cycles,
            steps: settled.marched.steps,
        });
        self.follow(chain, speed, start.as_ref().map(|start| start.state.clone()));
        self.starts[chain][speed] = start;
    }

    fn settled_on_fine(&mut self, chain: usize, speed: usize, outcome: Result<Settled, NetworkError>) {
        let Chain { grids, speeds_rpm } = self.curves.chains[chain];
        let (rpm, fidelity) = (speeds_rpm[speed], self.curves.fidelity);
        self.points[chain][speed] = Some(match outcome {
            Ok(mut settled) => {
                if let Some(start) = &self.starts[chain][speed] {
                    settled.marched.cycles += start.cycles;
                    settled.marched.steps += start.steps;
                }
                point(&grids.fine, rpm, fidelity, &settled.marched, &settled.lit)
            }
            Err(broke) => unknown(&grids.fine, rpm, fidelity, &broke),
        });
        self.n_done += 1;
        self.stopped |= !(self.curves.watch)(self.n_done);
    }
}

impl<'a> Jobs<'a> for Desk<'a> {
    fn next(&mut self) -> Option<Job<'a>> {
        let Waiting { chain, speed, from } = self.waiting.pop().filter(|_| !self.stopped)?;
        let Chain { grids, speeds_rpm } = self.curves.chains[chain];
        let rpm = speeds_rpm[speed];
        let coarse_cells = &grids.coarse.plan.grid.n_cells[..];
        let model = &grids.fine.model;
        let first = || model.cylinders.iter().map(|c| first_burning(model, c, rpm)).collect();
        let start = self.starts[chain][speed].as_ref().filter(|_| self.on_fine);
        let from = start.map(|start| start.state.clone()).or(from);
        Some(Job {
            ticket: chain * CHAIN + speed,
            engine: if self.on_fine { &grids.fine } else { &grids.coarse },
            rpm,
            burnings: start.map_or_else(first, |start| start.burnings.clone()),
            known: start.map_or_else(Vec::new, |start| start.known.clone()),
            warm: from.is_some() && !self.on_fine,
            from: from.map(|state| (state, coarse_cells)),
        })
    }

    fn done(&mut self, ticket: usize, warm: bool, outcome: Result<Settled, NetworkError>) {
        let (chain, speed) = (ticket / CHAIN, ticket % CHAIN);
        if self.on_fine {
            self.settled_on_fine(chain, speed, outcome);
        } else if warm && outcome.is_err() {
            // Where a start from the neighbour's state breaks, a cold one may not.
            self.waiting.push(Waiting { chain, speed, from: None });
        } else {
            self.settled_on_coarse(chain, speed, outcome);
        }
    }
}
