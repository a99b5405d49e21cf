//! What a gas is made of, and its frozen properties: enthalpy, heat capacity, gas constant, gamma.
//!
//! Frozen: the composition does not react when the temperature changes. Leaves out chemical equilibrium
//! ([`crate::equilibrium`]), viscosity ([`crate::transport`]) and real-gas effects.

use crate::species::{N_ELEMENTS, N_SPECIES, Species, UNIVERSAL_GAS_CONSTANT};

/// An ideal-gas mixture: kmol of each species in one kilogram.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Composition {
    kmol_per_kg: [f64; N_SPECIES],
}

impl Composition {
    /// From any number of moles, in any unit; they are scaled to a kilogram. Amounts that are negative or
    /// not numbers count as zero.
    pub fn from_moles(moles: &[(Species, f64)]) -> Self {
        let mut amounts = [0.0; N_SPECIES];
        for &(species, n) in moles {
            amounts[species as usize] += n.max(0.0);
        }
        Self::from_amounts(amounts)
    }

    /// From moles of every species in their order, scaled to a kilogram.
    pub fn from_amounts(mut amounts: [f64; N_SPECIES]) -> Self {
        let mass: f64 = Species::ALL.iter().zip(&amounts).map(|(s, n)| s.molar_mass() * n).sum();
        for n in &mut amounts {
            *n /= mass;
        }
        Self { kmol_per_kg: amounts }
    }

    /// Dry air. Source: U.S. Standard Atmosphere (1976), table 3, with the carbon dioxide of that table and
    /// the traces (under 30 ppm) left out.
    pub fn dry_air() -> Self {
        Self::from_moles(&[
            (Species::N2, 0.780_84),
            (Species::O2, 0.209_476),
            (Species::Ar, 0.009_34),
            (Species::Co2, 0.000_314),
        ])
    }

    /// A mixture by mass: `(composition, mass)` parts, scaled to a kilogram.
    pub fn blend(parts: &[(&Self, f64)]) -> Self {
        let mut amounts = [0.0; N_SPECIES];
        for (part, mass) in parts {
            for (sum, n) in amounts.iter_mut().zip(part.kmol_per_kg) {
                *sum += mass * n;
            }
        }
        Self::from_amounts(amounts)
    }

    /// kmol of each species in a kilogram.
    pub fn kmol_per_kg(&self) -> &[f64; N_SPECIES] {
        &self.kmol_per_kg
    }

    /// Mole fraction of a species.
    pub fn mole_fraction(&self, species: Species) -> f64 {
        self.kmol_per_kg[species as usize] / self.total_kmol_per_kg()
    }

    /// Mass fraction of a species.
    pub fn mass_fraction(&self, species: Species) -> f64 {
        self.kmol_per_kg[species as usize] * species.molar_mass()
    }

    /// kmol of C, H, O, N, Ar in a kilogram.
    pub fn elements_kmol_per_kg(&self) -> [f64; N_ELEMENTS] {
        let mut sums = [0.0; N_ELEMENTS];
        for (species, n) in self.present() {
            for (sum, &count) in sums.iter_mut().zip(&species.data().atoms) {
                *sum += n * f64::from(count);
            }
        }
        sums
    }

    /// kg/kmol.
    pub fn molar_mass(&self) -> f64 {
        1.0 / self.total_kmol_per_kg()
    }

    /// J/(kg K).
    pub fn gas_constant_j_per_kg_k(&self) -> f64 {
        UNIVERSAL_GAS_CONSTANT * self.total_kmol_per_kg()
    }

    /// Heat capacity at constant pressure, J/(kg K).
    pub fn cp_j_per_kg_k(&self, t_k: f64) -> f64 {
        UNIVERSAL_GAS_CONSTANT * self.present().map(|(s, n)| n * s.cp_over_r(t_k)).sum::<f64>()
    }

    /// Enthalpy with formation from the elements at 298.15 K, J/kg.
    pub fn enthalpy_j_per_kg(&self, t_k: f64) -> f64 {
        UNIVERSAL_GAS_CONSTANT * t_k * self.present().map(|(s, n)| n * s.h_over_rt(t_k)).sum::<f64>()
    }

    /// Internal energy, J/kg, with formation.
    pub fn internal_energy_j_per_kg(&self, t_k: f64) -> f64 {
        self.enthalpy_j_per_kg(t_k) - self.gas_constant_j_per_kg_k() * t_k
    }

    /// The part of the entropy that depends on temperature, J/(kg K): the integral of cp/T, without mixing
    /// and pressure terms.
    pub fn entropy_of_temperature_j_per_kg_k(&self, t_k: f64) -> f64 {
        UNIVERSAL_GAS_CONSTANT * self.present().map(|(s, n)| n * s.s_over_r(t_k)).sum::<f64>()
    }

    /// Ratio of frozen heat capacities.
    pub fn gamma(&self, t_k: f64) -> f64 {
        let cp = self.cp_j_per_kg_k(t_k);
        cp / (cp - self.gas_constant_j_per_kg_k())
    }

    /// Frozen speed of sound, m/s.
    pub fn sound_speed_m_per_s(&self, t_k: f64) -> f64 {
        (self.gamma(t_k) * self.gas_constant_j_per_kg_k() * t_k).sqrt()
    }

    fn total_kmol_per_kg(&self) -> f64 {
        self.kmol_per_kg.iter().sum()
    }

    fn present(&self) -> impl Iterator<Item = (Species, f64)> {
        Species::ALL.into_iter().zip(self.kmol_per_kg).filter(|&(_, n)| n > 0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_shares_add_up() {
        let air = Composition::dry_air();
        let mass: f64 = Species::ALL.iter().map(|&s| air.mass_fraction(s)).sum();
        assert!((mass - 1.0).abs() < 1e-14);
        assert!((air.molar_mass() - 28.964).abs() < 2e-3, "{}", air.molar_mass());
        assert!((air.gamma(300.0) - 1.400).abs() < 2e-3);
    }
}
