//! The lift curves as numbers, one row a crank degree, and as CSV.

use std::fmt::Write as _;

use parts::Duty;
use units::length::{inch, millimeter};
use units::{CrankAngle, Length, UnitSystem};

use crate::lift::{LiftAnswer, duty_word};

/// Rows of a cycle.
pub const N_ROWS: usize = 720;

/// The curve of one duty at each crank degree of a cycle, 0 at the top dead centre of the firing stroke.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// Which.
    pub duty: Duty,
    /// Lift.
    pub lift: Vec<Length>,
    /// Lift gained in one crank degree.
    pub velocity: Vec<Length>,
    /// That gained in one crank degree.
    pub acceleration: Vec<Length>,
}

/// The curves of all duties whose lobe is known.
pub fn curves(answer: &LiftAnswer) -> Vec<Curve> {
    let of = |one: &crate::lift::DutyLift| {
        let mut curve =
            Curve { duty: one.duty, lift: Vec::new(), velocity: Vec::new(), acceleration: Vec::new() };
        for deg in 0..N_ROWS {
            let jet = one.motion.jet_at(CrankAngle::from_degrees(deg as f64));
            curve.lift.push(jet.lift);
            curve.velocity.push(jet.per_deg);
            curve.acceleration.push(jet.per_deg2);
        }
        curve
    };
    answer.duties.iter().map(of).collect()
}

/// The curves as CSV: a head of names with units, then a row a crank degree.
pub fn csv(answer: &LiftAnswer, system: UnitSystem) -> String {
    let (unit, of): (&str, fn(Length) -> f64) = match system {
        UnitSystem::Metric => ("mm", |length| length.get::<millimeter>()),
        UnitSystem::Inch => ("in", |length| length.get::<inch>()),
    };
    let curves = curves(answer);
    let mut out = String::from("crank_deg");
    for curve in &curves {
        let word = duty_word(curve.duty);
        let _ = write!(
            out,
            ",{word}_lift_{unit},{word}_velocity_{unit}_per_deg,{word}_acceleration_{unit}_per_deg2"
        );
    }
    out.push('\n');
    for deg in 0..N_ROWS {
        let _ = write!(out, "{deg}");
        for curve in &curves {
            let row = [curve.lift[deg], curve.velocity[deg], curve.acceleration[deg]].map(of);
            // Adding zero takes the sign off a zero.
            let _ = write!(out, ",{:.5},{:.6},{:.7}", row[0] + 0.0, row[1] + 0.0, row[2] + 0.0);
        }
        out.push('\n');
    }
    out
}
