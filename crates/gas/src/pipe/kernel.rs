//! One time step of a pipe: MUSCL-Hancock with HLLC fluxes, in one pass over its chunks.
//!
//! Iteration k of the pass limits and predicts chunk k + 1, solves the faces of chunk k and updates chunk
//! k - 1, so that three independent chains are in flight; everything between lives in registers. Leaves out:
//! what happens at the ends, whose fluxes and outside differences are given.

use super::flux_hllc::{Face, flux_hllc};
use super::gas_model::PipeGas;
use super::slope::{end_difference, half_slope, half_slope_steep};
use super::state::{Conserved, Flux, Primitive, each};
use super::wall::{WallCell, WallModel, wall_rates};
use crate::lane::{Lane, Layout};

/// The unchanging measures of a chunk.
#[derive(Clone, Copy, Debug)]
pub struct CellShape<L> {
    /// Cross-section at the left face, m2.
    pub area_left_m2: L,
    /// Cross-section at the right face less that at the left, m2.
    pub area_gain_m2: L,
    /// `area_gain` over the sum of both areas.
    pub area_gain_relative: L,
    /// 1 / cell volume, 1/m3.
    pub inverse_volume_per_m3: L,
    /// Its wall.
    pub wall: WallCell<L>,
}

/// What the ends bring to a step.
#[derive(Clone, Copy, Debug)]
pub struct EndConditions<E, const S: usize> {
    /// Flux through the end face, positive to the right.
    pub flux: Flux<E, S>,
    /// Difference to stand outside the end cell, in the order rho, u, p, rho e, y; left to right.
    pub difference: Differences<E, S>,
}

/// Differences between neighbours, or half slopes.
#[derive(Clone, Copy, Debug)]
pub struct Differences<L, const S: usize> {
    pub(crate) rho: L,
    pub(crate) u: L,
    pub(crate) p: L,
    pub(crate) rho_e: L,
    pub(crate) y: [L; S],
}

impl<L: Lane, const S: usize> Default for Differences<L, S> {
    /// No difference: a flat end.
    fn default() -> Self {
        let zero = L::splat(0.0);
        Self { rho: zero, u: zero, p: zero, rho_e: zero, y: [zero; S] }
    }
}

impl<L: Lane, const S: usize> Differences<L, S> {
    /// `right` less `left`.
    #[inline(always)]
    pub(crate) fn between(left: &Primitive<L, S>, right: &Primitive<L, S>) -> Self {
        Self {
            rho: right.rho - left.rho,
            u: right.u - left.u,
            p: right.p - left.p,
            rho_e: right.rho_e - left.rho_e,
            y: each(|s| right.y[s] - left.y[s]),
        }
    }

    /// What to put outside an end, from this difference next to it and the one further in.
    #[inline(always)]
    pub(crate) fn beyond_end(&self, next: &Self) -> Self {
        Self {
            rho: end_difference(self.rho, next.rho),
            u: end_difference(self.u, next.u),
            p: end_difference(self.p, next.p),
            rho_e: end_difference(self.rho_e, next.rho_e),
            y: each(|s| end_difference(self.y[s], next.y[s])),
        }
    }
}

/// A cell half a step on: its two faces, and what its sources need.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Predicted<L, const S: usize> {
    pub(crate) left: Face<L, S>,
    pub(crate) right: Face<L, S>,
    pub(crate) u: L,
    pub(crate) p: L,
}

/// Faces keep their slope only while density and pressure stay above this part of the cell's.
const LEAST_FACE_PART: f64 = 0.05;

/// The faces of a cell at half a step, from its plain state and half slopes `h`.
///
/// With k = dt/dx and half slopes, one half step of the primitive equations reads
/// rho -= k (u h_rho + rho d), u -= k (u h_u + h_p / rho), p -= k (u h_p + rho c^2 d),
/// (rho e) -= k (u h_rho_e + (rho e + p) d), y -= k u h_y, with d = h_u + u (A_r - A_l)/(A_r + A_l);
/// friction joins u. Source: B. van Leer (1984), SIAM J. Sci. Stat. Comput. 5:1; E. F. Toro (2009), section
/// 14.4; carrying rho e as a quantity of its own is ours: no equation of state at the faces, and for a perfect
/// gas the same numbers. Where a face would lose more than 95 % of the cell's density or pressure the cell
/// is taken flat: that keeps states positive.
#[inline(always)]
pub(crate) fn predict<L: Lane, G: PipeGas<L, S>, W: WallModel, const S: usize>(
    cell: &Primitive<L, S>,
    h: &Differences<L, S>,
    area_gain_relative: L,
    pace: &Pace<L>,
    gas: &G,
) -> Predicted<L, S> {
    let divergence = cell.u.fma(area_gain_relative, h.u);
    let back = -pace.courant;
    let rho_c2 = cell.rho * (cell.c * cell.c);
    let rho = back.fma(cell.u.fma(h.rho, cell.rho * divergence), cell.rho);
    let p = back.fma(cell.u.fma(h.p, rho_c2 * divergence), cell.p);
    let mut u = back.fma(cell.u.fma(h.u, h.p * cell.inverse_rho), cell.u);
    if W::ACTIVE {
        u = (-(pace.half_dt * cell.friction)).fma(cell.u, u);
    }
    let steep = back * cell.u;

    let mut rho_e = cell.rho_e;
    if !G::CALORIC_IS_LINEAR {
        rho_e = back.fma(cell.u.fma(h.rho_e, (cell.rho_e + cell.p) * divergence), cell.rho_e);
    }
    let mut moved = Moved {
        rho: [rho - h.rho, rho + h.rho],
        u: [u - h.u, u + h.u],
        p: [p - h.p, p + h.p],
        rho_e: [rho_e - h.rho_e, rho_e + h.rho_e],
        centre: [u, p],
    };
    let part = -L::splat(LEAST_FACE_PART);
    let spare_rho = part.fma(cell.rho, moved.rho[0].min(moved.rho[1]));
    let spare_p = part.fma(cell.p, moved.p[0].min(moved.p[1]));
    let mut spare = spare_rho.min(spare_p);
    if !G::CALORIC_IS_LINEAR {
        spare = spare.min(part.fma(cell.rho_e, moved.rho_e[0].min(moved.rho_e[1])));
    }
    let too_steep = L::not_positive(spare);
    if L::any(too_steep) {
        moved = flattened(cell, moved, too_steep);
    }
    if G::CALORIC_IS_LINEAR {
        moved.rho_e = moved.p.map(|p| gas.energy_from_pressure(p));
    }
    // Gas that leaves a cell on both sides takes the cell's own mixture: with a slope, what stays behind could be left with
    // less than nothing of a component.
    let parts = L::not_positive(moved.u[0] * moved.u[1]);
    let flat = L::sel(parts, L::splat(0.0), L::splat(1.0));
    let h_y: [L; S] = each(|s| h.y[s] * flat);
    let y: [L; S] = each(|s| steep.fma(h_y[s], cell.y[s]));
    let face = |side: usize, y: [L; S]| Face {
        rho: moved.rho[side],
        u: moved.u[side],
        p: moved.p[side],
        rho_e: moved.rho_e[side],
        c: cell.c,
        y,
    };
    Predicted {
        left: face(0, each(|s| y[s] - h_y[s])),
        right: face(1, each(|s| y[s] + h_y[s])),
        u: moved.centre[0],
        p: moved.centre[1],
    }
}

/// Both faces (left, right) and the centre of a cell after half a step.
#[derive(Clone, Copy)]
struct Moved<L> {
    rho: [L; 2],
    u: [L; 2],
    p: [L; 2],
    rho_e: [L; 2],
    centre: [L; 2],
}

/// Where the mask is set, the cell as it was, without slope or motion.
#[cold]
#[inline(always)]
fn flattened<L: Lane, const S: usize>(cell: &Primitive<L, S>, moved: Moved<L>, flat: L::Mask) -> Moved<L> {
    let keep = |pair: [L; 2], at_rest: L| [L::sel(flat, at_rest, pair[0]), L::sel(flat, at_rest, pair[1])];
    Moved {
        rho: keep(moved.rho, cell.rho),
        u: keep(moved.u, cell.u),
        p: keep(moved.p, cell.p),
        rho_e: keep(moved.rho_e, cell.rho_e),
        centre: [L::sel(flat, cell.u, moved.centre[0]), L::sel(flat, cell.p, moved.centre[1])],
    }
}

/// Chunks whose plain quantities are worked out together: few enough to stay in the first-level cache.
const BLOCK: usize = 16;

/// Works out the plain quantities of cells from the conserved ones; returns their extremes.
///
/// Two short loops rather than one long body: the chain from density over temperature to friction is long, and a
/// processor looks only so many instructions ahead for the next cell's independent work.
#[inline(always)]
pub(crate) fn refresh<L: Lane, G: PipeGas<L, S>, W: WallModel, const S: usize>(
    plain: &mut [Primitive<L, S>],
    conserved: &[Conserved<L, S>],
    shape: &[CellShape<L>],
    gas: &G,
) -> Extremes<L> {
    let one = L::splat(1.0);
    let zero = L::splat(0.0);
    let mut extremes = Extremes { fastest: zero, least: L::splat(f64::INFINITY), unsound: zero };
    for (to, cell) in plain.iter_mut().zip(conserved) {
        let inverse_rho = one / cell.mass;
        let u = cell.momentum * inverse_rho;
        to.rho = cell.mass;
        to.inverse_rho = inverse_rho;
        to.u = u;
        to.rho_e = (u * L::splat(-0.5)).fma(cell.momentum, cell.energy);
        to.y = each(|s| cell.component[s] * inverse_rho);
        let thermal = gas.thermal(to.rho_e * to.inverse_rho, &to.y);
        to.p = to.rho * thermal.r_t;
        to.c = (thermal.gamma * thermal.r_t).sqrt();
        extremes.fastest = extremes.fastest.max(to.u.abs() + to.c);
        let lesser = to.rho.min(to.p);
        extremes.least = extremes.least.min(lesser);
        // What is not a number is lost in a minimum but sticks in a sum.
        extremes.unsound = lesser.fma(zero, extremes.unsound);
        if W::ACTIVE {
            (to.friction, to.heat) = (thermal.t_k, thermal.cp);
        }
    }
    if W::ACTIVE {
        for (to, shape) in plain.iter_mut().zip(shape) {
            (to.friction, to.heat) =
                wall_rates(&shape.wall, to.rho, to.inverse_rho, to.u, to.friction, to.heat);
        }
    }
    extremes
}

/// The greatest |u| + c of some cells, and the least of their densities and pressures.
#[derive(Clone, Copy)]
pub(crate) struct Extremes<L> {
    pub(crate) fastest: L,
    pub(crate) least: L,
    /// Zero, or not a number where any of them is not finite.
    pub(crate) unsound: L,
}

impl<L: Lane> Extremes<L> {
    #[inline(always)]
    fn join(self, other: Self) -> Self {
        Self {
            fastest: self.fastest.max(other.fastest),
            least: self.least.min(other.least),
            unsound: self.unsound + other.unsound,
        }
    }
}

/// Fluxes times area, so that one product serves both cells of a face.
#[inline(always)]
fn times<L: Lane, const S: usize>(flux: &Flux<L, S>, area: L) -> Flux<L, S> {
    flux.map(|f| f * area)
}

#[inline(always)]
fn shift_face<X: Layout, const S: usize>(
    previous: &Face<X::Body, S>,
    face: &Face<X::Body, S>,
) -> Face<X::Body, S> {
    Face {
        rho: X::left_of(previous.rho, face.rho),
        u: X::left_of(previous.u, face.u),
        p: X::left_of(previous.p, face.p),
        rho_e: X::left_of(previous.rho_e, face.rho_e),
        c: X::left_of(previous.c, face.c),
        y: each(|s| X::left_of(previous.y[s], face.y[s])),
    }
}

#[inline(always)]
fn shift_differences<X: Layout, G: PipeGas<X::Body, S>, const S: usize>(
    left: &Primitive<X::Body, S>,
    right: &Primitive<X::Body, S>,
) -> Differences<X::Body, S> {
    Differences {
        rho: right.rho - X::left_of(left.rho, right.rho),
        u: right.u - X::left_of(left.u, right.u),
        p: right.p - X::left_of(left.p, right.p),
        rho_e: if G::CALORIC_IS_LINEAR {
            right.rho
        } else {
            right.rho_e - X::left_of(left.rho_e, right.rho_e)
        },
        y: each(|s| right.y[s] - X::left_of(left.y[s], right.y[s])),
    }
}

/// Limited half slopes of cells from the differences at their left and right faces, quantity by quantity.
///
/// The density's slope is that of the pressure over c^2, which waves of sound carry, and the rest, which moves with the
/// gas and is limited to stay steep: a contact behind a strong shock would smear over the little room it has. 1/c^2
/// within 2 % will do for that split.
#[inline(always)]
pub(crate) fn half_slopes<L: Lane, G: PipeGas<L, S>, const S: usize>(
    cell: &Primitive<L, S>,
    left: &Differences<L, S>,
    right: &Differences<L, S>,
) -> Differences<L, S> {
    let p = half_slope(left.p, right.p);
    let c2 = cell.c * cell.c;
    let guess = c2.reciprocal_seed();
    let compliance = guess.fma((-c2).fma(guess, L::splat(1.0)), guess);
    let rest = |d: &Differences<L, S>| (-d.p).fma(compliance, d.rho);
    // A plain loop: a closure here is not sure to melt into the caller.
    let mut y = [L::splat(0.0); S];
    let mut s = 0;
    while s < S {
        y[s] = half_slope(left.y[s], right.y[s]);
        s += 1;
    }
    Differences {
        rho: p.fma(compliance, half_slope_steep(rest(left), rest(right))),
        u: half_slope(left.u, right.u),
        p,
        rho_e: if G::CALORIC_IS_LINEAR { left.rho_e } else { half_slope(left.rho_e, right.rho_e) },
        y,
    }
}

/// The differences at the right faces of a chunk.
#[inline(always)]
fn shift_to_right<X: Layout, G: PipeGas<X::Body, S>, const S: usize>(
    here: &Differences<X::Body, S>,
    next: &Differences<X::Body, S>,
) -> Differences<X::Body, S> {
    Differences {
        rho: X::right_of(here.rho, next.rho),
        u: X::right_of(here.u, next.u),
        p: X::right_of(here.p, next.p),
        rho_e: if G::CALORIC_IS_LINEAR { here.rho_e } else { X::right_of(here.rho_e, next.rho_e) },
        y: each(|s| X::right_of(here.y[s], next.y[s])),
    }
}

/// The cells of a pipe with the geometry they lie in, as slices of whole chunks.
pub(crate) struct PipeCells<'a, L, const S: usize> {
    pub(crate) conserved: &'a mut [Conserved<L, S>],
    pub(crate) plain: &'a mut [Primitive<L, S>],
    pub(crate) shape: &'a [CellShape<L>],
    /// Cells of the pipe, of which the last chunk may hold fewer than it has room for.
    pub(crate) n_cells: usize,
}

/// The numbers of a step that are the same in all its cells.
#[derive(Clone, Copy)]
pub(crate) struct Pace<L> {
    pub(crate) dt: L,
    pub(crate) half_dt: L,
    pub(crate) courant: L,
}

/// What a chunk hands to its update: fluxes through its left faces times area, and its half-step u and p.
#[derive(Clone, Copy)]
struct Waiting<L, const S: usize> {
    flux: Flux<L, S>,
    u: L,
    p: L,
}

/// The right end as whole chunks: from which cell of the last chunk on it rules, and with what.
struct RightEnd<L, const S: usize> {
    /// First cell of the last chunk that does not exist; zero when all do.
    tail: usize,
    flux: Flux<L, S>,
    difference: Differences<L, S>,
}

/// Advances a pipe by `dt` and returns the greatest |u| + c and the least density or pressure afterwards.
///
/// Cells past the end in the last chunk stay as they are.
#[inline(always)]
pub(crate) fn step_pipe<X: Layout, G: PipeGas<X::Body, S>, W: WallModel, const S: usize>(
    cells: PipeCells<'_, X::Body, S>,
    gas: &G,
    dt: X::End,
    inverse_dx: X::End,
    left_end: &EndConditions<X::End, S>,
    right_end: &EndConditions<X::End, S>,
) -> (X::End, X::End) {
    let n_chunks = cells.shape.len();
    let PipeCells { conserved, plain, shape, n_cells } = cells;
    let (conserved, plain) = (&mut conserved[..n_chunks], &mut plain[..n_chunks]);
    let dt_body = X::spread(dt);
    let pace =
        Pace { dt: dt_body, half_dt: dt_body * X::Body::splat(0.5), courant: X::spread(dt * inverse_dx) };
    let tail = n_cells % X::CELLS;
    let end_cell = (n_cells - 1) % X::CELLS;
    let end_shape = &shape[n_chunks - 1];
    let end_area = X::spread(X::take(end_shape.area_left_m2 + end_shape.area_gain_m2, end_cell));
    let right = RightEnd {
        tail,
        flux: times(&spread_flux::<X, S>(&right_end.flux), end_area),
        difference: spread_differences::<X, S>(&right_end.difference),
    };

    // Chunk 0, whose first face and difference are those of the left end.
    let given = spread_differences::<X, S>(&left_end.difference);
    let own = differences_at::<X, G, S>(plain, 0, &right);
    let mut here = fill_differences::<X, S>(&given, 1, &own);
    let mut next = differences_at::<X, G, S>(plain, 1, &right);
    let h = half_slopes::<X::Body, G, S>(&plain[0], &here, &shift_to_right::<X, G, S>(&here, &next));
    let mut ahead = predict::<X::Body, G, W, S>(&plain[0], &h, shape[0].area_gain_relative, &pace, gas);
    let left_flux = times(&spread_flux::<X, S>(&left_end.flux), shape[0].area_left_m2);
    let own = left_faces::<X, S>(&ahead.right, &ahead, &shape[0]);
    let own = close_right::<X, S>(&own, 0, n_chunks, &right);
    let mut waiting = Waiting { flux: fill_flux::<X, S>(&left_flux, 1, &own), u: ahead.u, p: ahead.p };
    let mut behind = ahead.right;
    here = next;
    if n_chunks > 1 {
        next = differences_at::<X, G, S>(plain, 2, &right);
        let h = half_slopes::<X::Body, G, S>(&plain[1], &here, &shift_to_right::<X, G, S>(&here, &next));
        ahead = predict::<X::Body, G, W, S>(&plain[1], &h, shape[1].area_gain_relative, &pace, gas);
        here = next;
    }

    // The chunks that know nothing of the ends: limit and predict k + 1, solve the faces of k, update k - 1.
    let inner_end = n_chunks.saturating_sub(3).max(1);
    let zero = X::Body::splat(0.0);
    let infinite = X::Body::splat(f64::INFINITY);
    let mut extremes = Extremes { fastest: zero, least: infinite, unsound: zero };
    let mut fresh = 0;
    for k in 1..inner_end {
        let flux = left_faces::<X, S>(&behind, &ahead, &shape[k]);
        update::<X, W, S>(&mut conserved[k - 1], &plain[k - 1], &shape[k - 1], &waiting, &flux, &pace);
        waiting = Waiting { flux, u: ahead.u, p: ahead.p };
        behind = ahead.right;
        next = shift_differences::<X, G, S>(&plain[k + 1], &plain[k + 2]);
        let h = half_slopes::<X::Body, G, S>(&plain[k + 1], &here, &shift_to_right::<X, G, S>(&here, &next));
        ahead = predict::<X::Body, G, W, S>(&plain[k + 1], &h, shape[k + 1].area_gain_relative, &pace, gas);
        here = next;
        if k == fresh + BLOCK {
            let block = fresh..k;
            extremes = extremes.join(refresh::<X::Body, G, W, S>(
                &mut plain[block.clone()],
                &conserved[block.clone()],
                &shape[block],
                gas,
            ));
            fresh = k;
        }
    }
    for k in inner_end..n_chunks {
        let flux = left_faces::<X, S>(&behind, &ahead, &shape[k]);
        let flux = close_right::<X, S>(&flux, k, n_chunks, &right);
        update::<X, W, S>(&mut conserved[k - 1], &plain[k - 1], &shape[k - 1], &waiting, &flux, &pace);
        waiting = Waiting { flux, u: ahead.u, p: ahead.p };
        behind = ahead.right;
        if k + 1 < n_chunks {
            next = differences_at::<X, G, S>(plain, k + 2, &right);
            let h =
                half_slopes::<X::Body, G, S>(&plain[k + 1], &here, &shift_to_right::<X, G, S>(&here, &next));
            ahead =
                predict::<X::Body, G, W, S>(&plain[k + 1], &h, shape[k + 1].area_gain_relative, &pace, gas);
            here = next;
        }
    }
    let last = n_chunks - 1;
    update::<X, W, S>(&mut conserved[last], &plain[last], &shape[last], &waiting, &right.flux, &pace);

    extremes = extremes.join(refresh::<X::Body, G, W, S>(
        &mut plain[fresh..last],
        &conserved[fresh..last],
        &shape[fresh..last],
        gas,
    ));
    let mut at_end = refresh::<X::Body, G, W, S>(&mut plain[last..], &conserved[last..], &shape[last..], gas);
    if tail != 0 {
        at_end.fastest = X::fill_from(at_end.fastest, tail, zero);
        at_end.least = X::fill_from(at_end.least, tail, infinite);
        at_end.unsound = X::fill_from(at_end.unsound, tail, zero);
    }
    let Extremes { fastest, least, unsound } = extremes.join(at_end);
    (X::reduce_max(fastest), -X::reduce_max(-least) + X::reduce_sum(unsound))
}

#[inline(always)]
fn spread_flux<X: Layout, const S: usize>(flux: &Flux<X::End, S>) -> Flux<X::Body, S> {
    Flux {
        mass: X::spread(flux.mass),
        momentum: X::spread(flux.momentum),
        energy: X::spread(flux.energy),
        component: each(|s| X::spread(flux.component[s])),
    }
}

#[inline(always)]
fn spread_differences<X: Layout, const S: usize>(given: &Differences<X::End, S>) -> Differences<X::Body, S> {
    Differences {
        rho: X::spread(given.rho),
        u: X::spread(given.u),
        p: X::spread(given.p),
        rho_e: X::spread(given.rho_e),
        y: each(|s| X::spread(given.y[s])),
    }
}

/// `a` with its cells from `first` on replaced by those of `b`.
#[inline(always)]
fn fill_differences<X: Layout, const S: usize>(
    a: &Differences<X::Body, S>,
    first: usize,
    b: &Differences<X::Body, S>,
) -> Differences<X::Body, S> {
    Differences {
        rho: X::fill_from(a.rho, first, b.rho),
        u: X::fill_from(a.u, first, b.u),
        p: X::fill_from(a.p, first, b.p),
        rho_e: X::fill_from(a.rho_e, first, b.rho_e),
        y: each(|s| X::fill_from(a.y[s], first, b.y[s])),
    }
}

#[inline(always)]
fn fill_flux<X: Layout, const S: usize>(
    a: &Flux<X::Body, S>,
    first: usize,
    b: &Flux<X::Body, S>,
) -> Flux<X::Body, S> {
    Flux {
        mass: X::fill_from(a.mass, first, b.mass),
        momentum: X::fill_from(a.momentum, first, b.momentum),
        energy: X::fill_from(a.energy, first, b.energy),
        component: each(|s| X::fill_from(a.component[s], first, b.component[s])),
    }
}

/// Differences at the left faces of chunk `k`, which may be the one past the last.
#[inline(always)]
fn differences_at<X: Layout, G: PipeGas<X::Body, S>, const S: usize>(
    plain: &[Primitive<X::Body, S>],
    k: usize,
    right: &RightEnd<X::Body, S>,
) -> Differences<X::Body, S> {
    if k >= plain.len() {
        return right.difference;
    }
    let own = shift_differences::<X, G, S>(&plain[k.saturating_sub(1)], &plain[k]);
    if k + 1 == plain.len() && right.tail != 0 {
        return fill_differences::<X, S>(&own, right.tail, &right.difference);
    }
    own
}

/// Fluxes times area through the left faces of a chunk.
#[inline(always)]
fn left_faces<X: Layout, const S: usize>(
    behind: &Face<X::Body, S>,
    ahead: &Predicted<X::Body, S>,
    shape: &CellShape<X::Body>,
) -> Flux<X::Body, S> {
    times(&flux_hllc(&shift_face::<X, S>(behind, &ahead.right), &ahead.left), shape.area_left_m2)
}

/// In the last chunk the given flux stands at the right end and past it.
#[inline(always)]
fn close_right<X: Layout, const S: usize>(
    own: &Flux<X::Body, S>,
    k: usize,
    n_chunks: usize,
    right: &RightEnd<X::Body, S>,
) -> Flux<X::Body, S> {
    if k + 1 == n_chunks && right.tail != 0 { fill_flux::<X, S>(own, right.tail, &right.flux) } else { *own }
}

/// Adds up what crossed the faces of a chunk and what its wall did.
#[inline(always)]
fn update<X: Layout, W: WallModel, const S: usize>(
    cell: &mut Conserved<X::Body, S>,
    plain: &Primitive<X::Body, S>,
    shape: &CellShape<X::Body>,
    waiting: &Waiting<X::Body, S>,
    next: &Flux<X::Body, S>,
    pace: &Pace<X::Body>,
) {
    let flux = &waiting.flux;
    let rate = pace.dt * shape.inverse_volume_per_m3;
    let push = waiting.p.fma(shape.area_gain_m2, flux.momentum - X::right_of(flux.momentum, next.momentum));
    if W::ACTIVE {
        let drag = (cell.mass * plain.friction) * (waiting.u * pace.dt);
        cell.momentum -= drag;
        cell.energy = pace.dt.fma(plain.heat, cell.energy);
    }
    cell.momentum = rate.fma(push, cell.momentum);
    cell.mass = rate.fma(flux.mass - X::right_of(flux.mass, next.mass), cell.mass);
    cell.energy = rate.fma(flux.energy - X::right_of(flux.energy, next.energy), cell.energy);
    cell.component = each(|s| {
        let gain = flux.component[s] - X::right_of(flux.component[s], next.component[s]);
        rate.fma(gain, cell.component[s])
    });
}
