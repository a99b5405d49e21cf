//! How viscous a gas is and how well it conducts heat.
//!
//! Kinetic theory with Lennard-Jones molecules. Leaves out polar corrections (water vapour below 500 K is a few
//! percent off) and diffusion.

use crate::composition::Composition;
use crate::species::{Species, UNIVERSAL_GAS_CONSTANT};

/// Lennard-Jones parameters of a species: depth in K, diameter in angstrom.
///
/// Fuels without published ones here take those of propane scaled to their size, depth as the boiling point and
/// diameter as the cube root of the molar mass; a charge holds under 3 % of such molecules.
fn lennard_jones(species: Species) -> (f64, f64) {
    let data = species.data();
    if data.well_depth_k > 0.0 {
        return (data.well_depth_k, data.diameter_angstrom);
    }
    let propane = Species::Propane.data();
    let size = species.molar_mass() / Species::Propane.molar_mass();
    (propane.well_depth_k * size.sqrt(), propane.diameter_angstrom * size.cbrt())
}

/// Viscosity of a pure gas, Pa s: 2.6693e-6 sqrt(M T) / (sigma^2 Omega).
///
/// Source: R. B. Bird, W. E. Stewart, E. N. Lightfoot (2002), "Transport Phenomena", 2nd ed., eq. 1.4-14;
/// Omega by P. D. Neufeld, A. R. Janzen, R. A. Aziz (1972), J. Chem. Phys. 57:1100. T/depth from 0.3 to 100.
fn viscosity_pure(species: Species, t_k: f64) -> f64 {
    let (depth, diameter) = lennard_jones(species);
    let t = t_k / depth;
    let omega =
        1.161_45 / t.powf(0.148_74) + 0.524_87 / (0.773_20 * t).exp() + 2.161_78 / (2.437_87 * t).exp();
    2.6693e-6 * (species.molar_mass() * t_k).sqrt() / (diameter * diameter * omega)
}

/// Viscosity of a mixture, Pa s, by Wilke's rule.
///
/// Source: C. R. Wilke (1950), J. Chem. Phys. 18:517, eqs. 13 and 14. Within 4 % of Cantera's for air and
/// burned gas from 300 to 3000 K (tested).
pub fn viscosity_pa_s(gas: &Composition, t_k: f64) -> f64 {
    mix(gas, t_k, |s| viscosity_pure(s, t_k))
}

/// Heat conductivity of a mixture, W/(m K), by Wassiljewa's rule with Wilke's weights.
///
/// Pure gases by the modified Eucken formula, (f_trans cv_trans + f_int cv_int) mu / M with 2.5 and 1.32.
/// Source: B. E. Poling, J. M. Prausnitz, J. P. O'Connell (2001), "The Properties of Gases and Liquids", 5th ed.,
/// eqs. 10-3.2 and 10-6.1. Within 8 % of Cantera's for air and burned gas from 300 to 3000 K (tested).
pub fn conductivity_w_per_m_k(gas: &Composition, t_k: f64) -> f64 {
    mix(gas, t_k, |s| {
        let internal = s.cp_over_r(t_k) - 2.5;
        viscosity_pure(s, t_k) * UNIVERSAL_GAS_CONSTANT / s.molar_mass() * (2.5 * 1.5 + 1.32 * internal)
    })
}

/// Prandtl number, mu cp / k.
pub fn prandtl(gas: &Composition, t_k: f64) -> f64 {
    viscosity_pa_s(gas, t_k) * gas.cp_j_per_kg_k(t_k) / conductivity_w_per_m_k(gas, t_k)
}

fn mix(gas: &Composition, t_k: f64, pure: impl Fn(Species) -> f64) -> f64 {
    let present: Vec<(f64, f64, f64, f64)> = Species::ALL
        .iter()
        .zip(gas.kmol_per_kg())
        .filter(|&(_, &n)| n > 0.0)
        .map(|(&s, &n)| (n, s.molar_mass(), viscosity_pure(s, t_k), pure(s)))
        .collect();
    let mut sum = 0.0;
    for &(n, m, mu, value) in &present {
        let weighted: f64 = present
            .iter()
            .map(|&(n_other, m_other, mu_other, _)| {
                let root = 1.0 + (mu / mu_other).sqrt() * (m_other / m).powf(0.25);
                n_other * root * root / (8.0 * (1.0 + m / m_other)).sqrt()
            })
            .sum();
        sum += n * value / weighted;
    }
    sum
}
