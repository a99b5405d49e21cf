//! Unsteady flow in one pipe: geometry, state, and one time step.
//!
//! One-dimensional Euler equations with area change, wall friction, heat from the wall and transported
//! components; second order in space and time. Heat is taken at the start of the step, so it is first order in
//! time (its time scale is a thousand steps). Leaves out: what a pipe is joined to .

mod flux_hllc;
mod gas_mixture;
mod gas_model;
mod kernel;
mod regrid;
mod shape;
mod slope;
mod state;
mod wall;

pub use flux_hllc::{Face, flux_hllc};
pub use gas_mixture::{BURNED, FUEL, Mixture, MixtureFamily, N_TRANSPORTED, sensible_offset_j_per_kg};
pub use gas_model::{GasFamily, PerfectFamily, PerfectGas, PipeGas, Thermal};
pub use kernel::{CellShape, Differences, EndConditions};
pub use shape::{PipeShape, ShapeError};
pub use slope::{end_difference, half_slope, half_slope_steep};
pub use state::{Conserved, Flux, Primitive, each};
pub use wall::{RoughHeated, SmoothAdiabatic, WallCell, WallModel, wall_rates};

use crate::lane::{Lane, Layout};
use kernel::{Pace, PipeCells, Predicted, half_slopes, predict, refresh, step_pipe};
pub(crate) use regrid::regrid;

/// The gas in one cell as plain numbers: how states come in and go out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellState<const S: usize> {
    /// Density, kg/m3.
    pub rho_kg_per_m3: f64,
    /// Velocity, m/s, positive from left to right.
    pub u_m_per_s: f64,
    /// Pressure, Pa.
    pub p_pa: f64,
    /// Mass fractions of the transported components.
    pub y: [f64; S],
}

/// A pipe of one engine, or the same pipe of several variants.
#[derive(Clone, Debug)]
pub struct Pipe<X: Layout, const S: usize> {
    conserved: Vec<Conserved<X::Body, S>>,
    plain: Vec<Primitive<X::Body, S>>,
    shape: Vec<CellShape<X::Body>>,
    n_cells: usize,
    dx: X::End,
    inverse_dx: X::End,
}

/// Which end of a pipe.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Where the coordinate starts.
    Left,
    /// Where it ends.
    Right,
}

impl<X: Layout, const S: usize> Pipe<X, S> {
    /// A pipe with one shape a variant, all with the same number of cells; filled by [`Pipe::fill`] later.
    ///
    /// Needs as many shapes as `X::End` has lanes.
    pub fn new(shapes: &[PipeShape]) -> Result<Self, ShapeError> {
        let lanes = X::End::N;
        if shapes.len() != lanes {
            return Err(ShapeError::VariantCount { given: shapes.len(), needed: lanes });
        }
        let n_cells = shapes[0].n_cells();
        let n_chunks = n_cells.div_ceil(X::CELLS);
        let zero = X::Body::splat(0.0);
        let blank = Primitive {
            rho: zero,
            inverse_rho: zero,
            u: zero,
            p: zero,
            rho_e: zero,
            c: zero,
            y: [zero; S],
            friction: zero,
            heat: zero,
        };
        let wall = WallCell {
            relative_roughness: zero,
            inverse_diameter: zero,
            friction_factor: zero,
            heat_factor: zero,
            t_wall_k: zero,
        };
        let cell = CellShape {
            area_left_m2: zero,
            area_gain_m2: zero,
            area_gain_relative: zero,
            inverse_volume_per_m3: zero,
            wall,
        };
        let mut pipe = Self {
            conserved: vec![Conserved::zero(); n_chunks],
            plain: vec![blank; n_chunks],
            shape: vec![cell; n_chunks],
            n_cells,
            dx: X::End::splat(0.0),
            inverse_dx: X::End::splat(0.0),
        };
        for (lane, shape) in shapes.iter().enumerate() {
            pipe.set_shape(lane, shape)?;
        }
        Ok(pipe)
    }

    /// Gives one variant another shape; the number of cells must stay.
    pub fn set_shape(&mut self, lane: usize, shape: &PipeShape) -> Result<(), ShapeError> {
        if shape.n_cells() != self.n_cells {
            return Err(ShapeError::CellCount { given: shape.n_cells(), needed: self.n_cells });
        }
        self.dx = self.dx.with(lane, shape.dx_m());
        self.inverse_dx = self.inverse_dx.with(lane, 1.0 / shape.dx_m());
        for padded in 0..self.shape.len() * X::CELLS {
            let cell = shape.cell(padded);
            let target = &mut self.shape[padded / X::CELLS];
            let at = padded % X::CELLS;
            set::<X>(&mut target.area_left_m2, at, lane, cell.area_left_m2);
            set::<X>(&mut target.area_gain_m2, at, lane, cell.area_gain_m2);
            set::<X>(&mut target.area_gain_relative, at, lane, cell.area_gain_relative);
            set::<X>(&mut target.inverse_volume_per_m3, at, lane, cell.inverse_volume_per_m3);
            let (wall, from) = (&mut target.wall, &cell.wall);
            set::<X>(&mut wall.relative_roughness, at, lane, from.relative_roughness);
            set::<X>(&mut wall.inverse_diameter, at, lane, from.inverse_diameter);
            set::<X>(&mut wall.friction_factor, at, lane, from.friction_factor);
            set::<X>(&mut wall.heat_factor, at, lane, from.heat_factor);
            set::<X>(&mut wall.t_wall_k, at, lane, from.t_wall_k);
        }
        Ok(())
    }

    /// Cells along the pipe.
    pub fn n_cells(&self) -> usize {
        self.n_cells
    }

    /// Cell length, m.
    pub fn dx(&self) -> X::End {
        self.dx
    }

    /// Fills one variant, cell by cell; `state` is asked for cells 0 to `n_cells() - 1`.
    pub fn fill<G, W>(&mut self, lane: usize, gas: &G, mut state: impl FnMut(usize) -> CellState<S>)
    where
        G: PipeGas<X::Body, S>,
        W: WallModel,
    {
        let mut last = state(0);
        for padded in 0..self.shape.len() * X::CELLS {
            if 0 < padded && padded < self.n_cells {
                last = state(padded);
            }
            let (chunk, at) = (padded / X::CELLS, padded % X::CELLS);
            let target = &mut self.conserved[chunk];
            set::<X>(&mut target.mass, at, lane, last.rho_kg_per_m3);
            let momentum = last.rho_kg_per_m3 * last.u_m_per_s;
            set::<X>(&mut target.momentum, at, lane, momentum);
            for s in 0..S {
                set::<X>(&mut target.component[s], at, lane, last.rho_kg_per_m3 * last.y[s]);
            }
            let y = last.y.map(X::Body::splat);
            let r_t = X::Body::splat(last.p_pa / last.rho_kg_per_m3);
            let mut e = gas.energy_at_r_t(r_t, &y);
            // So that the pressure comes out as given, to round-off and not only to the model's accuracy.
            for _ in 0..3 {
                let thermal = gas.thermal(e, &y);
                e += (r_t - thermal.r_t) / (thermal.gamma - X::Body::splat(1.0));
            }
            let e = X::take(e, at).get(lane);
            let energy = last.rho_kg_per_m3 * e + 0.5 * momentum * last.u_m_per_s;
            set::<X>(&mut self.conserved[chunk].energy, at, lane, energy);
        }
        self.refresh::<G, W>(gas);
    }

    /// Works the plain quantities out anew from the conserved ones.
    #[inline(always)]
    pub fn refresh<G: PipeGas<X::Body, S>, W: WallModel>(&mut self, gas: &G) {
        refresh::<X::Body, G, W, S>(&mut self.plain, &self.conserved, &self.shape, gas);
    }

    /// Writes the conserved quantities of one variant: three plus `S` numbers a cell: mass, momentum, energy,
    /// components.
    pub fn pack(&self, lane: usize, into: &mut Vec<f64>) {
        for cell in 0..self.n_cells {
            let (chunk, at) = (&self.conserved[cell / X::CELLS], cell % X::CELLS);
            for value in [chunk.mass, chunk.momentum, chunk.energy].into_iter().chain(chunk.component) {
                into.push(X::take(value, at).get(lane));
            }
        }
    }

    /// Reads what [`Pipe::pack`] wrote and returns the rest; the caller refreshes afterwards.
    pub fn unpack<'a>(&mut self, lane: usize, mut from: &'a [f64]) -> &'a [f64] {
        for cell in 0..self.n_cells {
            let (chunk, at) = (&mut self.conserved[cell / X::CELLS], cell % X::CELLS);
            for (value, to) in from.iter().zip(
                [&mut chunk.mass, &mut chunk.momentum, &mut chunk.energy]
                    .into_iter()
                    .chain(&mut chunk.component),
            ) {
                set::<X>(to, at, lane, *value);
            }
            from = &from[3 + S..];
        }
        from
    }

    /// One cell of one variant.
    pub fn cell_state(&self, lane: usize, cell: usize) -> CellState<S> {
        let plain = &self.plain[cell / X::CELLS];
        let read = |chunk: X::Body| X::take(chunk, cell % X::CELLS).get(lane);
        CellState {
            rho_kg_per_m3: read(plain.rho),
            u_m_per_s: read(plain.u),
            p_pa: read(plain.p),
            y: plain.y.map(read),
        }
    }

    /// Mass, momentum, energy and component masses of one variant: kg, kg m/s, J, kg.
    pub fn totals(&self, lane: usize) -> (f64, f64, f64, [f64; S]) {
        let mut sums = (0.0, 0.0, 0.0, [0.0; S]);
        for cell in 0..self.n_cells {
            let (chunk, at) = (cell / X::CELLS, cell % X::CELLS);
            let read = |value: X::Body| X::take(value, at).get(lane);
            let volume = 1.0 / read(self.shape[chunk].inverse_volume_per_m3);
            let cell = &self.conserved[chunk];
            sums.0 += volume * read(cell.mass);
            sums.1 += volume * read(cell.momentum);
            sums.2 += volume * read(cell.energy);
            for s in 0..S {
                sums.3[s] += volume * read(cell.component[s]);
            }
        }
        sums
    }

    /// The greatest |u| + c of the pipe.
    #[inline(always)]
    pub fn fastest(&self) -> X::End {
        let mut fastest = X::End::splat(0.0);
        for cell in 0..self.n_cells {
            let plain = &self.plain[cell / X::CELLS];
            fastest = fastest.max(X::take(plain.u.abs() + plain.c, cell % X::CELLS));
        }
        fastest
    }

    /// Cross-section at an end, m2.
    #[inline(always)]
    pub fn end_area(&self, side: Side) -> X::End {
        match side {
            Side::Left => X::take(self.shape[0].area_left_m2, 0),
            Side::Right => {
                let cell = self.n_cells - 1;
                let shape = &self.shape[cell / X::CELLS];
                X::take(shape.area_left_m2 + shape.area_gain_m2, cell % X::CELLS)
            }
        }
    }

    /// The chunk a cell lies in, and where in it, for the ends.
    #[inline(always)]
    pub(crate) fn cell(&self, cell: usize) -> (&Primitive<X::Body, S>, usize) {
        (&self.plain[cell / X::CELLS], cell % X::CELLS)
    }

    /// 1 / cell length, 1/m.
    #[inline(always)]
    pub(crate) fn inverse_dx(&self) -> X::End {
        self.inverse_dx
    }

    /// Relative gain in area over an end cell, from left to right.
    #[inline(always)]
    pub(crate) fn end_area_gain(&self, side: Side) -> X::End {
        let cell = if side == Side::Left { 0 } else { self.n_cells - 1 };
        X::read(&self.shape[cell / X::CELLS].area_gain_relative, cell % X::CELLS)
    }

    /// Advances the pipe by `dt` with given fluxes at its ends; returns the greatest |u| + c afterwards and the
    /// least density or pressure, whichever number is less: positive as long as all is well.
    #[inline(always)]
    pub fn step<G: PipeGas<X::Body, S>, W: WallModel>(
        &mut self,
        gas: &G,
        dt: X::End,
        left: &EndConditions<X::End, S>,
        right: &EndConditions<X::End, S>,
    ) -> (X::End, X::End) {
        let cells = PipeCells {
            conserved: &mut self.conserved,
            plain: &mut self.plain,
            shape: &self.shape,
            n_cells: self.n_cells,
        };
        step_pipe::<X, G, W, S>(cells, gas, dt, self.inverse_dx, left, right)
    }
}

/// What the end of a pipe sees at half a step.
pub(crate) struct OutLook<L, const S: usize> {
    /// The state at the end face, velocity out of the pipe.
    pub(crate) face: Face<L, S>,
    /// The difference to stand outside the end, outwards.
    pub(crate) difference: Differences<L, S>,
    /// Ratio of heat capacities of the end cell.
    pub(crate) gamma: L,
}

/// The end face at half a step from the three cells next to it, nearest first, velocities out of the pipe.
///
/// The difference outside is that of the first inner face, bounded by twice the next one, so a smooth field is
/// carried to the end to second order.
#[inline(always)]
pub(crate) fn look_out<L: Lane, G: PipeGas<L, S>, W: WallModel, const S: usize>(
    [cell, second, third]: [&Primitive<L, S>; 3],
    area_gain_relative: L,
    dt: L,
    inverse_dx: L,
    gas: &G,
) -> OutLook<L, S> {
    let inner = Differences::between(second, cell);
    let next = Differences::between(third, second);
    let difference = inner.beyond_end(&next);
    let pace = Pace { dt, half_dt: dt * L::splat(0.5), courant: dt * inverse_dx };
    let h = half_slopes::<L, G, S>(cell, &inner, &difference);
    let Predicted { right, .. } = predict::<L, G, W, S>(cell, &h, area_gain_relative, &pace, gas);
    OutLook { face: right, difference, gamma: cell.c * cell.c * cell.rho / cell.p }
}

fn set<X: Layout>(chunk: &mut X::Body, cell: usize, lane: usize, value: f64) {
    let end = X::take(*chunk, cell).with(lane, value);
    *chunk = X::put(*chunk, cell, end);
}
