//! How many cells each pipe gets. Leaves out everything else about a pipe.

use crate::fidelity::Settings;
use crate::model::{Model, Side};

/// Cells a pipe may have: steps of a sixth or so, so that variants of one engine mostly share their counts and can
/// be run side by side.
const LADDER: [usize; 31] = [
    3, 4, 5, 6, 7, 8, 10, 12, 14, 16, 19, 22, 26, 30, 35, 41, 48, 56, 65, 76, 89, 104, 121, 141, 165, 193,
    225, 263, 307, 358, 418,
];

/// Cells of every pipe of a model. Models with equal grids and equal topology can be run side by side.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Grid {
    /// Cells of each pipe, in the model's order.
    pub n_cells: Vec<usize>,
}

impl Grid {
    /// The counts whose cells come closest to the wished length.
    pub fn of(model: &Model, settings: &Settings) -> Self {
        let n_cells = model
            .pipes
            .iter()
            .map(|pipe| {
                let wished = match pipe.side {
                    Side::Intake => settings.intake_cell_m,
                    Side::Exhaust => settings.exhaust_cell_m,
                };
                nearest(pipe.length_m() / wished)
            })
            .collect();
        Self { n_cells }
    }

    /// Cells of all pipes together.
    pub fn total(&self) -> usize {
        self.n_cells.iter().sum()
    }
}

/// The entry of the ladder nearest by ratio.
fn nearest(wished: f64) -> usize {
    let off = |n: usize| (wished / n as f64).ln().abs();
    LADDER.into_iter().min_by(|&a, &b| off(a).total_cmp(&off(b))).unwrap_or(LADDER[0])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_nearest_by_ratio() {
        assert_eq!([0.1, 3.4, 3.5, 11.0, 17.4, 1e6].map(nearest), [3, 3, 4, 12, 16, 418]);
    }
}
