//! A valve on its way from seat to full travel: the lift at which it first touches, and where it comes closest.

use crate::distance::{Minimum, least_in};
use crate::scene::Surrounding;
use crate::solid::{Obstacle, ValveHead};
use crate::valve_to_metal::{Gap, gap_at, gap_m};

/// What a valve meets on its way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sweep {
    /// The least gap on the way; when several lifts share it, the smallest of them.
    pub least: Gap,
    /// Where it touches first; `None` when it reaches full travel free.
    pub first_contact: Option<Gap>,
}

/// Lifts are resolved to this, in metres: a hundredth of a micrometre.
const LIFT_ACCURACY_M: f64 = 1e-8;

/// Shortest step of the walk, in metres. A dip between two lifts this far apart is at most half as deep, and dips are
/// searched for.
const SHORTEST_STEP_M: f64 = 5e-5;

/// Longest step, as a share of the travel, so that the least gap is found between close neighbours.
const LONGEST_STEP: f64 = 1.0 / 24.0;

/// Follows the valve from seat to full travel.
///
/// A gap cannot change faster than the valve moves, so a step as long as the gap cannot jump over a contact. Where the
/// gap is shorter than the shortest step, a minimum between three lifts is searched before going on. True to 0.01
/// micrometres of lift where the valve meets the metal head on; where it grazes, to the lift at which the gap is below a
/// nanometre.
pub fn sweep(valve: &ValveHead, metal: &Obstacle, surrounding: Surrounding, travel_m: f64) -> Sweep {
    let gap = |lift: f64| gap_m(valve, metal, lift);
    let mut walk = Walk { lifts: [0.0; 3], gaps: [gap(0.0); 3] };
    let mut contact = (walk.gaps[2] <= 0.0).then_some(0.0);
    let mut least = Minimum { at: 0.0, value: walk.gaps[2] };
    while walk.lifts[2] < travel_m {
        let step = walk.gaps[2].abs().clamp(SHORTEST_STEP_M, (travel_m * LONGEST_STEP).max(SHORTEST_STEP_M));
        let next = (walk.lifts[2] + step).min(travel_m);
        walk.advance(next, gap(next));
        if let Some(dip) = walk.dip(gap) {
            if contact.is_none() && dip.value <= 0.0 && walk.gaps[0] > 0.0 {
                contact = Some(crossing(gap, walk.lifts[0], dip.at));
            }
            least = lower(least, dip);
        }
        if contact.is_none() && walk.gaps[2] <= 0.0 {
            contact = Some(crossing(gap, walk.lifts[1], walk.lifts[2]));
        }
        least = lower(least, Minimum { at: walk.lifts[2], value: walk.gaps[2] });
    }
    Sweep {
        least: gap_at(valve, metal, surrounding, least.at),
        first_contact: contact.map(|lift| gap_at(valve, metal, surrounding, lift)),
    }
}

/// Lift up to which the valve keeps at least `room_m` from the metal; `None` when it keeps it all the way.
pub fn lift_with_room_m(valve: &ValveHead, metal: &Obstacle, room_m: f64, travel_m: f64) -> Option<f64> {
    let spare = |lift: f64| gap_m(valve, metal, lift) - room_m;
    let mut walk = Walk { lifts: [0.0; 3], gaps: [spare(0.0); 3] };
    if walk.gaps[2] <= 0.0 {
        return Some(0.0);
    }
    while walk.lifts[2] < travel_m {
        let next = (walk.lifts[2] + walk.gaps[2].max(SHORTEST_STEP_M)).min(travel_m);
        walk.advance(next, spare(next));
        if let Some(dip) = walk.dip(spare).filter(|dip| dip.value <= 0.0 && walk.gaps[0] > 0.0) {
            return Some(crossing(spare, walk.lifts[0], dip.at));
        }
        if walk.gaps[2] <= 0.0 {
            return Some(crossing(spare, walk.lifts[1], walk.lifts[2]));
        }
    }
    None
}

/// The last three lifts and their gaps, oldest first.
struct Walk {
    lifts: [f64; 3],
    gaps: [f64; 3],
}

impl Walk {
    fn advance(&mut self, lift: f64, gap: f64) {
        self.lifts = [self.lifts[1], self.lifts[2], lift];
        self.gaps = [self.gaps[1], self.gaps[2], gap];
    }

    /// The minimum between the three, when the middle one is the lowest.
    fn dip(&self, gap: impl Fn(f64) -> f64) -> Option<Minimum> {
        let is_valley = self.gaps[1] < self.gaps[0] && self.gaps[1] <= self.gaps[2];
        is_valley.then(|| {
            let start = Minimum { at: self.lifts[1], value: self.gaps[1] };
            least_in(gap, [self.lifts[0], self.lifts[2]], start, LIFT_ACCURACY_M)
        })
    }
}

fn lower(a: Minimum, b: Minimum) -> Minimum {
    if b.value < a.value { b } else { a }
}

/// Steps after which halving has exhausted any bracket.
const MAX_HALVINGS: usize = 60;

/// The lift between a free one and a touching one where the gap is zero: regula falsi with the Illinois weights (Dowell
/// and Jarratt 1971, BIT 11, 168-174), which suits gaps, for they are nearly straight; by halves where it crawls.
fn crossing(gap: impl Fn(f64) -> f64, free: f64, touching: f64) -> f64 {
    let (mut low, mut high) = (free, touching);
    let (mut gap_low, mut gap_high) = (gap(low), gap(high));
    if gap_low <= 0.0 {
        return low;
    }
    let mut kept_low = 0_u32;
    let mut kept_high = 0_u32;
    for _ in 0..MAX_HALVINGS {
        if high - low <= LIFT_ACCURACY_M {
            break;
        }
        let share = gap_low / (gap_low - gap_high);
        let slow = kept_low > 2 || kept_high > 2;
        let middle = if slow || !share.is_finite() { 0.5 * (low + high) } else { low + share * (high - low) };
        let value = gap(middle);
        if value.abs() < crate::distance::RESOLUTION_M {
            return middle;
        }
        if value > 0.0 {
            (low, gap_low) = (middle, value);
            (kept_low, kept_high) = (0, kept_high + 1);
            if kept_high > 1 {
                gap_high *= 0.5;
            }
        } else {
            (high, gap_high) = (middle, value);
            (kept_high, kept_low) = (0, kept_low + 1);
            if kept_low > 1 {
                gap_low *= 0.5;
            }
        }
    }
    0.5 * (low + high)
}
