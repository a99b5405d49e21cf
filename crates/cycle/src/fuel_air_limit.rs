//! How much of the fuel's heat an ideal engine of a compression ratio could turn into work: the fuel-air cycle.
//!
//! Real gases, burned at once at TDC, no heat loss, equilibrium all the way down. No engine indicates more. Leaves out
//! the gas exchange.

use crate::charge_gas::ChargeGas;
use crate::model::{Charge, Cylinder, Model};
use gas::composition::Composition;
use gas::equilibrium::{Equilibrium, EquilibriumError, equilibrate};
use gas::species::{REFERENCE_PRESSURE_PA, Species, UNIVERSAL_GAS_CONSTANT};
use std::f64::consts::PI;

/// What a fuel-air cycle gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FuelAirCycle {
    /// Work over the lower heating value of the fuel as it is metered.
    pub efficiency: f64,
    /// Work over the swept volume, Pa.
    pub mean_pressure_pa: f64,
    /// After burning.
    pub peak_pa: f64,
    /// After burning.
    pub peak_k: f64,
}

/// The charge at BDC.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AtBottom {
    /// Pressure, Pa.
    pub p_pa: f64,
    /// Temperature, K.
    pub t_k: f64,
    /// Mass fraction of burned gas.
    pub residual: f64,
}

/// The fuel-air cycle of a cylinder of a model, compressed from BDC.
pub fn fuel_air_limit(
    model: &Model,
    cylinder: &Cylinder,
    bottom: &AtBottom,
) -> Result<FuelAirCycle, EquilibriumError> {
    let swept = 0.25 * PI * cylinder.bore_m * cylinder.bore_m * cylinder.stroke_m;
    let compression = 1.0 + swept / (cylinder.clearance_m3 + cylinder.crevice_m3);
    fuel_air_cycle(&model.charge, &ChargeGas::of(model)?, compression, bottom)
}

/// Isentropic compression of the frozen charge, burning at constant volume to equilibrium, isentropic expansion in
/// equilibrium back to the first volume: work is the fall of internal energy from first to last.
///
/// J. B. Heywood (1988), "Internal Combustion Engine Fundamentals", section 5.5.
pub fn fuel_air_cycle(
    charge: &Charge,
    gas: &ChargeGas,
    compression: f64,
    bottom: &AtBottom,
) -> Result<FuelAirCycle, EquilibriumError> {
    let fuel = gas.fuel_per_air / (1.0 + gas.fuel_per_air) * (1.0 - bottom.residual);
    let air = 1.0 - bottom.residual - fuel;
    let mixed = Composition::blend(&[(&gas.air, air), (&gas.fuel, fuel), (&gas.burned, bottom.residual)]);
    let r = mixed.gas_constant_j_per_kg_k();
    let v_1 = r * bottom.t_k / bottom.p_pa;
    let v_2 = v_1 / compression;
    let u_1 = mixed.internal_energy_j_per_kg(bottom.t_k);

    // Entropy at constant volume: that of temperature less R ln T, plus R ln v.
    let s = |t: f64| mixed.entropy_of_temperature_j_per_kg_k(t) - r * t.ln();
    let target = s(bottom.t_k) + r * compression.ln();
    let mut t_2 = bottom.t_k * compression.powf(0.35);
    for _ in 0..NEWTON_STEPS {
        t_2 -= (s(t_2) - target) * t_2 / (mixed.cp_j_per_kg_k(t_2) - r);
    }
    let u_2 = mixed.internal_energy_j_per_kg(t_2);

    let hot = at_volume(&mixed, v_2, 2800.0, |state, t, _| {
        let r = state.composition.gas_constant_j_per_kg_k();
        state.enthalpy_j_per_kg - r * t - u_2
    })?;
    let s_3 = entropy(&hot.state, hot.t_k, hot.p_pa);
    let end = at_volume(&mixed, v_1, 1700.0, |state, t, p| (entropy(state, t, p) - s_3) * t)?;
    let u_4 = end.state.enthalpy_j_per_kg - end.p_pa * v_1;
    let work = u_1 - u_4;
    Ok(FuelAirCycle {
        efficiency: work / (fuel * charge.fuel.lower_heating_value_j_per_kg()),
        mean_pressure_pa: work / (v_1 - v_2),
        peak_pa: hot.p_pa,
        peak_k: hot.t_k,
    })
}

/// Enough for Newton from any of our first guesses; each step doubles the digits.
const NEWTON_STEPS: usize = 12;

struct Found {
    state: Equilibrium,
    t_k: f64,
    p_pa: f64,
}

/// The equilibrium at a volume (m3/kg) where `lacks` (J/kg, rising with temperature like an energy) vanishes.
fn at_volume(
    gas: &Composition,
    volume: f64,
    guess_k: f64,
    lacks: impl Fn(&Equilibrium, f64, f64) -> f64,
) -> Result<Found, EquilibriumError> {
    let mut t = guess_k;
    let mut p = gas.gas_constant_j_per_kg_k() * t / volume;
    let mut state = equilibrate(gas, t, p)?;
    for _ in 0..NEWTON_STEPS {
        // The pressure that fills the volume, then the temperature at it.
        for _ in 0..4 {
            p = state.composition.gas_constant_j_per_kg_k() * t / volume;
            state = equilibrate(gas, t, p)?;
        }
        let r = state.composition.gas_constant_j_per_kg_k();
        let by_t = state.volume_by_temperature;
        let cv = state.cp_j_per_kg_k + r * by_t * by_t / state.volume_by_pressure;
        t = (t - lacks(&state, t, p) / cv).clamp(300.0, 5500.0);
        p = r * t / volume;
        state = equilibrate(gas, t, p)?;
    }
    Ok(Found { state, t_k: t, p_pa: p })
}

/// J/(kg K), with mixing and pressure.
fn entropy(state: &Equilibrium, t_k: f64, p_pa: f64) -> f64 {
    let amounts = state.composition.kmol_per_kg();
    let total: f64 = amounts.iter().sum();
    let ln_p = (p_pa / REFERENCE_PRESSURE_PA).ln();
    let sum: f64 = Species::ALL
        .iter()
        .zip(amounts)
        .filter(|&(_, &n)| n > 0.0)
        .map(|(s, &n)| n * (s.s_over_r(t_k) - (n / total).ln() - ln_p))
        .sum();
    UNIVERSAL_GAS_CONSTANT * sum
}
