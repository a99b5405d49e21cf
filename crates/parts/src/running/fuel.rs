//! What the engine burns, how rich, and how it resists knock.

use units::{Ratio, Reading};

use crate::readings::visit_readings;

/// The fuel and the mixture.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FuelMixture {
    /// What it burns.
    pub kind: Option<FuelKind>,
    /// Air over what the fuel needs; below 1 is rich.
    pub lambda: Option<Reading<Ratio>>,
    /// Air over fuel by mass; instead of lambda.
    pub air_fuel_ratio: Option<Reading<Ratio>>,
    /// Share of the fuel that is vapour where it is mixed in.
    pub vapour_share: Option<Reading<Ratio>>,
    /// Research octane number.
    pub research_octane: Option<Reading<Ratio>>,
    /// Motor octane number.
    pub motor_octane: Option<Reading<Ratio>>,
}

/// The fuels we know.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FuelKind {
    /// A pump gasoline without alcohol.
    Gasoline,
    /// Gasoline with 10 % ethanol.
    E10,
    /// Gasoline with 85 % ethanol.
    E85,
    /// Pure ethanol.
    Ethanol,
    /// Pure methanol.
    Methanol,
    /// A leadless race gasoline.
    RaceGasoline,
    /// Iso-octane.
    IsoOctane,
    /// Propane.
    Propane,
    /// Methane.
    Methane,
}

impl FuelKind {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::Gasoline,
        Self::E10,
        Self::E85,
        Self::Ethanol,
        Self::Methanol,
        Self::RaceGasoline,
        Self::IsoOctane,
        Self::Propane,
        Self::Methane,
    ];

    /// The word of the sheet.
    pub fn word(self) -> &'static str {
        match self {
            Self::Gasoline => "gasoline",
            Self::E10 => "e10",
            Self::E85 => "e85",
            Self::Ethanol => "ethanol",
            Self::Methanol => "methanol",
            Self::RaceGasoline => "race_gasoline",
            Self::IsoOctane => "iso_octane",
            Self::Propane => "propane",
            Self::Methane => "methane",
        }
    }
}

visit_readings!(FuelMixture { ; lambda?, air_fuel_ratio?, vapour_share?, research_octane?, motor_octane? });
