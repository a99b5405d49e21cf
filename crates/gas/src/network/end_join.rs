//! Two pipe ends joined directly, with or without a sudden change of area.

use crate::lane::Lane;

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
