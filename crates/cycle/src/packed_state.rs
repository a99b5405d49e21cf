//! What the numbers of a packed engine weigh against each other, and whether a mixture of such states is one.
//!
//! Leaves out packing itself: pipes, volumes and cylinders write and read their own numbers.

use crate::cylinder::N_PACKED;
use crate::prepared::Prepared;
use gas::pipe::N_TRANSPORTED;

/// Numbers of a pipe cell: mass, momentum, energy, components.
const PER_CELL: usize = 3 + N_TRANSPORTED;

/// Numbers of a volume: mass, energy, components, and the rate of each.
const PER_VOLUME: usize = 2 * (2 + N_TRANSPORTED);

/// Places in a packed cylinder: what must stay near (mass, temperatures, pressure), the unburned zone, the top land, how far
/// the burn is, the burned zone's part of the volume.
const MUST_BE_NEAR: [usize; 4] = [0, 7, 8, 12];
const UNBURNED: usize = 4;
const TOP_LAND: usize = 9;
const RAISED: usize = 14;
const BURNED_VOLUME: usize = 16;

/// How many cells a volume counts as. It fills and empties slowest and all cylinders breathe from it; as one number among
/// hundreds its error would not be seen before it is the only one left.
const VOLUME_COUNTS: f64 = 100.0;

/// Makes the numbers of a packed state comparable: each over the mean of its kind in its pipe, volumes as many cells, so
/// that their weighted squares add up to a mean square. Rates, and what only steers a cylinder's next step, count nothing.
pub(crate) fn weights(engine: &Prepared, packed: &[f64]) -> Vec<f64> {
    let mut weights = Vec::with_capacity(packed.len());
    let mut rest = packed;
    for &n_cells in &engine.plan.grid.n_cells {
        let (cells, after) = rest.split_at(n_cells * PER_CELL);
        rest = after;
        let mean = |which: usize| {
            cells.iter().skip(which).step_by(PER_CELL).map(|v| v.abs()).sum::<f64>() / n_cells as f64
        };
        let (mass, energy) = (mean(0).max(1e-12), mean(2).max(1e-9));
        let mut of_cell = [1.0 / mass; PER_CELL];
        of_cell[1] = 1.0 / (mass * energy).sqrt();
        of_cell[2] = 1.0 / energy;
        weights.extend((0..n_cells).flat_map(|_| of_cell));
    }
    for _ in 0..engine.plan.volumes_m3.len() {
        let (volume, after) = rest.split_at(PER_VOLUME);
        rest = after;
        let mass = VOLUME_COUNTS.sqrt() / volume[0].max(1e-12);
        let mut of_volume = [0.0; PER_VOLUME];
        of_volume[..2 + N_TRANSPORTED].fill(mass);
        of_volume[1] = VOLUME_COUNTS.sqrt() / volume[1].max(1e-9);
        weights.extend(of_volume);
    }
    for cylinder in rest.chunks(N_PACKED) {
        weights.push(1.0 / cylinder[0].abs().max(1e-12));
        weights.extend((1..cylinder.len()).map(|_| 0.0));
    }
    let of_volumes = (engine.plan.volumes_m3.len() * (2 + N_TRANSPORTED)) as f64;
    let counted =
        weights.iter().filter(|w| **w > 0.0).count().max(1) as f64 + (VOLUME_COUNTS - 1.0) * of_volumes;
    for weight in &mut weights {
        *weight /= counted.sqrt();
    }
    weights
}

/// A mixed state, with mass fractions brought between nothing and all; `None` when the mixture strays too far from the state
/// it stands for.
pub(crate) fn sound(engine: &Prepared, mut mixed: Vec<f64>, end: &[f64]) -> Option<Vec<f64>> {
    const FARTHEST: f64 = 0.3;
    let n_cylinders = engine.model.cylinders.len() * N_PACKED;
    let n_pipes = engine.plan.grid.n_cells.iter().sum::<usize>() * PER_CELL;
    let gas = mixed.len() - n_cylinders;
    let near = |i: usize| (mixed[i] / end[i] - 1.0).abs() < FARTHEST;
    let cells = (0..n_pipes).step_by(PER_CELL).all(|i| near(i) && near(i + 2));
    let volumes = (n_pipes..gas).step_by(PER_VOLUME).all(|i| near(i) && near(i + 1));
    let cylinders = (gas..mixed.len()).step_by(N_PACKED).all(|i| MUST_BE_NEAR.iter().all(|at| near(i + at)));
    if !(cells && volumes && cylinders) {
        return None;
    }
    // As far out of that as the end of the cycle is itself: transport overshoots a little at fronts, and that is part of
    // the state that repeats itself.
    let clip = |mixed: &mut [f64], mass: usize, from: usize| {
        for at in from..from + N_TRANSPORTED {
            let (least, most) = (end[at].min(0.0), end[at].max(mixed[mass]).max(0.0));
            mixed[at] = mixed[at].clamp(least, most);
        }
    };
    for cell in (0..n_pipes).step_by(PER_CELL) {
        clip(&mut mixed, cell, cell + 3);
    }
    for volume in (n_pipes..gas).step_by(PER_VOLUME) {
        clip(&mut mixed, volume, volume + 2);
    }
    for cylinder in (gas..mixed.len()).step_by(N_PACKED) {
        clip(&mut mixed, cylinder, cylinder + 1);
        mixed[cylinder + UNBURNED] = mixed[cylinder + UNBURNED].clamp(0.0, mixed[cylinder]);
        clip(&mut mixed, cylinder + UNBURNED, cylinder + UNBURNED + 1);
        mixed[cylinder + TOP_LAND] = mixed[cylinder + TOP_LAND].max(0.0);
        clip(&mut mixed, cylinder + TOP_LAND, cylinder + TOP_LAND + 1);
        mixed[cylinder + RAISED] = mixed[cylinder + RAISED].max(0.0);
        mixed[cylinder + BURNED_VOLUME] = mixed[cylinder + BURNED_VOLUME].clamp(0.0, 1.0);
    }
    Some(mixed)
}
