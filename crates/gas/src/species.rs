//! The pure gases we know: their atoms, and their heat capacity, enthalpy and entropy.
//!
//! Leaves out mixtures ([`crate::composition`]) and what flows ([`crate::transport`]).

use crate::species_data::SPECIES;

/// Universal gas constant, J/(kmol K). CODATA 2018, exact.
pub const UNIVERSAL_GAS_CONSTANT: f64 = 8_314.462_618_153_24;

/// Pressure of the reference entropies, Pa: 1 bar (NASA TM-4513).
pub const REFERENCE_PRESSURE_PA: f64 = 1.0e5;

/// Standard atomic weights, kg/kmol, of C, H, O, N, Ar (IUPAC 2021, abridged).
pub const ATOMIC_WEIGHT: [f64; N_ELEMENTS] = [12.011, 1.008, 15.999, 14.007, 39.95];

/// Elements counted: C, H, O, N, Ar.
pub const N_ELEMENTS: usize = 5;

/// Species known.
pub const N_SPECIES: usize = 22;

/// The first so many can appear in burned gas; the others are fuels.
pub const N_PRODUCTS: usize = 15;

/// A pure gas.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(usize)]
#[expect(missing_docs, reason = "the names are chemical formulas")]
pub enum Species {
    N2,
    O2,
    Ar,
    Co2,
    H2o,
    Co,
    H2,
    Oh,
    H,
    O,
    No,
    N,
    No2,
    Ho2,
    N2o,
    Methane,
    Propane,
    Methanol,
    Ethanol,
    Toluene,
    NHeptane,
    IsoOctane,
}

/// The numbers of a species: two NASA seven-coefficient polynomials that meet at `t_mid_k`.
#[derive(Clone, Copy, Debug)]
pub struct SpeciesData {
    /// Formula or name.
    pub name: &'static str,
    /// Atoms of C, H, O, N, Ar.
    pub atoms: [u8; N_ELEMENTS],
    /// Where the polynomials meet, K.
    pub t_mid_k: f64,
    /// Coefficients a1 to a7 from 200 K to `t_mid_k`.
    pub low: [f64; 7],
    /// Coefficients a1 to a7 from `t_mid_k` to 6000 K.
    pub high: [f64; 7],
    /// Lennard-Jones well depth over Boltzmann's constant, K; zero where not known.
    pub well_depth_k: f64,
    /// Lennard-Jones diameter, angstrom; zero where not known.
    pub diameter_angstrom: f64,
}

impl Species {
    /// All species, in the order of every array of [`N_SPECIES`].
    pub const ALL: [Self; N_SPECIES] = [
        Self::N2,
        Self::O2,
        Self::Ar,
        Self::Co2,
        Self::H2o,
        Self::Co,
        Self::H2,
        Self::Oh,
        Self::H,
        Self::O,
        Self::No,
        Self::N,
        Self::No2,
        Self::Ho2,
        Self::N2o,
        Self::Methane,
        Self::Propane,
        Self::Methanol,
        Self::Ethanol,
        Self::Toluene,
        Self::NHeptane,
        Self::IsoOctane,
    ];

    /// Its numbers.
    pub fn data(self) -> &'static SpeciesData {
        &SPECIES[self as usize]
    }

    /// kg/kmol.
    pub fn molar_mass(self) -> f64 {
        self.data().atoms.iter().zip(ATOMIC_WEIGHT).map(|(&n, w)| f64::from(n) * w).sum()
    }

    fn coefficients(self, t_k: f64) -> &'static [f64; 7] {
        let data = self.data();
        if t_k < data.t_mid_k { &data.low } else { &data.high }
    }

    /// Molar heat capacity over the gas constant: a1 + a2 T + a3 T^2 + a4 T^3 + a5 T^4.
    ///
    /// Source: NASA TM-4513 (1993), eq. 1. Fitted over 200 to 6000 K; extrapolated outside.
    pub fn cp_over_r(self, t_k: f64) -> f64 {
        let a = self.coefficients(t_k);
        a[0] + t_k * (a[1] + t_k * (a[2] + t_k * (a[3] + t_k * a[4])))
    }

    /// Molar enthalpy over R T, formation from the elements at 298.15 K included (NASA TM-4513, eq. 2).
    pub fn h_over_rt(self, t_k: f64) -> f64 {
        let a = self.coefficients(t_k);
        a[0] + t_k * (a[1] / 2.0 + t_k * (a[2] / 3.0 + t_k * (a[3] / 4.0 + t_k * a[4] / 5.0))) + a[5] / t_k
    }

    /// Molar entropy at 1 bar over R (NASA TM-4513, eq. 3).
    pub fn s_over_r(self, t_k: f64) -> f64 {
        let a = self.coefficients(t_k);
        a[0] * t_k.ln() + t_k * (a[1] + t_k * (a[2] / 2.0 + t_k * (a[3] / 3.0 + t_k * a[4] / 4.0))) + a[6]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_order_of_the_table_is_that_of_the_names() {
        for (species, formula) in [
            (Species::N2, "N2"),
            (Species::Ar, "Ar"),
            (Species::H2o, "H2O"),
            (Species::No, "NO"),
            (Species::Methane, "CH4"),
            (Species::Ethanol, "C2H5OH"),
            (Species::IsoOctane, "isooctane"),
        ] {
            assert_eq!(species.data().name, formula);
        }
        assert!((Species::IsoOctane.molar_mass() - 114.232).abs() < 1e-9);
    }

    #[test]
    fn exact_polynomials_meet() {
        for species in Species::ALL {
            let t = species.data().t_mid_k;
            let (below, above) = (species.cp_over_r(t * (1.0 - 1e-12)), species.cp_over_r(t));
            assert!((below / above - 1.0).abs() < 2e-3, "{species:?}: {below} against {above}");
            let (below, above) = (species.h_over_rt(t * (1.0 - 1e-12)), species.h_over_rt(t));
            assert!((below - above).abs() < 2e-4 * above.abs().max(1.0), "{species:?}: {below}, {above}");
        }
    }
}
