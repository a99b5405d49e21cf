//! From the counts of a cycle to torque and all that is said beside it.

use crate::cylinder::CycleSums;
use crate::fidelity::Fidelity;
use crate::friction::{FrictionParts, FrictionState, friction};
use crate::model::{Side, ValveFlow};
use crate::network_plan::NetworkPlan;
use crate::port_speed::port_speed_m_per_s;
use crate::prepared::Prepared;
use crate::spark::SparkChoice;
use crate::speed_point::{CylinderPoint, Outcome, SpeedPoint};
use crate::trace::CylinderTrace;
use gas::network::NetworkError;
use gas::pipe::sensible_offset_j_per_kg;
use std::f64::consts::PI;

/// What a march hands over.
pub(crate) struct Marched {
    pub outcome: Outcome,
    pub error: f64,
    pub cycles: usize,
    pub steps: usize,
    pub mass_gap: f64,
    pub sums: Vec<CycleSums<f64>>,
    pub manifold_pa: Option<f64>,
    pub traces: Vec<CylinderTrace>,
}

/// The point of a march that ended.
pub(crate) fn point(
    engine: &Prepared,
    rpm: f64,
    fidelity: Fidelity,
    marched: &Marched,
    lit: &[SparkChoice],
) -> SpeedPoint {
    let model = &engine.model;
    let sums = &marched.sums;
    let total = |f: &dyn Fn(&CycleSums<f64>) -> f64| sums.iter().map(f).sum::<f64>();
    let displacement = displacement_m3(engine);
    let outside = &model.sources[0];
    let gross_mep_pa = total(&|s| s.gross_work) / displacement;
    let pumping_mep_pa = total(&|s| s.pumping_work) / displacement;
    let manifold_pa = marched.manifold_pa.unwrap_or(outside.p_pa);
    let parts = friction(
        model,
        &FrictionState {
            speed_rpm: rpm,
            peak_pa: total(&|s| s.peak_pa) / sums.len() as f64,
            intake_ratio: manifold_pa / outside.p_pa,
        },
    );
    let friction_mep_pa = parts.total_pa();
    let gas = &engine.plan.gas;
    let came_in = total(&|s| s.intake_mass);
    let air_kg = came_in * (1.0 - gas.vapour_fraction);
    let compressor_j = air_kg * driven_j_per_kg(engine);
    let brake_j = (gross_mep_pa + pumping_mep_pa - friction_mep_pa) * displacement - compressor_j;
    let fuel_kg = total(&|s| s.fuel);
    let heating_j = fuel_kg * model.charge.fuel.lower_heating_value_j_per_kg();
    let outside_density = outside.p_pa / (gas.air.gas_constant_j_per_kg_k() * outside.t_k);
    SpeedPoint {
        rpm,
        fidelity,
        outcome: marched.outcome.clone(),
        error: marched.error,
        cycles: marched.cycles,
        steps: marched.steps,
        torque_n_m: brake_j / (4.0 * PI),
        power_w: brake_j * rpm / 120.0,
        gross_mep_pa,
        pumping_mep_pa,
        friction_mep_pa,
        friction: parts,
        volumetric_efficiency: air_kg / (outside_density * displacement),
        fuel_kg,
        fuel_per_work_kg_per_j: (brake_j > 0.0).then(|| fuel_kg / brake_j),
        indicated_efficiency: total(&|s| s.gross_work) / heating_j.max(1e-9),
        exhaust_k: exhaust_k(engine, sums),
        mach_index: mach_index(engine, rpm),
        port_m_per_s: sums
            .iter()
            .enumerate()
            .map(|(c, s)| port_speed_m_per_s(engine, c, s.intake_most_kg_per_s, manifold_pa, outside.t_k))
            .fold(0.0, f64::max),
        cylinders: sums.iter().zip(lit).map(|(s, choice)| cylinder_point(s, choice)).collect(),
        mass_gap: marched.mass_gap,
        energy_gap: sums.iter().map(|s| s.energy_gap().abs()).fold(0.0, f64::max)
            / (heating_j / sums.len() as f64).max(1e-9),
        traces: marched.traces.clone(),
    }
}

/// A point whose march broke: nothing is known of it.
pub(crate) fn unknown(engine: &Prepared, rpm: f64, fidelity: Fidelity, broke: &NetworkError) -> SpeedPoint {
    let nothing = f64::NAN;
    let why = why_it_broke(&engine.plan, broke);
    SpeedPoint {
        rpm,
        fidelity,
        outcome: Outcome::Broke(why),
        error: f64::INFINITY,
        cycles: 0,
        steps: 0,
        torque_n_m: nothing,
        power_w: nothing,
        gross_mep_pa: nothing,
        pumping_mep_pa: nothing,
        friction_mep_pa: nothing,
        friction: FrictionParts::default(),
        volumetric_efficiency: nothing,
        fuel_kg: nothing,
        fuel_per_work_kg_per_j: None,
        indicated_efficiency: nothing,
        exhaust_k: nothing,
        mach_index: mach_index(engine, rpm),
        port_m_per_s: nothing,
        cylinders: Vec::new(),
        mass_gap: nothing,
        energy_gap: nothing,
        traces: Vec::new(),
    }
}

/// Where an engine broke, in its own words: which pipe or volume of which side, counted from 1.
fn why_it_broke(plan: &NetworkPlan, broke: &NetworkError) -> String {
    let place = |sides: &[Side], at: usize, what: &str| {
        let side = match sides[at] {
            Side::Intake => "intake",
            Side::Exhaust => "exhaust",
        };
        let n = 1 + sides[..at].iter().filter(|s| **s == sides[at]).count();
        format!("the gas of {side} {what} {n} ran out: its density or pressure fell to nothing within a step")
    };
    match *broke {
        NetworkError::PipeEmptied { pipe, .. } => place(&plan.sides, pipe, "pipe"),
        NetworkError::VolumeEmptied { volume, .. } => place(&plan.volume_sides, volume, "volume"),
        ref other => other.to_string(),
    }
}

fn cylinder_point(sums: &CycleSums<f64>, choice: &SparkChoice) -> CylinderPoint {
    CylinderPoint {
        trapped_kg: sums.trapped,
        residual: sums.residual,
        work_j: sums.gross_work + sums.pumping_work,
        peak_pa: sums.peak_pa,
        peak_deg: sums.peak_deg,
        spark_deg: choice.burning.spark_deg,
        half_burned_deg: choice.burning.angle_deg(0.5),
        retard_deg: choice.retard_deg,
        knock: sums.knock,
        knock_limited: choice.knock_limited,
    }
}

/// Swept volume of all cylinders, m3.
fn displacement_m3(engine: &Prepared) -> f64 {
    engine.model.cylinders.iter().map(|c| 0.25 * PI * c.bore_m * c.bore_m * c.stroke_m).sum()
}

/// What the air of the intake sources costs the crankshaft, J/kg: the mean over their ends.
fn driven_j_per_kg(engine: &Prepared) -> f64 {
    let intake = || engine.plan.source_ends.iter().filter(|end| end.side == Side::Intake);
    let n = intake().count().max(1) as f64;
    intake().map(|end| engine.model.sources[end.source].work_j_per_kg).sum::<f64>() / n
}

/// Temperature at which the burned gas has the mixed enthalpy of what left, K. Falls back to no answer (NaN) when
/// nothing left.
fn exhaust_k(engine: &Prepared, sums: &[CycleSums<f64>]) -> f64 {
    let left: f64 = sums.iter().map(|s| -s.exhaust_mass).sum();
    let enthalpy: f64 = sums.iter().map(|s| s.exhaust_enthalpy).sum();
    if left <= 0.0 {
        return f64::NAN;
    }
    let burned = &engine.plan.gas.burned;
    let wanted = enthalpy / left + sensible_offset_j_per_kg(burned);
    let (mut low, mut high) = (200.0, 3500.0);
    const HALVINGS: usize = 40;
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if burned.enthalpy_j_per_kg(middle) < wanted { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// Mean over the cylinders of (piston area / valve area) x mean piston speed / (mean flow coefficient x speed of sound).
fn mach_index(engine: &Prepared, rpm: f64) -> f64 {
    let outside = &engine.model.sources[0];
    let air = &engine.plan.gas.air;
    let sound = (air.gamma(outside.t_k) * air.gas_constant_j_per_kg_k() * outside.t_k).sqrt();
    let cylinders = &engine.model.cylinders;
    let indices = cylinders.iter().map(|c| {
        let piston_area = 0.25 * PI * c.bore_m * c.bore_m;
        let piston_speed = 2.0 * c.stroke_m * rpm / 60.0;
        piston_area * piston_speed / (mean_open_m2(&c.intake) * sound)
    });
    indices.sum::<f64>() / cylinders.len() as f64
}

/// Mean effective area while it is open at all, m2.
fn mean_open_m2(flow: &ValveFlow) -> f64 {
    let open: Vec<f64> = flow.into_m2.iter().copied().filter(|area| *area > 0.0).collect();
    open.iter().sum::<f64>() / (open.len() as f64).max(1.0)
}
