//! The last cycle of a pull's speeds by crank angle: JSON, CSV, and a few rows to look at. Leaves out how it is recorded
//! (`cycle::trace`).

use std::fmt::Write as _;

use cycle::speed_point::SpeedPoint;
use cycle::trace::CylinderTrace;
use serde::Serialize;

use crate::lift_words::tens;
use crate::pull::PullAnswer;
use crate::pull_csv::quoted;

/// A quantity over crank angle: its name with the unit, its size for people, its decimals, and where it stands.
struct Column {
    name: &'static str,
    short: &'static str,
    decimals: usize,
    of: fn(&CylinderTrace, usize) -> f64,
}

const COLUMNS: [Column; 11] = [
    Column { name: "pressure_bar", short: "bar", decimals: 4, of: |t, i| t.p_pa[i] / 1e5 },
    Column { name: "temperature_k", short: "K", decimals: 1, of: |t, i| t.t_k[i] },
    Column { name: "unburned_k", short: "unburned K", decimals: 1, of: |t, i| t.t_unburned_k[i] },
    Column { name: "burned_zone", short: "burned zone", decimals: 4, of: |t, i| t.burned_zone[i] },
    Column { name: "mass_mg", short: "mg", decimals: 2, of: |t, i| 1e6 * t.mass_kg[i] },
    Column {
        name: "intake_g_per_s",
        short: "intake g/s",
        decimals: 3,
        of: |t, i| 1e3 * t.intake_kg_per_s[i],
    },
    Column {
        name: "exhaust_g_per_s",
        short: "exhaust g/s",
        decimals: 3,
        of: |t, i| 1e3 * t.exhaust_kg_per_s[i],
    },
    Column {
        name: "intake_port_bar",
        short: "intake port bar",
        decimals: 4,
        of: |t, i| t.intake_port_pa[i] / 1e5,
    },
    Column {
        name: "exhaust_port_bar",
        short: "exhaust port bar",
        decimals: 4,
        of: |t, i| t.exhaust_port_pa[i] / 1e5,
    },
    Column { name: "intake_lift_mm", short: "intake mm", decimals: 4, of: |t, i| 1e3 * t.intake_lift_m[i] },
    Column {
        name: "exhaust_lift_mm",
        short: "exhaust mm",
        decimals: 4,
        of: |t, i| 1e3 * t.exhaust_lift_m[i],
    },
];

/// One cylinder over the last cycle; entries a degree apart.
#[derive(Debug, Serialize)]
pub(crate) struct TraceWire {
    cylinder: usize,
    /// Degrees after firing TDC.
    crank_deg: Vec<f64>,
    pressure_bar: Vec<f64>,
    temperature_k: Vec<f64>,
    unburned_k: Vec<f64>,
    burned_zone: Vec<f64>,
    mass_mg: Vec<f64>,
    intake_g_per_s: Vec<f64>,
    exhaust_g_per_s: Vec<f64>,
    intake_port_bar: Vec<f64>,
    exhaust_port_bar: Vec<f64>,
    intake_lift_mm: Vec<f64>,
    exhaust_lift_mm: Vec<f64>,
}

impl TraceWire {
    /// With the number of its cylinder, from 1.
    pub(crate) fn new(trace: &CylinderTrace, cylinder: usize) -> Self {
        let mut columns = COLUMNS.iter().map(|column| {
            let scale = 10f64.powi(column.decimals as i32);
            (0..trace.angle_deg.len()).map(|i| ((column.of)(trace, i) * scale).round() / scale).collect()
        });
        let mut next = || columns.next().unwrap_or_default();
        Self {
            cylinder,
            crank_deg: trace.angle_deg.clone(),
            pressure_bar: next(),
            temperature_k: next(),
            unburned_k: next(),
            burned_zone: next(),
            mass_mg: next(),
            intake_g_per_s: next(),
            exhaust_g_per_s: next(),
            intake_port_bar: next(),
            exhaust_port_bar: next(),
            intake_lift_mm: next(),
            exhaust_lift_mm: next(),
        }
    }
}

/// Every trace of the answers as CSV: a row a degree of a cylinder at a speed.
pub fn csv(answers: &[PullAnswer]) -> String {
    let mut out = String::from("build,rpm,cylinder,crank_deg");
    for column in &COLUMNS {
        let _ = write!(out, ",{}", column.name);
    }
    out.push('\n');
    for answer in answers {
        for point in &answer.points {
            for (trace, number) in point.traces.iter().zip(1..) {
                for (i, angle) in trace.angle_deg.iter().enumerate() {
                    let _ = write!(out, "{},{:.1},{number},{angle:.0}", quoted(&answer.name), point.rpm);
                    for column in &COLUMNS {
                        let _ = write!(out, ",{:.*}", column.decimals, (column.of)(trace, i));
                    }
                    out.push('\n');
                }
            }
        }
    }
    out
}

/// Degrees between the rows that people look at.
const ROW_STEP_DEG: usize = 30;

/// Headings, then the first cylinder of a point every [`ROW_STEP_DEG`] degrees; nothing where it was not kept.
pub fn rows(point: &SpeedPoint) -> Vec<Vec<String>> {
    let Some(trace) = point.traces.first() else { return Vec::new() };
    let head = std::iter::once("deg").chain(COLUMNS.iter().map(|column| column.short));
    let mut rows = vec![head.map(str::to_owned).collect::<Vec<_>>()];
    for i in (0..trace.angle_deg.len()).step_by(ROW_STEP_DEG) {
        let cells = COLUMNS.iter().map(|c| format!("{:.*}", c.decimals.min(2), (c.of)(trace, i)));
        rows.push(std::iter::once(format!("{:.0}", trace.angle_deg[i])).chain(cells).collect());
    }
    rows
}

/// What the rows are of.
pub fn title(point: &SpeedPoint) -> String {
    format!("Cylinder 1 over the cycle at {} rpm, degrees after firing TDC", tens(point.rpm))
}

/// Columns of [`rows`].
pub const N_COLUMNS: usize = COLUMNS.len() + 1;
