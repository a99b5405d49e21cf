//! Engines in lanes, marched in time: pipes and cylinders, one step after another.
//!
//! With variants along the lanes each lane is an engine of its own, with its own time step, angle and speed, and sees
//! nothing of the others; with cells along the lanes there is one engine. Leaves out when to stop and what to make of a
//! cycle.

use crate::burning::Burning;
use crate::cylinder::{CycleSums, Cylinder, CylinderSetup, N_PACKED};
use crate::fidelity::Settings;
use crate::model::Side;
use crate::network_plan::OpeningTable;
use crate::prepared::Prepared;
use crate::trace::{Note, Recorder};
use gas::lane::{Lane, Layout, MOST_CELLS, nearest_whole};
use gas::network::{Gain, Network, NetworkError, NetworkGas, Opening, Stagnant};
use gas::pipe::{self, Mixture, MixtureFamily, N_TRANSPORTED, RoughHeated};

const S: usize = N_TRANSPORTED;

/// Degrees of crank angle in a cycle.
const CYCLE_DEG: f64 = 720.0;

/// What exhaust pipes and volumes are filled with before the first cycle, K. Any plausible value does.
const FIRST_EXHAUST_K: f64 = 900.0;

/// One valve end, in lanes.
struct ValveSlot<E> {
    cylinder: usize,
    /// 0 intake, 1 exhaust.
    duty: usize,
    pipe: usize,
    end: usize,
    /// One a lane.
    tables: Vec<OpeningTable>,
    /// Entries of a turn of each.
    n_entries: E,
}

impl<E: Lane> ValveSlot<E> {
    /// Openings at an angle of the cylinder's own, degrees, any number of turns: [`OpeningTable::at`] in lanes.
    #[inline(always)]
    fn at(&self, angle_deg: E) -> Opening<E> {
        let turns = angle_deg * E::splat(1.0 / 720.0);
        // Rounded down; a whole turn may count as the end of the turn before.
        let place = (turns - nearest_whole(turns - E::splat(0.5))) * self.n_entries;
        let mut below = [0.0; MOST_CELLS];
        let mut entries = [[0.0; MOST_CELLS]; 4];
        for (lane, table) in self.tables.iter().enumerate() {
            let at = (E::read(&place, lane) as usize).min(table.values.len() - 2);
            below[lane] = at as f64;
            [entries[0][lane], entries[1][lane]] = table.values[at];
            [entries[2][lane], entries[3][lane]] = table.values[at + 1];
        }
        let part = place - E::load(&below);
        let [out, into, out_next, into_next] = entries.map(|e| E::load(&e));
        Opening { out: part.fma(out_next - out, out), into: part.fma(into_next - into, into) }
    }
}

/// What an engine has done when its cycle ends.
pub(crate) struct CycleEnd {
    /// Its state: pipes and volumes, then cylinders.
    pub packed: Vec<f64>,
    /// Counts by cylinder.
    pub sums: Vec<CycleSums<f64>>,
    /// Mass of pipes, volumes and cylinders, kg.
    pub mass_kg: f64,
    /// What left through all source ends over the cycle, kg.
    pub left_kg: f64,
    /// Pressure of the first volume of the intake, Pa.
    pub manifold_pa: Option<f64>,
    /// What was recorded of it, where the settings ask for traces.
    pub recorded: Option<Recorder>,
}

/// Engines of one plan and grid, one a lane of `X::End`.
pub(crate) struct Engines<X: Layout> {
    network: Network<X, MixtureFamily, RoughHeated, S>,
    cylinders: Vec<Cylinder<X::End>>,
    setups: Vec<CylinderSetup<X::End>>,
    /// The same by cylinder and lane.
    setups_of: Vec<Vec<CylinderSetup<f64>>>,
    /// Crank angle in the cycle, degrees.
    angle: X::End,
    deg_per_s: X::End,
    /// Factor on the time step: 1, less after a cycle broke, 0 where no engine runs.
    pace: X::End,
    /// Angle of each cylinder's own at engine angle 0, degrees, 0 to 720.
    phase: Vec<X::End>,
    slots: Vec<ValveSlot<X::End>>,
    /// What came through intake and exhaust valves of every cylinder over the last step.
    flows: Vec<[Gain<X::End, S>; 2]>,
    /// What left through each source end since the cycle began: kg, J, kg.
    sources: Vec<Gain<X::End, S>>,
    /// Heat into the volumes: W/K and K; `None` where no engine has any.
    walls: Vec<Option<[X::End; 2]>>,
    intake_volume: Option<usize>,
    settings: Settings,
    /// Follows the engine of the first lane.
    recorder: Option<Recorder>,
    /// Time steps since they were made.
    pub(crate) n_steps: usize,
}

impl<X: Layout> Engines<X> {
    /// Room for engines of the same plan and grid as this one; none runs yet.
    pub(crate) fn new(engine: &Prepared, settings: &Settings) -> Result<Self, NetworkError> {
        let plan = &engine.plan;
        let parts = [plan.gas.parts()];
        let gas = NetworkGas { body: Mixture::new(&parts), end: Mixture::new(&parts) };
        let e = X::End::splat;
        let shapes: Vec<_> = plan.shapes.iter().map(|s| vec![s.clone(); X::End::N]).collect();
        let volumes: Vec<X::End> = plan.volumes_m3.iter().map(|&v| e(v)).collect();
        let outside = &engine.model.sources[0];
        let fresh = [plan.gas.vapour_fraction, 0.0];
        let rest = Stagnant::at(&gas.end, e(outside.p_pa), e(outside.t_k), fresh.map(e));
        let network = Network::new(plan.plan.clone(), gas, &shapes, &volumes, &rest)?;
        let slots = (plan.valve_ends.iter())
            .map(|v| ValveSlot {
                cylinder: v.cylinder,
                duty: usize::from(v.side == Side::Exhaust),
                pipe: v.pipe,
                end: v.end,
                tables: vec![v.table.clone(); X::End::N],
                n_entries: e((v.table.values.len() - 1) as f64),
            })
            .collect();
        let n = engine.model.cylinders.len();
        let any_setup = |c: usize| engine.cylinder(c, 1000.0, &Burning::half_burned_at(8.0, 20.0, 30.0));
        let setups_of: Vec<Vec<_>> = (0..n).map(|c| vec![any_setup(c); X::End::N]).collect();
        let setups: Vec<CylinderSetup<X::End>> =
            setups_of.iter().map(|setups| CylinderSetup::gather(setups)).collect();
        let cylinders = (setups.iter())
            .map(|s| Cylinder::filled(s, e(0.0), e(outside.p_pa), e(outside.t_k), fresh.map(e)))
            .collect();
        Ok(Self {
            network,
            cylinders,
            setups,
            setups_of,
            angle: e(0.0),
            deg_per_s: e(6000.0),
            pace: e(0.0),
            phase: vec![e(0.0); n],
            slots,
            flows: vec![[Gain::zero(); 2]; n],
            sources: vec![Gain::zero(); plan.source_ends.len()],
            walls: vec![None; plan.volumes_m3.len()],
            intake_volume: engine.intake_volume(),
            settings: *settings,
            recorder: settings.traces.then(|| Recorder::new(n)),
            n_steps: 0,
        })
    }

    /// Makes a lane an engine at a speed; its state is to be put in with [`Engines::unpack`].
    pub(crate) fn load(
        &mut self,
        lane: usize,
        engine: &Prepared,
        rpm: f64,
        setups: &[CylinderSetup<f64>],
    ) -> Result<(), NetworkError> {
        let plan = &engine.plan;
        for (pipe, shape) in plan.shapes.iter().enumerate() {
            self.network.set_shape(pipe, lane, shape)?;
        }
        let gas = self.network.gas_mut();
        gas.end.set_lane(lane, &engine.pipe_gas);
        // Lanes of cells all belong to the one engine.
        let lanes = if X::CELLS == 1 { lane..lane + 1 } else { 0..X::CELLS };
        lanes.for_each(|lane| gas.body.set_lane(lane, &engine.pipe_gas));
        for (pipe, openings) in plan.openings.iter().enumerate() {
            for (target, [out, into]) in self.network.openings[pipe].iter_mut().zip(*openings) {
                *target = Opening { out: target.out.with(lane, out), into: target.into.with(lane, into) };
            }
        }
        for (slot, valve) in self.slots.iter_mut().zip(&plan.valve_ends) {
            slot.tables[lane].clone_from(&valve.table);
            slot.n_entries = slot.n_entries.with(lane, (valve.table.values.len() - 1) as f64);
        }
        for (port, end) in plan.source_ends.iter().enumerate() {
            let source = &engine.model.sources[end.source];
            let fuel = if end.side == Side::Intake { plan.gas.vapour_fraction } else { 0.0 };
            let gas = Stagnant::at(&engine.pipe_gas, source.p_pa, source.t_k, [fuel, 0.0]);
            put(&mut self.network.ports[self.slots.len() + port].outside, lane, &gas);
        }
        for ((volume, wall), (&volume_m3, model)) in (self.network.volumes.iter_mut().zip(&mut self.walls))
            .zip(plan.volumes_m3.iter().zip(&engine.model.volumes))
        {
            volume.volume_m3 = volume.volume_m3.with(lane, volume_m3);
            volume.heat_w = volume.heat_w.with(lane, 0.0);
            if model.wall_w_per_k > 0.0 || wall.is_some() {
                let [conductance, wall_k] = wall.unwrap_or([X::End::splat(0.0); 2]);
                *wall = Some([conductance.with(lane, model.wall_w_per_k), wall_k.with(lane, model.wall_k)]);
            }
        }
        for (c, phase) in self.phase.iter_mut().enumerate() {
            *phase = phase.with(lane, engine.phase_deg(c));
        }
        for ((mine, in_lanes), setup) in self.setups_of.iter_mut().zip(&mut self.setups).zip(setups) {
            mine[lane] = *setup;
            *in_lanes = CylinderSetup::gather(mine);
        }
        self.deg_per_s = self.deg_per_s.with(lane, 6.0 * rpm);
        self.pace = self.pace.with(lane, 1.0);
        Ok(())
    }

    /// No engine runs in a lane from now on; it stays as it is.
    pub(crate) fn unload(&mut self, lane: usize) {
        self.pace = self.pace.with(lane, 0.0);
        self.angle = self.angle.with(lane, 0.0);
    }

    /// Another way of burning, from the next cycle on.
    pub(crate) fn set_burning(&mut self, lane: usize, cylinder: usize, burning: &Burning<f64>) {
        self.setups_of[cylinder][lane].burning = *burning;
        self.setups[cylinder].set_burning(lane, burning);
    }

    /// Shorter steps from now on.
    pub(crate) fn slow_down(&mut self, lane: usize) {
        self.pace = self.pace.with(lane, 0.5 * self.pace.get(lane));
    }

    /// Steps until at least one engine has ended its cycle or broken.
    #[inline(always)]
    pub(crate) fn run(&mut self) {
        let cycle = X::End::splat(CYCLE_DEG);
        loop {
            let outcome = self.step();
            if self.recorder.is_some() {
                self.note();
            }
            if outcome.is_err() || !X::End::all(self.angle.lt(cycle)) {
                return;
            }
        }
    }

    /// Records the step that was just taken, first lane.
    #[cold]
    fn note(&mut self) {
        let Some(recorder) = &mut self.recorder else { return };
        let dt = self.network.last_step().get(0).max(1e-12);
        let (network, slots) = (&self.network, &self.slots);
        let port_pa = |cylinder: usize, duty: usize| {
            let slot = slots.iter().find(|slot| slot.cylinder == cylinder && slot.duty == duty);
            slot.map_or(f64::NAN, |slot| {
                let pipe = network.pipe(slot.pipe);
                let cell = if slot.end == 0 { 0 } else { pipe.n_cells() - 1 };
                pipe.cell_state(0, cell).p_pa
            })
        };
        for (c, (cylinder, setup)) in self.cylinders.iter().zip(&self.setups).enumerate() {
            let now = cylinder.reading(setup);
            let [intake, exhaust] = &self.flows[c];
            let of = |lane: X::End| lane.get(0);
            let values = [
                of(now.p_pa),
                of(now.t_k),
                of(now.t_unburned_k),
                of(now.mass_kg),
                of(now.burned_zone),
                of(intake.mass) / dt,
                -of(exhaust.mass) / dt,
                port_pa(c, 0),
                port_pa(c, 1),
            ];
            recorder.note(c, Note { angle_deg: of(self.angle + self.phase[c]), values });
        }
    }

    /// Where the engine in a lane broke in the last step, if it did.
    pub(crate) fn broken(&self, lane: usize) -> Option<NetworkError> {
        self.network.broken(lane)
    }

    /// Whether the engine in a lane is at the end of its cycle.
    pub(crate) fn at_end(&self, lane: usize) -> bool {
        self.angle.get(lane) >= CYCLE_DEG
    }

    /// One step of every engine, as long as each may be and not past the end of its cycle.
    ///
    /// An error is that some engine broke; the others have moved on all the same.
    #[inline(always)]
    fn step(&mut self) -> Result<(), NetworkError> {
        let e = X::End::splat;
        let to_end = (e(CYCLE_DEG) - self.angle) / self.deg_per_s;
        let longest = self.longest_step() * self.pace;
        let dt = longest.min(e(self.settings.most_step_deg) / self.deg_per_s);
        // The last two steps of a cycle share what is left, so that none is tiny.
        let dt = X::End::sel(to_end.lt(dt + dt), to_end * e(0.5), dt);
        let dt = X::End::sel(to_end.lt(longest), to_end, dt);
        let dt = X::End::sel(e(0.0).lt(self.pace), dt, e(0.0));
        self.set_ports(dt);
        for (volume, wall) in self.network.volumes.iter_mut().zip(&self.walls) {
            if let &Some([conductance, wall_k]) = wall {
                // Temperature from sensible energy; the gas constant of air serves for the small heat of a wall.
                let t = volume.energy / volume.mass * e(1.0 / AIR_CV_J_PER_KG_K);
                volume.heat_w = conductance * (wall_k - t);
            }
        }
        let outcome = self.network.step(dt);
        let taken = self.network.last_step();
        let to = taken.fma(self.deg_per_s, self.angle);
        let to = X::End::sel(taken.lt(to_end), to, e(CYCLE_DEG));
        self.advance_cylinders(to, taken);
        self.angle = to;
        self.n_steps += 1;
        outcome.map(|_| ())
    }

    /// The longest step each engine may take, s: what its pipes and volumes allow, and no cylinder passed through more than
    /// a third at sonic speed by valves as wide as in the last step.
    #[inline(always)]
    fn longest_step(&self) -> X::End {
        let mut longest = self.network.longest_step(self.settings.courant);
        for (c, cylinder) in self.cylinders.iter().enumerate() {
            let mut area_m2 = X::End::splat(0.0);
            for slot in self.slots.iter().filter(|slot| slot.cylinder == c) {
                let Opening { out, into } = self.network.openings[slot.pipe][slot.end];
                let side = [pipe::Side::Left, pipe::Side::Right][slot.end];
                area_m2 = (out.max(into)).fma(self.network.pipe(slot.pipe).end_area(side), area_m2);
            }
            let sweep = X::End::splat(0.3) * cylinder.swept_in(area_m2);
            longest = X::End::sel(sweep.lt(longest), sweep, longest);
        }
        longest
    }

    /// What the valves open to in the middle of the step, and how wide.
    #[inline(always)]
    fn set_ports(&mut self, dt: X::End) {
        let half = X::End::splat(0.5);
        let turned = dt * self.deg_per_s;
        for (c, (cylinder, setup)) in self.cylinders.iter().zip(&self.setups).enumerate() {
            let from = self.angle + self.phase[c];
            let outside = cylinder.outside(setup, from, from + turned, dt);
            for (port, slot) in self.slots.iter().enumerate().filter(|(_, slot)| slot.cylinder == c) {
                self.network.openings[slot.pipe][slot.end] = slot.at(half.fma(turned, from));
                self.network.ports[port].outside = outside;
            }
        }
    }

    #[inline(always)]
    fn advance_cylinders(&mut self, to: X::End, taken: X::End) {
        let one = X::End::splat(1.0);
        for flows in &mut self.flows {
            *flows = [Gain::zero(); 2];
        }
        for (port, slot) in self.slots.iter().enumerate() {
            self.flows[slot.cylinder][slot.duty].add_scaled(&self.network.ports[port].gain, one);
        }
        for (source, port) in self.sources.iter_mut().zip(&self.network.ports[self.slots.len()..]) {
            source.add_scaled(&port.gain, one);
        }
        for (c, (cylinder, setup)) in self.cylinders.iter_mut().zip(&self.setups).enumerate() {
            let phase = self.phase[c];
            let [intake, exhaust] = &self.flows[c];
            cylinder.advance(setup, [intake, exhaust], self.angle + phase, to + phase, taken);
        }
    }

    /// Closes the counts of the engine in a lane, whose cycle has ended, and reads it off.
    pub(crate) fn end_cycle(&mut self, lane: usize) -> CycleEnd {
        let which = only::<X::End>(lane);
        for (cylinder, setup) in self.cylinders.iter_mut().zip(&self.setups) {
            cylinder.end_cycle(setup, which);
        }
        let packed = self.pack(lane);
        let in_cylinders = self.cylinders.iter().map(|c| c.cycle.start_mass.get(lane)).sum::<f64>();
        let left_kg = self.sources.iter().map(|source| source.mass.get(lane)).sum();
        let manifold_pa = self.intake_volume.map(|volume| {
            let v = &self.network.volumes[volume];
            let gas = self.network.end_gas();
            Stagnant::of_contents(gas, v.mass, v.energy, v.component, v.volume_m3).p.get(lane)
        });
        let end = CycleEnd {
            packed,
            sums: self.cylinders.iter().map(|c| c.last.get(lane)).collect(),
            mass_kg: self.network.totals(lane).0 + in_cylinders,
            left_kg,
            manifold_pa,
            recorded: self.recorder.clone().filter(|_| lane == 0),
        };
        self.begin_cycle(lane);
        end
    }

    /// The engine in a lane as one vector: pipes and volumes, then cylinders.
    pub(crate) fn pack(&self, lane: usize) -> Vec<f64> {
        let mut packed = self.network.pack(lane);
        for cylinder in &self.cylinders {
            cylinder.pack(lane, &mut packed);
        }
        packed
    }

    /// Crank angle 0 again.
    fn begin_cycle(&mut self, lane: usize) {
        self.angle = self.angle.with(lane, 0.0);
        if let Some(recorder) = self.recorder.as_mut().filter(|_| lane == 0) {
            recorder.begin();
        }
        for source in &mut self.sources {
            source.mass = source.mass.with(lane, 0.0);
            source.enthalpy = source.enthalpy.with(lane, 0.0);
            source.component = source.component.map(|y| y.with(lane, 0.0));
        }
    }

    /// Puts a state into a lane at the start of a cycle, from a grid of its own: `n_cells` of each pipe. Gives back the mass
    /// of pipes, volumes and cylinders, kg.
    #[inline(always)]
    pub(crate) fn unpack(
        &mut self,
        lane: usize,
        packed: &[f64],
        n_cells: &[usize],
    ) -> Result<f64, NetworkError> {
        let n = self.cylinders.len() * N_PACKED;
        let (pipes, cylinders) = packed.split_at(packed.len().saturating_sub(n));
        self.network.unpack_from_grid(lane, pipes, n_cells)?;
        let which = only::<X::End>(lane);
        let mut rest = cylinders;
        let mut mass_kg = self.network.totals(lane).0;
        for (cylinder, setup) in self.cylinders.iter_mut().zip(&self.setups) {
            rest = cylinder.unpack(lane, rest);
            cylinder.end_cycle(setup, which);
            mass_kg += cylinder.cycle.start_mass.get(lane);
        }
        self.begin_cycle(lane);
        Ok(mass_kg)
    }
}

/// The packed state of an engine that is cold and at rest: fresh charge in the intake and the cylinders, burned gas in the
/// exhaust.
pub(crate) fn cold(engine: &Prepared, setups: &[CylinderSetup<f64>]) -> Vec<f64> {
    let plan = &engine.plan;
    let outside = &engine.model.sources[0];
    let fresh = [plan.gas.vapour_fraction, 0.0];
    let behind = plan.source_ends.last().map_or(outside.p_pa, |end| engine.model.sources[end.source].p_pa);
    let content = |side: Side| {
        let (p_pa, t_k, y) = match side {
            Side::Intake => (outside.p_pa, outside.t_k, fresh),
            Side::Exhaust => (behind, FIRST_EXHAUST_K, [0.0, 1.0]),
        };
        let gas = Stagnant::at(&engine.pipe_gas, p_pa, t_k, y);
        (gas.rho, gas.rho * gas.h - gas.p, y.map(|y| gas.rho * y))
    };
    let mut packed = Vec::new();
    for (&side, &n_cells) in plan.sides.iter().zip(&plan.grid.n_cells) {
        let (mass, energy, component) = content(side);
        for _ in 0..n_cells {
            packed.extend([mass, 0.0, energy].into_iter().chain(component));
        }
    }
    for (&side, &volume_m3) in plan.volume_sides.iter().zip(&plan.volumes_m3) {
        let (mass, energy, component) = content(side);
        let held = [mass, energy].into_iter().chain(component).map(|density| density * volume_m3);
        // What it holds, then its rates of change.
        packed.extend(held.chain([0.0; 2 + S]));
    }
    for (c, setup) in setups.iter().enumerate() {
        Cylinder::filled(setup, engine.phase_deg(c), outside.p_pa, outside.t_k, fresh).pack(0, &mut packed);
    }
    packed
}

/// The mask of one lane.
fn only<L: Lane>(lane: usize) -> L::Mask {
    let zero = L::splat(0.0);
    zero.lt(zero.with(lane, 1.0))
}

/// Puts the gas of one variant into its lane.
fn put<L: Lane>(target: &mut Stagnant<L, S>, lane: usize, gas: &Stagnant<f64, S>) {
    target.p = target.p.with(lane, gas.p);
    target.rho = target.rho.with(lane, gas.rho);
    target.h = target.h.with(lane, gas.h);
    target.gamma = target.gamma.with(lane, gas.gamma);
    for (mine, its) in target.y.iter_mut().zip(gas.y) {
        *mine = mine.with(lane, its);
    }
}

/// Heat capacity at constant volume of air at room temperature, J/(kg K): 5/2 of its gas constant.
const AIR_CV_J_PER_KG_K: f64 = 717.6;
