//! The formulas of the standards, as plain numbers. Leaves out where they hold and what is marked.

use crate::correct_standard::{STD_REFERENCE_R, Standard};
use crate::engine_kind::{DieselFuel, EngineKind};

/// What the formulas take: pressures in kilopascals, temperature of the inlet in degC.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Air {
    pub dry_kpa: f64,
    pub total_kpa: f64,
    pub inlet_c: f64,
}

/// Factor that takes measured torque or power to the reference air of `standard`; above 1 in thin air.
///
/// Every formula keeps its own rounding of absolute zero (273 or 460), as the standards print them.
pub(crate) fn factor(standard: Standard, engine: EngineKind, air: Air) -> f64 {
    match standard {
        Standard::SaeJ1349 => sae_j1349(air),
        Standard::Std => std_j607(air),
        Standard::Din70020 => din_70020(air),
        Standard::Iso1585 | Standard::JisD1001 | Standard::Eec80_1269 => iso_1585(engine, air),
    }
}

/// CF = 1.18 (99/pd) sqrt((t+273)/298) - 0.18.
///
/// SAE J1349 (1990), for spark ignition without boost control. It corrects the indicated work and leaves friction alone, with
/// a mechanical efficiency of 85 % assumed for everybody: 1.18 is 1/0.85 rounded, which moves the factor by under 0.0004
/// inside the window.
fn sae_j1349(air: Air) -> f64 {
    1.18 * (99.0 / air.dry_kpa) * ((air.inlet_c + 273.0) / 298.0).sqrt() - 0.18
}

/// CF = (29.92/pd) sqrt((F+460)/520), pd in inches of mercury.
///
/// SAE J607, withdrawn; scales the whole brake torque.
fn std_j607(air: Air) -> f64 {
    let inlet_f = air.inlet_c * 1.8 + 32.0;
    (crate::correct_standard::STD_REFERENCE_KPA / air.dry_kpa) * ((inlet_f + 460.0) / STD_REFERENCE_R).sqrt()
}

/// k = (1013/p) sqrt((273+t)/293), p in millibars with its water.
fn din_70020(air: Air) -> f64 {
    (101.3 / air.total_kpa) * ((273.0 + air.inlet_c) / 293.0).sqrt()
}

/// Spark ignition, boosted or not: a = (99/pd)^1.2 (T/298)^0.6. Diesel: a = fa^fm, with
/// fa = (99/pd) (T/298)^0.7 breathing by itself or with a blower, fa = (99/pd)^0.7 (T/298)^1.5 turbocharged.
///
/// ISO 1585 (1992), clause 6; UN R85, annex 5, section 5.
fn iso_1585(engine: EngineKind, air: Air) -> f64 {
    let p = 99.0 / air.dry_kpa;
    let t = (air.inlet_c + 273.0) / 298.0;
    match engine {
        EngineKind::Spark | EngineKind::SparkBoosted => p.powf(1.2) * t.powf(0.6),
        EngineKind::Diesel(fuel) => (p * t.powf(0.7)).powf(engine_factor(fuel)),
        EngineKind::DieselTurbo(fuel) => (p.powf(0.7) * t.powf(1.5)).powf(engine_factor(fuel)),
    }
}

/// fm = 0.036 qc - 1.14 with qc = q/r, between qc = 40 (0.3) and 65 (1.2) mg per litre and cycle, constant outside.
///
/// ISO 1585 (1992), clause 6. Later texts (JIS D 1001, ISO 15550) begin the constant part at 37.2 (from memory).
pub fn engine_factor(fuel: DieselFuel) -> f64 {
    let qc = fuel.mg_per_litre_cycle / fuel.pressure_ratio;
    if qc < 40.0 {
        0.3
    } else if qc <= 65.0 {
        0.036 * qc - 1.14
    } else {
        1.2
    }
}
