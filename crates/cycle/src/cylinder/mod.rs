//! What is in a cylinder and what becomes of it over a step of crank angle.
//!
//! One zone while a valve is open; unburned and burned gas side by side at one pressure while both are shut.
//! Energies count formation, so the account of a cycle closes to rounding whatever burns. In lanes, without
//! branches that change a value. Leaves out the valves: what flows is given.

mod lanes;
mod setup;
mod step;
mod sums;
mod working_gas;

pub(crate) use lanes::gather;
pub use setup::CylinderSetup;
pub use sums::CycleSums;
pub use working_gas::WorkingGas;

use crate::burning::Burning;
use gas::lane::{Lane, ln};
use gas::network::{Gain, Stagnant};
use gas::pipe::{BURNED, FUEL};
use working_gas::P_SCALE_PA;

/// Numbers [`Cylinder::pack`] writes.
pub const N_PACKED: usize = N_STATE;

const N_STATE: usize = 30;

/// Exponent of the motored pressure Woschni's gas speed is counted from. Common practice for a charge (1.30 to
/// 1.35), no source.
const MOTORED_EXPONENT: f64 = 1.33;

/// Gas in a cylinder, or in several side by side.
#[derive(Clone, Copy, Debug)]
pub struct Cylinder<L> {
    contents: Contents<L>,
    /// Pressure, Pa.
    p: L,
    /// Volume, m3.
    volume: L,
    /// How the charge burns: as its setup said when the intake closed, so that no burn changes in its middle.
    burning: Burning<L>,
    /// ((angle - start) / duration)^(m+1) of the burn.
    raised: L,
    /// Masses times gas constants, J/K.
    mass_r: L,
    /// Part of the volume that is burned zone.
    burned_volume: L,
    /// Logarithm of p V^1.33 until the spark, and T / (p V) when the intake closed.
    motored: L,
    reference: L,
    /// Rates of the last step, whatever caused them, but for the piston's work.
    rate: Rates<L>,
    /// The two last points, deg and Pa, older first.
    track: [[L; 2]; 2],
    /// Counts since they were last closed.
    pub cycle: CycleSums<L>,
    /// Counts of the last cycle that was closed.
    pub last: CycleSums<L>,
}

/// What a cylinder holds; all masses in kg.
#[derive(Clone, Copy, Debug)]
struct Contents<L> {
    /// In the chamber, both zones.
    mass: L,
    fuel: L,
    burned: L,
    /// Internal energy with formation of both zones, J.
    energy: L,
    /// The unburned zone: everything while a valve is open.
    unburned: Share<L>,
    t_unburned: L,
    t_burned: L,
    /// In the top land.
    crevice: Share<L>,
}

/// Part of the gas: kg, kg of fuel vapour, kg of burned gas.
#[derive(Clone, Copy, Debug)]
struct Share<L> {
    mass: L,
    fuel: L,
    burned: L,
}

/// kg/s, W with formation, kg/s of fuel vapour and of burned gas.
#[derive(Clone, Copy, Debug)]
struct Rates<L> {
    mass: L,
    energy: L,
    fuel: L,
    burned: L,
}

/// What can be read off a cylinder at any time.
#[derive(Clone, Copy, Debug)]
pub struct Reading<L> {
    /// Pressure, Pa.
    pub p_pa: L,
    /// Mean temperature, K.
    pub t_k: L,
    /// Temperature of the unburned zone, K; the mean while a valve is open.
    pub t_unburned_k: L,
    /// Temperature of the burned zone, K; meaningless before it burns.
    pub t_burned_k: L,
    /// Volume without the top land, m3.
    pub volume_m3: L,
    /// Mass with that in the top land, kg.
    pub mass_kg: L,
    /// Internal energy with formation, with the top land, J.
    pub energy_j: L,
    /// Mass fraction of burned gas in the chamber.
    pub burned: L,
    /// Mass fraction of fuel vapour in the chamber.
    pub fuel: L,
    /// Mass fraction of the burned zone.
    pub burned_zone: L,
}

impl<L: Lane> Cylinder<L> {
    /// A cylinder at an angle (deg after firing TDC) filled with gas at rest: Pa, K, mass fractions of fuel vapour and
    /// burned gas.
    pub fn filled(setup: &CylinderSetup<L>, angle_deg: L, p_pa: L, t_k: L, y: [L; 2]) -> Self {
        let zero = L::splat(0.0);
        let volume = setup.volume(angle_deg);
        let zone = setup.gas.zone(y[FUEL], y[BURNED]);
        let state = setup.gas.state(&zone, t_k, ln(p_pa * L::splat(1.0 / P_SCALE_PA)));
        let mass = p_pa * volume / (state.r * t_k);
        let share = |mass: L| Share { mass, fuel: mass * y[FUEL], burned: mass * y[BURNED] };
        let all = share(mass);
        let air = L::splat(1.0) - y[FUEL] - y[BURNED];
        let [a, f, b] = setup.crevice_r_t;
        let crevice = share(p_pa * setup.crevice / air.fma(a, y[FUEL].fma(f, y[BURNED] * b)));
        let mut cylinder = Self {
            contents: Contents {
                mass,
                fuel: all.fuel,
                burned: all.burned,
                energy: mass * state.u,
                unburned: all,
                t_unburned: t_k,
                t_burned: t_k + L::splat(1500.0),
                crevice,
            },
            p: p_pa,
            volume,
            burning: setup.burning,
            raised: zero,
            mass_r: mass * state.r,
            burned_volume: zero,
            motored: ln(p_pa) + L::splat(MOTORED_EXPONENT) * ln(volume),
            reference: t_k / (p_pa * volume),
            rate: Rates { mass: zero, energy: zero, fuel: zero, burned: zero },
            track: [[angle_deg, p_pa]; 2],
            cycle: CycleSums::zero(),
            last: CycleSums::zero(),
        };
        cylinder.begin_count(setup);
        cylinder
    }

    /// The gas its ports see in the middle of a step from one angle to another (deg after firing TDC) in `dt` seconds,
    /// at the flows of the last step.
    #[inline(always)]
    pub fn outside(&self, setup: &CylinderSetup<L>, from_deg: L, to_deg: L, dt: L) -> Stagnant<L, 2> {
        let one = L::splat(1.0);
        let half = L::splat(0.5);
        let volume = setup.volume(half * (from_deg + to_deg));
        let c = &self.contents;
        let ahead = half * dt;
        // Never by more than half of what it holds.
        let mass = self.rate.mass.fma(ahead, c.mass);
        let safe = (half * c.mass).lt(mass);
        let ahead = L::sel(safe, ahead, L::splat(0.0));
        let mass = self.rate.mass.fma(ahead, c.mass);
        let work = self.p * (volume - self.volume);
        let energy = self.rate.energy.fma(ahead, c.energy - work);
        let inverse = one / mass;
        let y = [
            self.rate.fuel.fma(ahead, c.fuel).max(L::splat(0.0)) * inverse,
            self.rate.burned.fma(ahead, c.burned).max(L::splat(0.0)) * inverse,
        ];
        let zone = setup.gas.zone(y[FUEL], y[BURNED]);
        let t_now = self.mean_temperature();
        let at = setup.gas.state(&zone, t_now, ln(self.p * L::splat(1.0 / P_SCALE_PA)));
        let t = t_now + ((energy * inverse - at.u) / at.du_dt).max(t_now * L::splat(-0.3)).min(t_now);
        let r = at.r;
        let rho = mass / volume;
        let p = rho * r * t;
        let [a, f, b] = setup.gas.offset;
        let air = one - y[FUEL] - y[BURNED];
        let offset = air.fma(a, y[FUEL].fma(f, y[BURNED] * b));
        let u = at.du_dt.fma(t - t_now, at.u);
        Stagnant { p, rho, h: u - offset + r * t, gamma: one + r / at.du_dt, y }
    }

    /// K; of all the gas as one.
    #[inline(always)]
    fn mean_temperature(&self) -> L {
        self.p * self.volume / self.mass_r
    }

    /// What it is like now.
    pub fn reading(&self, setup: &CylinderSetup<L>) -> Reading<L> {
        let c = &self.contents;
        Reading {
            p_pa: self.p,
            t_k: self.mean_temperature(),
            t_unburned_k: c.t_unburned,
            t_burned_k: c.t_burned,
            volume_m3: self.volume,
            mass_kg: c.mass + c.crevice.mass,
            energy_j: c.energy + self.crevice_energy(setup),
            burned: c.burned / c.mass,
            fuel: c.fuel / c.mass,
            burned_zone: (c.mass - c.unburned.mass).max(L::splat(0.0)) / c.mass,
        }
    }

    /// How long sonic flow through an opening of that area, m2, would take to carry all of it away at its density, s; longer
    /// than any step for an opening of zero. The speed of sound is that of a ratio of heat capacities of 1.4 (at most).
    #[inline(always)]
    pub fn swept_in(&self, area_m2: L) -> L {
        let sound_m_per_s = (L::splat(1.4) * self.p * self.volume / self.contents.mass).sqrt();
        self.volume / area_m2.fma(sound_m_per_s, L::splat(1e-12))
    }

    /// Pressure, Pa.
    #[inline(always)]
    pub fn pressure(&self) -> L {
        self.p
    }

    #[inline(always)]
    fn crevice_energy(&self, setup: &CylinderSetup<L>) -> L {
        self.contents.crevice.weigh(&setup.crevice_u)
    }

    /// Closes the counts of the lanes that are set: what was counted becomes [`Cylinder::last`], counting begins anew.
    #[inline(always)]
    pub fn end_cycle(&mut self, setup: &CylinderSetup<L>, which: L::Mask) {
        let c = &self.contents;
        let mut done = self.cycle;
        done.end_mass = c.mass + c.crevice.mass;
        done.end_energy = c.energy + self.crevice_energy(setup);
        let mut fresh = *self;
        fresh.begin_count(setup);
        self.last = CycleSums::select(which, &done, &self.last);
        self.cycle = CycleSums::select(which, &fresh.cycle, &self.cycle);
    }

    #[inline(always)]
    fn begin_count(&mut self, setup: &CylinderSetup<L>) {
        let c = &self.contents;
        let mut sums = CycleSums::zero();
        sums.start_mass = c.mass + c.crevice.mass;
        sums.start_energy = c.energy + self.crevice_energy(setup);
        self.cycle = sums;
    }

    /// Whether mass, energy or pressure of a lane has run out or is not a number.
    #[inline(always)]
    pub fn broken(&self) -> L::Mask {
        let unsound = self.contents.energy * L::splat(0.0);
        (self.contents.mass.min(self.p).min(self.contents.t_unburned) + unsound).not_positive()
    }

    /// The state of one lane, [`N_PACKED`] numbers, appended.
    pub fn pack(&self, lane: usize, packed: &mut Vec<f64>) {
        packed.extend(self.state().map(|v| v.get(lane)));
    }

    /// Takes the state of one lane off the front of what [`Cylinder::pack`] wrote; gives back the rest.
    ///
    /// Needs [`N_PACKED`] numbers. Counting goes on; the volume is that of the angle it was packed at.
    pub fn unpack<'a>(&mut self, lane: usize, packed: &'a [f64]) -> &'a [f64] {
        let (here, rest) = packed.split_at(N_PACKED);
        let mut next = here.iter();
        self.each_state(|v| {
            let value = next.next().expect("as many numbers as places");
            *v = v.with(lane, *value);
        });
        rest
    }

    /// All that [`Cylinder::each_state`] reaches, in its order.
    #[inline(always)]
    fn state(&self) -> [L; N_STATE] {
        let c = &self.contents;
        [
            c.mass,
            c.fuel,
            c.burned,
            c.energy,
            c.unburned.mass,
            c.unburned.fuel,
            c.unburned.burned,
            c.t_unburned,
            c.t_burned,
            c.crevice.mass,
            c.crevice.fuel,
            c.crevice.burned,
            self.p,
            self.volume,
            self.raised,
            self.mass_r,
            self.burned_volume,
            self.motored,
            self.reference,
            self.rate.mass,
            self.rate.energy,
            self.rate.fuel,
            self.rate.burned,
            self.track[0][0],
            self.track[0][1],
            self.track[1][0],
            self.track[1][1],
            self.burning.spark_deg,
            self.burning.start_deg,
            self.burning.duration_deg,
        ]
    }

    /// What a step changes besides the counts.
    #[inline(always)]
    fn each_state(&mut self, mut f: impl FnMut(&mut L)) {
        let c = &mut self.contents;
        f(&mut c.mass);
        f(&mut c.fuel);
        f(&mut c.burned);
        f(&mut c.energy);
        f(&mut c.unburned.mass);
        f(&mut c.unburned.fuel);
        f(&mut c.unburned.burned);
        f(&mut c.t_unburned);
        f(&mut c.t_burned);
        f(&mut c.crevice.mass);
        f(&mut c.crevice.fuel);
        f(&mut c.crevice.burned);
        f(&mut self.p);
        f(&mut self.volume);
        f(&mut self.raised);
        f(&mut self.mass_r);
        f(&mut self.burned_volume);
        f(&mut self.motored);
        f(&mut self.reference);
        f(&mut self.rate.mass);
        f(&mut self.rate.energy);
        f(&mut self.rate.fuel);
        f(&mut self.rate.burned);
        f(&mut self.track[0][0]);
        f(&mut self.track[0][1]);
        f(&mut self.track[1][0]);
        f(&mut self.track[1][1]);
        f(&mut self.burning.spark_deg);
        f(&mut self.burning.start_deg);
        f(&mut self.burning.duration_deg);
    }
}

impl<L: Lane> Share<L> {
    /// The sum of something per kilogram of air, fuel vapour and burned gas.
    #[inline(always)]
    fn weigh(&self, per_kg: &[L; 3]) -> L {
        let air = self.mass - self.fuel - self.burned;
        air.fma(per_kg[0], self.fuel.fma(per_kg[1], self.burned * per_kg[2]))
    }
}

/// What a port's gain brings: enthalpy with formation from the sensible one.
#[inline(always)]
fn with_formation<L: Lane>(setup: &CylinderSetup<L>, gain: &Gain<L, 2>) -> L {
    let share = Share { mass: gain.mass, fuel: gain.component[FUEL], burned: gain.component[BURNED] };
    gain.enthalpy + share.weigh(&setup.gas.offset)
}
