//! The valve offset that explains a measured first contact: the trial with a dial indicator on the retainer, backwards.

use crate::first_contact::sweep;
use crate::scene::{Param, Scene, Surrounding};

/// Which way a valve is moved to explain a contact.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OffsetFromContact {
    /// Valve position along the crank that explains the contact, in metres.
    pub x_m: f64,
    /// Valve position across the engine that explains the contact, in metres.
    pub y_m: f64,
    /// How far it was moved from the sheet's position, outward from the bore axis positive, in metres.
    pub moved_m: f64,
    /// How much the position changes for each unit of measured lift: the tolerance of the lift times this is the
    /// tolerance of the position.
    pub per_lift: f64,
}

/// Why a measured contact cannot be explained.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum OffsetError {
    /// The lift is outside the valve's travel.
    #[error("contact at {lift_mm:.2} mm lift, but the valve travels from 0 to {travel_mm:.2} mm")]
    OutsideTravel {
        /// Measured lift.
        lift_mm: f64,
        /// Full travel.
        travel_mm: f64,
    },
    /// No offset within reach puts the first contact there.
    #[error(
        "no valve position within {reach_mm:.1} mm of the sheet's has its first contact at {lift_mm:.2} mm lift"
    )]
    NoPosition {
        /// Measured lift.
        lift_mm: f64,
        /// How far it was looked.
        reach_mm: f64,
    },
}

/// Furthest a valve is moved from its place on the sheet, in metres; further, and it is another head.
const REACH_M: f64 = 5e-3;

/// The offset is found to this, in metres.
const ACCURACY_M: f64 = 1e-8;

/// Moves the valve along the line from the bore axis through its seated centre until its first contact with the block
/// comes at the measured lift.
///
/// Across that line a round valve in a round bore changes its gap only in second order, so this one number is what the
/// trial can tell. A valve that stands on the axis is moved toward the front.
pub fn offset_from_contact(
    scene: &Scene,
    surrounding: Surrounding,
    contact_lift_m: f64,
) -> Result<OffsetFromContact, OffsetError> {
    let travel_m = scene.travel_m();
    if !(0.0 < contact_lift_m && contact_lift_m <= travel_m) {
        return Err(OffsetError::OutsideTravel { lift_mm: contact_lift_m * 1e3, travel_mm: travel_m * 1e3 });
    }
    let (x, y) = (scene.get(Param::X), scene.get(Param::Y));
    let offset = x.hypot(y);
    let way = if offset > 0.0 { [x / offset, y / offset] } else { [1.0, 0.0] };
    let lift_at = |moved: f64| {
        let mut scene = scene.clone();
        scene.values[Param::X as usize] = x + moved * way[0];
        scene.values[Param::Y as usize] = y + moved * way[1];
        let found = sweep(&scene.valve(), &scene.obstacle(surrounding), surrounding, travel_m);
        found.first_contact.map_or(f64::INFINITY, |gap| gap.lift_m)
    };
    // Further out it touches earlier, so the lift of first contact falls as the valve moves out.
    let solve = |target: f64| {
        let (mut inner, mut outer) = (-REACH_M, REACH_M);
        if lift_at(inner) < target || lift_at(outer) > target {
            return None;
        }
        while outer - inner > ACCURACY_M {
            let middle = 0.5 * (inner + outer);
            if lift_at(middle) > target { inner = middle } else { outer = middle }
        }
        Some(0.5 * (inner + outer))
    };
    let no_position = OffsetError::NoPosition { lift_mm: contact_lift_m * 1e3, reach_mm: REACH_M * 1e3 };
    let moved_m = solve(contact_lift_m).ok_or(no_position)?;
    let step = (0.01 * travel_m).min(0.5 * contact_lift_m).min(0.5 * (travel_m - contact_lift_m)).max(1e-6);
    let around = [solve(contact_lift_m - step), solve(contact_lift_m + step)];
    let per_lift = match around {
        [Some(earlier), Some(later)] => (later - earlier) / (2.0 * step),
        [Some(earlier), None] => (moved_m - earlier) / step,
        [None, Some(later)] => (later - moved_m) / step,
        [None, None] => 0.0,
    };
    Ok(OffsetFromContact { x_m: x + moved_m * way[0], y_m: y + moved_m * way[1], moved_m, per_lift })
}
