//! One step of a cylinder: what flowed in, the piston, the walls, the top land, the flame.
//!
//! An implicit trapezoidal step of the first law with a fixed number of corrections: second order, and the energy
//! that is booked is the energy that is kept.

use super::working_gas::{P_SCALE_PA, Zone, ZoneState};
use super::{Cylinder, CylinderSetup, MOTORED_EXPONENT, Rates, Share, with_formation};
use crate::heat_transfer::HeatState;
use gas::lane::{Lane, exp, ln, nearest_whole};
use gas::network::Gain;
use gas::pipe::{BURNED, FUEL};

/// A zone holds nothing below this part of the gas.
const TRACE: f64 = 1e-9;
/// Keeps quotients of empty zones finite, kg.
const NOTHING_KG: f64 = 1e-30;
/// Coldest and hottest a zone may be taken to be, K.
const T_RANGE_K: [f64; 2] = [100.0, 4500.0];
/// The unburned gas counts for knock in full while it is more than the second part of the charge, and not below the
/// first: what is left then is in corners at the walls. Common practice, no source.
const KNOCK_FROM: f64 = 0.05;
const KNOCK_UNTIL: f64 = 0.15;
/// Crankcase, Pa.
const CRANKCASE_PA: f64 = 101_325.0;

/// Both zones before a step is taken, after what flowed in and what will burn.
struct Step<L: Lane> {
    closed: L::Mask,
    /// Mass and gas by zone at the end of the step, before the top land.
    unburned: Share<L>,
    burned: Share<L>,
    /// Part of the burned zone that burned in this step.
    fresh_burned: L,
    zone: [Zone<L>; 2],
    t: [L; 2],
    /// Energy in with the flow, J.
    energy_in: L,
}

/// What a correction has found.
#[derive(Clone, Copy)]
struct Found<L> {
    p: L,
    t: [L; 2],
    /// Mass into the top land, kg, and enthalpy with formation that went with it, J.
    into_crevice: L,
    crevice_enthalpy: L,
    unburned: Share<L>,
    burned: Share<L>,
    work: L,
    energy: L,
    mass_r: L,
    burned_volume: L,
}

/// The point zone properties were taken at.
#[derive(Clone, Copy)]
struct Linear<L> {
    t: [L; 2],
    state: [ZoneState<L>; 2],
}

impl<L: Lane> Linear<L> {
    /// J/kg with formation.
    #[inline(always)]
    fn enthalpy(&self, zone: usize) -> L {
        self.state[zone].r.fma(self.t[zone], self.state[zone].u)
    }

    /// Temperature of a zone after isentropic compression from `t`; `ratio` is the change of pressure over the sum.
    ///
    /// T ~ p^k as (1 + k r) / (1 - k r), right to the third order, with the mean exponent of both ends.
    #[inline(always)]
    fn squeezed(&self, zone: usize, start: &Self, t: [L; 2], ratio: L) -> L {
        let k = start.state[zone].isentropic_slope(start.t[zone])
            + self.state[zone].isentropic_slope(self.t[zone]);
        let change = L::splat(0.5) * k * ratio;
        t[zone] * (L::splat(1.0) + change) / (L::splat(1.0) - change)
    }

    /// R T^2 / cp, T halfway from `t`: what a zone cools by for its share of the heat.
    #[inline(always)]
    fn cooling(&self, zone: usize, t: [L; 2]) -> L {
        let s = &self.state[zone];
        let middle = L::splat(0.5) * (t[zone] + self.t[zone]);
        s.r * middle * middle / s.cp(self.t[zone])
    }
}

impl<L: Lane> Cylinder<L> {
    /// Advances by a step from one angle to another (deg after firing TDC, any turn) in `dt` seconds.
    ///
    /// `gains` are what came through the intake and the exhaust valves over the step: kg, J of sensible enthalpy,
    /// kg of fuel vapour and burned gas. A lane with dt = 0 stays as it is.
    #[inline(always)]
    pub fn advance(
        &mut self,
        setup: &CylinderSetup<L>,
        gains: [&Gain<L, 2>; 2],
        from_deg: L,
        to_deg: L,
        dt: L,
    ) {
        let (zero, half) = (L::splat(0.0), L::splat(0.5));
        let turn = L::splat(720.0) * nearest_whole(from_deg * L::splat(1.0 / 720.0));
        let (from, to) = (from_deg - turn, to_deg - turn);
        let moves = zero.lt(dt);
        let before = Before::of(self);

        let step = self.take_in(setup, gains, from, to);
        let volume = setup.volume(to);
        let ln_p = ln(self.p * L::splat(1.0 / P_SCALE_PA));
        let start = properties(setup, &step, step.t, ln_p);
        let guess = self.p * self.volume / volume;
        let leak = self.blow_by(setup, dt);

        let found = self.correct(setup, &step, &start, &start, volume, guess, zero, leak);
        let t_mid = |found: &Found<L>| half * (self.mean_temperature() + found.p * volume / found.mass_r);
        let (conductance, wall_k) = self.wall(setup, &step, t_mid(&found), found.p, volume, [from, to], dt);
        let heat = conductance * (t_mid(&found) - wall_k);
        let ln_p1 = ln_p + L::splat(2.0) * (found.p - self.p) / (found.p + self.p);
        let end = properties(setup, &step, found.t, ln_p1);
        let found = self.correct(setup, &step, &start, &end, volume, found.p, heat, leak);
        let heat = conductance * (t_mid(&found) - wall_k);
        let found = self.correct(setup, &step, &start, &end, volume, found.p, heat, leak);

        let wall_heat = self.settle(setup, &step, &found, heat, leak, volume);
        let booked = |amount: L| L::sel(moves, amount, zero);
        self.cycle.heat += booked(wall_heat);
        self.count(setup, gains, &before, booked(found.work), [from, to], dt);
        before.restore_still(self, moves);
    }

    /// Inflow and the part that burns in this step.
    #[inline(always)]
    fn take_in(&mut self, setup: &CylinderSetup<L>, gains: [&Gain<L, 2>; 2], from: L, to: L) -> Step<L> {
        let (zero, one) = (L::splat(0.0), L::splat(1.0));
        let c = &self.contents;
        // Shut over the whole step: what flows at all flows in or out of one zone.
        let closed =
            L::and(setup.closes_deg.lt(from + L::splat(1e-9)), to.lt(setup.opens_deg + L::splat(1e-9)));
        let single = L::sel(closed, zero, one);
        let pick = |two: L, one: L| L::sel(closed, two, one);

        let liquid = liquid_fuel(setup, gains[0]);
        let inflow = Share {
            mass: gains[0].mass + gains[1].mass + liquid,
            fuel: gains[0].component[FUEL] + gains[1].component[FUEL] + liquid,
            burned: gains[0].component[BURNED] + gains[1].component[BURNED],
        };
        let energy_in = with_formation(setup, gains[0])
            + with_formation(setup, gains[1])
            + liquid * setup.gas.liquid_fuel_j_per_kg;
        let u = Share {
            mass: pick(c.unburned.mass, c.mass) + inflow.mass,
            fuel: (pick(c.unburned.fuel, c.fuel) + inflow.fuel).max(zero),
            burned: (pick(c.unburned.burned, c.burned) + inflow.burned).max(zero),
        };
        let all = Share {
            mass: c.mass + inflow.mass,
            fuel: (c.fuel + inflow.fuel).max(zero),
            burned: (c.burned + inflow.burned).max(zero),
        };

        // What is skipped here and below is zero in every lane.
        let (mut raised, mut part) = (zero, zero);
        if L::any(L::and(closed, self.burning.start_deg.lt(to))) {
            raised = L::sel(closed, self.burning.raised(to), zero);
            part = L::sel(closed, self.burning.hazard(self.raised, raised), zero);
        }
        self.raised = raised;
        let inverse = one / u.mass.max(L::splat(NOTHING_KG));
        let (y_fuel, y_burned) = (u.fuel * inverse, u.burned * inverse);
        let air_per_fuel = setup.gas.air_per_fuel;
        let y_air = one - y_fuel - y_burned;
        let burns = y_fuel.min(y_air / air_per_fuel).max(zero);
        let made = burns * (one + air_per_fuel);
        let lit = part * u.mass;
        let left = one - part;
        let unburned = Share { mass: u.mass * left, fuel: u.fuel * left, burned: u.burned * left };
        let burned = Share {
            mass: (all.mass - unburned.mass).max(zero),
            fuel: (all.fuel - unburned.fuel - burns * lit).max(zero),
            burned: (all.burned - unburned.burned + made * lit).max(zero),
        };
        let holds = (L::splat(TRACE) * all.mass).lt(burned.mass);
        let inverse = one / burned.mass.max(L::splat(NOTHING_KG));
        let b_fuel = L::sel(holds, burned.fuel * inverse, y_fuel - burns);
        let b_burned = L::sel(holds, burned.burned * inverse, y_burned + made);
        // An empty burned zone is kept at the flame temperature.
        let fresh_burned = L::sel(holds, (lit * inverse).min(one), one);
        let t_mean = self.mean_temperature();
        let t_unburned = single.fma(t_mean - c.t_unburned, c.t_unburned);
        Step {
            closed,
            unburned,
            burned,
            fresh_burned,
            zone: [setup.gas.zone(y_fuel, y_burned), setup.gas.zone(b_fuel, b_burned)],
            t: [t_unburned, c.t_burned],
            energy_in,
        }
    }

    /// kg past the rings over the step, from the top land to the crankcase.
    ///
    /// Choked flow of gas with gamma 1.35 (A p / sqrt(R T) times 0.676), below the critical ratio the ellipse that
    /// touches it: within 1 % of the isentropic nozzle. R 287 J/(kg K).
    #[inline(always)]
    fn blow_by(&self, setup: &CylinderSetup<L>, dt: L) -> L {
        let (zero, one) = (L::splat(0.0), L::splat(1.0));
        let ratio = L::splat(CRANKCASE_PA) / self.p;
        let critical = 0.537;
        let over = ((ratio - L::splat(critical)) * L::splat(1.0 / (1.0 - critical))).max(zero).min(one);
        let choked = L::splat(0.676) / (L::splat(287.0) * setup.crevice_k).sqrt();
        setup.blow_by_m2 * self.p * choked * (one - over * over).max(zero).sqrt() * dt
    }

    /// Heat conductance of the walls over the step, J/K, and their mean temperature weighted by it, K.
    #[inline(always)]
    #[expect(clippy::too_many_arguments, reason = "the two ends of a step")]
    fn wall(
        &self,
        setup: &CylinderSetup<L>,
        step: &Step<L>,
        t: L,
        p: L,
        volume: L,
        [from, to]: [L; 2],
        dt: L,
    ) -> (L, L) {
        let (zero, half) = (L::splat(0.0), L::splat(0.5));
        let (p, v) = (half * (self.p + p), half * (self.volume + volume));
        let (ln_p, ln_v) = (ln(p), ln(v));
        let burns = L::and(step.closed, (-self.burning.spark_deg).lt(half * (from + to)));
        let mut rise = zero;
        if L::any(burns) {
            let motored = exp(self.motored - L::splat(MOTORED_EXPONENT) * ln_v);
            rise = L::sel(burns, (p - motored).max(zero), zero);
        }
        let h = setup.heat.w_per_m2_k(&HeatState {
            ln_p,
            ln_v,
            t,
            rise,
            reference: self.reference,
            closed: step.closed,
        });
        let bore = (v - setup.clearance).max(zero) * setup.bore_per_volume;
        let area = setup.head_area + setup.crown_area + bore;
        let hot = setup.head_area.fma(setup.head_k, setup.crown_area.fma(setup.crown_k, bore * setup.bore_k));
        (h * area * dt, hot / area)
    }

    /// One correction: zone temperatures from isentropic compression, mixing and heat, then all shifted alike so that
    /// the energy is right; pressure from the volume.
    #[inline(always)]
    #[expect(clippy::too_many_arguments, reason = "everything a correction depends on")]
    fn correct(
        &self,
        setup: &CylinderSetup<L>,
        step: &Step<L>,
        start: &Linear<L>,
        at: &Linear<L>,
        volume: L,
        p: L,
        heat: L,
        leak: L,
    ) -> Found<L> {
        let (zero, one, half) = (L::splat(0.0), L::splat(1.0), L::splat(0.5));
        let (tiny, cool, hottest) = (L::splat(NOTHING_KG), L::splat(T_RANGE_K[0]), L::splat(T_RANGE_K[1]));
        let [su, sb] = &at.state;
        let ratio = (p - self.p) / (p + self.p);
        // The top land takes up or gives back what its pressure asks for.
        let held = &self.contents.crevice;
        let r_t = held.weigh(&setup.crevice_r_t) / held.mass.max(tiny);
        let wanted = p * setup.crevice / r_t.max(one);
        let into = wanted - held.mass + leak;
        let (goes, comes) = (into.max(zero), (-into).max(zero));
        let [vu, vb] = [step.unburned.mass * su.r * at.t[0], step.burned.mass * sb.r * at.t[1]];
        let burned_volume = vb / (vu + vb).max(tiny);
        let share_before = L::sel(step.closed, self.burned_volume, zero);
        let burned_share = half * (share_before + burned_volume);
        let (from_burned, from_unburned) = (goes * burned_share, goes * (one - burned_share));
        let back = comes / held.mass.max(tiny);
        let keeps = one - from_unburned / step.unburned.mass.max(tiny);
        let keeps_burned = one - from_burned / step.burned.mass.max(tiny);
        let u = Share {
            mass: held.mass.fma(back, step.unburned.mass * keeps),
            fuel: held.fuel.fma(back, step.unburned.fuel * keeps),
            burned: held.burned.fma(back, step.unburned.burned * keeps),
        };
        let b = Share {
            mass: step.burned.mass * keeps_burned,
            fuel: step.burned.fuel * keeps_burned,
            burned: step.burned.burned * keeps_burned,
        };
        let (h_u, h_b) = (at.enthalpy(0), at.enthalpy(1));
        let crevice_enthalpy = half
            * from_unburned.fma(h_u + start.enthalpy(0), from_burned * (h_b + start.enthalpy(1)))
            - back * (held.weigh(&setup.crevice_u) + held.weigh(&setup.crevice_r_t));

        // A zone loses heat by its volume and temperature, m R T^2, taken halfway through the step.
        let before = self.p * self.volume * between(share_before, step.t);
        let after = p * volume * between(burned_volume, at.t);
        let per_kelvin = (heat + heat) / (before + after).max(tiny);
        let (cooling_u, cooling_b) = (per_kelvin * at.cooling(0, step.t), per_kelvin * at.cooling(1, step.t));
        let t_u = at.squeezed(0, start, step.t, ratio) - cooling_u;
        // What burns in the step is compressed and cooled as burned gas over half of it.
        let cp = sb.cp(at.t[1]);
        let h_fresh = su.cp(at.t[0]).fma(t_u - at.t[0], h_u);
        let flame = at.t[1] + (h_fresh - h_b) / cp;
        let flame = flame + ratio * (sb.r * flame - su.r * t_u) / cp - half * (cooling_b - cooling_u);
        let t_b = at.squeezed(1, start, step.t, ratio) - cooling_b;
        let t_b = step.fresh_burned.fma(flame - t_b, t_b);
        let mixed = comes / u.mass.max(tiny);
        let t_u = mixed.fma(setup.crevice_k - t_u, t_u);

        let work = half * (self.p + p) * (volume - self.volume);
        let energy = self.contents.energy + step.energy_in - crevice_enthalpy - work - heat;
        let u_u = su.du_dt.fma(t_u - at.t[0], su.u);
        let u_b = sb.du_dt.fma(t_b - at.t[1], sb.u);
        let lacks = energy - u.mass.fma(u_u, b.mass * u_b);
        let shift = lacks / u.mass.fma(su.du_dt, b.mass * sb.du_dt);
        let t_u = (t_u + shift).max(cool).min(hottest);
        let t_b = (t_b + shift).max(cool).min(hottest);
        let r_b = sb.dr_dt.fma(t_b - at.t[1], sb.r);
        let r_u = su.dr_dt.fma(t_u - at.t[0], su.r);
        let p = u.mass.fma(r_u * t_u, b.mass * r_b * t_b) / volume;
        let mass_r = u.mass.fma(r_u, b.mass * r_b);
        Found {
            mass_r,
            burned_volume,
            p,
            t: [t_u, t_b],
            into_crevice: into,
            crevice_enthalpy,
            unburned: u,
            burned: b,
            work,
            energy,
        }
    }

    /// Makes what was found the state and books the leak; gives back the heat to all walls.
    #[inline(always)]
    fn settle(
        &mut self,
        setup: &CylinderSetup<L>,
        step: &Step<L>,
        found: &Found<L>,
        heat: L,
        leak: L,
        volume: L,
    ) -> L {
        let (zero, one, tiny) = (L::splat(0.0), L::splat(1.0), L::splat(NOTHING_KG));
        let held = self.contents.crevice;
        let held_energy = held.weigh(&setup.crevice_u);
        let fuel = found.unburned.fuel + found.burned.fuel;
        let burned = found.unburned.burned + found.burned.burned;
        // The top land holds what left the zones; the leak takes a part of it.
        let mass = held.mass + found.into_crevice;
        let full = Share {
            mass,
            fuel: (held.fuel + (step.unburned.fuel + step.burned.fuel) - fuel).max(zero),
            burned: (held.burned + (step.unburned.burned + step.burned.burned) - burned).max(zero),
        };
        let stays = one - leak / mass.max(tiny);
        let crevice = Share { mass: mass - leak, fuel: full.fuel * stays, burned: full.burned * stays };
        let leak_enthalpy = (one - stays) * (full.weigh(&setup.crevice_u) + full.weigh(&setup.crevice_r_t));
        let crevice_heat =
            found.crevice_enthalpy - leak_enthalpy - (crevice.weigh(&setup.crevice_u) - held_energy);

        let c = &mut self.contents;
        c.mass = found.unburned.mass + found.burned.mass;
        c.fuel = fuel;
        c.burned = burned;
        c.energy = found.energy;
        c.unburned = found.unburned;
        c.t_unburned = found.t[0];
        c.t_burned = found.t[1];
        c.crevice = crevice;
        self.p = found.p;
        self.mass_r = found.mass_r;
        self.burned_volume = found.burned_volume;
        self.volume = volume;
        self.cycle.blow_by_mass += leak;
        self.cycle.blow_by_energy += leak_enthalpy;
        heat + crevice_heat
    }

    /// Everything else that is counted, and the rates of the step.
    #[inline(always)]
    fn count(
        &mut self,
        setup: &CylinderSetup<L>,
        gains: [&Gain<L, 2>; 2],
        before: &Before<L>,
        work: L,
        [from, to]: [L; 2],
        dt: L,
    ) {
        let (zero, half) = (L::splat(0.0), L::splat(0.5));
        let liquid = liquid_fuel(setup, gains[0]);
        let firing = (half * (from + to)).abs().lt(L::splat(180.0));
        let flow_energy = with_formation(setup, gains[0]) + with_formation(setup, gains[1]);
        let (c, t) = (self.contents, self.mean_temperature());
        let sums = &mut self.cycle;
        sums.gross_work += L::sel(firing, work, zero);
        sums.pumping_work += L::sel(firing, zero, work);
        sums.intake_mass += gains[0].mass;
        // A lane whose step is nothing has brought nothing.
        let rate = gains[0].mass / dt.max(L::splat(1e-12));
        sums.intake_most_kg_per_s = sums.intake_most_kg_per_s.max(rate);
        sums.exhaust_mass += gains[1].mass;
        sums.exhaust_enthalpy -= gains[1].enthalpy;
        sums.flow_energy += flow_energy;
        sums.liquid_fuel += liquid;
        sums.liquid_energy += liquid * setup.gas.liquid_fuel_j_per_kg;
        sums.fuel += gains[0].component[FUEL] + liquid;

        let shut = L::and(setup.closes_deg.lt(to), from.lt(setup.opens_deg));
        let left = half * (c.unburned.mass / c.mass + before.unburned);
        let counts = ((left - L::splat(KNOCK_FROM)) * L::splat(1.0 / (KNOCK_UNTIL - KNOCK_FROM)))
            .max(zero)
            .min(L::splat(1.0));
        if L::any(shut) {
            let ln_p = ln(half * (before.p + self.p));
            let t_u = half * (before.t_unburned + c.t_unburned);
            sums.knock += L::sel(shut, counts * setup.knock.per_second(ln_p, t_u) * dt, zero);
        }

        let moves = zero.lt(dt);
        let shuts = L::and(from.lt(setup.closes_deg), setup.closes_deg.lt(to + L::splat(1e-9)));
        let shuts = L::and(moves, shuts);
        let keep = |new: L, old: L| L::sel(shuts, new, old);
        sums.trapped = keep(c.mass + c.crevice.mass, sums.trapped);
        sums.residual = keep(c.burned / c.mass, sums.residual);
        sums.trapped_fuel = keep(c.fuel + c.crevice.fuel, sums.trapped_fuel);
        // Pressure and temperature at the very angle: a step later they would be those of another volume.
        let at = ((setup.closes_deg - from) / (to - from).max(L::splat(1e-12))).max(zero).min(L::splat(1.0));
        sums.closing_pa = keep(at.fma(self.p - before.p, before.p), sums.closing_pa);
        sums.closing_k = keep(at.fma(t - before.t_mean, before.t_mean), sums.closing_k);
        let next = &setup.burning;
        self.burning.spark_deg = keep(next.spark_deg, self.burning.spark_deg);
        self.burning.start_deg = keep(next.start_deg, self.burning.start_deg);
        self.burning.duration_deg = keep(next.duration_deg, self.burning.duration_deg);
        // Followed up to the spark, also when that lies inside the step.
        let unlit = (-self.burning.spark_deg - from) / (to - from).max(L::splat(1e-12));
        let unlit = unlit.max(zero).min(L::splat(1.0));
        if L::any(zero.lt(unlit)) {
            let motored = ln(self.p) + L::splat(MOTORED_EXPONENT) * ln(self.volume);
            self.motored = unlit.fma(motored - self.motored, self.motored);
        }
        self.reference = keep(t / (self.p * self.volume), self.reference);

        let here = [to, self.p];
        let [peak_deg, peak_pa] = vertex(self.track[0], [from, before.p], here);
        let higher = L::and(moves, sums.peak_pa.lt(peak_pa));
        sums.peak_pa = L::sel(higher, peak_pa, sums.peak_pa);
        sums.peak_deg = L::sel(higher, peak_deg, sums.peak_deg);
        self.track = [[from, before.p], here];

        let per_second = L::splat(1.0) / dt.max(L::splat(1e-30));
        let [mass, fuel, burned, energy, ..] = before.state;
        self.rate = Rates {
            mass: (c.mass - mass) * per_second,
            energy: (c.energy - energy + work) * per_second,
            fuel: (c.fuel - fuel) * per_second,
            burned: (c.burned - burned) * per_second,
        };
    }
}

/// What a step starts from.
struct Before<L> {
    p: L,
    /// Of all the gas as one, K.
    t_mean: L,
    t_unburned: L,
    /// Part of the gas that is unburned zone.
    unburned: L,
    state: [L; super::N_STATE],
}

impl<L: Lane> Before<L> {
    #[inline(always)]
    fn of(cylinder: &Cylinder<L>) -> Self {
        let c = &cylinder.contents;
        Self {
            p: cylinder.p,
            t_mean: cylinder.mean_temperature(),
            t_unburned: c.t_unburned,
            unburned: c.unburned.mass / c.mass,
            state: cylinder.state(),
        }
    }

    /// Puts back the lanes that did not move.
    #[inline(always)]
    fn restore_still(&self, cylinder: &mut Cylinder<L>, moves: L::Mask) {
        if L::all(moves) {
            return;
        }
        let mut old = self.state.iter();
        cylinder.each_state(|v| {
            if let Some(old) = old.next() {
                *v = L::sel(moves, *v, *old);
            }
        });
    }
}

/// The first, and the share of the second beyond it.
#[inline(always)]
fn between<L: Lane>(share: L, [first, second]: [L; 2]) -> L {
    share.fma(second - first, first)
}

/// Properties of both zones.
#[inline(always)]
fn properties<L: Lane>(setup: &CylinderSetup<L>, step: &Step<L>, t: [L; 2], ln_p: L) -> Linear<L> {
    Linear {
        t,
        state: [setup.gas.state(&step.zone[0], t[0], ln_p), setup.gas.state(&step.zone[1], t[1], ln_p)],
    }
}

/// Liquid fuel that goes in with the air of the intake: what its vapour is short of, kg.
#[inline(always)]
fn liquid_fuel<L: Lane>(setup: &CylinderSetup<L>, intake: &Gain<L, 2>) -> L {
    // Transport overshoots a little at fronts: fractions below nothing or above all ask for no fuel.
    let zero = L::splat(0.0);
    let [fuel, burned] = intake.component.map(|part| part.max(zero));
    let air = intake.mass - fuel - burned;
    setup.liquid * (air / setup.gas.air_per_fuel - fuel).max(zero)
}

/// Top of the parabola through three points when the middle one is highest, else the last point.
#[inline(always)]
fn vertex<L: Lane>(a: [L; 2], b: [L; 2], c: [L; 2]) -> [L; 2] {
    let (zero, half) = (L::splat(0.0), L::splat(0.5));
    let (left, right) = (b[0] - a[0], c[0] - b[0]);
    let s0 = (b[1] - a[1]) / left;
    let s1 = (c[1] - b[1]) / right;
    // Slope and bend at the middle point.
    let bend = (s1 - s0) / (left + right);
    let slope = (s0 * right + s1 * left) / (left + right);
    let top = L::and(L::and(zero.lt(s0), s1.lt(zero)), L::and(zero.lt(left), zero.lt(right)));
    let off = -(half * slope) / bend;
    [L::sel(top, b[0] + off, c[0]), L::sel(top, slope.fma(half * off, b[1]), c[1])]
}
