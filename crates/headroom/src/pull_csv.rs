//! A predicted pull as CSV, one row a speed; every column has its unit in its name. Leaves out the traces
//! (`pull_trace.rs`).

use std::fmt::Write as _;

use cycle::speed_point::{CylinderPoint, Outcome, SpeedPoint};

use crate::pull::PullAnswer;

/// A column: its name, its decimals and what stands in it.
type Column = (&'static str, usize, fn(&SpeedPoint) -> f64);

/// Means over the cylinders, the worst for knock and port speed.
const COLUMNS: [Column; 20] = [
    ("torque_n_m", 2, |p| p.torque_n_m),
    ("power_kw", 3, |p| p.power_w / 1e3),
    ("volumetric_efficiency", 4, |p| p.volumetric_efficiency),
    ("brake_mep_bar", 3, |p| p.brake_mep_pa() / 1e5),
    ("gross_mep_bar", 3, |p| p.gross_mep_pa / 1e5),
    ("pumping_mep_bar", 3, |p| p.pumping_mep_pa / 1e5),
    ("friction_mep_bar", 3, |p| p.friction_mep_pa / 1e5),
    ("fuel_g_per_kwh", 1, |p| p.fuel_per_work_kg_per_j.map_or(f64::NAN, |fuel| 3.6e9 * fuel)),
    ("peak_bar", 2, |p| mean(p, |c| c.peak_pa) / 1e5),
    ("peak_deg", 1, |p| mean(p, |c| c.peak_deg)),
    ("spark_deg", 1, |p| mean(p, |c| c.spark_deg)),
    ("retard_deg", 1, |p| mean(p, |c| c.retard_deg)),
    ("knock_margin", 3, SpeedPoint::knock_margin),
    ("residual", 4, |p| mean(p, |c| c.residual)),
    ("exhaust_c", 0, |p| p.exhaust_k - 273.15),
    ("mach_index", 3, |p| p.mach_index),
    ("port_m_per_s", 1, |p| p.port_m_per_s),
    ("error", 5, |p| p.error),
    ("mass_gap", 15, |p| p.mass_gap),
    ("energy_gap", 15, |p| p.energy_gap),
];

fn mean(point: &SpeedPoint, of: fn(&CylinderPoint) -> f64) -> f64 {
    point.cylinders.iter().map(of).sum::<f64>() / point.cylinders.len() as f64
}

/// Every column in its order: its name with the unit, and what stands in it at a speed, not rounded.
pub fn columns() -> impl Iterator<Item = (&'static str, fn(&SpeedPoint) -> f64)> {
    COLUMNS.into_iter().map(|(name, _, of)| (name, of))
}

/// The answers under one head; cells of which nothing is known are empty.
pub fn csv(answers: &[PullAnswer]) -> String {
    let mut out = String::from("build,rpm,outcome,correction_factor");
    for (name, _, _) in COLUMNS {
        let _ = write!(out, ",{name}");
    }
    out.push('\n');
    for answer in answers {
        for point in &answer.points {
            let outcome = match point.outcome {
                Outcome::Converged => "converged",
                Outcome::NotConverged => "not_converged",
                Outcome::Broke(_) => "broke",
            };
            let factor = answer.correction.as_ref().map_or(String::new(), |c| format!("{:.5}", c.factor));
            let _ = write!(out, "{},{:.1},{outcome},{factor}", quoted(&answer.name), point.rpm);
            for (_, decimals, of) in COLUMNS {
                let value = of(point);
                out.push(',');
                if value.is_finite() {
                    let _ = write!(out, "{value:.decimals$}");
                }
            }
            out.push('\n');
        }
    }
    out
}

/// A name that cannot break a row.
pub(crate) fn quoted(name: &str) -> String {
    if name.contains(['"', ',', '\n', '\r']) {
        format!("\"{}\"", name.replace('"', "\"\""))
    } else {
        name.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_names_cannot_break_a_row() {
        assert_eq!(quoted("Heron six"), "Heron six");
        assert_eq!(quoted("Heron, \"hot\""), "\"Heron, \"\"hot\"\"\"");
    }
}
