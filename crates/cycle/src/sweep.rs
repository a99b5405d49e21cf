//! A torque curve: an engine marched to a cycle that repeats itself, at one speed after another.
//!
//! Speeds are taken in short chains: each begins with the state of its neighbour, and each is settled on a coarse grid
//! before the fine one. Chains do not depend on the number of threads, so neither do the results. Leaves out many
//! engines side by side.

use crate::burning::Burning;
use crate::convergence::{Convergence, Estimate};
use crate::cylinder::CylinderSetup;
use crate::fidelity::{Fidelity, Settings};
use crate::march::Engine;
use crate::model::Model;
use crate::network_plan::PlanError;
use crate::packed_state::{sound, weights};
use crate::point_of_cycle::{Marched, point, unknown};
use crate::prepared::Prepared;
use crate::spark::{SparkChoice, first_burning, next_burning};
use crate::speed_point::{Outcome, SpeedPoint};
use gas::lane::{Layout, Program, Width, dispatch_along};
use gas::network::NetworkError;
use rayon::prelude::*;

/// Speeds of a chain.
const CHAIN: usize = 4;

/// How much longer the cells are on which an engine settles first.
const COARSER: f64 = 2.5;

/// Cycles it may take for that.
const MOST_COARSE_CYCLES: usize = 8;

/// Times a cycle that broke is taken up again with half the step.
const MOST_SLOWDOWNS: usize = 3;

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
    let fine = Prepared::new(model, settings)?;
    let coarse_settings = settings.coarsened(COARSER);
    let coarse = fine.regridded(&coarse_settings)?;
    let chains: Vec<Vec<SpeedPoint>> = speeds_rpm
        .par_chunks(CHAIN)
        .map(|speeds_rpm| {
            let chain = Chain {
                fidelity,
                speeds_rpm,
                fine: Stage { engine: &fine, settings, most_cycles: settings.most_cycles },
                coarse: Stage {
                    engine: &coarse,
                    settings: &coarse_settings,
                    most_cycles: MOST_COARSE_CYCLES,
                },
            };
            dispatch_along(Width::widest(), chain)
        })
        .collect();
    Ok(chains.into_iter().flatten().collect())
}

/// An engine on a grid, and how long it may be marched there.
#[derive(Clone, Copy)]
struct Stage<'a> {
    engine: &'a Prepared,
    settings: &'a Settings,
    most_cycles: usize,
}

struct Chain<'a> {
    fidelity: Fidelity,
    speeds_rpm: &'a [f64],
    fine: Stage<'a>,
    coarse: Stage<'a>,
}

impl Program for Chain<'_> {
    type Output = Vec<SpeedPoint>;

    #[inline(always)]
    fn run<X: Layout>(self) -> Vec<SpeedPoint> {
        let mut state: Option<Vec<f64>> = None;
        let mut points = Vec::with_capacity(self.speeds_rpm.len());
        for &rpm in self.speeds_rpm {
            let point = self.at_speed::<X>(rpm, &mut state);
            points.push(point.unwrap_or_else(|broke| {
                state = None;
                unknown(self.fine.engine, rpm, self.fidelity, broke.to_string())
            }));
        }
        points
    }
}

impl Chain<'_> {
    /// One speed: settled on the coarse grid from where the last speed left it, then on the fine one.
    #[inline(always)]
    fn at_speed<X: Layout>(
        &self,
        rpm: f64,
        state: &mut Option<Vec<f64>>,
    ) -> Result<SpeedPoint, NetworkError> {
        let model = &self.fine.engine.model;
        let mut burnings: Vec<Burning<f64>> =
            model.cylinders.iter().map(|c| first_burning(model, c, rpm)).collect();
        let coarse_cells = &self.coarse.engine.plan.grid.n_cells[..];
        let mut spent = (0, 0);
        let mut on_coarse = true;
        // One call for all legs: everything a march does is compiled into its caller, once for every width.
        loop {
            let stage = if on_coarse { &self.coarse } else { &self.fine };
            let from = state.as_deref().map(|packed| (packed, coarse_cells));
            let outcome = march::<X>(stage, rpm, &burnings, from);
            match outcome {
                // From the neighbour's state; where that breaks, cold.
                Err(_) if on_coarse && state.is_some() => *state = None,
                // What breaks on the coarse grid may still run on the fine one.
                Err(_) if on_coarse => on_coarse = false,
                Err(broke) => return Err(broke),
                Ok(settled) if on_coarse => {
                    burnings = settled.lit.iter().map(|choice| choice.burning).collect();
                    spent = (settled.marched.cycles, settled.marched.steps);
                    *state = Some(settled.state);
                    on_coarse = false;
                }
                Ok(Settled { mut marched, lit, .. }) => {
                    marched.cycles += spent.0;
                    marched.steps += spent.1;
                    return Ok(point(self.fine.engine, rpm, self.fidelity, &marched, &lit));
                }
            }
        }
    }
}

/// A march that has ended.
struct Settled {
    state: Vec<f64>,
    lit: Vec<SparkChoice>,
    marched: Marched,
}

/// Cycle after cycle until the estimated true error is small enough.
#[inline(always)]
fn march<X: Layout>(
    stage: &Stage,
    rpm: f64,
    burnings: &[Burning<f64>],
    from: Option<(&[f64], &[usize])>,
) -> Result<Settled, NetworkError> {
    let prepared = stage.engine;
    let model = &prepared.model;
    let setups: Vec<CylinderSetup<f64>> =
        burnings.iter().enumerate().map(|(c, burning)| prepared.cylinder(c, rpm, burning)).collect();
    let mut engine = Engine::<X>::new(prepared, stage.settings, rpm, &setups)?;
    if let Some((packed, n_cells)) = from {
        engine.unpack(packed, n_cells)?;
    }
    let mut judge = Convergence::new();
    let mut slowdowns = 0;
    let mut cycles = 0;
    let mut start = engine.pack();
    loop {
        let mass_before = engine.mass_kg();
        let outcome = engine.cycle();
        if let Err(broke) = outcome {
            if slowdowns == MOST_SLOWDOWNS {
                return Err(broke);
            }
            slowdowns += 1;
            engine.slow_down();
            engine.unpack(&start, &prepared.plan.grid.n_cells)?;
            continue;
        }
        cycles += 1;
        let end = engine.pack();
        let sums: Vec<_> = (0..model.cylinders.len()).map(|c| engine.last(c)).collect();
        let lit: Vec<SparkChoice> = (sums.iter().zip(&model.cylinders).zip(&setups))
            .map(|((sums, cylinder), setup)| next_burning(model, cylinder, setup, sums).1)
            .collect();
        let trapped = sums.iter().map(|s| s.trapped).sum::<f64>() / sums.len() as f64;
        let work = sums.iter().map(|s| s.gross_work.abs()).sum::<f64>() / sums.len() as f64;
        let quantities = sums
            .iter()
            .flat_map(|s| [s.trapped / trapped.max(1e-12), (s.gross_work + s.pumping_work) / work.max(1e-9)])
            .collect();
        let weights = weights(prepared, &end);
        let estimate = judge.after_cycle(&start, &end, &weights, quantities);
        let converged =
            error_of(&estimate) < stage.settings.accuracy && estimate.state < stage.settings.accuracy;
        if converged || cycles >= stage.most_cycles || engine.n_steps >= stage.settings.most_steps {
            let stayed = engine.mass_kg() - mass_before;
            let left: f64 = (0..prepared.plan.source_ends.len()).map(|s| engine.source_kg(s)).sum();
            let sprayed: f64 = sums.iter().map(|s| s.liquid_fuel - s.blow_by_mass).sum();
            let all_trapped: f64 = sums.iter().map(|s| s.trapped).sum();
            let manifold_pa = prepared.intake_volume().map(|volume| engine.volume_pa(volume));
            let marched = Marched {
                outcome: if converged { Outcome::Converged } else { Outcome::NotConverged },
                error: error_of(&estimate),
                cycles,
                steps: engine.n_steps,
                mass_gap: (stayed + left - sprayed) / all_trapped.max(1e-12),
                sums,
                manifold_pa,
            };
            return Ok(Settled { state: end, lit, marched });
        }
        for (cylinder, choice) in lit.iter().enumerate() {
            engine.set_burning(cylinder, &choice.burning);
        }
        start = end;
        if estimate.ratio > SLOW
            && cycles <= MOST_MIXED
            && let Some(nearer) = judge.mixed().and_then(|mixed| sound(prepared, mixed, &start))
        {
            engine.unpack(&nearer, &prepared.plan.grid.n_cells)?;
            start = nearer;
        }
    }
}

/// Ratio of successive changes from which on cycles are mixed rather than only repeated.
const SLOW: f64 = 0.6;

/// Cycles after which they are only repeated: close to the end, mixing pipes without cylinders stirs more than it settles.
const MOST_MIXED: usize = 12;

/// The estimate with room for what it misses where several slow modes die out together.
fn error_of(estimate: &Estimate) -> f64 {
    /// From marches a thousand times closer, which lay up to 1.6 times as far away as estimated.
    const ROOM: f64 = 2.0;
    ROOM * estimate.quantities
}
