//! What somebody turns by hand, as a request says it: within which ends, and how it becomes [`Hands`].

use headroom::mock_up::Hands;
use serde::Deserialize;
use units::length::millimeter;
use units::{CrankAngle, Length};
use utoipa::ToSchema;

use crate::failure::Failure;

/// A length of one valve, or of all valves of a duty.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OfValve {
    /// The name of a valve; `intake` and `exhaust` also mean all of that duty.
    #[schema(max_length = 80)]
    pub valve: String,
    /// In millimetres.
    #[schema(minimum = 0, maximum = 200)]
    pub mm: f64,
}

/// What a request turns, besides crank and lifts.
pub struct Turned<'a> {
    /// How much earlier the intake cam is turned.
    pub intake_advance_deg: f64,
    /// How much earlier the exhaust cam is turned.
    pub exhaust_advance_deg: f64,
    /// How far the head is pushed to the front and to the left.
    pub head_shift_mm: [f64; 2],
    /// Head diameters in place of the sheet's.
    pub diameters: &'a [OfValve],
    /// Compressed thickness of the gasket in place of the sheet's.
    pub gasket_mm: Option<f64>,
}

impl Turned<'_> {
    /// With the crank at the firing top and no valve held.
    pub fn hands(&self) -> Result<Hands, Failure> {
        let shift = |mm| length("head_shift_mm", mm, [-50.0, 50.0]);
        Ok(Hands {
            intake_advance: degrees("intake_advance_deg", self.intake_advance_deg, 180.0)?,
            exhaust_advance: degrees("exhaust_advance_deg", self.exhaust_advance_deg, 180.0)?,
            head_shift: [shift(self.head_shift_mm[0])?, shift(self.head_shift_mm[1])?],
            diameters: of_valves("diameters", self.diameters)?,
            gasket: self.gasket_mm.map(|gasket| length("gasket_mm", gasket, [0.0, 50.0])).transpose()?,
            ..Hands::default()
        })
    }
}

/// An angle of at most so many degrees either way.
pub fn degrees(name: &str, value: f64, most: f64) -> Result<CrankAngle, Failure> {
    within(name, value, [-most, most]).map(CrankAngle::from_degrees)
}

/// Lengths of valves, each named once or by its duty.
pub fn of_valves(name: &str, all: &[OfValve]) -> Result<Vec<(String, Length)>, Failure> {
    if all.len() > MOST_VALVES {
        return Err(Failure::not_sensible(format!("{} {name}: at most {MOST_VALVES} are taken", all.len())));
    }
    all.iter().map(|of| Ok((of.valve.clone(), length(name, of.mm, [0.0, 200.0])?))).collect()
}

/// As many valves as are told of at once.
const MOST_VALVES: usize = 16;

fn length(name: &str, mm: f64, ends: [f64; 2]) -> Result<Length, Failure> {
    within(name, mm, ends).map(Length::new::<millimeter>)
}

fn within(name: &str, value: f64, [low, high]: [f64; 2]) -> Result<f64, Failure> {
    if (low..=high).contains(&value) {
        Ok(value)
    } else {
        Err(Failure::not_sensible(format!("{name} is {value}: from {low} to {high} can be turned to")))
    }
}
