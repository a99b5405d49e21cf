//! What burned gas is made of at chemical equilibrium, and how its properties change with it.
//!
//! Fifteen product gases of C, H, O, N, Ar. Leaves out soot, condensed water and reaction rates.

use crate::composition::Composition;
use crate::species::{
    N_ELEMENTS, N_PRODUCTS, N_SPECIES, REFERENCE_PRESSURE_PA, Species, UNIVERSAL_GAS_CONSTANT,
};
use thiserror::Error;

/// An equilibrium that could not be found.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum EquilibriumError {
    /// Temperature or pressure outside what the polynomials and the ideal gas hold for.
    #[error("equilibrium asked for at {t_k} K and {p_pa} Pa, needs 200 to 6000 K and a positive pressure")]
    OutOfRange {
        /// K.
        t_k: f64,
        /// Pa.
        p_pa: f64,
    },
    /// Newton's method did not settle; with more carbon than oxygen can take up the gas would hold soot.
    #[error("no gas equilibrium found at {t_k} K and {p_pa} Pa after {iterations} iterations")]
    NotConverged {
        /// K.
        t_k: f64,
        /// Pa.
        p_pa: f64,
        /// Steps tried.
        iterations: usize,
    },
}

/// Gas in chemical equilibrium at a temperature and pressure.
#[derive(Clone, Debug)]
pub struct Equilibrium {
    /// What it is made of.
    pub composition: Composition,
    /// Enthalpy with formation, J/kg.
    pub enthalpy_j_per_kg: f64,
    /// Heat capacity at constant pressure with the reaction following, J/(kg K).
    pub cp_j_per_kg_k: f64,
    /// Isentropic exponent -(d ln p / d ln v) at constant entropy, with the reaction following.
    pub gamma_s: f64,
    /// d ln v / d ln T at constant pressure; 1 for frozen gas.
    pub volume_by_temperature: f64,
    /// d ln v / d ln p at constant temperature; -1 for frozen gas.
    pub volume_by_pressure: f64,
}

const MOST_ITERATIONS: usize = 200;
/// Newton stops when no amount changes by more than this part of the total.
const TOLERANCE: f64 = 1e-12;
/// Amounts below e^-40 of the total are left where they are.
const LEAST_LN_FRACTION: f64 = -40.0;
const N_UNKNOWNS: usize = N_ELEMENTS + 1;

/// Equilibrium of the elements of a gas at a temperature and pressure.
///
/// Minimises the Gibbs energy with Lagrange multipliers for the elements: Newton on their multipliers
/// and the logarithms of the amounts, with the step control of the source.
/// Source: S. Gordon, B. J. McBride (1994), "Computer Program for Calculation of Complex Chemical
/// Equilibrium Compositions and Applications I", NASA RP-1311, eqs. 2.24, 2.26, 2.18, 3.1 to 3.3 (step),
/// 2.50, 2.56, 2.59, 2.63, 2.64, 2.70, 2.71 (derivatives).
/// 200 to 6000 K; below about 600 K trace amounts fall under 1e-17 and are kept there.
pub fn equilibrate(gas: &Composition, t_k: f64, p_pa: f64) -> Result<Equilibrium, EquilibriumError> {
    if !((200.0..=6000.0).contains(&t_k) && 0.0 < p_pa && p_pa.is_finite()) {
        return Err(EquilibriumError::OutOfRange { t_k, p_pa });
    }
    let b = gas.elements_kmol_per_kg();
    let products = &Species::ALL[..N_PRODUCTS];
    let possible: [bool; N_PRODUCTS] = std::array::from_fn(|j| {
        products[j].data().atoms.iter().zip(b).all(|(&count, amount)| count == 0 || amount > 0.0)
    });
    let potential: [f64; N_PRODUCTS] = std::array::from_fn(|j| {
        products[j].h_over_rt(t_k) - products[j].s_over_r(t_k) + (p_pa / REFERENCE_PRESSURE_PA).ln()
    });

    let mut ln_total = (0.1_f64).ln();
    let n_possible = possible.iter().filter(|&&p| p).count() as f64;
    let mut ln_n = [(0.1 / n_possible).ln(); N_PRODUCTS];
    for iteration in 0..MOST_ITERATIONS {
        let total = ln_total.exp();
        let n: [f64; N_PRODUCTS] = std::array::from_fn(|j| if possible[j] { ln_n[j].exp() } else { 0.0 });
        let mu: [f64; N_PRODUCTS] = std::array::from_fn(|j| potential[j] + ln_n[j] - ln_total);
        let mut matrix = element_matrix(&n);
        let sum: f64 = n.iter().sum();
        matrix[N_ELEMENTS][N_ELEMENTS] = sum - total;
        let mut right = [0.0; N_UNKNOWNS];
        for (j, species) in products.iter().enumerate() {
            for (k, &count) in species.data().atoms.iter().enumerate() {
                right[k] += f64::from(count) * n[j] * (mu[j] - 1.0);
            }
            right[N_ELEMENTS] += n[j] * mu[j];
        }
        for (k, amount) in b.iter().enumerate() {
            right[k] += amount;
        }
        right[N_ELEMENTS] += total - sum;
        let solution = solve(matrix, right);

        let step_total = solution[N_ELEMENTS];
        let step: [f64; N_PRODUCTS] = std::array::from_fn(|j| {
            let atoms = products[j].data().atoms;
            let pull: f64 = atoms.iter().zip(solution).map(|(&a, pi)| f64::from(a) * pi).sum();
            step_total + pull - mu[j]
        });
        let mut damping = 1.0_f64.min(2.0 / (5.0 * step_total.abs()).max(1e-300));
        for j in (0..N_PRODUCTS).filter(|&j| possible[j]) {
            let ln_fraction = ln_n[j] - ln_total;
            if ln_fraction > -18.42 {
                damping = damping.min(2.0 / step[j].abs().max(1e-300));
            } else if step[j] > 0.0 {
                let room = (-ln_fraction - 9.212) / (step[j] - step_total);
                damping = damping.min(room.abs());
            }
        }
        let mut change: f64 = step_total.abs();
        for j in (0..N_PRODUCTS).filter(|&j| possible[j]) {
            change = change.max(step[j].abs() * n[j] / sum);
            ln_n[j] = (ln_n[j] + damping * step[j]).max(ln_total + LEAST_LN_FRACTION);
        }
        ln_total += damping * step_total;
        if !change.is_finite() {
            return Err(EquilibriumError::NotConverged { t_k, p_pa, iterations: iteration });
        }
        if damping == 1.0 && change < TOLERANCE {
            let n = std::array::from_fn(|j| if possible[j] { ln_n[j].exp() } else { 0.0 });
            return Ok(with_derivatives(&n, t_k));
        }
    }
    Err(EquilibriumError::NotConverged { t_k, p_pa, iterations: MOST_ITERATIONS })
}

/// Sums a_kj a_ij n_j, bordered by the sums a_kj n_j.
fn element_matrix(n: &[f64; N_PRODUCTS]) -> [[f64; N_UNKNOWNS]; N_UNKNOWNS] {
    let mut matrix = [[0.0; N_UNKNOWNS]; N_UNKNOWNS];
    for (species, &amount) in Species::ALL.iter().zip(n) {
        let atoms = species.data().atoms.map(f64::from);
        for k in 0..N_ELEMENTS {
            for i in 0..N_ELEMENTS {
                matrix[k][i] += atoms[k] * atoms[i] * amount;
            }
            matrix[k][N_ELEMENTS] += atoms[k] * amount;
            matrix[N_ELEMENTS][k] += atoms[k] * amount;
        }
    }
    matrix
}

fn with_derivatives(n: &[f64; N_PRODUCTS], t_k: f64) -> Equilibrium {
    let mut amounts = [0.0; N_SPECIES];
    amounts[..N_PRODUCTS].copy_from_slice(n);
    let matrix = element_matrix(n);
    let total: f64 = n.iter().sum();
    let mut by_temperature = [0.0; N_UNKNOWNS];
    let mut by_pressure = [0.0; N_UNKNOWNS];
    let (mut cp_frozen, mut h_squared, mut enthalpy) = (0.0, 0.0, 0.0);
    for (species, &amount) in Species::ALL.iter().zip(n) {
        let h = species.h_over_rt(t_k);
        for (k, &count) in species.data().atoms.iter().enumerate() {
            by_temperature[k] -= f64::from(count) * amount * h;
            by_pressure[k] += f64::from(count) * amount;
        }
        cp_frozen += amount * species.cp_over_r(t_k);
        h_squared += amount * h * h;
        enthalpy += amount * h;
    }
    by_temperature[N_ELEMENTS] = -enthalpy;
    by_pressure[N_ELEMENTS] = total;
    let weights = by_temperature;
    let from_t = solve(matrix, by_temperature);
    let from_p = solve(matrix, by_pressure);
    let reaction: f64 = weights.iter().zip(from_t).map(|(w, d)| -w * d).sum();
    let cp = cp_frozen + reaction + h_squared;
    let volume_by_temperature = 1.0 + from_t[N_ELEMENTS];
    let volume_by_pressure = -1.0 + from_p[N_ELEMENTS];
    let cv = cp + total * volume_by_temperature * volume_by_temperature / volume_by_pressure;
    Equilibrium {
        composition: Composition::from_amounts(amounts),
        enthalpy_j_per_kg: UNIVERSAL_GAS_CONSTANT * t_k * enthalpy,
        cp_j_per_kg_k: UNIVERSAL_GAS_CONSTANT * cp,
        gamma_s: -cp / (cv * volume_by_pressure),
        volume_by_temperature,
        volume_by_pressure,
    }
}

/// Gaussian elimination with row pivoting; rows without any entry (absent elements) give zero.
fn solve(mut m: [[f64; N_UNKNOWNS]; N_UNKNOWNS], mut r: [f64; N_UNKNOWNS]) -> [f64; N_UNKNOWNS] {
    for (k, row) in m.iter_mut().enumerate() {
        if row.iter().all(|&x| x == 0.0) {
            row[k] = 1.0;
            r[k] = 0.0;
        }
    }
    for col in 0..N_UNKNOWNS {
        let pivot = (col..N_UNKNOWNS)
            .max_by(|&a, &b| m[a][col].abs().total_cmp(&m[b][col].abs()))
            .expect("the range is not empty");
        m.swap(col, pivot);
        r.swap(col, pivot);
        for row in col + 1..N_UNKNOWNS {
            let factor = m[row][col] / m[col][col];
            let pivot_row = m[col];
            for (entry, above) in m[row][col..].iter_mut().zip(&pivot_row[col..]) {
                *entry -= factor * above;
            }
            r[row] -= factor * r[col];
        }
    }
    for col in (0..N_UNKNOWNS).rev() {
        let above: f64 = (col + 1..N_UNKNOWNS).map(|k| m[col][k] * r[k]).sum();
        r[col] = (r[col] - above) / m[col][col];
    }
    r
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    fn burned() -> Composition {
        let fuel = Composition::from_moles(&[(Species::IsoOctane, 1.0)]);
        let air = Composition::dry_air();
        Composition::blend(&[(&fuel, 1.0), (&air, 15.1)])
    }

    #[test]
    fn exact_elements_are_kept() {
        let gas = burned();
        for (t, p) in [(400.0, 1e5), (1700.0, 1e5), (3000.0, 1e5), (2500.0, 1e7)] {
            let found = equilibrate(&gas, t, p).unwrap();
            let (a, b) = (gas.elements_kmol_per_kg(), found.composition.elements_kmol_per_kg());
            for (x, y) in a.iter().zip(b) {
                assert!((x - y).abs() < 1e-11, "{t} K {p} Pa: {a:?} {b:?}");
            }
        }
    }

    /// cp is the slope of the enthalpy, the volume derivatives those of R T / p: by central differences.
    #[test]
    fn exact_derivatives_are_those_of_the_state() {
        let gas = burned();
        let (t, p) = (2600.0, 2e6);
        let at = |t: f64, p: f64| equilibrate(&gas, t, p).unwrap();
        let here = at(t, p);
        let (lo, hi) = (at(t - 0.5, p), at(t + 0.5, p));
        let cp = hi.enthalpy_j_per_kg - lo.enthalpy_j_per_kg;
        assert!((cp / here.cp_j_per_kg_k - 1.0).abs() < 1e-6);
        let r = |e: &Equilibrium| e.composition.gas_constant_j_per_kg_k().ln();
        let by_t = 1.0 + (r(&hi) - r(&lo)) * t;
        assert!((by_t - here.volume_by_temperature).abs() < 1e-6);
        let by_p = -1.0 + (r(&at(t, p * 1.0005)) - r(&at(t, p * 0.9995))) / 1e-3;
        assert!((by_p - here.volume_by_pressure).abs() < 1e-6);
    }

    #[test]
    fn exact_a_gas_that_cannot_react_stays() {
        let argon = Composition::from_moles(&[(Species::Ar, 1.0)]);
        let found = equilibrate(&argon, 3000.0, 1e5).unwrap();
        assert!((found.gamma_s - 5.0 / 3.0).abs() < 1e-12);
    }

    #[test]
    fn exact_nonsense_is_refused() {
        assert!(matches!(equilibrate(&burned(), f64::NAN, 1e5), Err(EquilibriumError::OutOfRange { .. })));
        assert!(matches!(equilibrate(&burned(), 2000.0, -1.0), Err(EquilibriumError::OutOfRange { .. })));
    }
}
