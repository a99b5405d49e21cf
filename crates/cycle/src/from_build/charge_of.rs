//! Air, boost, fuel, spark and burn in plain numbers.

use gas::composition::Composition;
use gas::fuel::Fuel;
use gas::humid_air::saturation_pressure_pa;
use parts::Running;
use parts::running::{Boost, CompressorDrive, FuelKind, SparkChoice};
use units::Quantity;
use units::angular_velocity::revolution_per_minute;

use super::si;
use crate::model::{Burn, Charge, Source, Spark};

/// Molar mass of water over that of air.
const WATER_OVER_AIR: f64 = 0.62198;
/// (gamma - 1) / gamma of air, and its heat capacity, J/(kg K).
const EXPONENT: f64 = 0.2857;
const AIR_CP: f64 = 1005.0;

/// The gases at rest: the air outside first, then boost and the turbine's inlet where there are. With them, which the
/// intake draws from and which the exhaust goes to.
pub(super) fn sources(running: &Running) -> (Vec<Source>, usize, usize) {
    let weather = &running.weather;
    let (p_pa, t_k) = (si(weather.pressure, 100e3), si(weather.temperature, 298.15));
    let vapour_pa = si(weather.humidity, 0.0).clamp(0.0, 1.0) * saturation_pressure_pa(t_k);
    let vapour_pa = vapour_pa.min(0.5 * p_pa);
    let humidity = WATER_OVER_AIR * vapour_pa / (p_pa - vapour_pa);
    let outside = Source { p_pa, t_k, humidity, work_j_per_kg: 0.0 };
    let mut all = vec![outside];
    let Some(boost) = &running.boost else { return (all, 0, 0) };
    all.push(compressed(boost, &outside));
    let mut exhaust = 0;
    if let Some(back) = boost.back_pressure {
        all.push(Source { p_pa: p_pa + back.value.si().max(0.0), ..outside });
        exhaust = all.len() - 1;
    }
    (all, 1, exhaust)
}

/// What comes out of compressor and cooler.
///
/// T2 = T1 (1 + (pi^((gamma - 1)/gamma) - 1) / eta), T3 = T2 - epsilon (T2 - T1); the crank pays cp (T2 - T1). Source:
/// J. B. Heywood (1988), "Internal Combustion Engine Fundamentals", eqs. 6.38 to 6.42.
fn compressed(boost: &Boost, outside: &Source) -> Source {
    let p_pa = outside.p_pa + boost.pressure.value.si();
    let efficiency = si(boost.compressor_efficiency, 0.65);
    let warming = outside.t_k * ((p_pa / outside.p_pa).powf(EXPONENT) - 1.0) / efficiency;
    let cooled = warming * (1.0 - si(boost.cooler_effectiveness, 0.0));
    let crank = boost.drive != Some(CompressorDrive::Turbine);
    Source {
        p_pa,
        t_k: si(boost.temperature, outside.t_k + cooled),
        humidity: outside.humidity,
        work_j_per_kg: if crank { AIR_CP * warming } else { 0.0 },
    }
}

/// The fuel and the mixture. Octane numbers are those of the fuel where none are given.
pub(super) fn charge(running: &Running) -> Charge {
    let mixture = &running.fuel;
    let fuel = match mixture.kind {
        Some(FuelKind::E10) => Fuel::E10,
        Some(FuelKind::E85) => Fuel::E85,
        Some(FuelKind::Ethanol) => Fuel::Ethanol,
        Some(FuelKind::Methanol) => Fuel::Methanol,
        Some(FuelKind::RaceGasoline) => Fuel::RaceGasoline,
        Some(FuelKind::IsoOctane) => Fuel::IsoOctane,
        Some(FuelKind::Propane) => Fuel::Propane,
        Some(FuelKind::Methane) => Fuel::Methane,
        Some(FuelKind::Gasoline) | None => Fuel::Gasoline,
    };
    let lambda = match mixture.air_fuel_ratio {
        Some(ratio) => ratio.value.si() / fuel.stoichiometric_air_kg_per_kg(&Composition::dry_air()),
        None => si(mixture.lambda, 0.88),
    };
    let (ron, mon) = fuel.octane_numbers();
    Charge {
        fuel,
        lambda,
        vapour: si(mixture.vapour_share, 0.5),
        // Where one number is given the other keeps the fuel's own distance from it.
        ron: si(mixture.research_octane, si(mixture.motor_octane, mon) + ron - mon),
        mon: si(mixture.motor_octane, si(mixture.research_octane, ron) + mon - ron),
    }
}

/// When it is lit.
pub(super) fn spark(running: &Running) -> Spark {
    let ignition = &running.ignition;
    let by_table = || {
        let row =
            |at: &parts::running::SparkAt| (at.speed.get::<revolution_per_minute>(), at.advance.degrees());
        Spark::Given(ignition.table.iter().map(row).collect())
    };
    match ignition.choice {
        Some(SparkChoice::Given) if !ignition.table.is_empty() => by_table(),
        Some(SparkChoice::HalfBurned) => {
            let at = ignition.half_burned_at.map_or(9.0, |at| at.value.degrees());
            Spark::HalfBurnedAt(at)
        }
        Some(SparkChoice::KnockLimited) => Spark::KnockLimited { integral: si(ignition.knock_integral, 0.9) },
        Some(SparkChoice::Best | SparkChoice::Given) | None => Spark::Best,
    }
}

/// How fast it burns.
pub(super) fn burn(running: &Running) -> Burn {
    match (running.burning.delay, running.burning.duration) {
        (Some(delay), Some(duration)) => {
            Burn::Given { delay_deg: delay.value.degrees(), duration_deg: duration.value.degrees() }
        }
        _ => Burn::Correlated { factor: si(running.burning.factor, 1.0) },
    }
}
