//! The measures of a pipe: length, diameters, roughness, wall temperature, cut into equal cells.

use super::kernel::CellShape;
use super::wall::WallCell;
use std::f64::consts::PI;
use thiserror::Error;

/// Least cells a pipe can have: the end extrapolation looks three cells in.
pub const LEAST_CELLS: usize = 3;

/// A measure that no pipe can have.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum ShapeError {
    /// Too few cells.
    #[error("{n_cells} cells in a pipe, at least {LEAST_CELLS} are needed")]
    TooFewCells {
        /// As given.
        n_cells: usize,
    },
    /// A length, diameter or temperature that is not a positive number.
    #[error("{what} is {value}, expected a positive number")]
    NotPositive {
        /// Which measure, with its unit.
        what: &'static str,
        /// As given.
        value: f64,
    },
    /// A factor or roughness below zero or not a number.
    #[error("{what} is {value}, expected zero or more")]
    Negative {
        /// Which measure.
        what: &'static str,
        /// As given.
        value: f64,
    },
    /// Not one shape a variant.
    #[error("{given} pipe shapes for {needed} variants")]
    VariantCount {
        /// As given.
        given: usize,
        /// Lanes of the number type.
        needed: usize,
    },
    /// Variants must share the number of cells.
    #[error("{given} cells where the other variants have {needed}")]
    CellCount {
        /// As given.
        given: usize,
        /// Of the pipe.
        needed: usize,
    },
}

/// A round pipe of `n` equal cells, its diameter given at the `n + 1` faces.
#[derive(Clone, Debug, PartialEq)]
pub struct PipeShape {
    length_m: f64,
    area_m2: Vec<f64>,
    roughness_m: f64,
    friction_factor: f64,
    heat_factor: f64,
    t_wall_k: f64,
}

impl PipeShape {
    /// A pipe whose diameter varies linearly, smooth-walled and adiabatic in effect until
    /// [`PipeShape::with_wall`] is called (both factors zero).
    pub fn tapered(
        length_m: f64,
        diameter_left_m: f64,
        diameter_right_m: f64,
        n_cells: usize,
    ) -> Result<Self, ShapeError> {
        let gain = diameter_right_m - diameter_left_m;
        Self::from_diameter(length_m, n_cells, |x| diameter_left_m + gain * (x / length_m))
    }

    /// A pipe whose diameter is asked for at every face, as a function of the distance from the left end.
    pub fn from_diameter(
        length_m: f64,
        n_cells: usize,
        mut diameter_m: impl FnMut(f64) -> f64,
    ) -> Result<Self, ShapeError> {
        if n_cells < LEAST_CELLS {
            return Err(ShapeError::TooFewCells { n_cells });
        }
        positive("length in m", length_m)?;
        let mut area_m2 = Vec::with_capacity(n_cells + 1);
        for face in 0..=n_cells {
            let d = positive("diameter in m", diameter_m(length_m * face as f64 / n_cells as f64))?;
            area_m2.push(0.25 * PI * d * d);
        }
        Ok(Self {
            length_m,
            area_m2,
            roughness_m: 0.0,
            friction_factor: 0.0,
            heat_factor: 0.0,
            t_wall_k: 300.0,
        })
    }

    /// Gives it a wall: roughness height, wall temperature, and factors on friction and heat (1: as the
    /// correlations say).
    pub fn with_wall(
        mut self,
        roughness_m: f64,
        t_wall_k: f64,
        friction_factor: f64,
        heat_factor: f64,
    ) -> Result<Self, ShapeError> {
        for (what, value) in [
            ("roughness in m", roughness_m),
            ("friction factor", friction_factor),
            ("heat factor", heat_factor),
        ] {
            if !(0.0 <= value && value.is_finite()) {
                return Err(ShapeError::Negative { what, value });
            }
        }
        self.t_wall_k = positive("wall temperature in K", t_wall_k)?;
        (self.roughness_m, self.friction_factor, self.heat_factor) =
            (roughness_m, friction_factor, heat_factor);
        Ok(self)
    }

    /// Number of cells.
    pub fn n_cells(&self) -> usize {
        self.area_m2.len() - 1
    }

    /// Length of the pipe, m.
    pub fn length_m(&self) -> f64 {
        self.length_m
    }

    /// Length of a cell, m.
    pub fn dx_m(&self) -> f64 {
        self.length_m / self.n_cells() as f64
    }

    /// Volume of a cell, m3: its length times the mean of its face areas.
    pub fn cell_volume_m3(&self, cell: usize) -> f64 {
        0.5 * (self.area_m2[cell] + self.area_m2[cell + 1]) * self.dx_m()
    }

    /// Cross-sections at the faces, m2.
    pub fn face_areas_m2(&self) -> &[f64] {
        &self.area_m2
    }

    /// Measures of a cell; past the end those of a straight, wall-less cell as wide as the end.
    pub(super) fn cell(&self, padded: usize) -> CellShape<f64> {
        let n = self.n_cells();
        let inside = padded < n;
        let left = self.area_m2[padded.min(n)];
        let right = self.area_m2[(padded + 1).min(n)];
        let sum = left + right;
        let diameter = (2.0 * sum / PI).sqrt();
        CellShape {
            area_left_m2: left,
            area_gain_m2: right - left,
            area_gain_relative: (right - left) / sum,
            inverse_volume_per_m3: 1.0 / (0.5 * sum * self.dx_m()),
            wall: WallCell {
                relative_roughness: self.roughness_m / diameter,
                inverse_diameter: 1.0 / diameter,
                friction_factor: if inside { self.friction_factor } else { 0.0 },
                heat_factor: if inside { self.heat_factor } else { 0.0 },
                t_wall_k: self.t_wall_k,
            },
        }
    }
}

fn positive(what: &'static str, value: f64) -> Result<f64, ShapeError> {
    if 0.0 < value && value.is_finite() { Ok(value) } else { Err(ShapeError::NotPositive { what, value }) }
}
