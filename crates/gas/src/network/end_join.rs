//! Two pipe ends joined directly, with or without a sudden change of area.

use super::ends::{EndChunk, Seat, end_wave};
use super::{EndKind, Network, SIDES, outward};
use crate::lane::{Lane, Layout};
use crate::pipe::{Face, GasFamily, Side, WallModel, each};

/// One of the two ends: velocities are positive out of its pipe.
#[derive(Clone, Copy, Debug)]
pub struct JoinSide<L> {
    /// Density, kg/m3.
    pub rho: L,
    /// Velocity out of the pipe, m/s.
    pub v: L,
    /// Pressure, Pa.
    pub p: L,
    /// Speed of sound, m/s.
    pub c: L,
    /// Cross-section, m2.
    pub area: L,
}

/// What passes between the ends.
#[derive(Clone, Copy, Debug)]
pub struct JoinSolution<L> {
    /// kg/s from the first pipe into the second.
    pub mass: L,
    /// Pressures at the two ends, Pa.
    pub p: [L; 2],
    /// Velocities out of the two pipes, m/s.
    pub v: [L; 2],
}

/// Rounds of the pressure change that depends on the flow it causes.
/// The error falls by about the Mach number each round.
const N_ROUNDS: usize = 6;

/// Flow through a sudden change of area, or a plain joint.
///
/// Acoustic waves on both sides, v = v_i - (p - p_i)/(rho c), with mass continuity and Bernoulli with loss,
/// p_2 - p_1 = rho/2 (v_1^2 - v_2^2) - loss; expansion: rho/2 (v_1 - v_2)^2 (Borda-Carnot), contraction: 0.5 (1 -
/// A_small/A_large) rho v^2/2 at the small side (I. E. Idelchik (1986), "Handbook of Hydraulic Resistance",
/// 2nd ed., diagrams 4-1 and 4-9). The density is that of the upstream gas. Small waves reflect as (A1 - A2)/(A1 +
/// A2). Holds for Mach numbers to about 0.4; velocities are kept under sonic.
#[inline(always)]
pub fn solve_join<L: Lane>(a: &JoinSide<L>, b: &JoinSide<L>) -> JoinSolution<L> {
    let (zero, half) = (L::splat(0.0), L::splat(0.5));
    // Volume flow per pressure of either side, and what flows at p = 0.
    let give_a = a.area / (a.rho * a.c);
    let give_b = b.area / (b.rho * b.c);
    let inverse = L::splat(1.0) / (give_a + give_b);
    let push = a.area * a.v + b.area * b.v + give_a * a.p + give_b * b.p;
    let least = a.p.min(b.p) * L::splat(0.05);
    let small = a.area.min(b.area);
    let contraction = (L::splat(1.0) - small / a.area.max(b.area)) * half;
    let mut lift = zero;
    let mut flow = zero;
    let mut p_a = zero;
    for _ in 0..N_ROUNDS {
        p_a = ((push - give_b * lift) * inverse).max(least);
        flow = a.area * a.v - give_a * (p_a - a.p);
        let top = small * L::sel(zero.lt(flow), a.c, b.c);
        flow = flow.min(top).max(-top);
        let rho = L::sel(zero.lt(flow), a.rho, b.rho);
        let (v_a, v_b) = (flow / a.area, flow / b.area);
        let bernoulli = half * rho * (v_a * v_a - v_b * v_b);
        let (up, down) = (L::sel(zero.lt(flow), v_a, v_b).abs(), L::sel(zero.lt(flow), v_b, v_a).abs());
        let slowed = half * rho * (up - down) * (up - down);
        let squeezed = half * rho * contraction * down * down;
        let loss = L::sel(down.lt(up), slowed, squeezed);
        lift = bernoulli - L::sel(zero.lt(flow), loss, -loss);
    }
    let rho = L::sel(zero.lt(flow), a.rho, b.rho);
    JoinSolution { mass: rho * flow, p: [p_a, (p_a + lift).max(least)], v: [flow / a.area, -(flow / b.area)] }
}

/// One end out of its chunk.
struct End<E, const S: usize> {
    face: Face<E, S>,
    gamma: E,
}

#[inline(always)]
fn end_of<X: Layout, const S: usize>(chunk: &EndChunk<X::Body, S>, at: usize) -> End<X::End, S> {
    let face = &chunk.face;
    End {
        face: Face {
            rho: X::read(&face.rho, at),
            u: X::read(&face.u, at),
            p: X::read(&face.p, at),
            rho_e: X::read(&face.rho_e, at),
            c: X::read(&face.c, at),
            y: each(|s| X::read(&face.y[s], at)),
        },
        gamma: X::read(&chunk.gamma, at),
    }
}

impl<E: Lane, const S: usize> End<E, S> {
    /// Enthalpy and kinetic energy of the gas at the end, J/kg.
    #[inline(always)]
    fn total_enthalpy(&self) -> E {
        let face = &self.face;
        let kinetic = face.u * face.u * E::splat(0.5);
        (face.rho_e + face.p) / face.rho + kinetic
    }

    #[inline(always)]
    fn join_side(&self, area: E) -> JoinSide<E> {
        let face = &self.face;
        JoinSide { rho: face.rho, v: face.u, p: face.p, c: face.c, area }
    }
}

impl<X: Layout, F: GasFamily<S>, W: WallModel, const S: usize> Network<X, F, W, S> {
    /// Solves all joins; returns the greater of `rush` and the cells per second their waves cross.
    #[inline(always)]
    pub(super) fn solve_joins(&mut self, rush: X::End) -> X::End {
        let mut rush = rush;
        for pipe in 0..self.pipes.len() {
            for (side, place) in SIDES.into_iter().enumerate() {
                let EndKind::Join(other, other_side) = self.end_kind(pipe, side) else { continue };
                let other_side = usize::from(other_side == Side::Right);
                if (other, other_side) < (pipe, side) {
                    continue;
                }
                let seats = [self.ends.seats[pipe][side], self.ends.seats[other][other_side]];
                let here = end_of::<X, S>(&self.ends.chunks[seats[0].chunk], seats[0].at);
                let there = end_of::<X, S>(&self.ends.chunks[seats[1].chunk], seats[1].at);
                let a = here.join_side(self.pipes[pipe].end_area(place));
                let b = there.join_side(self.pipes[other].end_area(SIDES[other_side]));
                let found = solve_join(&a, &b);
                let forth = X::End::splat(0.0).lt(found.mass);
                let rho = X::End::sel(forth, here.face.rho, there.face.rho);
                let total = X::End::sel(forth, here.total_enthalpy(), there.total_enthalpy());
                let y: [X::End; S] = each(|s| X::End::sel(forth, here.face.y[s], there.face.y[s]));
                for (which, (p, s, area, end)) in
                    [(pipe, side, a.area, &here), (other, other_side, b.area, &there)].into_iter().enumerate()
                {
                    let mass_out = if which == 0 { found.mass } else { -found.mass } / area;
                    let mass = outward(mass_out, s);
                    let wave = end_wave(&end.face, end.gamma, found.p[which], rho);
                    rush = rush.max(wave * self.pipes[p].inverse_dx());
                    let Seat { chunk, at } = seats[which];
                    let flux = &mut self.ends.chunks[chunk].flux;
                    flux.mass = X::put(flux.mass, at, mass);
                    let momentum = mass_out.fma(found.v[which], found.p[which]);
                    flux.momentum = X::put(flux.momentum, at, momentum);
                    flux.energy = X::put(flux.energy, at, mass * total);
                    for (to, &part) in flux.component.iter_mut().zip(&y) {
                        *to = X::put(*to, at, mass * part);
                    }
                }
            }
        }
        rush
    }
}
