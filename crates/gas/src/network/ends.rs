//! What all pipe ends of a step see and pass on, several ends at a time.
//!
//! An engine run along its pipes has as many ends as a pipe has cells, so the ends are gathered into chunks of lanes
//! as cells are, open orifices first: a chunk of ends that are all shut, closed or joined solves no orifice. Velocities
//! are counted out of the pipe here. Leaves out the joins, which take pairs of ends from the chunks.

use super::end_orifice::{OrificeProblem, OrificeSolution, shut_end, solve_orifice};
use super::{EndKind, Network, Opening, SIDES, Stagnant};
use crate::lane::{Lane, Layout, MOST_CELLS};
use crate::pipe::{Differences, EndConditions, Face, Flux, GasFamily, Primitive, WallModel, each, look_out};

/// A chunk of ends at half a step, and what came of it.
#[derive(Clone, Copy)]
pub(super) struct EndChunk<L, const S: usize> {
    /// With u out of the pipe.
    pub(super) face: Face<L, S>,
    pub(super) gamma: L,
    /// Positive to the right.
    pub(super) flux: Flux<L, S>,
    pub(super) difference: Differences<L, S>,
}

impl<L: Lane, const S: usize> EndChunk<L, S> {
    pub(super) fn blank() -> Self {
        let (zero, one) = (L::splat(0.0), L::splat(1.0));
        let face = Face { rho: one, u: zero, p: one, rho_e: one, c: one, y: [zero; S] };
        Self { face, gamma: one, flux: Flux::zero(), difference: Differences::default() }
    }
}

/// Where an end lies: which chunk, which of its lanes.
#[derive(Clone, Copy)]
pub(super) struct Seat {
    pub(super) chunk: usize,
    pub(super) at: usize,
}

/// Ends in the order of their chunks, and the chunks.
pub(super) struct Ends<X: Layout, const S: usize> {
    pub(super) chunks: Vec<EndChunk<X::Body, S>>,
    /// Of both ends of every pipe.
    pub(super) seats: Vec<[Seat; 2]>,
    /// Ends as 2 pipe + side, open orifices first.
    order: Vec<usize>,
    n_open: usize,
    /// What stands outside of ends that open to nothing.
    nothing: Stagnant<X::End, S>,
    shut: Opening<X::End>,
}

impl<X: Layout, const S: usize> Ends<X, S> {
    pub(super) fn new(n_pipes: usize, nothing: &Stagnant<X::End, S>) -> Self {
        let zero = X::End::splat(0.0);
        let n = 2 * n_pipes;
        Self {
            chunks: vec![EndChunk::blank(); n.div_ceil(X::CELLS)],
            seats: vec![[Seat { chunk: 0, at: 0 }; 2]; n_pipes],
            order: vec![0; n],
            n_open: 0,
            nothing: *nothing,
            shut: Opening { out: zero, into: zero },
        }
    }
}

/// One value of every member of a chunk. A macro, since a closure is not sure to melt into its caller.
macro_rules! gather {
    ($at:ident => $value:expr) => {{
        let mut values = [X::End::splat(0.0); MOST_CELLS];
        let mut $at = 0;
        while $at < X::CELLS {
            values[$at] = $value;
            $at += 1;
        }
        X::join(&values)
    }};
}

/// A cell of every member of a chunk, velocities out of the pipe.
macro_rules! gather_cell {
    ($cells:ident, $sign:ident) => {{
        let mut y = [X::Body::splat(0.0); S];
        let mut s = 0;
        while s < S {
            y[s] = gather!(at => X::read(&$cells[at].0.y[s], $cells[at].1));
            s += 1;
        }
        Primitive {
            rho: gather!(at => X::read(&$cells[at].0.rho, $cells[at].1)),
            inverse_rho: gather!(at => X::read(&$cells[at].0.inverse_rho, $cells[at].1)),
            u: gather!(at => X::read(&$cells[at].0.u, $cells[at].1)) * $sign,
            p: gather!(at => X::read(&$cells[at].0.p, $cells[at].1)),
            rho_e: gather!(at => X::read(&$cells[at].0.rho_e, $cells[at].1)),
            c: gather!(at => X::read(&$cells[at].0.c, $cells[at].1)),
            y,
            friction: gather!(at => X::read(&$cells[at].0.friction, $cells[at].1)),
            heat: X::Body::splat(0.0),
        }
    }};
}

impl<X: Layout, F: GasFamily<S>, W: WallModel, const S: usize> Network<X, F, W, S> {
    #[inline(always)]
    pub(super) fn end_kind(&self, pipe: usize, side: usize) -> EndKind {
        let plan = &self.plan.pipes[pipe];
        if side == 0 { plan.left } else { plan.right }
    }

    /// Gas outside an end and how wide it is open; closed and joined ends are shut to nothing.
    #[inline(always)]
    fn beyond(&self, end: usize) -> (&Stagnant<X::End, S>, &Opening<X::End>) {
        let (pipe, side) = (end / 2, end % 2);
        let outside = match self.end_kind(pipe, side) {
            EndKind::Source(i) => &self.sources[i],
            EndKind::Volume(i) => &self.ahead[i],
            EndKind::Port(i) => &self.ports[i].outside,
            EndKind::Closed | EndKind::Join(..) => return (&self.ends.nothing, &self.ends.shut),
        };
        (outside, &self.openings[pipe][side])
    }

    /// Open orifices first. The order changes no bits: every end has its own lane.
    #[inline(always)]
    fn seat_ends(&mut self) {
        let n = self.ends.order.len();
        let (mut front, mut back) = (0, n);
        for end in 0..n {
            let opening = self.beyond(end).1;
            let seat = if X::End::any(X::End::splat(0.0).lt(opening.out.max(opening.into))) {
                front += 1;
                front - 1
            } else {
                back -= 1;
                back
            };
            self.ends.order[seat] = end;
            self.ends.seats[end / 2][end % 2] = Seat { chunk: seat / X::CELLS, at: seat % X::CELLS };
        }
        self.ends.n_open = front;
    }

    /// Looks half a step ahead at all ends and solves the orifices; returns the greatest number of cells per
    /// second that a wave of an end crosses.
    #[inline(always)]
    pub(super) fn solve_ends(&mut self, dt: X::End) -> X::End {
        self.seat_ends();
        let dt = X::spread(dt);
        let mut rush = X::Body::splat(0.0);
        let n_chunks = self.ends.chunks.len();
        let mut k = 0;
        // Two at a time: one alone is a chain that leaves the processor waiting.
        while k + 1 < n_chunks && (k + 1) * X::CELLS < self.ends.n_open {
            let views = [self.look_at_chunk(k, dt), self.look_at_chunk(k + 1, dt)];
            let found = solve_orifice(&views[0].problem.beside(&views[1].problem)).apart();
            for (view, found) in views.iter().zip(&found) {
                rush = rush.max(self.conclude(k, view, found));
                k += 1;
            }
        }
        while k < n_chunks {
            let view = self.look_at_chunk(k, dt);
            let open = k * X::CELLS < self.ends.n_open;
            let found = if open { solve_orifice(&view.problem) } else { shut_end(&view.problem) };
            rush = rush.max(self.conclude(k, &view, &found));
            k += 1;
        }
        X::reduce_max(rush)
    }

    #[inline(always)]
    fn conclude(
        &mut self,
        k: usize,
        view: &EndView<X::Body, S>,
        found: &OrificeSolution<X::Body>,
    ) -> X::Body {
        let (chunk, wave) = view.conclude(found);
        self.ends.chunks[k] = chunk;
        wave
    }

    #[inline(always)]
    fn look_at_chunk(&self, k: usize, dt: X::Body) -> EndView<X::Body, S> {
        let order = &self.ends.order;
        let first = k * X::CELLS;
        // Lanes past the last end repeat it.
        let mut members = [order[first]; MOST_CELLS];
        let mut at = 1;
        while at < X::CELLS {
            members[at] = order[(first + at).min(order.len() - 1)];
            at += 1;
        }
        let pipes = self.pipes.as_slice();
        let sign = gather!(at => X::End::splat(if members[at].is_multiple_of(2) { -1.0 } else { 1.0 }));
        let look = {
            let mut cells = [[pipes[0].cell(0); MOST_CELLS]; 3];
            let mut at = 0;
            while at < X::CELLS {
                let pipe = &pipes[members[at] / 2];
                let n = pipe.n_cells();
                let mut depth = 0;
                while depth < 3 {
                    let cell = if members[at].is_multiple_of(2) { depth } else { n - 1 - depth };
                    cells[depth][at] = pipe.cell(cell);
                    depth += 1;
                }
                at += 1;
            }
            let [nearest, second, third] = &cells;
            let inverse_dx = gather!(at => pipes[members[at] / 2].inverse_dx());
            let gain = gather!(at => pipes[members[at] / 2].end_area_gain(SIDES[members[at] % 2])) * sign;
            let nearest = gather_cell!(nearest, sign);
            let second = gather_cell!(second, sign);
            let third = gather_cell!(third, sign);
            look_out::<X::Body, _, W, S>([&nearest, &second, &third], gain, dt, inverse_dx, &self.gas.body)
        };
        let face = look.face;
        let mut beyond = [self.beyond(members[0]); MOST_CELLS];
        let mut at = 1;
        while at < X::CELLS {
            beyond[at] = self.beyond(members[at]);
            at += 1;
        }
        let problem = OrificeProblem {
            rho: face.rho,
            v: face.u,
            p: face.p,
            gamma: look.gamma,
            p_outside: gather!(at => beyond[at].0.p),
            rho_outside: gather!(at => beyond[at].0.rho),
            gamma_outside: gather!(at => beyond[at].0.gamma),
            opening_out: gather!(at => beyond[at].1.out),
            opening_in: gather!(at => beyond[at].1.into),
        };
        let outside_h = gather!(at => beyond[at].0.h);
        let mut outside_y = [X::Body::splat(0.0); S];
        let mut s = 0;
        while s < S {
            outside_y[s] = gather!(at => beyond[at].0.y[s]);
            s += 1;
        }
        // Joined ends tell theirs when they are solved.
        let pace = gather!(at => {
            let (pipe, side) = (members[at] / 2, members[at] % 2);
            let joined = matches!(self.end_kind(pipe, side), EndKind::Join(..));
            if joined { X::End::splat(0.0) } else { pipes[pipe].inverse_dx() }
        });
        EndView { problem, face, difference: look.difference, outside_h, outside_y, sign, pace }
    }

    /// What an end brings to its pipe.
    #[inline(always)]
    pub(super) fn conditions(&self, pipe: usize, side: usize) -> EndConditions<X::End, S> {
        let Seat { chunk, at } = self.ends.seats[pipe][side];
        let EndChunk { flux, difference, .. } = &self.ends.chunks[chunk];
        EndConditions {
            flux: Flux {
                mass: X::read(&flux.mass, at),
                momentum: X::read(&flux.momentum, at),
                energy: X::read(&flux.energy, at),
                component: each(|s| X::read(&flux.component[s], at)),
            },
            difference: Differences {
                rho: X::read(&difference.rho, at),
                u: X::read(&difference.u, at),
                p: X::read(&difference.p, at),
                rho_e: X::read(&difference.rho_e, at),
                y: each(|s| X::read(&difference.y[s], at)),
            },
        }
    }
}

/// A chunk of ends before its orifices are solved.
struct EndView<L, const S: usize> {
    problem: OrificeProblem<L>,
    face: Face<L, S>,
    /// Outwards.
    difference: Differences<L, S>,
    outside_h: L,
    outside_y: [L; S],
    /// Plus for a right end, minus for a left one.
    sign: L,
    /// 1 / cell length where the end's wave counts here, 1/m.
    pace: L,
}

impl<L: Lane, const S: usize> EndView<L, S> {
    /// What the solved end passes, and the cells per second its wave crosses.
    #[inline(always)]
    fn conclude(&self, found: &OrificeSolution<L>) -> (EndChunk<L, S>, L) {
        let Self { face, sign, difference, .. } = self;
        let (sign, gamma) = (*sign, self.problem.gamma);
        let flux = end_flux(face, gamma, found, self.outside_h, &self.outside_y);
        let chunk = EndChunk {
            face: *face,
            gamma,
            flux: turned(&flux, sign),
            difference: Differences {
                rho: difference.rho * sign,
                u: difference.u,
                p: difference.p * sign,
                rho_e: difference.rho_e * sign,
                y: each(|s| difference.y[s] * sign),
            },
        };
        (chunk, end_wave(face, gamma, found.p, found.rho) * self.pace)
    }
}

/// A flux out of the pipe as one to the right, or back.
#[inline(always)]
fn turned<L: Lane, const S: usize>(flux: &Flux<L, S>, sign: L) -> Flux<L, S> {
    Flux {
        mass: flux.mass * sign,
        momentum: flux.momentum,
        energy: flux.energy * sign,
        component: each(|s| flux.component[s] * sign),
    }
}

/// Gas that leaves an end into its pipe at more than this Mach number is torn off it: what stays behind has little but
/// kinetic energy, and a full step may take more than there is.
const TORN_MACH: f64 = 1.5;

/// How many times shorter steps are then. Ours: a trade of steps for states that end, by trial on random networks.
const TORN_PACE: f64 = 20.0;

/// The fastest wave an end sends in: the shock to its pressure, or sound in the gas it lets in.
///
/// Shock speed c sqrt(1 + (gamma+1)/(2 gamma) (p_b/p - 1)) relative to the gas: Toro (2009), eq. 3.63.
#[inline(always)]
pub(super) fn end_wave<L: Lane, const S: usize>(face: &Face<L, S>, gamma: L, p_end: L, rho_end: L) -> L {
    let (zero, one) = (L::splat(0.0), L::splat(1.0));
    // c^2 (1 + (gamma+1)/(2 gamma) rise) = (gamma p + (gamma+1)/2 (p_b - p)) / rho.
    let rise = (p_end - face.p).max(zero) * ((gamma + one) * L::splat(0.5));
    // One division for both densities.
    let shared = one / (face.rho * rho_end);
    let shock = gamma.fma(face.p, rise) * (shared * rho_end);
    let wave = face.u.abs() + shock.max(gamma * p_end * (shared * face.rho)).sqrt();
    let torn = (face.c * L::splat(TORN_MACH)).lt(-face.u);
    L::sel(torn, wave * L::splat(TORN_PACE), wave)
}

/// The flux an orifice passes, out of the pipe.
///
/// Out of the pipe the total enthalpy is that of the pipe gas behind its wave; into the pipe that of the gas
/// outside, with its composition.
#[inline(always)]
fn end_flux<L: Lane, const S: usize>(
    face: &Face<L, S>,
    gamma: L,
    found: &OrificeSolution<L>,
    outside_h: L,
    outside_y: &[L; S],
) -> Flux<L, S> {
    let one = L::splat(1.0);
    let leaves = L::splat(0.0).lt(found.mass);
    let down = gamma - one;
    // One division for 1/rho, 1/rho_b and 1/(gamma - 1).
    let rhos = face.rho * found.rho;
    let shared = one / (rhos * down);
    let share = gamma * (shared * rhos);
    let inverse_rho = shared * (found.rho * down);
    let inverse_rho_found = shared * (face.rho * down);
    let rise = found.p * inverse_rho_found - face.p * inverse_rho;
    let kinetic = L::splat(0.5) * found.v * found.v;
    let behind_wave = (face.rho_e + face.p).fma(inverse_rho, share.fma(rise, kinetic));
    let total = L::sel(leaves, behind_wave, outside_h);
    Flux {
        mass: found.mass,
        momentum: found.mass.fma(found.v, found.p),
        energy: found.mass * total,
        component: each(|s| found.mass * L::sel(leaves, face.y[s], outside_y[s])),
    }
}
