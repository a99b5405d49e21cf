//! What a correction has to know of an engine: how it lights its charge and how that gets in. Leaves out everything else.

/// Ignition and charging.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum EngineKind {
    /// Spark ignition, breathing by itself.
    #[default]
    Spark,
    /// Spark ignition, supercharged or turbocharged.
    SparkBoosted,
    /// Diesel, breathing by itself or with a blower driven by the crank.
    Diesel(DieselFuel),
    /// Diesel, turbocharged, with or without a cooler.
    DieselTurbo(DieselFuel),
}

/// How much a diesel injects, which decides how much the air matters to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DieselFuel {
    /// Fuel a cycle for each litre swept, in milligrams.
    pub mg_per_litre_cycle: f64,
    /// Absolute pressure behind the compressor over that before it; 1 without one.
    pub pressure_ratio: f64,
}

impl EngineKind {
    /// Whether it is a diesel.
    pub fn is_diesel(self) -> bool {
        matches!(self, Self::Diesel(_) | Self::DieselTurbo(_))
    }

    /// Whether anything presses the charge in.
    pub fn is_boosted(self) -> bool {
        matches!(self, Self::SparkBoosted | Self::DieselTurbo(_))
    }

    /// How it is said.
    pub fn words(self) -> &'static str {
        match self {
            Self::Spark => "spark ignition, naturally aspirated",
            Self::SparkBoosted => "spark ignition, boosted",
            Self::Diesel(_) => "diesel, naturally aspirated",
            Self::DieselTurbo(_) => "diesel, turbocharged",
        }
    }
}
