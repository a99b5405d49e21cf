//! Engines marched cycle after cycle until each repeats itself: one a lane, each for itself.
//!
//! A lane whose engine is done takes the next one at once, so no lane waits for another. What an engine does never
//! depends on its neighbours. Leaves out which engines there are, and what to make of them.

use crate::burning::Burning;
use crate::convergence::{Convergence, Estimate, Given};
use crate::cylinder::CylinderSetup;
use crate::fidelity::Settings;
use crate::march::{CycleEnd, Engines, cold};
use crate::packed_state::{sound, weights};
use crate::point_of_cycle::Marched;
use crate::prepared::Prepared;
use crate::spark::{Known, SparkChoice, next_burning_near};
use crate::speed_point::Outcome;
use gas::lane::{Lane, Layout};
use gas::network::NetworkError;
use std::sync::Arc;

/// Times a cycle that broke is taken up again with half the step.
const MOST_SLOWDOWNS: usize = 3;

/// Ratio of successive changes from which on cycles are mixed rather than only repeated.
const SLOW: f64 = 0.6;

/// Cycles after which it is first believed that an engine repeats itself: two changes may agree by chance.
const LEAST_CYCLES: usize = 3;

/// How engines are marched: on which grid, how closely, how long at most.
#[derive(Clone, Copy)]
pub(crate) struct Stage {
    pub settings: Settings,
    pub most_cycles: usize,
}

/// An engine to be marched at a speed.
pub(crate) struct Job<'a> {
    /// Where its outcome goes.
    pub ticket: usize,
    pub engine: &'a Prepared,
    pub rpm: f64,
    /// How each cylinder burns in the first cycle.
    pub burnings: Vec<Burning<f64>>,
    /// Sparks that were chosen for it on another grid.
    pub known: Vec<Known>,
    /// Whether it may be tried again cold.
    pub warm: bool,
    /// A state to start from and the cells of its pipes; cold without one.
    pub from: Option<(Arc<[f64]>, &'a [usize])>,
}

/// A march that has ended.
pub(crate) struct Settled {
    pub state: Arc<[f64]>,
    pub lit: Vec<SparkChoice>,
    pub known: Vec<Known>,
    pub marched: Marched,
}

/// Where jobs come from and outcomes go to. All engines have the same plan and grid.
pub(crate) trait Jobs<'a> {
    /// The next engine to march, if there is one now.
    fn next(&mut self) -> Option<Job<'a>>;
    /// Takes an outcome; there may be more jobs after it.
    fn done(&mut self, ticket: usize, warm: bool, outcome: Result<Settled, NetworkError>);
}

/// Marches all jobs, several side by side.
#[inline(always)]
pub(crate) fn settle<'a, X: Layout>(stage: &Stage, jobs: &mut dyn Jobs<'a>) {
    let mut waiting = jobs.next();
    let Some(first) = &waiting else { return };
    let mut engines = Engines::<X>::new(first.engine, &stage.settings)
        .expect("the plan was checked when the engine was made ready");
    let mut runs: Vec<Option<Run>> = (0..X::End::N).map(|_| None).collect();
    loop {
        for (lane, place) in runs.iter_mut().enumerate() {
            // What the lane begins its next cycle with, where that is not how it ended the last.
            let mut put: Option<(Arc<[f64]>, &[usize])> = None;
            if let Some(run) = place {
                match run.look(&mut engines, lane, stage) {
                    Look::Goes => {}
                    Look::Begins(state) => put = Some((state, &run.engine.plan.grid.n_cells)),
                    Look::Over(outcome) => {
                        if outcome.is_err() {
                            // Nothing broken may stay in a lane, even when no engine follows.
                            put = Some((run.start.clone(), &run.engine.plan.grid.n_cells));
                        }
                        engines.unload(lane);
                        jobs.done(run.ticket, run.warm, outcome);
                        *place = None;
                    }
                }
            }
            if place.is_none()
                && let Some(job) = waiting.take().or_else(|| jobs.next())
            {
                let run = Run::new(&job, engines.n_steps);
                engines
                    .load(lane, job.engine, job.rpm, &run.setups)
                    .expect("engines that run side by side have one plan and grid");
                let cold = || (cold(job.engine, &run.setups).into(), &job.engine.plan.grid.n_cells[..]);
                put = Some(job.from.unwrap_or_else(cold));
                *place = Some(run);
            }
            if let Some((packed, n_cells)) = put {
                let mass_kg = engines
                    .unpack(lane, &packed, n_cells)
                    .expect("states are those of engines of the same plan");
                if let Some(run) = place {
                    (run.start, run.mass_kg) = (engines.pack(lane).into(), mass_kg);
                }
            }
        }
        if runs.iter().all(Option::is_none) {
            return;
        }
        engines.run();
    }
}

/// An engine in a lane.
struct Run<'a> {
    ticket: usize,
    warm: bool,
    engine: &'a Prepared,
    setups: Vec<CylinderSetup<f64>>,
    known: Vec<Known>,
    judge: Convergence,
    slowdowns: usize,
    cycles: usize,
    /// Steps the lanes had taken before.
    steps_before: usize,
    /// State at the start of the cycle, and mass of it all then, kg.
    start: Arc<[f64]>,
    mass_kg: f64,
}

/// What is to be done about a lane.
enum Look {
    /// It is in the middle of a cycle, or begins one with what it has.
    Goes,
    /// It begins a cycle with this state.
    Begins(Arc<[f64]>),
    Over(Result<Settled, NetworkError>),
}

impl<'a> Run<'a> {
    fn new(job: &Job<'a>, steps_before: usize) -> Self {
        let setup = |(c, burning)| job.engine.cylinder(c, job.rpm, burning);
        Self {
            ticket: job.ticket,
            warm: job.warm,
            engine: job.engine,
            setups: job.burnings.iter().enumerate().map(setup).collect(),
            known: job.known.clone(),
            judge: Convergence::new(),
            slowdowns: 0,
            cycles: 0,
            steps_before,
            start: Arc::new([]),
            mass_kg: 0.0,
        }
    }

    /// Sees whether the lane has ended its cycle or broken, and what follows.
    fn look<X: Layout>(&mut self, engines: &mut Engines<X>, lane: usize, stage: &Stage) -> Look {
        if let Some(broke) = engines.broken(lane) {
            if self.slowdowns == MOST_SLOWDOWNS {
                return Look::Over(Err(broke));
            }
            self.slowdowns += 1;
            engines.slow_down(lane);
            return Look::Begins(self.start.clone());
        }
        if !engines.at_end(lane) {
            return Look::Goes;
        }
        let end = engines.end_cycle(lane);
        let (burnings, look) = self.after_cycle(end, stage, engines.n_steps - self.steps_before);
        for (cylinder, burning) in burnings.iter().enumerate() {
            engines.set_burning(lane, cylinder, burning);
        }
        look
    }

    /// Judges a cycle after `steps` of the march: how each cylinder burns in the next one, and whether there is one.
    fn after_cycle(&mut self, end: CycleEnd, stage: &Stage, steps: usize) -> (Vec<Burning<f64>>, Look) {
        self.cycles += 1;
        let CycleEnd { packed, sums, mass_kg, left_kg, manifold_pa, recorded } = end;
        let packed: Arc<[f64]> = packed.into();
        let model = &self.engine.model;
        let alike = self.engine.alike.iter().copied().enumerate();
        let lit: Vec<SparkChoice> = (alike.zip(&self.setups).zip(&sums))
            .map(|((which, setup), sums)| {
                next_burning_near(model, which, setup, sums, near_enough(&stage.settings), &mut self.known)
            })
            .collect();
        let trapped = sums.iter().map(|s| s.trapped).sum::<f64>() / sums.len() as f64;
        let work = sums.iter().map(|s| s.gross_work.abs()).sum::<f64>() / sums.len() as f64;
        let quantities =
            sums.iter().flat_map(|s| [s.trapped, s.gross_work + s.pumping_work]).collect::<Vec<f64>>();
        let scales = [trapped.max(1e-12), work.max(1e-9)].repeat(sums.len());
        let weights = weights(self.engine, &packed);
        let burnings: Vec<Burning<f64>> = lit.iter().map(|choice| choice.burning).collect();
        let estimate = self.judge.after_cycle(
            &self.start,
            &packed,
            &weights,
            Given { quantities, scales, extra: angles_of(&burnings) },
        );
        let accuracy = stage.settings.accuracy;
        let converged =
            LEAST_CYCLES <= self.cycles && error_of(&estimate) < accuracy && estimate.state < accuracy;
        if converged || self.cycles >= stage.most_cycles || steps >= stage.settings.most_steps {
            let stayed = mass_kg - self.mass_kg;
            let sprayed: f64 = sums.iter().map(|s| s.liquid_fuel - s.blow_by_mass).sum();
            let all_trapped: f64 = sums.iter().map(|s| s.trapped).sum();
            let marched = Marched {
                outcome: if converged { Outcome::Converged } else { Outcome::NotConverged },
                error: error_of(&estimate),
                cycles: self.cycles,
                steps,
                mass_gap: (stayed + left_kg - sprayed) / all_trapped.max(1e-12),
                sums,
                manifold_pa,
                traces: recorded.map_or_else(Vec::new, |recorded| recorded.traces(self.engine)),
            };
            let known = std::mem::take(&mut self.known);
            return (Vec::new(), Look::Over(Ok(Settled { state: packed, lit, known, marched })));
        }
        self.mass_kg = mass_kg;
        let mixed = (estimate.ratio > SLOW)
            .then(|| self.judge.mixed())
            .flatten()
            .and_then(|(state, angles)| Some((sound(self.engine, state, &packed)?, angles)));
        self.start = packed;
        match mixed {
            Some((state, angles)) => (with_angles(burnings, &angles), Look::Begins(state.into())),
            None => (burnings, Look::Goes),
        }
    }
}

/// How near a charge must be to one whose spark is known: what the march is asked for is not to feel it.
fn near_enough(settings: &Settings) -> f64 {
    0.5 * settings.accuracy
}

/// What of a burn is mixed with the state: it was chosen by the charge of the cycle, and so is part of where the next begins.
fn angles_of(burnings: &[Burning<f64>]) -> Vec<f64> {
    burnings.iter().flat_map(|b| [b.spark_deg, b.start_deg, b.duration_deg]).collect()
}

/// Burns with mixed angles, each no further than this from its own, deg.
fn with_angles(mut burnings: Vec<Burning<f64>>, angles: &[f64]) -> Vec<Burning<f64>> {
    const FARTHEST_DEG: f64 = 5.0;
    for (burning, angles) in burnings.iter_mut().zip(angles.chunks(3)) {
        let near = |own: f64, mixed: f64| mixed.clamp(own - FARTHEST_DEG, own + FARTHEST_DEG);
        burning.spark_deg = near(burning.spark_deg, angles[0]);
        burning.start_deg = near(burning.start_deg, angles[1]);
        burning.duration_deg = near(burning.duration_deg, angles[2]).max(0.5 * burning.duration_deg);
    }
    burnings
}

/// The estimate with room for what it misses where several slow modes die out together.
fn error_of(estimate: &Estimate) -> f64 {
    /// From marches of the demos to 1e-9, which lay up to 1.1 times as far away as estimated.
    const ROOM: f64 = 2.0;
    ROOM * estimate.quantities
}
