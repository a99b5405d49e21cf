//! How much of the head's flow an engine can use in its band, and what a head with less flow would have cost.
//! Leaves out exhaust flow: with the valve open against a falling pressure it is seldom what holds an engine back.

use cycle::from_build::{LobeFits, model_with};
use cycle::model::Model;
use cycle::speed_point::SpeedPoint;
use parts::Build;

use crate::payoff::{PayoffError, relative};
use crate::payoff_march::{BandSpeeds, Means};

/// Mean inlet Mach index from which filling falls off quickly. C. F. Taylor (1985), "The Internal-Combustion Engine in
/// Theory and Practice", vol. 1, ch. 6, fig. 6-13, from memory.
pub const MOST_MACH_INDEX: f64 = 0.6;

/// Intake flows that are tried, of what the bench says.
const TRIED: [f64; 3] = [0.8, 0.9, 1.1];

/// What the engine can use of the head's flow.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// Highest speed of the band, rpm.
    pub at_rpm: f64,
    /// Mean inlet Mach index there.
    pub mach_index: f64,
    /// Intake flow that would just bring the index to [`MOST_MACH_INDEX`] there, of what the head has: less than 1 when the
    /// head flows more than the engine needs.
    pub flow_needed: f64,
    /// Speed at which the index passes [`MOST_MACH_INDEX`], rpm.
    pub limit_rpm: f64,
    /// Whether that speed was marched, or reckoned from the highest that was: the index rises with the speed.
    pub reckoned: bool,
    /// Intake flow, of what the head has, and the change in mean torque over the band it would make.
    pub with_flow: Vec<(f64, f64)>,
}

/// The candidate with other intake flows.
pub(crate) fn less_flow_models(
    candidate: &Build,
    fits: &mut LobeFits,
) -> Result<Vec<(f64, Model)>, PayoffError> {
    let mut models = Vec::new();
    for share in TRIED {
        let mut build = candidate.clone();
        let flow = &mut build.running.flow;
        for table in [&mut flow.intake, &mut flow.intake_reverse].into_iter().flatten() {
            table.factor.value *= share;
        }
        models.push((share, model_with(&build, fits)?.0));
    }
    Ok(models)
}

/// From the candidate's points in rising speed.
///
/// Z = (A_piston / A_valve) s_p / (C a): at a given speed it goes with one over the flow, so the flow that brings it to a
/// limit is Z over that limit.
pub(crate) fn demand(
    points: &[SpeedPoint],
    band: &BandSpeeds,
    tried: &[(f64, Model)],
    means: &[Means],
    own: Means,
) -> Option<Demand> {
    let to = band.ends()[1];
    let sound: Vec<&SpeedPoint> = points.iter().filter(|point| 0.0 < point.mach_index).collect();
    let top = sound.iter().rfind(|point| point.rpm <= to + 0.5)?;
    let passed = sound
        .windows(2)
        .find(|pair| pair[0].mach_index < MOST_MACH_INDEX && MOST_MACH_INDEX <= pair[1].mach_index);
    let limit_rpm = match passed {
        Some([low, high]) => {
            let share = (MOST_MACH_INDEX - low.mach_index) / (high.mach_index - low.mach_index);
            low.rpm + share * (high.rpm - low.rpm)
        }
        _ => top.rpm * MOST_MACH_INDEX / top.mach_index,
    };
    Some(Demand {
        at_rpm: top.rpm,
        mach_index: top.mach_index,
        flow_needed: top.mach_index / MOST_MACH_INDEX,
        limit_rpm,
        reckoned: passed.is_none(),
        with_flow: tried
            .iter()
            .zip(means)
            .map(|((share, _), mean)| (*share, relative(own.torque_n_m, mean.torque_n_m)))
            .collect(),
    })
}
