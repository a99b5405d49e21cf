//! From a build to the plain numbers the cycle runs on, with the list of everything that was assumed on the way.
//!
//! What the build does not say is filled in by `parts::estimate_running` first. Leaves out speed and fidelity.

pub mod bench_flow;
pub mod lobe_fits;

mod charge_of;
mod chamber_of;
mod exhaust_of;
mod induction_of;
mod metal_of;
mod pipe_of;
mod valve_flow_of;

use motion::{LobeError, TrainError};
use parts::estimate_running::{Filled, filled};
use parts::readings::{Kind, Visit};
use parts::{Build, Duty};
use thiserror::Error;
use units::{Basis, Quantity, Reading, UnitSystem};

use crate::model::{Cylinder, Model};
pub use lobe_fits::LobeFits;
use pipe_of::Network;
use valve_flow_of::ValveLifts;

/// A build that cannot be made to run.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum FromBuildError {
    /// No space is left above the piston.
    #[error(
        "cylinder {cylinder}: clearance volume {volume_cc:.1} cc at top dead centre, expected more than 0 cc"
    )]
    NoClearance {
        /// Its number.
        cylinder: usize,
        /// What came out, cc.
        volume_cc: f64,
    },
    /// Gas cannot come in or go out.
    #[error("cylinder {cylinder}: no {} valve, expected at least one", word(*duty))]
    NoValve {
        /// Its number.
        cylinder: usize,
        /// Which is missing.
        duty: Duty,
    },
    /// The lobe cannot be drawn.
    #[error("{} lobe: {source}", word(*duty))]
    Lobe {
        /// Whose.
        duty: Duty,
        /// Why.
        source: LobeError,
    },
    /// The train cannot work.
    #[error("{} train: {source}", word(*duty))]
    Train {
        /// Whose.
        duty: Duty,
        /// Why.
        source: TrainError,
    },
    /// A firing order that does not name every cylinder once.
    #[error("firing order {found}, expected each of {n_cylinders} cylinders once")]
    FiringOrder {
        /// As given.
        found: String,
        /// How many there are.
        n_cylinders: usize,
    },
    /// Firing intervals that do not make a cycle.
    #[error(
        "firing intervals of {total_deg:.1} degrees together, expected 720 degrees in {n_cylinders} intervals"
    )]
    FiringIntervals {
        /// Their sum.
        total_deg: f64,
        /// How many there should be.
        n_cylinders: usize,
    },
    /// A flow table that cannot be read off.
    #[error("{} flow table: {found}, expected {expected}", word(*duty))]
    FlowTable {
        /// Whose.
        duty: Duty,
        /// What is wrong.
        found: String,
        /// What would do.
        expected: &'static str,
    },
    /// Cylinders named in a group or pair that do not fit.
    #[error("{place}: {found}, expected {expected}")]
    Grouping {
        /// Where.
        place: &'static str,
        /// What is wrong.
        found: String,
        /// What would do.
        expected: &'static str,
    },
}

/// The sheet's word for a duty.
pub(crate) fn word(duty: Duty) -> &'static str {
    match duty {
        Duty::Intake => "intake",
        Duty::Exhaust => "exhaust",
    }
}

/// Something nobody gave.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumed {
    /// Its path in the sheet, such as `exhaust.primary_length`.
    pub path: String,
    /// What was taken for it.
    pub taken: Taken,
    /// The rule it was taken by.
    pub rule: &'static str,
}

/// What was taken for something nobody gave.
#[derive(Clone, Debug, PartialEq)]
pub enum Taken {
    /// A number with its 95 % half-width, both in SI.
    Reading {
        /// Value.
        value_si: f64,
        /// Half-width.
        tolerance_si: f64,
        /// The kind of quantity.
        kind: Kind,
    },
    /// A word or a count.
    Choice(String),
}

impl Assumed {
    /// What was taken, for people.
    pub fn shown(&self, system: UnitSystem) -> String {
        match &self.taken {
            Taken::Reading { value_si, tolerance_si, kind } => kind.shown(*value_si, *tolerance_si, system),
            Taken::Choice(taken) => taken.clone(),
        }
    }
}

/// The model of a build, and what was assumed for it: about running, in the order of the sheet, then about valve gear
/// that the sheet does not describe. What is assumed of its geometry is listed with the geometry.
pub fn model(build: &Build) -> Result<(Model, Vec<Assumed>), FromBuildError> {
    model_with(build, &mut LobeFits::default())
}

/// The same with lobes that were fitted for other builds: what a search over variants of one engine calls.
pub fn model_with(build: &Build, fits: &mut LobeFits) -> Result<(Model, Vec<Assumed>), FromBuildError> {
    let Filled { running, choices } = filled(build);
    let filled_build = Build { running, ..build.clone() };
    let mut lifts = ValveLifts::new(fits);
    let model = of_filled(&filled_build, &mut lifts)?;
    let mut assumed: Vec<Assumed> = choices
        .into_iter()
        .map(|choice| Assumed {
            path: choice.path.to_owned(),
            taken: Taken::Choice(choice.taken),
            rule: choice.rule,
        })
        .collect();
    list_assumed(&mut assumed, &build.running, &filled_build.running);
    assumed.extend(lifts.assumed());
    Ok((model, assumed))
}

/// Adds every assumed reading of the running section: those that nobody gave, and those that were given as assumed.
fn list_assumed(assumed: &mut Vec<Assumed>, given: &parts::Running, filled: &parts::Running) {
    let mut said = Vec::new();
    given.clone().visit("", &mut |path, _| said.push(path.to_owned()));
    filled.clone().visit("", &mut |path, reading| {
        if reading.basis == Basis::Assumed {
            let rule = parts::estimate_running::rule(path).filter(|_| !said.iter().any(|one| one == path));
            assumed.push(Assumed {
                path: path.to_owned(),
                taken: Taken::Reading {
                    value_si: *reading.value_si,
                    tolerance_si: reading.tolerance_si,
                    kind: reading.kind,
                },
                rule: rule.unwrap_or("given as assumed"),
            });
        }
    });
}

/// The model of a build whose running section has been filled.
fn of_filled(build: &Build, lifts: &mut ValveLifts<'_>) -> Result<Model, FromBuildError> {
    let running = &build.running;
    let fires_at = firing_angles(build)?;
    let mut cylinders: Vec<Cylinder> = Vec::with_capacity(build.cylinders.len());
    for (cylinder, fires_at_deg) in build.cylinders.iter().zip(fires_at) {
        let [intake, exhaust] =
            [Duty::Intake, Duty::Exhaust].map(|duty| valve_flow_of::valve_flow(build, cylinder, duty, lifts));
        cylinders.push(chamber_of::cylinder(cylinder, running, fires_at_deg, intake?, exhaust?)?);
    }
    let mut network = Network::default();
    let (sources, intake_source, exhaust_source) = charge_of::sources(running);
    network.sources = sources;
    induction_of::join(&mut network, build, intake_source)?;
    exhaust_of::join(&mut network, build, exhaust_source)?;
    let friction = metal_of::friction(build, lifts);
    Ok(Model {
        cylinders,
        pipes: network.pipes,
        volumes: network.volumes,
        sources: network.sources,
        charge: charge_of::charge(running),
        spark: charge_of::spark(running),
        burn: charge_of::burn(running),
        heat: metal_of::heat(running),
        friction,
    })
}

/// When each cylinder fires, degrees.
fn firing_angles(build: &Build) -> Result<Vec<f64>, FromBuildError> {
    let n_cylinders = build.cylinders.len();
    let firing = &build.running.firing;
    if let Some(intervals) = &firing.intervals {
        const ROUNDING_DEG: f64 = 0.5;
        let total_deg: f64 = intervals.iter().map(|interval| interval.degrees()).sum();
        if intervals.len() != n_cylinders || (total_deg - 720.0).abs() > ROUNDING_DEG {
            return Err(FromBuildError::FiringIntervals { total_deg, n_cylinders });
        }
    }
    let named = firing.order.as_ref().is_some_and(|order| order.len() == n_cylinders);
    firing.fires_at_deg(n_cylinders).filter(|_| named).ok_or_else(|| {
        let order = firing.order.iter().flatten().map(usize::to_string).collect::<Vec<_>>();
        FromBuildError::FiringOrder { found: order.join("-"), n_cylinders }
    })
}

/// The SI value of a reading that the estimates have filled in; `otherwise` where a build was not filled.
fn si<Q: Quantity>(reading: Option<Reading<Q>>, otherwise: f64) -> f64 {
    reading.map_or(otherwise, |reading| reading.value.si())
}
