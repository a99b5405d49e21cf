//! Pipes joined to each other, to volumes, to the outside and to what the caller holds.
//!
//! A step: the ends look half a step ahead, all orifices are solved together, joins pair by pair, then the pipes and
//! volumes take in what came. Mass, energy and components leave one place and enter the other as the same number.
//! A caller that integrates a space of its own (a cylinder) gives it to a [`Port`] before the step and reads
//! what flowed after it. Everything of a step is in lanes and allocates nothing.
//! Leaves out: choosing a plan, and anything that moves.

mod end_join;
mod end_orifice;
mod ends;
mod orifice_fits;
mod plan;
mod stagnant;

pub use end_join::{JoinSide, JoinSolution, solve_join};
pub use end_orifice::{OrificeProblem, OrificeSolution, solve_orifice};
pub use plan::{EndKind, NetworkError, PipePlan, Plan};
pub use stagnant::{Gain, Stagnant, Volume};

use crate::lane::{Lane, Layout};
use crate::pipe::{CellState, GasFamily, Pipe, PipeShape, Side, WallModel, regrid};
use ends::Ends;
use std::marker::PhantomData;

/// How wide an end is open, as effective area over pipe area.
///
/// An inflow loss coefficient K (of the dynamic head) is an opening of 1/sqrt(1 + K).
#[derive(Clone, Copy, Debug)]
pub struct Opening<E> {
    /// For flow out of the pipe, 0 to 1.
    pub out: E,
    /// For flow into the pipe, 0 to 1.
    pub into: E,
}

/// A pipe end that the caller feeds: set `outside` and the end's opening before a step, read `gain` after it.
#[derive(Clone, Copy, Debug)]
pub struct Port<E, const S: usize> {
    /// What the end opens to; best at the middle of the step to come.
    pub outside: Stagnant<E, S>,
    /// What came out of the pipe over the last step: kg, J of sensible enthalpy, kg of each component.
    pub gain: Gain<E, S>,
}

/// How much a plain open end behaves longer than it is, m: to be added to the length of the pipe.
///
/// 0.6133 r unflanged, 0.8217 r in a wide flange. Source: H. Levine, J. Schwinger (1948), Phys. Rev. 73:383
/// (0.6133); flanged: Y. Nomura et al. (1960), J. Phys. Soc. Japan 15:510 (0.8217), from memory. Long waves.
pub fn end_correction_m(radius_m: f64, flanged: bool) -> f64 {
    radius_m * if flanged { 0.8217 } else { 0.6133 }
}

/// The gas of a network at both of its number types.
#[derive(Clone, Copy, Debug)]
pub struct NetworkGas<B, E> {
    /// For pipe cells.
    pub body: B,
    /// For ends, volumes and ports.
    pub end: E,
}

type GasOf<X, F, const S: usize> =
    NetworkGas<<F as GasFamily<S>>::For<<X as Layout>::Body>, <F as GasFamily<S>>::For<<X as Layout>::End>>;

/// A network of one engine, or of several variants with the same plan and cell counts.
pub struct Network<X: Layout, F: GasFamily<S>, W, const S: usize> {
    plan: Plan,
    gas: GasOf<X, F, S>,
    pipes: Vec<Pipe<X, S>>,
    fastest: Vec<X::End>,
    least: Vec<X::End>,
    /// Openings of the two ends of every pipe; ends that are joined or closed do not use theirs.
    pub openings: Vec<[Opening<X::End>; 2]>,
    /// Gas at the sources.
    pub sources: Vec<Stagnant<X::End, S>>,
    /// The volumes.
    pub volumes: Vec<Volume<X::End, S>>,
    /// The ports.
    pub ports: Vec<Port<X::End, S>>,
    ends: Ends<X, S>,
    ahead: Vec<Stagnant<X::End, S>>,
    gains: Vec<Gain<X::End, S>>,
    last_step: X::End,
    wall: PhantomData<W>,
}

/// Cells the wave of an end may cross in a step.
const END_COURANT: f64 = 0.9;

const SIDES: [Side; 2] = [Side::Left, Side::Right];

impl<X: Layout, F: GasFamily<S>, W: WallModel, const S: usize> Network<X, F, W, S> {
    /// A network with all pipes, volumes and sources filled with the same gas at rest.
    ///
    /// `shapes[pipe]` has one shape a variant; `volumes_m3[volume]` likewise.
    pub fn new(
        plan: Plan,
        gas: GasOf<X, F, S>,
        shapes: &[Vec<PipeShape>],
        volumes_m3: &[X::End],
        rest: &Stagnant<X::End, S>,
    ) -> Result<Self, NetworkError> {
        plan.check()?;
        let n = plan.pipes.len();
        for (given, needed, what) in [(shapes.len(), n, "pipe"), (volumes_m3.len(), plan.n_volumes, "volume")]
        {
            if given != needed {
                return Err(NetworkError::NoSuch { pipe: 0, what, named: given, available: needed });
            }
        }
        let mut pipes = Vec::with_capacity(n);
        for (pipe, shapes) in shapes.iter().enumerate() {
            pipes.push(Pipe::new(shapes).map_err(|source| NetworkError::Shape { pipe, source })?);
        }
        let (zero, one) = (X::End::splat(0.0), X::End::splat(1.0));
        let mut network = Self {
            gas,
            fastest: vec![zero; n],
            least: vec![one; n],
            openings: vec![[Opening { out: one, into: one }; 2]; n],
            sources: vec![*rest; plan.n_sources],
            volumes: volumes_m3.iter().map(|&v| Volume::filled(v, rest)).collect(),
            ports: vec![Port { outside: *rest, gain: Gain::zero() }; plan.n_ports],
            ends: Ends::new(n, rest),
            ahead: vec![*rest; plan.n_volumes],
            gains: vec![Gain::zero(); plan.n_volumes],
            last_step: zero,
            pipes,
            plan,
            wall: PhantomData,
        };
        for pipe in 0..n {
            for lane in 0..X::End::N {
                let state = CellState {
                    rho_kg_per_m3: rest.rho.get(lane),
                    u_m_per_s: 0.0,
                    p_pa: rest.p.get(lane),
                    y: std::array::from_fn(|s| rest.y[s].get(lane)),
                };
                network.fill_pipe(pipe, lane, |_| state);
            }
        }
        Ok(network)
    }

    /// The gas model of ends, volumes and ports.
    pub fn end_gas(&self) -> &F::For<X::End> {
        &self.gas.end
    }

    /// The gas models, to give one variant another gas; its state is to be put in anew afterwards.
    pub fn gas_mut(&mut self) -> &mut GasOf<X, F, S> {
        &mut self.gas
    }

    /// A pipe.
    pub fn pipe(&self, pipe: usize) -> &Pipe<X, S> {
        &self.pipes[pipe]
    }

    /// Fills one variant of a pipe, cell by cell.
    pub fn fill_pipe(&mut self, pipe: usize, lane: usize, state: impl FnMut(usize) -> CellState<S>) {
        self.pipes[pipe].fill::<_, W>(lane, &self.gas.body, state);
        self.fastest[pipe] = self.pipes[pipe].fastest();
    }

    /// Gives one variant of a pipe another shape with the same number of cells.
    pub fn set_shape(&mut self, pipe: usize, lane: usize, shape: &PipeShape) -> Result<(), NetworkError> {
        self.pipes[pipe].set_shape(lane, shape).map_err(|source| NetworkError::Shape { pipe, source })
    }

    /// The longest step each variant may take, s: `courant` cells of the fastest wave, and no volume passed
    /// through more than a third at sonic speed.
    #[inline(always)]
    pub fn longest_step(&self, courant: f64) -> X::End {
        let mut rush = X::End::splat(0.0);
        for (pipe, &fastest) in self.pipes.iter().zip(&self.fastest) {
            rush = rush.max(fastest * pipe.inverse_dx());
        }
        let mut dt = X::End::splat(courant) / rush;
        for (v, volume) in self.volumes.iter().enumerate() {
            let c = volume.sound_speed();
            // The greatest rate at which an end could sweep the volume, m3/s.
            let mut sweep = X::End::splat(0.0);
            for (plan, (pipe, &fastest)) in self.plan.pipes.iter().zip(self.pipes.iter().zip(&self.fastest)) {
                for (side, end) in SIDES.into_iter().zip([plan.left, plan.right]) {
                    if end == EndKind::Volume(v) {
                        sweep = sweep.max(pipe.end_area(side) * c.max(fastest));
                    }
                }
            }
            dt = dt.min(X::End::splat(0.3) * volume.volume_m3 / sweep);
        }
        dt
    }

    /// Advances every variant by up to its own `dt` and returns what each was advanced by.
    ///
    /// It is `dt` unless a wave sent in by an end would cross its cell in less: a port that jumps by a factor
    /// of ten in pressure sends a shock three times as fast as sound, or gas is torn off an end. A variant with dt = 0 stays as it is to
    /// the last bit. An error names the first variant and place where density or pressure ran out; the state
    /// is then broken.
    #[inline(always)]
    pub fn step(&mut self, dt: X::End) -> Result<X::End, NetworkError> {
        self.look_ahead(dt);
        let rush = self.solve_ends(dt);
        let rush = self.solve_joins(rush);
        let dt = dt.min(X::End::splat(END_COURANT) / rush);
        self.last_step = dt;
        self.advance(dt);
        self.check()?;
        Ok(dt)
    }

    /// What every variant was advanced by in the last step, s; also when it ended in an error, which breaks only
    /// the variant it names and those after it that ran out too.
    #[inline(always)]
    pub fn last_step(&self) -> X::End {
        self.last_step
    }

    #[inline(always)]
    fn look_ahead(&mut self, dt: X::End) {
        let half = dt * X::End::splat(0.5);
        for (volume, ahead) in self.volumes.iter_mut().zip(&mut self.ahead) {
            *ahead = volume.look_ahead(&self.gas.end, half);
        }
    }

    #[inline(always)]
    fn advance(&mut self, dt: X::End) {
        for gain in &mut self.gains {
            *gain = Gain::zero();
        }
        for pipe in 0..self.pipes.len() {
            let conditions = [self.conditions(pipe, 0), self.conditions(pipe, 1)];
            for (side, place) in SIDES.into_iter().enumerate() {
                let end = self.end_kind(pipe, side);
                let flux = &conditions[side].flux;
                let area = outward(self.pipes[pipe].end_area(place), side);
                let leaving = Gain { mass: flux.mass, enthalpy: flux.energy, component: flux.component };
                match end {
                    EndKind::Volume(i) => self.gains[i].add_scaled(&leaving, area),
                    EndKind::Port(i) => {
                        self.ports[i].gain = Gain::zero();
                        self.ports[i].gain.add_scaled(&leaving, area * dt);
                    }
                    _ => {}
                }
            }
            let [left, right] = &conditions;
            (self.fastest[pipe], self.least[pipe]) =
                self.pipes[pipe].step::<_, W>(&self.gas.body, dt, left, right);
        }
        for (volume, gain) in self.volumes.iter_mut().zip(&mut self.gains) {
            gain.enthalpy += volume.heat_w;
            volume.take_in(gain, dt);
        }
    }

    #[inline(always)]
    fn check(&self) -> Result<(), NetworkError> {
        let mut least = X::End::splat(f64::INFINITY);
        let zero = X::End::splat(0.0);
        let mut unsound = zero;
        for &l in &self.least {
            least = least.min(l);
            unsound = l.fma(zero, unsound);
        }
        for volume in &self.volumes {
            least = least.min(volume.mass).min(volume.energy);
            unsound = volume.energy.fma(zero, volume.mass.fma(zero, unsound));
        }
        let least = least + unsound;
        if X::End::any(least.not_positive()) {
            return Err(self.find_broken());
        }
        Ok(())
    }

    #[cold]
    #[inline(never)]
    fn find_broken(&self) -> NetworkError {
        let broken = (0..X::End::N).find_map(|lane| self.broken(lane));
        broken.unwrap_or(NetworkError::PipeEmptied { lane: 0, pipe: 0 })
    }

    /// Where density or pressure of a variant ran out in the last step, if they did.
    pub fn broken(&self, lane: usize) -> Option<NetworkError> {
        let pipe = self.least.iter().position(|least| f64::not_positive(least.get(lane)));
        if let Some(pipe) = pipe {
            return Some(NetworkError::PipeEmptied { lane, pipe });
        }
        let empty = |v: &Volume<X::End, S>| f64::not_positive(v.mass.get(lane).min(v.energy.get(lane)));
        let volume = self.volumes.iter().position(empty)?;
        Some(NetworkError::VolumeEmptied { lane, volume })
    }

    /// Mass, sensible plus kinetic energy and component masses of one variant: kg, J, kg.
    pub fn totals(&self, lane: usize) -> (f64, f64, [f64; S]) {
        let mut sums = (0.0, 0.0, [0.0; S]);
        for pipe in &self.pipes {
            let (mass, _, energy, component) = pipe.totals(lane);
            sums.0 += mass;
            sums.1 += energy;
            for (sum, amount) in sums.2.iter_mut().zip(component) {
                *sum += amount;
            }
        }
        for volume in &self.volumes {
            sums.0 += volume.mass.get(lane);
            sums.1 += volume.energy.get(lane);
            for s in 0..S {
                sums.2[s] += volume.component[s].get(lane);
            }
        }
        sums
    }

    /// The whole state of one variant as one vector: for warm starts, acceleration and checkpoints.
    pub fn pack(&self, lane: usize) -> Vec<f64> {
        let mut packed = Vec::new();
        for pipe in &self.pipes {
            pipe.pack(lane, &mut packed);
        }
        for volume in &self.volumes {
            let (component, rates) = (volume.component, volume.rate);
            let values = [volume.mass, volume.energy].into_iter().chain(component);
            let rates = [rates.mass, rates.enthalpy].into_iter().chain(rates.component);
            packed.extend(values.chain(rates).map(|v| v.get(lane)));
        }
        packed
    }

    /// Puts a state written by [`Network::pack`] of the same plan and cell counts into one variant.
    #[inline(always)]
    pub fn unpack(&mut self, lane: usize, packed: &[f64]) -> Result<(), NetworkError> {
        let needed = self.pipes.iter().map(|p| p.n_cells() * (3 + S)).sum::<usize>()
            + self.volumes.len() * 2 * (2 + S);
        if packed.len() != needed {
            return Err(NetworkError::PackedLength { given: packed.len(), needed });
        }
        let mut rest = packed;
        for (pipe, fastest) in self.pipes.iter_mut().zip(&mut self.fastest) {
            rest = pipe.unpack(lane, rest);
            pipe.refresh::<_, W>(&self.gas.body);
            *fastest = pipe.fastest();
        }
        for volume in &mut self.volumes {
            let rate = &mut volume.rate;
            let targets = [&mut volume.mass, &mut volume.energy]
                .into_iter()
                .chain(&mut volume.component)
                .chain([&mut rate.mass, &mut rate.enthalpy])
                .chain(&mut rate.component);
            for (target, &value) in targets.zip(rest) {
                *target = target.with(lane, value);
            }
            volume.refresh(lane, &self.gas.end);
            rest = &rest[2 * (2 + S)..];
        }
        Ok(())
    }

    /// Puts a state written by [`Network::pack`] of a network with the same plan but `n_cells[pipe]` cells in its pipes
    /// into one variant: from a coarse grid to a fine one, or back.
    ///
    /// Second order where the gas is smooth, positive at jumps; masses in straight pipes of the same length are kept.
    #[inline(always)]
    pub fn unpack_from_grid(
        &mut self,
        lane: usize,
        packed: &[f64],
        n_cells: &[usize],
    ) -> Result<(), NetworkError> {
        let width = 3 + S;
        let needed = n_cells.iter().sum::<usize>() * width + self.volumes.len() * 2 * (2 + S);
        if packed.len() != needed || n_cells.len() != self.pipes.len() || n_cells.contains(&0) {
            return Err(NetworkError::PackedLength { given: packed.len(), needed });
        }
        let mut ours = Vec::new();
        let mut rest = packed;
        for (pipe, &n) in self.pipes.iter().zip(n_cells) {
            let (cells, after) = rest.split_at(n * width);
            regrid(cells, width, pipe.n_cells(), &mut ours);
            rest = after;
        }
        ours.extend_from_slice(rest);
        self.unpack(lane, &ours)
    }
}

/// A velocity or flow to the right, counted out of the pipe at a side (0 left, 1 right), or back.
#[inline(always)]
fn outward<E: Lane>(value: E, side: usize) -> E {
    if side == 0 { -value } else { value }
}
