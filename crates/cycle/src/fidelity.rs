//! How finely an engine is computed: cell lengths, crank steps and how well the cycle must repeat.
//!
//! Leaves out what the choice costs and how far the fidelities differ: docs/performance/cycle.md has the figures.

/// How finely an engine is computed. The same model runs at each of them, and every result says which it was.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fidelity {
    /// The coarsest grid, to tell many variants apart.
    Screen,
    /// For a torque curve.
    Normal,
    /// Cells half as long as normal, to see what the grid does.
    Fine,
}

/// Exhaust cells over intake cells: the ratio of the speeds of sound, so that both halves allow the same step.
const EXHAUST_OVER_INTAKE: f64 = 1.7;

impl Fidelity {
    /// All of them, coarsest first.
    pub const ALL: [Self; 3] = [Self::Screen, Self::Normal, Self::Fine];

    /// Its name where one is typed or printed.
    pub fn name(self) -> &'static str {
        match self {
            Self::Screen => "screen",
            Self::Normal => "normal",
            Self::Fine => "fine",
        }
    }

    /// The numbers behind it.
    pub fn settings(self) -> Settings {
        let (intake_cell_m, most_step_deg, accuracy) = match self {
            Self::Screen => (0.080, 6.0, 1e-2),
            Self::Normal => (0.020, 2.0, 1e-3),
            Self::Fine => (0.010, 1.0, 5e-4),
        };
        Settings {
            intake_cell_m,
            exhaust_cell_m: EXHAUST_OVER_INTAKE * intake_cell_m,
            most_step_deg,
            accuracy,
            most_cycles: 60,
            most_steps: 2_000_000,
            courant: 0.85,
            traces: false,
        }
    }
}

/// How an engine is computed, in numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Wished length of an intake cell, m.
    pub intake_cell_m: f64,
    /// Wished length of an exhaust cell, m.
    pub exhaust_cell_m: f64,
    /// Longest time step, degrees of crank angle.
    pub most_step_deg: f64,
    /// Estimated true error at which the march stops: relative, of every cylinder's trapped mass and work and of
    /// the state of the pipes.
    pub accuracy: f64,
    /// Cycles after which a point counts as not converged.
    pub most_cycles: usize,
    /// Time steps after which a point counts as not converged, all its cycles together.
    pub most_steps: usize,
    /// Cells that the fastest wave may cross in a step.
    pub courant: f64,
    /// Whether the last cycle is kept by crank angle; where several engines run side by side, that of the first only.
    pub traces: bool,
}

impl Settings {
    /// The same with cells and steps `factor` times as long, and without traces.
    pub fn coarsened(self, factor: f64) -> Self {
        Self {
            intake_cell_m: factor * self.intake_cell_m,
            exhaust_cell_m: factor * self.exhaust_cell_m,
            most_step_deg: factor * self.most_step_deg,
            traces: false,
            ..self
        }
    }
}
