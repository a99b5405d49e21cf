//! A predicted pull as JSON; every number has its unit in its name.

use cycle::speed_point::{Outcome, SpeedPoint};
use serde::Serialize;
use units::UnitSystem;
use units::pressure::kilopascal;
use units::thermodynamic_temperature::degree_celsius;

use crate::pull::PullAnswer;
use crate::pull_trace::TraceWire;
use crate::pulls_words;
use crate::wire::FORMAT;

/// [`PullAnswer`].
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct PullWire {
    format: u32,
    name: String,
    verdict: Vec<String>,
    #[cfg_attr(feature = "openapi", schema(ignore))]
    air: AirWire,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "openapi", schema(ignore))]
    correction: Option<CorrectionWire>,
    /// Not corrected.
    #[cfg_attr(feature = "openapi", schema(ignore))]
    mean_torque_n_m: Option<f64>,
    /// Whether the band's weights say how much each speed counts in the mean.
    #[cfg_attr(feature = "openapi", schema(ignore))]
    weighted: bool,
    points: Vec<PointWire>,
    assumed: Vec<AssumedWire>,
    /// Never there in the bench's answers, whose pulls run on the sheet alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "openapi", schema(ignore))]
    calibration: Option<MultipliersWire>,
    cautions: Vec<&'static str>,
}

#[derive(Debug, Serialize)]
struct AirWire {
    pressure_kpa: f64,
    temperature_c: f64,
    vapour_kpa: f64,
}

#[derive(Debug, Serialize)]
struct CorrectionWire {
    standard: &'static str,
    factor: f64,
    marks: Vec<String>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema), schema(as = PulledPointWire))]
struct PointWire {
    rpm: f64,
    fidelity: &'static str,
    converged: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    broke: Option<String>,
    error: Option<f64>,
    torque_n_m: Option<f64>,
    power_kw: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "openapi", schema(ignore))]
    corrected_torque_n_m: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "openapi", schema(ignore))]
    corrected_power_kw: Option<f64>,
    #[cfg_attr(feature = "openapi", schema(ignore))]
    brake_mep_bar: Option<f64>,
    gross_mep_bar: Option<f64>,
    pumping_mep_bar: Option<f64>,
    friction_mep_bar: Option<f64>,
    volumetric_efficiency: Option<f64>,
    fuel_g_per_kwh: Option<f64>,
    indicated_efficiency: Option<f64>,
    exhaust_c: Option<f64>,
    mach_index: f64,
    #[cfg_attr(feature = "openapi", schema(ignore))]
    port_m_per_s: Option<f64>,
    #[cfg_attr(feature = "openapi", schema(ignore))]
    knock_margin: Option<f64>,
    #[cfg_attr(feature = "openapi", schema(ignore))]
    cycles: usize,
    #[cfg_attr(feature = "openapi", schema(ignore))]
    steps: usize,
    #[cfg_attr(feature = "openapi", schema(ignore))]
    mass_gap: Option<f64>,
    #[cfg_attr(feature = "openapi", schema(ignore))]
    energy_gap: Option<f64>,
    cylinders: Vec<CylinderWire>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[cfg_attr(feature = "openapi", schema(ignore))]
    traces: Vec<TraceWire>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema), schema(as = PulledCylinderWire))]
struct CylinderWire {
    trapped_mg: f64,
    residual: f64,
    peak_bar: f64,
    peak_deg: f64,
    spark_deg: f64,
    half_burned_deg: f64,
    retard_deg: f64,
    knock_integral: f64,
    knock_limited: bool,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema), schema(as = PulledAssumedWire))]
struct AssumedWire {
    path: String,
    taken: String,
    rule: &'static str,
}

/// Factors that measured pulls put on the model.
#[derive(Debug, Serialize)]
struct MultipliersWire {
    flow: f64,
    friction: f64,
    burn: f64,
    heat_loss: f64,
}

impl PullWire {
    /// With the sentences of the answer.
    pub fn new(answer: &PullAnswer, verdict: Vec<String>) -> Self {
        Self {
            format: FORMAT,
            name: answer.name.clone(),
            verdict,
            air: AirWire {
                pressure_kpa: answer.air.station().pressure().get::<kilopascal>(),
                temperature_c: answer.air.inlet.get::<degree_celsius>(),
                vapour_kpa: answer.air.vapour().get::<kilopascal>(),
            },
            correction: answer.correction.as_ref().map(|c| CorrectionWire {
                standard: c.standard.name(),
                factor: c.factor,
                marks: c.marks.iter().map(|one| pulls_words::mark(one, UnitSystem::Metric)).collect(),
            }),
            mean_torque_n_m: answer.mean_torque_n_m(),
            weighted: !answer.weights.is_even(),
            points: (answer.points.iter())
                .map(|one| point(one, answer.correction.as_ref().map(|c| c.factor)))
                .collect(),
            assumed: answer
                .assumed
                .iter()
                .map(|a| AssumedWire {
                    path: a.path.clone(),
                    taken: a.shown(UnitSystem::Metric),
                    rule: a.rule,
                })
                .collect(),
            calibration: answer.calibration.map(|by| MultipliersWire {
                flow: by.flow,
                friction: by.friction,
                burn: by.burn,
                heat_loss: by.heat_loss,
            }),
            cautions: crate::words::CAUTIONS.to_vec(),
        }
    }
}

fn point(point: &SpeedPoint, factor: Option<f64>) -> PointWire {
    let finite = |value: f64| value.is_finite().then_some(value);
    let bar = |pa: f64| finite(pa / 1e5);
    PointWire {
        rpm: point.rpm,
        fidelity: point.fidelity.name(),
        converged: point.outcome == Outcome::Converged,
        broke: match &point.outcome {
            Outcome::Broke(why) => Some(why.clone()),
            _ => None,
        },
        error: finite(point.error),
        torque_n_m: finite(point.torque_n_m),
        power_kw: finite(point.power_w / 1000.0),
        corrected_torque_n_m: factor.and_then(|f| finite(f * point.torque_n_m)),
        corrected_power_kw: factor.and_then(|f| finite(f * point.power_w / 1000.0)),
        brake_mep_bar: bar(point.brake_mep_pa()),
        gross_mep_bar: bar(point.gross_mep_pa),
        pumping_mep_bar: bar(point.pumping_mep_pa),
        friction_mep_bar: bar(point.friction_mep_pa),
        volumetric_efficiency: finite(point.volumetric_efficiency),
        fuel_g_per_kwh: point.fuel_per_work_kg_per_j.map(|fuel| 3.6e9 * fuel),
        indicated_efficiency: finite(point.indicated_efficiency),
        exhaust_c: finite(point.exhaust_k - 273.15),
        mach_index: point.mach_index,
        port_m_per_s: finite(point.port_m_per_s),
        knock_margin: finite(point.knock_margin()),
        cycles: point.cycles,
        steps: point.steps,
        mass_gap: finite(point.mass_gap),
        energy_gap: finite(point.energy_gap),
        traces: (point.traces.iter().zip(1..)).map(|(trace, number)| TraceWire::new(trace, number)).collect(),
        cylinders: point
            .cylinders
            .iter()
            .map(|c| CylinderWire {
                trapped_mg: 1e6 * c.trapped_kg,
                residual: c.residual,
                peak_bar: c.peak_pa / 1e5,
                peak_deg: c.peak_deg,
                spark_deg: c.spark_deg,
                half_burned_deg: c.half_burned_deg,
                retard_deg: c.retard_deg,
                knock_integral: c.knock,
                knock_limited: c.knock_limited,
            })
            .collect(),
    }
}
