//! The fuels: what their vapour is made of, what they release, how they evaporate and how they resist knock.
//!
//! Heating value, stoichiometric ratio and vapour properties follow from the composition of each blend and the
//! NASA polynomials; densities, enthalpies of vaporisation and octane numbers are data. Leaves out distillation:
//! a blend evaporates as one.

use crate::composition::Composition;
use crate::species::{Species, UNIVERSAL_GAS_CONSTANT};

/// The fuels we know.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fuel {
    /// A pump gasoline: 54 % iso-octane, 14 % n-heptane, 32 % toluene by liquid volume.
    Gasoline,
    /// Pure 2,2,4-trimethylpentane.
    IsoOctane,
    /// 10 % ethanol by liquid volume in [`Fuel::Gasoline`].
    E10,
    /// 85 % ethanol by liquid volume in [`Fuel::Gasoline`].
    E85,
    /// Pure ethanol.
    Ethanol,
    /// Pure methanol.
    Methanol,
    /// A leadless race gasoline: 60 % iso-octane, 40 % toluene by liquid volume.
    RaceGasoline,
    /// Pure propane.
    Propane,
    /// Pure methane.
    Methane,
}

/// A liquid (or gas) that blends are made of.
struct Ingredient {
    species: Species,
    /// kg/m3 at 15 to 20 C; zero where it is a gas.
    density: f64,
    /// J/kg at 25 C.
    vaporisation: f64,
}

/// Densities and enthalpies of vaporisation: D. R. Lide, ed. (2005), "CRC Handbook of Chemistry and Physics", 86th
/// ed., sections 3 and 6 (kJ/mol at 25 C: iso-octane 35.1, n-heptane 36.6, toluene 38.0, ethanol 42.3, methanol
/// 37.4, propane 14.8); from memory. Gases at ambient conditions (propane, methane) are metered as vapour: none.
fn ingredient(species: Species) -> Ingredient {
    let (density, kj_per_mol) = match species {
        Species::IsoOctane => (692.0, 35.1),
        Species::NHeptane => (684.0, 36.6),
        Species::Toluene => (867.0, 38.0),
        Species::Ethanol => (789.0, 42.3),
        Species::Methanol => (791.0, 37.4),
        Species::Propane => (0.0, 14.8),
        _ => (0.0, 0.0),
    };
    Ingredient { species, density, vaporisation: kj_per_mol * 1e6 / species.molar_mass() }
}

impl Fuel {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::Gasoline,
        Self::IsoOctane,
        Self::E10,
        Self::E85,
        Self::Ethanol,
        Self::Methanol,
        Self::RaceGasoline,
        Self::Propane,
        Self::Methane,
    ];

    /// Ingredients by liquid volume; a pure fuel has one.
    fn by_volume(self) -> Vec<(Species, f64)> {
        // Common practice for a surrogate of a 95-octane pump gasoline (toluene reference fuel), no single source.
        let base = [(Species::IsoOctane, 0.54), (Species::NHeptane, 0.14), (Species::Toluene, 0.32)];
        let with_ethanol = |share: f64| {
            base.iter().map(|&(s, v)| (s, v * (1.0 - share))).chain([(Species::Ethanol, share)]).collect()
        };
        match self {
            Self::Gasoline => base.to_vec(),
            Self::IsoOctane => vec![(Species::IsoOctane, 1.0)],
            Self::E10 => with_ethanol(0.10),
            Self::E85 => with_ethanol(0.85),
            Self::Ethanol => vec![(Species::Ethanol, 1.0)],
            Self::Methanol => vec![(Species::Methanol, 1.0)],
            Self::RaceGasoline => vec![(Species::IsoOctane, 0.60), (Species::Toluene, 0.40)],
            Self::Propane => vec![(Species::Propane, 1.0)],
            Self::Methane => vec![(Species::Methane, 1.0)],
        }
    }

    /// Ingredients by mass, summing to one.
    fn by_mass(self) -> Vec<(Ingredient, f64)> {
        let parts: Vec<(Ingredient, f64)> = self
            .by_volume()
            .into_iter()
            .map(|(s, v)| {
                let i = ingredient(s);
                let mass = if i.density > 0.0 { v * i.density } else { v };
                (i, mass)
            })
            .collect();
        let total: f64 = parts.iter().map(|(_, m)| m).sum();
        parts.into_iter().map(|(i, m)| (i, m / total)).collect()
    }

    /// What its vapour is made of.
    pub fn vapour(self) -> Composition {
        let moles: Vec<(Species, f64)> =
            self.by_mass().into_iter().map(|(i, m)| (i.species, m / i.species.molar_mass())).collect();
        Composition::from_moles(&moles)
    }

    /// Liquid density at 15 to 20 C, kg/m3; `None` for a gas. Volumes are taken to add up.
    pub fn liquid_density_kg_per_m3(self) -> Option<f64> {
        let sum: f64 = self.by_volume().iter().map(|&(s, v)| v * ingredient(s).density).sum();
        (sum > 0.0).then_some(sum)
    }

    /// Enthalpy of vaporisation at 25 C, J/kg of fuel; of an ideal blend. Methane comes as a gas: zero.
    pub fn vaporisation_j_per_kg(self) -> f64 {
        self.by_mass().iter().map(|(i, m)| i.vaporisation * m).sum()
    }

    /// Oxygen for complete combustion, kmol a kilogram of fuel.
    fn oxygen_kmol_per_kg(self) -> f64 {
        let [c, h, o, _, _] = self.vapour().elements_kmol_per_kg();
        c + h / 4.0 - o / 2.0
    }

    /// Kilograms of the given air (its oxygen counts) that burn a kilogram of fuel completely.
    pub fn stoichiometric_air_kg_per_kg(self, air: &Composition) -> f64 {
        self.oxygen_kmol_per_kg() / air.kmol_per_kg()[Species::O2 as usize]
    }

    /// Lower heating value at 25 C of the fuel as it is metered (liquid, except propane and methane), J/kg.
    ///
    /// Enthalpy of the vapour and oxygen less that of CO2 and steam, less the vaporisation.
    pub fn lower_heating_value_j_per_kg(self) -> f64 {
        let t = 298.15;
        let vapour = self.vapour();
        let [c, h, ..] = vapour.elements_kmol_per_kg();
        let molar = |s: Species| UNIVERSAL_GAS_CONSTANT * t * s.h_over_rt(t);
        let before = vapour.enthalpy_j_per_kg(t) + self.oxygen_kmol_per_kg() * molar(Species::O2);
        let after = c * molar(Species::Co2) + 0.5 * h * molar(Species::H2o);
        let liquid = self.liquid_density_kg_per_m3().is_some();
        before - after - if liquid { self.vaporisation_j_per_kg() } else { 0.0 }
    }

    /// Research and motor octane numbers.
    ///
    /// Iso-octane by definition; ethanol 109/90, methanol 109/89, propane 112/97, methane 120/120: J. B. Heywood
    /// (1988), "Internal Combustion Engine Fundamentals", table D.4 (ethanol and methanol there 107/89 and 106/92;
    /// later measurements, e.g. J. E. Anderson et al. (2012), Fuel 97:585, give the values used). Gasoline 95/85,
    /// E10 97/86, E85 107/89, race gasoline 108/99: common practice, no single source.
    pub fn octane_numbers(self) -> (f64, f64) {
        match self {
            Self::Gasoline => (95.0, 85.0),
            Self::IsoOctane => (100.0, 100.0),
            Self::E10 => (97.0, 86.0),
            Self::E85 => (107.0, 89.0),
            Self::Ethanol => (109.0, 90.0),
            Self::Methanol => (109.0, 89.0),
            Self::RaceGasoline => (108.0, 99.0),
            Self::Propane => (112.0, 97.0),
            Self::Methane => (120.0, 120.0),
        }
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    /// Heywood (1988), table D.4: stoichiometric ratio, lower heating value (MJ/kg) and vaporisation (kJ/kg).
    #[test]
    fn val_heywood_1988_pure_fuels() {
        let air = Composition::dry_air();
        let check = |fuel: Fuel, ratio: f64, lhv: f64, hfg: f64| {
            let found = (
                fuel.stoichiometric_air_kg_per_kg(&air),
                fuel.lower_heating_value_j_per_kg() / 1e6,
                fuel.vaporisation_j_per_kg() / 1e3,
            );
            assert!((found.0 / ratio - 1.0).abs() < 0.01, "{fuel:?}: {found:?}");
            assert!((found.1 / lhv - 1.0).abs() < 0.01, "{fuel:?}: {found:?}");
            if hfg > 0.0 {
                assert!((found.2 / hfg - 1.0).abs() < 0.02, "{fuel:?}: {found:?}");
            }
        };
        check(Fuel::IsoOctane, 15.13, 44.3, 308.0);
        check(Fuel::Methanol, 6.47, 20.0, 1170.0);
        check(Fuel::Ethanol, 9.00, 26.9, 920.0);
        check(Fuel::Propane, 15.67, 46.4, 0.0);
        check(Fuel::Methane, 17.23, 50.0, 0.0);
    }

    /// A gasoline of the trade: 14.2 to 14.8 kg of air, 42 to 44 MJ/kg, 720 to 775 kg/m3.
    #[test]
    fn exact_blends_lie_between_their_ingredients() {
        let air = Composition::dry_air();
        for fuel in [Fuel::Gasoline, Fuel::RaceGasoline] {
            let ratio = fuel.stoichiometric_air_kg_per_kg(&air);
            let lhv = fuel.lower_heating_value_j_per_kg() / 1e6;
            let density = fuel.liquid_density_kg_per_m3().unwrap();
            assert!(14.2 < ratio && ratio < 14.8, "{fuel:?}: {ratio}");
            assert!(42.0 < lhv && lhv < 44.0, "{fuel:?}: {lhv}");
            assert!(720.0 < density && density < 775.0, "{fuel:?}: {density}");
        }
        let order = [Fuel::Gasoline, Fuel::E10, Fuel::E85, Fuel::Ethanol];
        for pair in order.windows(2) {
            assert!(pair[0].lower_heating_value_j_per_kg() > pair[1].lower_heating_value_j_per_kg());
            assert!(pair[0].vaporisation_j_per_kg() < pair[1].vaporisation_j_per_kg());
        }
    }
}
