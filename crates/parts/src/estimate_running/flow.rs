//! What valves let through that were never on a flow bench: discharge coefficients by lift over head diameter.

use units::{Length, Quantity, Ratio, Reading};

use super::{Choice, EngineSize, Era, ValveLayout, or_chosen};
use crate::running::{BenchRow, BenchTable, Flow, FlowMeasure, ReferenceArea};

/// Lift over head diameter, and the coefficient on the curtain pi D L of intake valves.
///
/// Up to 0.1 the jet clings to seat and head, above 0.2 it is free and the port sets the flow, which on the curtain is
/// a fall with 1/L: there it is worth 0.52 of the head's circle. From memory after J. B. Heywood (1988), "Internal
/// Combustion Engine Fundamentals", section 6.3.2, fig. 6-18; good road heads, inclined valves.
const INTAKE: [(f64, f64); 9] = [
    (0.02, 0.62),
    (0.05, 0.68),
    (0.10, 0.66),
    (0.15, 0.61),
    (0.20, 0.56),
    (0.25, 0.50),
    (0.30, 0.435),
    (0.35, 0.375),
    (0.40, 0.33),
];

/// The same for exhaust valves, cylinder to port; from memory after Heywood's section 6.3.2 and W. A. Woods, S. R. Khan
/// (1965), Proc. IMechE 180(3N):32. It rises by some per cent with the pressure ratio, which is left out.
const EXHAUST: [(f64, f64); 9] = [
    (0.02, 0.68),
    (0.05, 0.71),
    (0.10, 0.68),
    (0.15, 0.64),
    (0.20, 0.60),
    (0.25, 0.55),
    (0.30, 0.48),
    (0.35, 0.42),
    (0.40, 0.37),
];

/// What a port that nobody measured may be off by, 95 %.
const OFF: f64 = 0.12;

/// Against an inclined valve a parallel one gives 10 % less and a pair of small ones 10 % more from the same area
/// (engine tuning press); half of that is taken, as the coefficients above are of middling heads.
fn by_layout(layout: ValveLayout) -> f64 {
    match layout {
        ValveLayout::Parallel => 0.95,
        ValveLayout::Inclined => 1.0,
        ValveLayout::Multi => 1.05,
    }
}

/// Ports of production heads before 1970 pass about 5 % less, those from 1990 on about 5 % more (common practice, no
/// source).
fn by_era(era: Option<Era>) -> f64 {
    match era {
        Some(Era::Early) => 0.95,
        Some(Era::Middle) | None => 1.0,
        Some(Era::Late) => 1.05,
    }
}

/// Usual coefficients of an intake valve of this head diameter.
pub fn intake_coefficients(head_m: f64, layout: ValveLayout, era: Option<Era>) -> BenchTable {
    table(&INTAKE, head_m, by_layout(layout) * by_era(era))
}

/// Usual coefficients of an exhaust valve of this head diameter.
pub fn exhaust_coefficients(head_m: f64, layout: ValveLayout, era: Option<Era>) -> BenchTable {
    table(&EXHAUST, head_m, by_layout(layout) * by_era(era))
}

fn table(rows: &[(f64, f64)], head_m: f64, factor: f64) -> BenchTable {
    let row = |&(over_head, value_si): &(f64, f64)| BenchRow {
        lift: Length::from_si(over_head * head_m),
        value_si: value_si * factor,
    };
    BenchTable {
        measure: FlowMeasure::Coefficient(ReferenceArea::Curtain),
        rows: rows.iter().map(row).collect(),
        factor: Reading::assumed(Ratio::from_si(1.0), Ratio::from_si(OFF)),
    }
}

/// Fills in the tables of the ordinary directions; against them a valve is taken to let through the same.
pub(super) fn fill(flow: &mut Flow, size: &EngineSize, choices: &mut Vec<Choice>) {
    let usual = "usual discharge coefficients by lift over head diameter";
    if flow.intake.is_none() {
        flow.intake = Some(intake_coefficients(size.intake_head_m, size.layout, size.era));
        or_chosen(&mut None, choices, "flow.intake", || ((), usual.to_owned()));
    }
    if flow.exhaust.is_none() {
        flow.exhaust = Some(exhaust_coefficients(size.exhaust_head_m, size.layout, size.era));
        or_chosen(&mut None, choices, "flow.exhaust", || ((), usual.to_owned()));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Duty;

    /// On the circle of the head the flow of a port levels off between 0.5 and 0.7 (trade practice): it must not fall
    /// while the valve opens.
    #[test]
    fn exact_more_lift_never_lets_less_through() {
        for duty in [Duty::Intake, Duty::Exhaust] {
            let table = match duty {
                Duty::Intake => intake_coefficients(0.04, ValveLayout::Inclined, None),
                Duty::Exhaust => exhaust_coefficients(0.04, ValveLayout::Inclined, None),
            };
            let on_head: Vec<f64> =
                table.rows.iter().map(|row| row.value_si * 4.0 * row.lift.si() / 0.04).collect();
            assert!(on_head.windows(2).all(|pair| pair[0] < pair[1]), "{on_head:?}");
            let most = on_head.last().copied().unwrap_or_default();
            assert!((0.5..0.7).contains(&most), "{most}");
        }
    }
}
