//! Energy and gas constant of what a cylinder holds: air, fuel vapour and burned gas that dissociates when hot.
//!
//! Energies count formation, so burning moves mass between components and leaves the energy as it is. Frozen
//! parts are the NASA polynomials of the pipes; burned gas above its freezing temperature gets what dissociation
//! adds from a fit to the equilibrium, made once for a charge. In lanes. Leaves out what burns when.

use super::lanes::gather;
use crate::charge_gas::ChargeGas;
use gas::burned_gas::FREEZING_TEMPERATURE_K;
use gas::composition::Composition;
use gas::equilibrium::{EquilibriumError, equilibrate};
use gas::lane::Lane;
use gas::pipe::sensible_offset_j_per_kg;
use gas::species::{Species, UNIVERSAL_GAS_CONSTANT};

/// Air, fuel vapour, burned gas.
pub const N_COMPONENTS: usize = 3;

/// Where the polynomials of all species meet, K.
const T_MID_K: f64 = 1000.0;

/// Powers of temperature above freezing, and of the logarithm of pressure, in the fit of dissociation.
const N_T: usize = 5;
const N_P: usize = 4;
/// Temperatures are counted in this, K, and no more of it than this above freezing are told apart.
const T_SCALE_K: f64 = 1000.0;
const Z_MAX: f64 = 1.6;
/// Pressure the logarithm is taken of, Pa, and how far it goes to either side.
pub(super) const P_SCALE_PA: f64 = 2.0e6;
const LN_P_MIN: f64 = -3.0;
const LN_P_MAX: f64 = 2.7;

/// What a zone is made of is a blend of these; all linear in the mass fractions.
#[derive(Clone, Copy, Debug)]
struct Caloric<L> {
    gas_constant: L,
    /// Internal energy with formation is T (b0 + b1 T + .. b4 T^4) plus b5, below and above `T_MID_K`.
    low: [L; 6],
    high: [L; 6],
}

/// The gases of a cylinder.
#[derive(Clone, Copy, Debug)]
pub struct WorkingGas<L> {
    component: [Caloric<L>; N_COMPONENTS],
    /// Internal energy with formation less the sensible energy pipes carry, J/kg.
    pub(super) offset: [L; N_COMPONENTS],
    /// Added by dissociation to a kilogram of burned gas: z times a polynomial in z and ln p, J/kg and J/(kg K).
    dissociation: [[[L; N_P]; N_T]; 2],
    /// Air that burns with a kilogram of fuel to burned gas, kg.
    pub(super) air_per_fuel: L,
    /// Energy with formation that a kilogram of liquid fuel brings in, J/kg.
    pub(super) liquid_fuel_j_per_kg: L,
}

/// Gas of one composition.
#[derive(Clone, Copy, Debug)]
pub(super) struct Zone<L> {
    caloric: Caloric<L>,
    burned: L,
}

/// A zone at a temperature and pressure.
#[derive(Clone, Copy, Debug)]
pub(super) struct ZoneState<L> {
    /// Internal energy with formation, J/kg.
    pub u: L,
    /// Its slope at constant pressure, J/(kg K).
    pub du_dt: L,
    /// Gas constant, J/(kg K).
    pub r: L,
    /// Slope of the gas constant at constant pressure.
    pub dr_dt: L,
}

impl<L: Lane> ZoneState<L> {
    /// Heat capacity at constant pressure, J/(kg K): the slope of u + R T.
    #[inline(always)]
    pub fn cp(&self, t: L) -> L {
        self.dr_dt.fma(t, self.r + self.du_dt)
    }

    /// d ln T / d ln p at constant entropy: p v / (cp T) times d ln v / d ln T.
    #[inline(always)]
    pub fn isentropic_slope(&self, t: L) -> L {
        let expansion = self.dr_dt.fma(t, self.r);
        expansion / (self.du_dt + expansion)
    }
}

impl WorkingGas<f64> {
    /// The gases of a charge.
    ///
    /// Dissociation adds to the energy and the gas constant of burned gas what lies between equilibrium and the
    /// gas frozen at 1700 K: least squares over 1700 to 3300 K and 1 to 300 bar. Energy within 0.4 % of cv T and
    /// gas constant within 0.1 % of the equilibrium there, mixtures of lambda 0.7 to 1.3 (tested).
    pub fn new(gas: &ChargeGas, vaporisation_j_per_kg: f64) -> Result<Self, EquilibriumError> {
        let parts = gas.parts();
        let mixed = Composition::blend(&[(&gas.air, 1.0), (&gas.fuel, gas.fuel_per_air)]);
        Ok(Self {
            component: parts.map(|c| Caloric::of(&c)),
            offset: parts.map(|c| sensible_offset_j_per_kg(&c)),
            dissociation: fit_dissociation(&mixed, &gas.burned)?,
            air_per_fuel: 1.0 / gas.fuel_per_air,
            liquid_fuel_j_per_kg: gas.fuel.enthalpy_j_per_kg(298.15) - vaporisation_j_per_kg,
        })
    }

    /// A perfect gas in every component that releases `heat_j_per_kg` a kilogram of charge when it burns.
    ///
    /// For comparison with closed formulas only.
    pub fn perfect(gamma: f64, gas_constant: f64, heat_j_per_kg: f64, air_per_fuel: f64) -> Self {
        let cv = gas_constant / (gamma - 1.0);
        let caloric = |formation: f64| {
            let b = [cv, 0.0, 0.0, 0.0, 0.0, formation];
            Caloric { gas_constant, low: b, high: b }
        };
        let fuel = heat_j_per_kg * (1.0 + air_per_fuel);
        Self {
            component: [caloric(0.0), caloric(fuel), caloric(0.0)],
            offset: [0.0, fuel, 0.0],
            dissociation: [[[0.0; N_P]; N_T]; 2],
            air_per_fuel,
            liquid_fuel_j_per_kg: fuel,
        }
    }
}

impl<L: Lane> WorkingGas<L> {
    /// Variants side by side; needs at least one.
    pub fn gather(variants: &[WorkingGas<f64>]) -> Self {
        Self {
            component: std::array::from_fn(|c| Caloric {
                gas_constant: gather(variants, |v| v.component[c].gas_constant),
                low: std::array::from_fn(|i| gather(variants, |v| v.component[c].low[i])),
                high: std::array::from_fn(|i| gather(variants, |v| v.component[c].high[i])),
            }),
            offset: std::array::from_fn(|c| gather(variants, |v| v.offset[c])),
            dissociation: std::array::from_fn(|k| {
                std::array::from_fn(|i| {
                    std::array::from_fn(|j| gather(variants, |v| v.dissociation[k][i][j]))
                })
            }),
            air_per_fuel: gather(variants, |v| v.air_per_fuel),
            liquid_fuel_j_per_kg: gather(variants, |v| v.liquid_fuel_j_per_kg),
        }
    }

    /// Gas with these mass fractions of fuel vapour and burned gas.
    #[inline(always)]
    pub(super) fn zone(&self, fuel: L, burned: L) -> Zone<L> {
        let air = L::splat(1.0) - fuel - burned;
        let [a, f, b] = &self.component;
        macro_rules! blend {
            ($($field:tt)+) => { air.fma(a.$($field)+, fuel.fma(f.$($field)+, burned * b.$($field)+)) };
        }
        macro_rules! blend_all {
            ($side:ident) => {
                [
                    blend!($side[0]),
                    blend!($side[1]),
                    blend!($side[2]),
                    blend!($side[3]),
                    blend!($side[4]),
                    blend!($side[5]),
                ]
            };
        }
        Zone {
            caloric: Caloric {
                gas_constant: blend!(gas_constant),
                low: blend_all!(low),
                high: blend_all!(high),
            },
            burned,
        }
    }

    /// Energy and gas constant of a zone at a temperature (K) and the logarithm of p over [`P_SCALE_PA`].
    #[inline(always)]
    pub(super) fn state(&self, zone: &Zone<L>, t: L, ln_p: L) -> ZoneState<L> {
        let c = &zone.caloric;
        let hot = L::splat(T_MID_K).lt(t);
        let mut b = c.low;
        for (low, high) in b.iter_mut().zip(&c.high) {
            *low = L::sel(hot, *high, *low);
        }
        let (over_t, mut du_dt) = polynomial(&[b[0], b[1], b[2], b[3], b[4]], t);
        let mut u = over_t.fma(t, b[5]);
        let (mut r, mut dr_dt) = (c.gas_constant, L::splat(0.0));
        let z = (t - L::splat(FREEZING_TEMPERATURE_K)) * L::splat(1.0 / T_SCALE_K);
        let reacts = L::splat(0.0).lt(z);
        // What is left out is exactly zero.
        if L::any(reacts) {
            let within = L::and(reacts, z.lt(L::splat(Z_MAX)));
            let z = z.max(L::splat(0.0)).min(L::splat(Z_MAX));
            let ln_p = ln_p.max(L::splat(LN_P_MIN)).min(L::splat(LN_P_MAX));
            let per_k = L::sel(within, zone.burned * L::splat(1.0 / T_SCALE_K), L::splat(0.0));
            let share = zone.burned * z;
            let (over_z, slope) = surface(&self.dissociation[0], z, ln_p);
            u = share.fma(over_z, u);
            du_dt = per_k.fma(slope, du_dt);
            let (over_z, slope) = surface(&self.dissociation[1], z, ln_p);
            r = share.fma(over_z, r);
            dr_dt = per_k * slope;
        }
        ZoneState { u, du_dt, r, dr_dt }
    }
}

/// The polynomial in z whose coefficients are polynomials in ln p, and the slope over z of z times it.
#[inline(always)]
fn surface<L: Lane>(fit: &[[L; N_P]; N_T], z: L, ln_p: L) -> (L, L) {
    let mut in_z = [L::splat(0.0); N_T];
    for (coefficient, row) in in_z.iter_mut().zip(fit) {
        *coefficient = row[3].fma(ln_p, row[2]).fma(ln_p, row[1]).fma(ln_p, row[0]);
    }
    polynomial(&in_z, z)
}

/// b0 + b1 x + .. b4 x^4, and the slope of x times that.
#[inline(always)]
fn polynomial<L: Lane>(b: &[L; 5], x: L) -> (L, L) {
    let q1 = b[4].fma(x, b[3]);
    let d1 = b[4].fma(x, q1);
    let q2 = q1.fma(x, b[2]);
    let d2 = d1.fma(x, q2);
    let q3 = q2.fma(x, b[1]);
    let d3 = d2.fma(x, q3);
    let q4 = q3.fma(x, b[0]);
    (q4, d3.fma(x, q4))
}

impl Caloric<f64> {
    /// NASA TM-4513 (1993): enthalpy from the coefficients of heat capacity, less R T.
    fn of(component: &Composition) -> Self {
        let sum = |number: &dyn Fn(Species) -> f64| -> f64 {
            let amounts = Species::ALL.iter().zip(component.kmol_per_kg());
            UNIVERSAL_GAS_CONSTANT * amounts.map(|(&s, n)| n * number(s)).sum::<f64>()
        };
        let side = |high: bool| {
            let a = |s: Species, i: usize| if high { s.data().high[i] } else { s.data().low[i] };
            std::array::from_fn(|i| match i {
                0 => sum(&|s| a(s, 0) - 1.0),
                5 => sum(&|s| a(s, 5)),
                _ => sum(&|s| a(s, i) / (i + 1) as f64),
            })
        };
        Self { gas_constant: component.gas_constant_j_per_kg_k(), low: side(false), high: side(true) }
    }
}

/// Energy (J/kg) and gas constant (J/(kg K)) that dissociation adds, as coefficients of z^(i+1) (ln p)^j.
fn fit_dissociation(
    unburned: &Composition,
    frozen: &Composition,
) -> Result<[[[f64; N_P]; N_T]; 2], EquilibriumError> {
    const N: usize = N_T * N_P;
    const T_NODES: usize = 9;
    const P_NODES: usize = 6;
    let mut normal = [[0.0; N]; N];
    let mut right = [[0.0; N]; 2];
    // Chebyshev nodes keep the error even up to the edges.
    let node = |i: usize, n: usize| 0.5 * (1.0 - (std::f64::consts::PI * (i as f64 + 0.5) / n as f64).cos());
    for i in 0..T_NODES {
        for j in 0..P_NODES {
            let z = Z_MAX * node(i, T_NODES);
            let ln_p = LN_P_MIN + (LN_P_MAX - LN_P_MIN) * node(j, P_NODES);
            let t = FREEZING_TEMPERATURE_K + T_SCALE_K * z;
            let found = equilibrate(unburned, t, P_SCALE_PA * ln_p.exp())?;
            let r = found.composition.gas_constant_j_per_kg_k();
            let energy = found.enthalpy_j_per_kg - r * t - frozen.internal_energy_j_per_kg(t);
            let targets = [energy, r - frozen.gas_constant_j_per_kg_k()];
            let mut row = [0.0; N];
            for (k, entry) in row.iter_mut().enumerate() {
                *entry = z.powi((k / N_P) as i32 + 1) * ln_p.powi((k % N_P) as i32);
            }
            for a in 0..N {
                for b in 0..N {
                    normal[a][b] += row[a] * row[b];
                }
                for (sums, target) in right.iter_mut().zip(targets) {
                    sums[a] += row[a] * target;
                }
            }
        }
    }
    Ok(right.map(|r| {
        let flat = solve_symmetric(normal, r);
        std::array::from_fn(|i| std::array::from_fn(|j| flat[i * N_P + j]))
    }))
}

/// Cholesky; the matrix is positive definite because there are more nodes than powers.
fn solve_symmetric<const N: usize>(mut m: [[f64; N]; N], mut r: [f64; N]) -> [f64; N] {
    for i in 0..N {
        for j in 0..=i {
            let done: f64 = (0..j).map(|k| m[i][k] * m[j][k]).sum();
            let sum = m[i][j] - done;
            m[i][j] = if i == j { sum.sqrt() } else { sum / m[j][j] };
        }
        let done: f64 = (0..i).map(|k| m[i][k] * r[k]).sum();
        r[i] = (r[i] - done) / m[i][i];
    }
    for i in (0..N).rev() {
        let done: f64 = (i + 1..N).map(|k| m[k][i] * r[k]).sum();
        r[i] = (r[i] - done) / m[i][i];
    }
    r
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::model::Charge;
    use gas::fuel::Fuel;

    fn check(fuel: Fuel, lambda: f64) -> [f64; 2] {
        let charge = Charge { fuel, lambda, vapour: 1.0, ron: 95.0, mon: 85.0 };
        let gas = ChargeGas::from_charge(&charge, 0.01).unwrap();
        let working = WorkingGas::new(&gas, 0.0).unwrap();
        let zone = working.zone(0.0, 1.0);
        let mixed = Composition::blend(&[(&gas.air, 1.0), (&gas.fuel, gas.fuel_per_air)]);
        let mut worst = [0.0_f64; 2];
        for i in 0..26 {
            for p_bar in [1.5, 4.0, 12.0, 33.0, 80.0, 200.0] {
                let (t, p) = (1705.0 + 60.7 * f64::from(i), 1e5 * p_bar);
                let exact = equilibrate(&mixed, t, p).unwrap();
                let r = exact.composition.gas_constant_j_per_kg_k();
                let u = exact.enthalpy_j_per_kg - r * t;
                let found = working.state(&zone, t, (p / P_SCALE_PA).ln());
                let cv_t = (exact.composition.cp_j_per_kg_k(t) - r) * t;
                worst[0] = worst[0].max(((found.u - u) / cv_t).abs());
                worst[1] = worst[1].max((found.r / r - 1.0).abs());
                let slope = |d: f64| {
                    let (hi, lo) = (
                        working.state(&zone, t + d, (p / P_SCALE_PA).ln()),
                        working.state(&zone, t - d, (p / P_SCALE_PA).ln()),
                    );
                    [(hi.u - lo.u) / (2.0 * d), (hi.r - lo.r) / (2.0 * d)]
                };
                let [du, dr] = slope(0.01);
                assert!((found.du_dt / du - 1.0).abs() < 1e-6, "{t} K: {} against {du}", found.du_dt);
                assert!((found.dr_dt - dr).abs() < 1e-6, "{t} K: {} against {dr}", found.dr_dt);
            }
        }
        worst
    }

    #[test]
    fn exact_dissociation_is_that_of_the_equilibrium() {
        for fuel in [Fuel::Gasoline, Fuel::Methanol, Fuel::Methane] {
            for lambda in [0.7, 0.85, 1.0, 1.15, 1.3] {
                let [energy, gas_constant] = check(fuel, lambda);
                assert!(energy < 4e-3, "{fuel:?} {lambda}: energy off by {energy:e} of cv T");
                assert!(gas_constant < 1e-3, "{fuel:?} {lambda}: gas constant off by {gas_constant:e}");
            }
        }
    }

    #[test]
    fn exact_frozen_energy_is_that_of_the_composition() {
        let charge = Charge { fuel: Fuel::Gasoline, lambda: 0.9, vapour: 1.0, ron: 95.0, mon: 85.0 };
        let gas = ChargeGas::from_charge(&charge, 0.01).unwrap();
        let working = WorkingGas::new(&gas, 0.0).unwrap();
        let zone = working.zone(0.06, 0.1);
        let blend = Composition::blend(&[(&gas.air, 0.84), (&gas.fuel, 0.06), (&gas.burned, 0.1)]);
        for t in [300.0, 700.0, 999.0, 1001.0, 1600.0] {
            let found = working.state(&zone, t, 0.0);
            let exact = blend.internal_energy_j_per_kg(t);
            assert!((found.u - exact).abs() < 1e-9 * exact.abs().max(1e5), "{t} K: {} {exact}", found.u);
            assert!((found.r / blend.gas_constant_j_per_kg_k() - 1.0).abs() < 1e-12);
        }
    }
}
