//! What a way around a cut costs in compression and flow area. Leaves out money.

use parts::{Cylinder, Valve};
use volume::static_compression;

use crate::fallback_change::Change;

/// What a change costs on the worst cylinder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Price {
    /// Static compression before and after.
    pub compression: [f64; 2],
    /// Change of the curtain area at full lift, `pi d L`, in percent; negative for less.
    pub curtain_percent: f64,
    /// Change of the area within the valve's head, `pi/4 d^2`, in percent.
    pub head_area_percent: f64,
    /// What it is ranked by: output lost, in percent, and the work counted as such.
    pub rank_percent: f64,
}

/// The price of a change from one cylinder and valve to others.
///
/// Ranked by the worse of the two areas (breathing goes with them at best), by what compression takes from the ideal
/// efficiency, and by the work. A gain in one does not pay for a loss in another.
pub fn price(cylinders: [&Cylinder; 2], valves: [&Valve; 2], changes: &[Change]) -> Price {
    let compression = cylinders.map(static_compression);
    let diameter = valves.map(|valve| valve.head_diameter.value.value);
    let lift = valves.map(|valve| valve.lift.value.value);
    let curtain_percent = change_percent(diameter[0] * lift[0], diameter[1] * lift[1]);
    let head_area_percent = change_percent(diameter[0].powi(2), diameter[1].powi(2));
    let efficiency = compression.map(otto_efficiency);
    let lost = |percent: f64| (-percent).max(0.0);
    let work: f64 = changes.iter().map(|change| work_percent(*change)).sum();
    Price {
        compression,
        curtain_percent,
        head_area_percent,
        rank_percent: lost(curtain_percent.min(head_area_percent))
            + lost(change_percent(efficiency[0], efficiency[1]))
            + work,
    }
}

fn change_percent(from: f64, to: f64) -> f64 {
    100.0 * (to / from - 1.0)
}

/// `1 - r^(1 - k)`: efficiency of the ideal constant-volume cycle (Otto cycle, any engine text) with `k` = 1.3 for a
/// burned mixture (from memory). It only ranks.
fn otto_efficiency(ratio: f64) -> f64 {
    1.0 - ratio.max(1.0).powf(1.0 - 1.3)
}

/// How much output one would rather lose than do the work, in percent: it settles the order of ways that cost no output
/// (judgement, no source).
fn work_percent(change: Change) -> f64 {
    match change {
        Change::ThickerGasket => 0.1,
        Change::LessLift
        | Change::LessRatio
        | Change::EarlierLobe
        | Change::LaterLobe
        | Change::WiderOpening
        | Change::HeadShift
        | Change::NarrowerMargin => 0.5,
        Change::SmallerValve | Change::DeeperSeat => 1.0,
        Change::Overbore => 3.0,
        Change::Tilt => 5.0,
    }
}
