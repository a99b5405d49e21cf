//! The state of a pipe carried over to another number of cells: from a coarse grid to a fine one and back.
//!
//! Leaves out a change of length or taper: cells are shares of the length, and what is kept is the sum over x.

use super::slope::half_slope;

/// Conserved densities (mass, momentum, energy, then components, cell by cell, as packed) on `n_to` cells.
///
/// In every old cell each quantity is a straight line with the limited slope of [`half_slope`], and a new cell gets the
/// mean of what lies over it: second order where smooth, no new extremes, and the mean over the pipe is kept to
/// round-off. A cell whose line would leave an end without internal energy is taken flat. From memory: B. van Leer (1977),
/// J. Comput. Phys. 23:276, for the conservative lines. Needs whole cells of at least three numbers.
pub(crate) fn regrid(from: &[f64], width: usize, n_to: usize, into: &mut Vec<f64>) {
    let n_from = from.len() / width;
    let at = |cell: usize, k: usize| from[cell * width + k];
    // Half slopes, cell by cell.
    let mut slopes = vec![0.0; from.len()];
    for cell in 1..n_from.saturating_sub(1) {
        for k in 0..width {
            slopes[cell * width + k] =
                half_slope(at(cell, k) - at(cell - 1, k), at(cell + 1, k) - at(cell, k));
        }
        let empty = |side: f64| {
            let end = |k: usize| side.mul_add(slopes[cell * width + k], at(cell, k));
            let internal = end(2) - 0.5 * end(1) * end(1) / end(0);
            !(internal > 0.0 && end(0) > 0.0)
        };
        if empty(-1.0) || empty(1.0) {
            slopes[cell * width..(cell + 1) * width].fill(0.0);
        }
    }
    let ratio = n_from as f64 / n_to as f64;
    for new in 0..n_to {
        // In old cells: where the new one starts and ends.
        let (start, end) = (new as f64 * ratio, (new + 1) as f64 * ratio);
        let last = (end.ceil() as usize).clamp(1, n_from);
        for k in 0..width {
            let mut sum = 0.0;
            for cell in (start as usize).min(n_from - 1)..last {
                let (a, b) = (start.max(cell as f64), end.min((cell + 1) as f64));
                // The line's value at the middle of the overlap is its mean there.
                let middle = (a + b) - (2 * cell + 1) as f64;
                sum += (b - a).max(0.0) * middle.mul_add(slopes[cell * width + k], at(cell, k));
            }
            into.push(sum / ratio);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn means(n: usize) -> Vec<f64> {
        let mean = |a: f64, b: f64, f: &dyn Fn(f64) -> f64| (f(b) - f(a)) / (b - a);
        (0..n)
            .flat_map(|i| {
                let (a, b) = (i as f64 / n as f64, (i + 1) as f64 / n as f64);
                // Integrals of 1.2 + 0.1 sin 3x, 5 cos 2x, 2.5e5 + 1e4 x^2.
                let mass = mean(a, b, &|x| 1.2 * x - 0.1 / 3.0 * (3.0 * x).cos());
                let momentum = mean(a, b, &|x| 2.5 * (2.0 * x).sin());
                [mass, momentum, mean(a, b, &|x| 2.5e5 * x + 1e4 / 3.0 * x.powi(3))]
            })
            .collect()
    }

    #[test]
    fn converges_second_order_to_a_finer_and_a_coarser_grid() {
        for (n_from, n_to) in [(10, 30), (20, 60), (40, 120), (24, 17), (48, 34), (96, 68)] {
            let mut found = Vec::new();
            regrid(&means(n_from), 3, n_to, &mut found);
            let sum = |v: &[f64]| v.iter().step_by(3).sum::<f64>() / (v.len() / 3) as f64;
            assert!((sum(&found) - sum(&means(n_from))).abs() < 1e-13, "mass kept");
            let error: f64 =
                found.iter().zip(means(n_to)).step_by(3).map(|(a, b)| (a - b).abs()).sum::<f64>()
                    / n_to as f64;
            // 0.1 x 9 dx^2 / 24 inside, a flat cell at each end.
            assert!(error < 0.4 / (n_from * n_from) as f64, "{n_from} to {n_to}: {error:e}");
        }
    }

    #[test]
    fn exact_same_grid_is_itself_and_a_jump_makes_no_extremes() {
        let from = means(12);
        let mut same = Vec::new();
        regrid(&from, 3, 12, &mut same);
        assert!(from.iter().zip(&same).all(|(a, b)| (a - b).abs() <= 1e-12 * a.abs()));
        let jump: Vec<f64> =
            (0..8).flat_map(|i| if i < 4 { [10.0, 900.0, 1e6] } else { [0.1, 0.0, 1e4] }).collect();
        let mut fine = Vec::new();
        regrid(&jump, 3, 29, &mut fine);
        for cell in fine.chunks(3) {
            assert!(
                (0.1 - 1e-12..=10.0 + 1e-12).contains(&cell[0])
                    && cell[2] > 0.5 * cell[1] * cell[1] / cell[0],
                "{cell:?}"
            );
        }
    }
}
