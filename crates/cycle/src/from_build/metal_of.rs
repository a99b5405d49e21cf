//! Walls and bearings in plain numbers.

use parts::running;
use parts::train::Follower;
use parts::{Build, Duty, Running};

use super::si;
use super::valve_flow_of::ValveLifts;
use crate::model::{Bearings, Friction, FrictionLaw, Heat, HeatLaw};

/// Chen and Flynn's terms as they are used on spark-ignition engines: 0.3 to 0.5 bar, 0.005, 0.09 and 0.0009 (S. K. Chen,
/// P. F. Flynn (1965), SAE 650733, has 0.137, 0.005, 0.162 and 0 for a diesel; simulation handbooks for the others, from
/// memory).
const CHEN_FLYNN: [f64; 4] = [0.4, 0.005, 0.09, 0.0009];

/// What the walls take.
pub(super) fn heat(running: &Running) -> Heat {
    let walls = &running.walls;
    Heat {
        law: match walls.law {
            Some(running::HeatLaw::Hohenberg) => HeatLaw::Hohenberg,
            Some(running::HeatLaw::Annand) => HeatLaw::Annand,
            Some(running::HeatLaw::Woschni) | None => HeatLaw::Woschni,
        },
        factor: si(walls.factor, 1.0),
        head_k: si(walls.head_temperature, 480.0),
        crown_k: si(walls.crown_temperature, 520.0),
        bore_k: si(walls.bore_temperature, 400.0),
    }
}

/// What rubbing takes.
pub(super) fn friction(build: &Build, lifts: &ValveLifts<'_>) -> Friction {
    let given = &build.running.friction;
    let law = match given.law {
        Some(running::FrictionLaw::BarnesMoss) => FrictionLaw::BarnesMoss,
        Some(running::FrictionLaw::ChenFlynn) => FrictionLaw::ChenFlynn(CHEN_FLYNN),
        Some(running::FrictionLaw::Components) | None => FrictionLaw::Components(Bearings {
            main_m: si(given.main_diameter, 0.056),
            main_length_m: si(given.main_length, 0.024),
            n_main: given.mains.unwrap_or(build.cylinders.len() + 1),
            rod_m: si(given.pin_diameter, 0.048),
            rod_length_m: si(given.pin_length, 0.023),
            n_cam: given.cam_bearings.unwrap_or(build.cylinders.len() + 1),
            n_valves: build.cylinders.iter().map(|cylinder| cylinder.head.valves.len()).sum(),
            lift_m: lifts.largest_m(),
            roller: rolls(build),
        }),
    };
    Friction { law, factor: si(given.factor, 1.0) }
}

/// Whether the intake lobes carry rollers.
fn rolls(build: &Build) -> bool {
    let gear = build.cylinders.iter().find_map(|cylinder| cylinder.gear.of(Duty::Intake));
    gear.is_some_and(|gear| matches!(gear.train.follower, Follower::Roller { .. }))
}
