//! The least value of a distance along part of a circle or ellipse in space.

use std::f64::consts::TAU;

use glam::DVec3;

use super::RESOLUTION_M;
use super::minimise::Minimum;
use super::ring::{Look, Ring, Sloped, floor_between, look, valley};
use super::wave::cos_sin;

/// Longest stretch that is looked at first, and the longest that is not halved any more.
const FIRST_STEP: f64 = TAU / 8.0;
const LAST_STEP: f64 = TAU / 128.0;

/// Stretches that halving can leave open: one for each halving from the first to the last step, and the last itself.
const MAX_OPEN: usize = 8;

/// Least `distance` over the arc between two angles, rising, at most a turn apart. All else as
/// [`super::least_on_ring`]; the longer half-axis is `to_cos`.
pub fn least_on_arc(
    ring: &Ring,
    [from, to]: [f64; 2],
    bend: f64,
    to_beat: f64,
    distance: impl Fn(DVec3) -> Sloped,
) -> Minimum {
    let radius = ring.to_cos.length();
    let n_first = ((to - from) / FIRST_STEP).ceil().max(1.0) as usize;
    let first_step = (to - from) / n_first as f64;
    let mut lowest = Minimum { at: from, value: to_beat };
    let look_at = |lowest: &mut Minimum, at: f64| {
        let found = look(ring, cos_sin(at), &distance);
        if found.value < lowest.value {
            *lowest = Minimum { at, value: found.value };
        }
        found
    };
    let mut left = look_at(&mut lowest, from);
    for idx in 0..n_first {
        let start = from + idx as f64 * first_step;
        let right = look_at(&mut lowest, start + first_step);
        let mut open = [Stretch { start, step: first_step, ends: [left, right] }; MAX_OPEN];
        let mut n_open = 1;
        while n_open > 0 {
            n_open -= 1;
            let Stretch { start, step, ends: [left, right] } = open[n_open];
            if floor_between(left, right, step, radius, bend) > lowest.value - RESOLUTION_M {
                continue;
            }
            if step > LAST_STEP {
                let half = 0.5 * step;
                let middle = look_at(&mut lowest, start + half);
                open[n_open] = Stretch { start, step: half, ends: [left, middle] };
                open[n_open + 1] = Stretch { start: start + half, step: half, ends: [middle, right] };
                n_open += 2;
            } else if left.slope < 0.0 && right.slope > 0.0 {
                let found =
                    valley(&ring.turned(cos_sin(start)), [(0.0, left), (step, right)], bend, &distance);
                if found.value < lowest.value {
                    lowest = Minimum { at: start + found.at, value: found.value };
                }
            }
        }
        left = right;
    }
    lowest
}

/// A stretch between two looks.
#[derive(Clone, Copy)]
struct Stretch {
    start: f64,
    step: f64,
    ends: [Look; 2],
}
