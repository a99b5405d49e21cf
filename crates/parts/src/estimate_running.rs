//! What is taken for everything about a running engine that nobody gave: from layout, bore, stroke, valve sizes, the
//! speed it is used at and, where it matters, the year it was designed.
//!
//! Each estimate states its rule, its honest (wide) tolerance and its source. [`filled`] puts them where the build says
//! nothing; a sheet that holds only geometry then runs.

mod size;
mod firing;
mod port;
mod flow;
mod lobe;
mod induction;
mod exhaust;
mod charge;
mod metal;
mod rules;

pub use flow::{exhaust_coefficients, intake_coefficients};
pub use lobe::gear;
pub use rules::rule;
pub use size::{EngineSize, Era, ValveLayout};

use units::Reading;

use crate::running::Running;
use crate::{Build, Duty};

/// A build's running section with nothing missing.
#[derive(Clone, Debug, PartialEq)]
pub struct Filled {
    /// Every field that has an estimate is there.
    pub running: Running,
    /// Words and counts that were chosen; readings that were estimated have basis `assumed`.
    pub choices: Vec<Choice>,
}

/// A word or count that nobody gave.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// Its path in the sheet, such as `exhaust.layout`.
    pub path: &'static str,
    /// What was taken.
    pub taken: String,
    /// The rule it was taken by.
    pub rule: &'static str,
}

/// The running section of a build with estimates in every gap. Filling a filled one changes nothing.
pub fn filled(build: &Build) -> Filled {
    let size = EngineSize::of(build);
    let mut running = build.running.clone();
    let mut choices = Vec::new();
    firing::fill(&mut running.firing, &size, &mut choices);
    port::fill(&mut running.ports.intake, Duty::Intake, &size);
    port::fill(&mut running.ports.exhaust, Duty::Exhaust, &size);
    flow::fill(&mut running.flow, &size, &mut choices);
    induction::fill(&mut running.induction, &running.ports.intake, &size, &mut choices);
    exhaust::fill(&mut running.exhaust, &running.ports.exhaust, &size, &mut choices);
    if let Some(boost) = &mut running.boost {
        induction::fill_boost(boost, &mut choices);
    }
    charge::fill_fuel(&mut running.fuel, &size, &mut choices);
    charge::fill_ignition(&mut running.ignition, &size, &mut choices);
    charge::fill_burning(&mut running.burning, &size);
    charge::fill_weather(&mut running.weather);
    charge::fill_band(&mut running.band, &size);
    metal::fill_walls(&mut running.walls, &mut choices);
    metal::fill_friction(&mut running.friction, &size, &mut choices);
    Filled { running, choices }
}

/// Puts an estimate where nothing was given, and returns what stands there then.
fn or_assumed<Q: Copy>(slot: &mut Option<Reading<Q>>, estimate: impl FnOnce() -> (Q, Q)) -> Q {
    slot.get_or_insert_with(|| {
        let (value, tolerance) = estimate();
        Reading::assumed(value, tolerance)
    })
    .value
}

/// The same for a word or a count.
fn or_chosen<T: Copy>(
    slot: &mut Option<T>,
    choices: &mut Vec<Choice>,
    path: &'static str,
    choice: impl FnOnce() -> (T, String),
) -> T {
    if let Some(given) = *slot {
        return given;
    }
    let (value, taken) = choice();
    choices.push(Choice { path, taken, rule: rule(path).unwrap_or_default() });
    *slot = Some(value);
    value
}
