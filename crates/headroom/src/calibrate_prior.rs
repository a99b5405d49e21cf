//! What a calibration may move, and how far each of it is known beforehand. Leaves out the fit.

use cycle::multipliers::Multipliers;

/// One factor on the model.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Multiplier {
    /// What the valves let through.
    Flow,
    /// What rubbing and accessories take.
    Friction,
    /// How long the charge burns.
    Burn,
    /// What the walls take.
    HeatLoss,
}

impl Multiplier {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Flow, Self::Friction, Self::Burn, Self::HeatLoss];

    /// How it is typed, and named in files.
    pub fn key(self) -> &'static str {
        match self {
            Self::Flow => "flow",
            Self::Friction => "friction",
            Self::Burn => "burn",
            Self::HeatLoss => "heat-loss",
        }
    }

    /// How it is said.
    pub fn word(self) -> &'static str {
        match self {
            Self::Flow => "flow",
            Self::Friction => "friction",
            Self::Burn => "burn duration",
            Self::HeatLoss => "heat loss",
        }
    }

    /// The multiplier of a key.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|one| one.key() == text.trim())
    }

    /// Standard deviation of the factor about 1 before anything was measured.
    ///
    /// - flow 0.04: benches disagree by 3 to 5 % on one head (trade press, from memory), and steady flow stands for unsteady
    /// - friction 0.15: what engines of one size scatter by about a fit of all of them (from memory, after figs. 13-6 to 13-14
    ///   of J. B. Heywood (1988))
    /// - burn 0.15: burn durations of chambers of one kind (from memory, after section 9.3 of the same)
    /// - heat loss 0.25: what published coefficients differ by at one state (from memory; Woschni and Hohenberg in
    ///   `cycle::heat_transfer` are farther apart)
    pub fn prior_sd(self) -> f64 {
        match self {
            Self::Flow => 0.04,
            Self::Friction => 0.15,
            Self::Burn => 0.15,
            Self::HeatLoss => 0.25,
        }
    }

    /// Where that width comes from, for people.
    pub fn prior_source(self) -> &'static str {
        match self {
            Self::Flow => "flow benches disagree by 3 to 5 % (from memory)",
            Self::Friction => "scatter of engines about a common fit (from memory)",
            Self::Burn => "scatter of chambers of one kind (from memory)",
            Self::HeatLoss => "how far published coefficients differ (from memory)",
        }
    }

    /// The factor among all four.
    pub fn of(self, all: &Multipliers) -> f64 {
        match self {
            Self::Flow => all.flow,
            Self::Friction => all.friction,
            Self::Burn => all.burn,
            Self::HeatLoss => all.heat_loss,
        }
    }

    /// Sets the factor among all four.
    pub fn put(self, all: &mut Multipliers, factor: f64) {
        match self {
            Self::Flow => all.flow = factor,
            Self::Friction => all.friction = factor,
            Self::Burn => all.burn = factor,
            Self::HeatLoss => all.heat_loss = factor,
        }
    }
}
