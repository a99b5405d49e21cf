//! The calmest velocity of one flank that meets all its numbers: what is asked of it, as a quadratic program. Leaves out
//! how a flank is laid out and where its numbers come from.

use crate::bspline::Basis;
use crate::lobe_card::{Flank, VELOCITY_DEGREE};
use crate::quadratic_program::{Condition, NoSolution, minimise};

/// The quadratic program of one flank. Unknown are the velocity's coefficients without the first (0 at the nose) and
/// the last three (ramp velocity: no acceleration and no jerk at the end).
pub(crate) struct Problem<'a> {
    basis: &'a Basis,
    n: usize,
    end_velocity: f64,
    h: Vec<Vec<f64>>,
    g: Vec<f64>,
    equal: Vec<Condition>,
}

impl<'a> Problem<'a> {
    pub fn new(flank: &Flank, basis: &'a Basis, nose_bend: Option<f64>) -> Self {
        let n = basis.len() - 4;
        let end_velocity = flank.end_velocity();
        let mut problem =
            Self { basis, n, end_velocity, h: vec![vec![0.0; n]; n], g: vec![0.0; n], equal: Vec::new() };
        problem.add_jerk(flank);
        let integrals: Vec<f64> = (0..basis.len()).map(|i| basis.integral(i)).collect();
        problem.require(&integrals, flank.lobe_mm - flank.end_lift_mm());
        let lift_basis = problem.lift_basis(flank);
        for p in &flank.points {
            let local = lift_basis.local(p.from_nose_deg, 0);
            let row: Vec<f64> = (0..basis.len())
                .map(|i| {
                    let after = (0..=VELOCITY_DEGREE + 1).filter(|j| local.first + j > i);
                    integrals[i] * after.map(|j| local.at[0][j]).sum::<f64>()
                })
                .collect();
            problem.require(&row, flank.lobe_mm - p.lift_mm);
        }
        let at_nose = basis.local(0.0, 2);
        let row_of = |k: usize| {
            let mut row = vec![0.0; basis.len()];
            row[..=VELOCITY_DEGREE].copy_from_slice(&at_nose.at[k][..=VELOCITY_DEGREE]);
            row
        };
        problem.require(&row_of(2), 0.0);
        if let Some(bend) = nose_bend {
            problem.require(&row_of(1), bend);
        }
        problem
    }

    /// The basis of the lift: the velocity's with each end knot once more.
    fn lift_basis(&self, flank: &Flank) -> Basis {
        let breaks = self.basis.to_pieces(&vec![0.0; self.basis.len()]).0;
        debug_assert!(breaks[breaks.len() - 1] == flank.end_deg);
        Basis::clamped(&breaks, VELOCITY_DEGREE + 1)
    }

    /// Splits a row over all coefficients into unknown and fixed ones.
    fn condition(&self, row: &[f64], rhs: f64) -> Condition {
        let fixed: f64 = row[self.n + 1..].iter().sum();
        Condition { row: row[1..=self.n].to_vec(), rhs: rhs - fixed * self.end_velocity }
    }

    fn require(&mut self, row: &[f64], rhs: f64) {
        let condition = self.condition(row, rhs);
        self.equal.push(condition);
    }

    /// Adds the integral of jerk squared; three Gauss points a piece are exact for a square of degree four.
    fn add_jerk(&mut self, flank: &Flank) {
        let breaks = self.basis.to_pieces(&vec![0.0; self.basis.len()]).0;
        let half_spread = (3.0f64 / 5.0).sqrt() / 2.0;
        // In units that keep the matrix near one: jerk times the cube of the flank's length.
        let unit = flank.end_deg.powi(3);
        for pair in breaks.windows(2) {
            let (mid, width) = (0.5 * (pair[0] + pair[1]), pair[1] - pair[0]);
            for (place, weight) in [(-half_spread, 5.0), (0.0, 8.0), (half_spread, 5.0)] {
                let local = self.basis.local(mid + place * width, 2);
                let weight = weight / 18.0 * width * unit;
                for j in 0..=VELOCITY_DEGREE {
                    for k in 0..=VELOCITY_DEGREE {
                        let product = weight * local.at[2][j] * local.at[2][k];
                        self.add_product(local.first + j, local.first + k, product);
                    }
                }
            }
        }
    }

    fn add_product(&mut self, i: usize, j: usize, product: f64) {
        let unknown = |i: usize| 1 <= i && i <= self.n;
        match (unknown(i), unknown(j)) {
            (true, true) => self.h[i - 1][j - 1] += product,
            (true, false) if j > self.n => self.g[i - 1] += product * self.end_velocity,
            _ => {}
        }
    }

    pub fn solve(&self, at_least: &[Condition]) -> Result<Vec<f64>, NoSolution> {
        let x = minimise(&self.h, &self.g, &self.equal, at_least)?;
        let mut coefficients = vec![0.0];
        coefficients.extend(x);
        coefficients.extend([self.end_velocity; 3]);
        Ok(coefficients)
    }

    fn energy(&self, coefficients: &[f64]) -> f64 {
        let x = &coefficients[1..=self.n];
        let product = |row: &[f64]| row.iter().zip(x).map(|(a, b)| a * b).sum::<f64>();
        x.iter().zip(&self.h).zip(&self.g).map(|((x, row), g)| x * (0.5 * product(row) + g)).sum()
    }

    /// No coefficient of the velocity below the ramp's: the flank never falls.
    pub fn never_backward(&self) -> Vec<Condition> {
        (1..=self.n)
            .map(|i| {
                let mut row = vec![0.0; self.basis.len()];
                row[i] = 1.0;
                self.condition(&row, 0.0)
            })
            .collect()
    }

    /// Coefficients rise up to `peak` and fall from there; so does the velocity.
    fn hump(&self, peak: usize) -> Vec<Condition> {
        (1..=self.n + 1)
            .map(|i| {
                let sign = if i <= peak { 1.0 } else { -1.0 };
                let mut row = vec![0.0; self.basis.len()];
                row[i] = sign;
                row[i - 1] = -sign;
                self.condition(&row, 0.0)
            })
            .collect()
    }

    /// The calmest single hump over all places of its top, found by walking downhill from where the free solution has
    /// it; `None` if no hump meets the numbers.
    pub fn single_hump(&self) -> Option<Vec<f64>> {
        let free = self.solve(&[]).ok()?;
        let start = (1..=self.n).max_by(|&a, &b| free[a].total_cmp(&free[b]))?;
        let try_peak = |peak: usize| {
            let coefficients = self.solve(&self.hump(peak)).ok()?;
            Some((self.energy(&coefficients), coefficients))
        };
        let from_start = (0..self.n).flat_map(|d| [start + d, start.wrapping_sub(d)]);
        let mut inside = from_start.filter(|peak| (1..=self.n).contains(peak));
        let (mut peak, mut best) = inside.find_map(|peak| Some((peak, try_peak(peak)?)))?;
        for step in [1isize, -1] {
            loop {
                let next = peak.wrapping_add_signed(step);
                if !(1..=self.n).contains(&next) {
                    break;
                }
                match try_peak(next) {
                    Some(better) if better.0 < best.0 => (peak, best) = (next, better),
                    _ => break,
                }
            }
        }
        Some(best.1)
    }
}
