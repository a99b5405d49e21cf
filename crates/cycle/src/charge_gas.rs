//! What the three gases of an engine are made of: air, fuel vapour, burned gas.
//!
//! Pipes, volumes and cylinders carry mass fractions of them. Leaves out what happens when the charge burns.

use crate::model::{Charge, Model};
use gas::composition::Composition;
use gas::equilibrium::{EquilibriumError, equilibrate};
use gas::species::Species;

/// Temperature at which burned gas is taken to freeze, K.
const FREEZING_K: f64 = gas::burned_gas::FREEZING_TEMPERATURE_K;

/// The gases of one engine and how they are proportioned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChargeGas {
    /// Air of the intake, with its water vapour.
    pub air: Composition,
    /// Fuel vapour.
    pub fuel: Composition,
    /// Air and fuel of the charge, burned and frozen.
    pub burned: Composition,
    /// Fuel over air by mass, liquid and vapour together.
    pub fuel_per_air: f64,
    /// Mass fraction of fuel vapour in the gas that comes in from an intake source.
    pub vapour_fraction: f64,
}

impl ChargeGas {
    /// The gases of a model; its air is that of its first source.
    pub fn of(model: &Model) -> Result<Self, EquilibriumError> {
        let humidity = model.sources.first().map_or(0.0, |s| s.humidity);
        Self::from_charge(&model.charge, humidity)
    }

    /// From the charge and the water vapour in kg per kg of dry air.
    pub fn from_charge(charge: &Charge, humidity: f64) -> Result<Self, EquilibriumError> {
        let water = Composition::from_moles(&[(Species::H2o, 1.0)]);
        let air = Composition::blend(&[(&Composition::dry_air(), 1.0), (&water, humidity.max(0.0))]);
        let fuel = charge.fuel.vapour();
        let fuel_per_air = 1.0 / (charge.lambda * charge.fuel.stoichiometric_air_kg_per_kg(&air));
        let mixed = Composition::blend(&[(&air, 1.0), (&fuel, fuel_per_air)]);
        let burned = equilibrate(&mixed, FREEZING_K, 1e5)?.composition;
        let vapour = charge.vapour * fuel_per_air;
        Ok(Self { air, fuel, burned, fuel_per_air, vapour_fraction: vapour / (1.0 + vapour) })
    }

    /// Air, fuel vapour, burned gas: the order pipes want them in.
    pub fn parts(&self) -> [Composition; 3] {
        [self.air, self.fuel, self.burned]
    }
}
