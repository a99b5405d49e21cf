//! Gas at rest beside a pipe end: the outside, a volume, or what the caller holds.

use crate::lane::Lane;
use crate::pipe::{PipeGas, each};

/// Gas at rest, as an end sees it.
#[derive(Clone, Copy, Debug)]
pub struct Stagnant<E, const S: usize> {
    /// Pressure, Pa.
    pub p: E,
    /// Density, kg/m3.
    pub rho: E,
    /// Sensible enthalpy, J/kg.
    pub h: E,
    /// Ratio of heat capacities.
    pub gamma: E,
    /// Mass fractions of the transported components.
    pub y: [E; S],
}

impl<E: Lane, const S: usize> Stagnant<E, S> {
    /// From pressure (Pa), temperature (K) and mass fractions.
    #[inline(always)]
    pub fn at<G: PipeGas<E, S>>(gas: &G, p_pa: E, t_k: E, y: [E; S]) -> Self {
        let r_t = gas.gas_constant(&y) * t_k;
        let mut e = gas.energy_at_r_t(r_t, &y);
        // So that the energy gives back this very pressure, to round-off and not only to the model's accuracy.
        let mut gamma = gas.thermal(e, &y).gamma;
        for _ in 0..3 {
            let thermal = gas.thermal(e, &y);
            gamma = thermal.gamma;
            e += (r_t - thermal.r_t) / (gamma - E::splat(1.0));
        }
        Self { p: p_pa, rho: p_pa / r_t, h: e + r_t, gamma, y }
    }

    /// From mass (kg), sensible energy (J), component masses (kg) and volume (m3).
    #[inline(always)]
    pub fn of_contents<G: PipeGas<E, S>>(gas: &G, mass: E, energy: E, component: [E; S], volume: E) -> Self {
        let inverse = E::splat(1.0) / mass;
        let y: [E; S] = each(|s| component[s] * inverse);
        let e = energy * inverse;
        let thermal = gas.thermal(e, &y);
        let rho = mass / volume;
        Self { p: rho * thermal.r_t, rho, h: e + thermal.r_t, gamma: thermal.gamma, y }
    }
}

/// A volume of gas at rest, with the rates of its last step.
#[derive(Clone, Copy, Debug)]
pub struct Volume<E, const S: usize> {
    /// m3.
    pub volume_m3: E,
    /// kg.
    pub mass: E,
    /// Sensible energy, J.
    pub energy: E,
    /// kg of each transported component.
    pub component: [E; S],
    /// Heat into the gas from its walls, W.
    pub heat_w: E,
    pub(super) rate: Gain<E, S>,
    /// Speed of sound when it was last looked at, m/s.
    c: E,
}

/// What a volume or a port gains: an amount, or a rate.
#[derive(Clone, Copy, Debug)]
pub struct Gain<E, const S: usize> {
    /// kg or kg/s.
    pub mass: E,
    /// Sensible enthalpy, J or W.
    pub enthalpy: E,
    /// kg or kg/s of each transported component.
    pub component: [E; S],
}

impl<E: Lane, const S: usize> Gain<E, S> {
    /// Nothing.
    #[inline(always)]
    pub fn zero() -> Self {
        let zero = E::splat(0.0);
        Self { mass: zero, enthalpy: zero, component: [zero; S] }
    }

    /// Adds `other` times `factor`.
    #[inline(always)]
    pub fn add_scaled(&mut self, other: &Self, factor: E) {
        self.mass = other.mass.fma(factor, self.mass);
        self.enthalpy = other.enthalpy.fma(factor, self.enthalpy);
        self.component = each(|s| other.component[s].fma(factor, self.component[s]));
    }
}

impl<E: Lane, const S: usize> Volume<E, S> {
    /// A volume filled with gas at rest.
    pub fn filled(volume_m3: E, gas: &Stagnant<E, S>) -> Self {
        let mass = gas.rho * volume_m3;
        Self {
            volume_m3,
            mass,
            energy: (gas.h - gas.p / gas.rho) * mass,
            component: each(|s| mass * gas.y[s]),
            heat_w: E::splat(0.0),
            rate: Gain::zero(),
            c: (gas.gamma * gas.p / gas.rho).sqrt(),
        }
    }

    /// Its state `ahead` seconds on, at the rates of its last step.
    #[inline(always)]
    pub(super) fn look_ahead<G: PipeGas<E, S>>(&mut self, gas: &G, ahead: E) -> Stagnant<E, S> {
        // Never by more than half of what it holds.
        let floor = self.mass * E::splat(0.5);
        let mass = self.rate.mass.fma(ahead, self.mass);
        let energy = self.rate.enthalpy.fma(ahead, self.energy);
        let safe = E::and(floor.lt(mass), (self.energy * E::splat(0.5)).lt(energy));
        let component: [E; S] =
            each(|s| E::sel(safe, self.rate.component[s].fma(ahead, self.component[s]), self.component[s]));
        let mass = E::sel(safe, mass, self.mass);
        let energy = E::sel(safe, energy, self.energy);
        let found = Stagnant::of_contents(gas, mass, energy, component, self.volume_m3);
        self.c = (found.gamma * found.p / found.rho).sqrt();
        found
    }

    /// Works the speed of sound of one variant out anew from the contents; the others keep theirs of half a step back.
    #[inline(always)]
    pub(super) fn refresh<G: PipeGas<E, S>>(&mut self, lane: usize, gas: &G) {
        let found = Stagnant::of_contents(gas, self.mass, self.energy, self.component, self.volume_m3);
        let c = (found.gamma * found.p / found.rho).sqrt();
        self.c = self.c.with(lane, c.get(lane));
    }

    /// The speed of sound half a step back, or as filled, m/s.
    #[inline(always)]
    pub(super) fn sound_speed(&self) -> E {
        self.c
    }

    /// Takes in what came over a step.
    #[inline(always)]
    pub(super) fn take_in(&mut self, rate: &Gain<E, S>, dt: E) {
        self.mass = rate.mass.fma(dt, self.mass);
        self.energy = rate.enthalpy.fma(dt, self.energy);
        self.component = each(|s| rate.component[s].fma(dt, self.component[s]));
        self.rate = *rate;
    }
}
