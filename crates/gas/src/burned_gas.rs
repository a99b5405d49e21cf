//! Burned gas as tables: frozen below a temperature, in equilibrium above it, to a promised accuracy.
//!
//! Built once at start-up from [`crate::equilibrium`]; looked up in the cylinder's energy balance. Leaves out
//! the fuel's own chemistry: unburned fuel is not in these tables.

use crate::composition::Composition;
use crate::equilibrium::{EquilibriumError, equilibrate};
use thiserror::Error;

/// Below this temperature burned gas is taken as frozen, K. Common practice (recombination slower than the
/// expansion); Heywood (1988), "Internal Combustion Engine Fundamentals", section 4.5, uses 1700 K.
pub const FREEZING_TEMPERATURE_K: f64 = 1700.0;

const T_MIN_K: f64 = 250.0;
const T_MAX_K: f64 = 3200.0;
const P_MIN_PA: f64 = 1.0e4;
const P_MAX_PA: f64 = 3.0e7;
const MOST_NODES: usize = 129;

/// A table that could not be built.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum BurnedGasError {
    /// The equilibrium failed at a node.
    #[error(transparent)]
    Equilibrium(#[from] EquilibriumError),
    /// The accuracy asked for needs a finer table than we are ready to build.
    #[error(
        "burned-gas table reached {reached:e} relative accuracy with {nodes} nodes a side, {asked:e} was asked"
    )]
    Accuracy {
        /// As asked.
        asked: f64,
        /// With the finest table.
        reached: f64,
        /// Its nodes along each axis.
        nodes: usize,
    },
}

/// Properties of burned gas at one temperature and pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BurnedState {
    /// Enthalpy with formation, J/kg.
    pub enthalpy_j_per_kg: f64,
    /// Heat capacity at constant pressure, J/(kg K); with the reaction following above freezing.
    pub cp_j_per_kg_k: f64,
    /// Gas constant, J/(kg K).
    pub gas_constant_j_per_kg_k: f64,
    /// Isentropic exponent, with the reaction following above freezing.
    pub gamma_s: f64,
}

/// Tables of burned gas of one composition of elements.
#[derive(Clone, Debug)]
pub struct BurnedGas {
    frozen: Table,
    reacting: Table,
}

impl BurnedGas {
    /// Tables for the elements of `unburned`, whose four properties differ from the equilibrium solver's by
    /// less than `accuracy` (relative; of the enthalpy, relative to cp T), as measured between all nodes.
    ///
    /// 250 to 3200 K and 0.1 to 300 bar; lookups outside are taken at the nearest edge.
    pub fn new(unburned: &Composition, accuracy: f64) -> Result<Self, BurnedGasError> {
        let frozen = |t_k: f64, p_pa: f64| {
            let gas = equilibrate(unburned, FREEZING_TEMPERATURE_K, p_pa)?.composition;
            Ok(BurnedState {
                enthalpy_j_per_kg: gas.enthalpy_j_per_kg(t_k),
                cp_j_per_kg_k: gas.cp_j_per_kg_k(t_k),
                gas_constant_j_per_kg_k: gas.gas_constant_j_per_kg_k(),
                gamma_s: gas.gamma(t_k),
            })
        };
        let reacting = |t_k: f64, p_pa: f64| {
            let gas = equilibrate(unburned, t_k, p_pa)?;
            Ok(BurnedState {
                enthalpy_j_per_kg: gas.enthalpy_j_per_kg,
                cp_j_per_kg_k: gas.cp_j_per_kg_k,
                gas_constant_j_per_kg_k: gas.composition.gas_constant_j_per_kg_k(),
                gamma_s: gas.gamma_s,
            })
        };
        Ok(Self {
            frozen: Table::refine(frozen, T_MIN_K, FREEZING_TEMPERATURE_K, accuracy)?,
            reacting: Table::refine(reacting, FREEZING_TEMPERATURE_K, T_MAX_K, accuracy)?,
        })
    }

    /// Properties at a temperature and pressure, clamped to the table's range.
    pub fn state(&self, t_k: f64, p_pa: f64) -> BurnedState {
        let table = if t_k < FREEZING_TEMPERATURE_K { &self.frozen } else { &self.reacting };
        table.look_up(t_k, p_pa)
    }

    /// Nodes along the temperature and the pressure axis, of the frozen and of the reacting part.
    pub fn n_nodes(&self) -> [(usize, usize); 2] {
        [(self.frozen.n_t, self.frozen.n_p), (self.reacting.n_t, self.reacting.n_p)]
    }
}

/// Four properties over an even grid of temperature and the logarithm of pressure.
#[derive(Clone, Debug)]
struct Table {
    t_min_k: f64,
    t_max_k: f64,
    n_t: usize,
    n_p: usize,
    nodes: Vec<[f64; 4]>,
}

impl Table {
    /// Doubles the grid until the value between nodes is right.
    fn refine(
        exact: impl Fn(f64, f64) -> Result<BurnedState, EquilibriumError>,
        t_min_k: f64,
        t_max_k: f64,
        accuracy: f64,
    ) -> Result<Self, BurnedGasError> {
        let (mut n_t, mut n_p) = (9, 9);
        loop {
            let mut table = Self { t_min_k, t_max_k, n_t, n_p, nodes: Vec::with_capacity(n_t * n_p) };
            for i in 0..n_t {
                for j in 0..n_p {
                    let (t, p) = table.node(i as f64, j as f64);
                    let s = exact(t, p)?;
                    table.nodes.push([
                        s.enthalpy_j_per_kg,
                        s.cp_j_per_kg_k,
                        s.gas_constant_j_per_kg_k,
                        s.gamma_s,
                    ]);
                }
            }
            let along_t = table.worst(&exact, 0.5, 0.0)?;
            let along_p = table.worst(&exact, 0.0, 0.5)?;
            // The two errors can add up.
            if along_t + along_p < accuracy {
                return Ok(table);
            }
            if n_t.max(n_p) >= MOST_NODES {
                return Err(BurnedGasError::Accuracy {
                    asked: accuracy,
                    reached: along_t + along_p,
                    nodes: n_t.max(n_p),
                });
            }
            if along_t > 0.3 * accuracy {
                n_t = 2 * n_t - 1;
            }
            if along_p > 0.3 * accuracy {
                n_p = 2 * n_p - 1;
            }
        }
    }

    fn node(&self, i: f64, j: f64) -> (f64, f64) {
        let t = self.t_min_k + (self.t_max_k - self.t_min_k) * i / (self.n_t - 1) as f64;
        let p = P_MIN_PA * (P_MAX_PA / P_MIN_PA).powf(j / (self.n_p - 1) as f64);
        (t, p)
    }

    /// Worst relative difference from `exact` at points moved off every node by a part of the spacing.
    fn worst(
        &self,
        exact: impl Fn(f64, f64) -> Result<BurnedState, EquilibriumError>,
        off_t: f64,
        off_p: f64,
    ) -> Result<f64, EquilibriumError> {
        let mut worst: f64 = 0.0;
        for i in 0..self.n_t - 1 {
            for j in 0..self.n_p - 1 {
                let (t, p) = self.node(i as f64 + off_t, j as f64 + off_p);
                let (a, b) = (self.look_up(t, p), exact(t, p)?);
                worst = worst
                    .max((a.enthalpy_j_per_kg - b.enthalpy_j_per_kg).abs() / (b.cp_j_per_kg_k * t))
                    .max((a.cp_j_per_kg_k / b.cp_j_per_kg_k - 1.0).abs())
                    .max((a.gas_constant_j_per_kg_k / b.gas_constant_j_per_kg_k - 1.0).abs())
                    .max((a.gamma_s / b.gamma_s - 1.0).abs());
            }
        }
        Ok(worst)
    }

    /// Cubic Lagrange interpolation through the four nearest nodes along each axis.
    fn look_up(&self, t_k: f64, p_pa: f64) -> BurnedState {
        let t = (t_k.clamp(self.t_min_k, self.t_max_k) - self.t_min_k) / (self.t_max_k - self.t_min_k);
        let p = (p_pa.clamp(P_MIN_PA, P_MAX_PA) / P_MIN_PA).ln() / (P_MAX_PA / P_MIN_PA).ln();
        let (i, weights_t) = lagrange(t * (self.n_t - 1) as f64, self.n_t);
        let (j, weights_p) = lagrange(p * (self.n_p - 1) as f64, self.n_p);
        let mut sum = [0.0; 4];
        for (a, wt) in weights_t.iter().enumerate() {
            let row = (i + a) * self.n_p + j;
            for (node, wp) in self.nodes[row..row + 4].iter().zip(weights_p) {
                for (s, value) in sum.iter_mut().zip(node) {
                    *s += wt * wp * value;
                }
            }
        }
        let [enthalpy_j_per_kg, cp_j_per_kg_k, gas_constant_j_per_kg_k, gamma_s] = sum;
        BurnedState { enthalpy_j_per_kg, cp_j_per_kg_k, gas_constant_j_per_kg_k, gamma_s }
    }
}

/// First of four nodes around a position on an axis of `n` nodes, and their weights.
fn lagrange(position: f64, n: usize) -> (usize, [f64; 4]) {
    let first = (position as usize).saturating_sub(1).min(n - 4);
    let x = position - first as f64;
    let (a, b, c, d) = (x, x - 1.0, x - 2.0, x - 3.0);
    (first, [-b * c * d / 6.0, a * c * d / 2.0, -a * b * d / 2.0, a * b * c / 6.0])
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::species::Species;

    fn mixture(phi: f64) -> Composition {
        Composition::from_moles(&[(Species::IsoOctane, phi), (Species::O2, 12.5), (Species::N2, 12.5 * 3.76)])
    }

    /// The promise, down a ladder, at points that are no nodes and no midpoints.
    #[test]
    fn converges_to_the_accuracy_asked_for() {
        let gas = mixture(1.1);
        for accuracy in [1e-2, 1e-3, 1e-4] {
            let table = BurnedGas::new(&gas, accuracy).unwrap();
            for i in 0..40 {
                let t = 1700.0 + 37.3 * f64::from(i);
                let p = 1.1e4 * 1.2_f64.powi(i);
                let (a, b) = (table.state(t, p), equilibrate(&gas, t, p).unwrap());
                let worst = ((a.enthalpy_j_per_kg - b.enthalpy_j_per_kg) / (b.cp_j_per_kg_k * t))
                    .abs()
                    .max((a.cp_j_per_kg_k / b.cp_j_per_kg_k - 1.0).abs())
                    .max((a.gamma_s / b.gamma_s - 1.0).abs());
                assert!(worst < accuracy, "{t} K, {p} Pa: {worst:e} at accuracy {accuracy:e}");
            }
        }
    }

    #[test]
    fn exact_asking_too_much_is_an_error() {
        assert!(matches!(BurnedGas::new(&mixture(1.0), 1e-14), Err(BurnedGasError::Accuracy { .. })));
    }
}
