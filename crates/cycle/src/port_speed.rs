//! How fast the charge goes through the narrowest place of an intake port when it goes fastest.
//!
//! Leaves out what waves do to the density there: the flow is taken as coming at rest from the manifold.

use crate::model::Side;
use crate::network_plan::NetworkPlan;
use crate::prepared::Prepared;
use std::f64::consts::PI;

/// Least cross-section of the pipes at the intake valves of a cylinder, all of them together, m2.
fn narrowest_m2(engine: &Prepared, cylinder: usize) -> f64 {
    let plan: &NetworkPlan = &engine.plan;
    let ends = plan.valve_ends.iter().filter(|end| end.cylinder == cylinder && end.side == Side::Intake);
    let area = |pipe: usize| {
        let bores = engine.model.pipes.get(pipe).map_or(&[][..], |pipe| &pipe.bore_m);
        let least = bores.iter().map(|&(_, d)| d).fold(f64::INFINITY, f64::min);
        0.25 * PI * least * least
    };
    ends.map(|end| area(end.pipe)).sum()
}

/// Peak speed in the intake port of a cylinder, m/s, from the greatest mass flow through its valves, kg/s.
///
/// Mass flow from rest through an area, without losses: m sqrt(R T0) / (A p0) = sqrt(g) M f^-(g+1)/(2(g-1)) with
/// f = 1 + (g-1)/2 M^2 (J. B. Heywood (1988), "Internal Combustion Engine Fundamentals", appendix C, from memory); the
/// speed is M sqrt(g R T0 / f). `p0_pa` and `t0_k` are those of the manifold. Where the area chokes the answer is the
/// speed of sound there.
pub(crate) fn port_speed_m_per_s(
    engine: &Prepared,
    cylinder: usize,
    mass_kg_per_s: f64,
    p0_pa: f64,
    t0_k: f64,
) -> f64 {
    let air = &engine.plan.gas.air;
    let (gamma, r) = (air.gamma(t0_k), air.gas_constant_j_per_kg_k());
    speed_of_flow(mass_kg_per_s * (r * t0_k).sqrt() / (narrowest_m2(engine, cylinder) * p0_pa), gamma)
        * (gamma * r * t0_k).sqrt()
}

/// Speed over the speed of sound at rest, from the dimensionless mass flow.
fn speed_of_flow(flow: f64, gamma: f64) -> f64 {
    let squeeze = |mach: f64| 1.0 + 0.5 * (gamma - 1.0) * mach * mach;
    let passes = |mach: f64| gamma.sqrt() * mach * squeeze(mach).powf(-0.5 * (gamma + 1.0) / (gamma - 1.0));
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    const HALVINGS: usize = 40;
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if passes(middle) < flow { low = middle } else { high = middle }
    }
    let mach = 0.5 * (low + high);
    mach / squeeze(mach).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Slow flow is volume over area; at Mach 1 the tables of compressible flow give 0.6847 for gamma 1.4 and the
    /// speed is sqrt(1 / 1.2) of that of sound at rest.
    #[test]
    fn exact_slow_and_choked() {
        let slow = speed_of_flow(1.4_f64.sqrt() * 0.01, 1.4);
        assert!((slow - 0.01).abs() < 1e-6, "{slow}");
        let half = speed_of_flow(0.6847 * 0.7464, 1.4);
        assert!((half - 0.5 / 1.05_f64.sqrt()).abs() < 1e-3, "{half}");
        for flow in [0.6848, 2.0] {
            let choked = speed_of_flow(flow, 1.4);
            assert!((choked - (1.0 / 1.2_f64).sqrt()).abs() < 1e-9, "{choked}");
        }
    }
}
