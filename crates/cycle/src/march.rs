//! An engine marched in time: pipes and cylinders, one step after another.
//!
//! Leaves out when to stop and what to make of a cycle.

use crate::burning::Burning;
use crate::cylinder::{CycleSums, Cylinder, CylinderSetup, N_PACKED};
use crate::fidelity::Settings;
use crate::model::Side;
use crate::network_plan::{NetworkPlan, OpeningTable};
use crate::prepared::Prepared;
use gas::lane::{Lane, Layout};
use gas::network::{Gain, Network, NetworkError, NetworkGas, Opening, Stagnant, Volume};
use gas::pipe::{CellState, Mixture, MixtureFamily, N_TRANSPORTED, RoughHeated};

const S: usize = N_TRANSPORTED;

/// Degrees of crank angle in a cycle.
const CYCLE_DEG: f64 = 720.0;

/// What exhaust pipes and volumes are filled with before the first cycle, K. Any plausible value does.
const FIRST_EXHAUST_K: f64 = 900.0;

/// One valve end.
struct ValveSlot {
    cylinder: usize,
    /// 0 intake, 1 exhaust.
    duty: usize,
    pipe: usize,
    end: usize,
    table: OpeningTable,
}

/// An engine and all that is in it. Every lane of `X::End` holds the same engine; along its pipes there is one.
pub(crate) struct Engine<X: Layout> {
    network: Network<X, MixtureFamily, RoughHeated, S>,
    setups: Vec<CylinderSetup<X::End>>,
    cylinders: Vec<Cylinder<X::End>>,
    /// Crank angle in the cycle, degrees.
    angle: X::End,
    deg_per_s: X::End,
    /// Factor on the time step, less than 1 after a cycle broke.
    pace: f64,
    /// Angle of each cylinder's own at engine angle 0, degrees, 0 to 720.
    phase: Vec<f64>,
    slots: Vec<ValveSlot>,
    /// What came through intake and exhaust valves of every cylinder over the last step.
    flows: Vec<[Gain<X::End, S>; 2]>,
    /// What left through each source end since the cycle began: kg, J, kg.
    sources: Vec<Gain<X::End, S>>,
    /// Heat into the volumes: W/K and K.
    walls: Vec<(f64, f64)>,
    settings: Settings,
    /// Time steps since it was made.
    pub(crate) n_steps: usize,
}

impl<X: Layout> Engine<X> {
    /// Cold and at rest, with the setup of each cylinder at that speed.
    pub(crate) fn new(
        engine: &Prepared,
        settings: &Settings,
        rpm: f64,
        setups: &[CylinderSetup<f64>],
    ) -> Result<Self, NetworkError> {
        let plan = &engine.plan;
        let parts = [plan.gas.parts()];
        let gas = NetworkGas { body: Mixture::new(&parts), end: Mixture::new(&parts) };
        let e = X::End::splat;
        let shapes: Vec<_> = plan.shapes.iter().map(|s| vec![s.clone(); X::End::N]).collect();
        let volumes: Vec<X::End> = plan.volumes_m3.iter().map(|&v| e(v)).collect();
        let outside = &engine.model.sources[0];
        let fresh = [plan.gas.vapour_fraction, 0.0];
        let rest = Stagnant::at(&gas.end, e(outside.p_pa), e(outside.t_k), fresh.map(e));
        let mut network = Network::new(plan.plan.clone(), gas, &shapes, &volumes, &rest)?;
        for (pipe, openings) in plan.openings.iter().enumerate() {
            network.openings[pipe] = openings.map(|[out, into]| Opening { out: e(out), into: e(into) });
        }
        let n_valves = plan.valve_ends.len();
        for (port, end) in plan.source_ends.iter().enumerate() {
            let source = &engine.model.sources[end.source];
            let fuel = if end.side == Side::Intake { plan.gas.vapour_fraction } else { 0.0 };
            network.ports[n_valves + port].outside =
                Stagnant::at(network.end_gas(), e(source.p_pa), e(source.t_k), [e(fuel), e(0.0)]);
        }
        let slots = (plan.valve_ends.iter())
            .map(|v| ValveSlot {
                cylinder: v.cylinder,
                duty: usize::from(v.side == Side::Exhaust),
                pipe: v.pipe,
                end: v.end,
                table: v.table.clone(),
            })
            .collect();
        let n = engine.model.cylinders.len();
        let phase: Vec<f64> = (0..n).map(|c| engine.phase_deg(c)).collect();
        let setups: Vec<CylinderSetup<X::End>> =
            setups.iter().map(|setup| CylinderSetup::gather(&[*setup])).collect();
        let cylinders = (setups.iter().zip(&phase))
            .map(|(s, &phase)| Cylinder::filled(s, e(phase), e(outside.p_pa), e(outside.t_k), fresh.map(e)))
            .collect();
        let mut engine = Self {
            network,
            setups,
            cylinders,
            angle: e(0.0),
            deg_per_s: e(6.0 * rpm),
            pace: 1.0,
            phase,
            slots,
            flows: vec![[Gain::zero(); 2]; n],
            sources: vec![Gain::zero(); plan.source_ends.len()],
            walls: engine.model.volumes.iter().map(|v| (v.wall_w_per_k, v.wall_k)).collect(),
            settings: *settings,
            n_steps: 0,
        };
        engine.fill_exhaust(plan);
        Ok(engine)
    }

    /// Burned gas at rest in pipes and volumes of the exhaust.
    fn fill_exhaust(&mut self, plan: &NetworkPlan) {
        let e = X::End::splat;
        let p_pa = self.network.ports.last().map_or(1e5, |port| port.outside.p.get(0));
        let y = [0.0, 1.0];
        let gas = Stagnant::at(self.network.end_gas(), e(p_pa), e(FIRST_EXHAUST_K), y.map(e));
        let state = CellState { rho_kg_per_m3: gas.rho.get(0), u_m_per_s: 0.0, p_pa, y };
        for (pipe, _) in plan.sides.iter().enumerate().filter(|(_, side)| **side == Side::Exhaust) {
            for lane in 0..X::End::N {
                self.network.fill_pipe(pipe, lane, |_| state);
            }
        }
        for (volume, &side) in plan.volume_sides.iter().enumerate() {
            if side == Side::Exhaust {
                self.network.volumes[volume] = Volume::filled(e(plan.volumes_m3[volume]), &gas);
            }
        }
    }

    /// Another way of burning, from the next cycle on.
    pub(crate) fn set_burning(&mut self, cylinder: usize, burning: &Burning<f64>) {
        for lane in 0..X::End::N {
            self.setups[cylinder].set_burning(lane, burning);
        }
    }

    /// Shorter steps from now on.
    pub(crate) fn slow_down(&mut self) {
        self.pace *= 0.5;
    }

    /// One cycle from crank angle 0 to 720.
    #[inline(always)]
    pub(crate) fn cycle(&mut self) -> Result<(), NetworkError> {
        let all = X::End::splat(0.0).lt(X::End::splat(1.0));
        self.angle = X::End::splat(0.0);
        self.sources.fill(Gain::zero());
        while X::End::any(self.angle.lt(X::End::splat(CYCLE_DEG))) {
            self.step()?;
        }
        for (cylinder, setup) in self.cylinders.iter_mut().zip(&self.setups) {
            cylinder.end_cycle(setup, all);
        }
        Ok(())
    }

    /// One step, as long as it may be and not past the end of the cycle.
    #[inline(always)]
    fn step(&mut self) -> Result<(), NetworkError> {
        let e = X::End::splat;
        let to_end = (e(CYCLE_DEG) - self.angle) / self.deg_per_s;
        let longest = self.network.longest_step(self.settings.courant) * e(self.pace);
        let dt = longest.min(e(self.settings.most_step_deg) / self.deg_per_s);
        // The last two steps of a cycle share what is left, so that none is tiny.
        let dt = X::End::sel(to_end.lt(dt + dt), to_end * e(0.5), dt);
        let dt = X::End::sel(to_end.lt(longest), to_end, dt);
        self.set_ports(dt);
        for (volume, &(conductance, wall_k)) in self.network.volumes.iter_mut().zip(&self.walls) {
            if conductance > 0.0 {
                // Temperature from sensible energy; the gas constant of air serves for the small heat of a wall.
                let t = volume.energy / volume.mass * e(1.0 / AIR_CV_J_PER_KG_K);
                volume.heat_w = e(conductance) * (e(wall_k) - t);
            }
        }
        let taken = self.network.step(dt)?;
        let to = taken.fma(self.deg_per_s, self.angle);
        let to = X::End::sel(taken.lt(to_end), to, e(CYCLE_DEG));
        self.advance_cylinders(to, taken);
        self.angle = to;
        self.n_steps += 1;
        Ok(())
    }

    /// What the valves open to in the middle of the step, and how wide.
    #[inline(always)]
    fn set_ports(&mut self, dt: X::End) {
        let half = X::End::splat(0.5);
        let turned = dt * self.deg_per_s;
        for (c, (cylinder, setup)) in self.cylinders.iter().zip(&self.setups).enumerate() {
            let from = self.angle + X::End::splat(self.phase[c]);
            let outside = cylinder.outside(setup, from, from + turned, dt);
            for (port, slot) in self.slots.iter().enumerate().filter(|(_, slot)| slot.cylinder == c) {
                let middle = half.fma(turned, from);
                let open = |which: usize| middle.map(|angle| slot.table.at(angle)[which]);
                self.network.openings[slot.pipe][slot.end] = Opening { out: open(0), into: open(1) };
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
            let phase = X::End::splat(self.phase[c]);
            let [intake, exhaust] = &self.flows[c];
            cylinder.advance(setup, [intake, exhaust], self.angle + phase, to + phase, taken);
        }
    }

    /// Counts of the last cycle of a cylinder, first lane.
    pub(crate) fn last(&self, cylinder: usize) -> CycleSums<f64> {
        self.cylinders[cylinder].last.get(0)
    }

    /// Mass of pipes, volumes and cylinders, kg, first lane.
    pub(crate) fn mass_kg(&self) -> f64 {
        let cylinders = self.cylinders.iter().zip(&self.setups);
        self.network.totals(0).0 + cylinders.map(|(c, s)| c.reading(s).mass_kg.get(0)).sum::<f64>()
    }

    /// What left through source end `source` over the last cycle, kg, first lane.
    pub(crate) fn source_kg(&self, source: usize) -> f64 {
        self.sources[source].mass.get(0)
    }

    /// Pressure of a volume, Pa, first lane.
    pub(crate) fn volume_pa(&self, volume: usize) -> f64 {
        let v = &self.network.volumes[volume];
        Stagnant::of_contents(self.network.end_gas(), v.mass, v.energy, v.component, v.volume_m3).p.get(0)
    }

    /// Pipes and volumes, then cylinders, as one vector, first lane.
    pub(crate) fn pack(&self) -> Vec<f64> {
        let mut packed = self.network.pack(0);
        for cylinder in &self.cylinders {
            cylinder.pack(0, &mut packed);
        }
        packed
    }

    /// Puts a vector of [`Engine::pack`] back, on a grid of its own: `n_cells` of each pipe.
    pub(crate) fn unpack(&mut self, packed: &[f64], n_cells: &[usize]) -> Result<(), NetworkError> {
        let n = self.cylinders.len() * N_PACKED;
        let (pipes, cylinders) = packed.split_at(packed.len().saturating_sub(n));
        for lane in 0..X::End::N {
            self.network.unpack_from_grid(lane, pipes, n_cells)?;
            let mut rest = cylinders;
            for cylinder in &mut self.cylinders {
                rest = cylinder.unpack(lane, rest);
            }
        }
        let all = X::End::splat(0.0).lt(X::End::splat(1.0));
        for (cylinder, setup) in self.cylinders.iter_mut().zip(&self.setups) {
            cylinder.end_cycle(setup, all);
        }
        Ok(())
    }
}

/// Heat capacity at constant volume of air at room temperature, J/(kg K): 5/2 of its gas constant.
const AIR_CV_J_PER_KG_K: f64 = 717.6;
