//! The least gap of a pair of moving parts when readings differ by their tolerances: dips known from the nominal engine,
//! followed to where they have moved. Leaves out how readings differ.

use crate::distance::{Minimum, least_in};
use crate::lift_law::LiftLaw;
use crate::two_turns::{MovingParts, Pair, Way, gap_leaning_m, gap_m};
use crate::two_turns_scan::{Dips, LEVEL_M};

/// A sample's angle is resolved to this.
const SAMPLE_ACCURACY_DEG: f64 = 0.02;

/// First stride and farthest way of a sample's dip from the known one, in degrees.
const STRIDE_DEG: f64 = 1.0;
const FARTHEST_DEG: f64 = 24.0;

/// The least gap of a pair for readings that differ from known ones by tolerances: the known dips, followed to where
/// they have moved. True to a tenth of a micrometre. Equal to the least of [`two_turns`] as long as no
/// new dip outside the spread of [`find_dips`] has become the lowest.
pub fn least_near_m<L: LiftLaw>(parts: &MovingParts<L>, known: &Dips) -> f64 {
    if matches!(known.pair, Pair::PistonToHead | Pair::PistonEdge) {
        return gap_m(parts, known.pair, 0.0);
    }
    // The ways along bore and valve run smoothly where they are least; rims past rims and walls have kinks.
    let is_smooth = matches!(known.pair, Pair::ValveToPiston(_, Way::Vertical | Way::Axial));
    let n_parabolas = if is_smooth { MAX_PARABOLAS } else { FEW_PARABOLAS };
    let mut least = f64::INFINITY;
    for dip in &known.dips {
        // One look tells a dip that cannot become the least.
        if least < f64::INFINITY && gap_m(parts, known.pair, dip.at) > least + DEEPER_M {
            continue;
        }
        least = least.min(follow_leaning(parts, known.pair, dip.at, n_parabolas));
    }
    least
}

/// A dip that has moved is nowhere deeper than the gap at its known angle by more than this, in metres: with the piston at
/// its top a gap bends by some 0.01 mm a degree squared, and tolerances move a dip by a few degrees.
const DEEPER_M: f64 = 3e-4;

/// The bottom of the dip around `start` with the piston leaning to the worse side. The side that is worse at the start is
/// followed; the other only if it is worse where that ends.
fn follow_leaning<L: LiftLaw>(parts: &MovingParts<L>, pair: Pair, start: f64, n_parabolas: usize) -> f64 {
    let gap = |lean: f64| move |deg: f64| gap_leaning_m(parts, pair, deg, lean);
    let leans = parts.rock_rad > 0.0 && matches!(pair, Pair::ValveToPiston(..));
    if !leans {
        return follow(gap(0.0), start, n_parabolas).value;
    }
    if matches!(pair, Pair::ValveToPiston(_, Way::Radial)) {
        // Either side may enter the pocket first.
        return follow(|deg| gap_m(parts, pair, deg), start, n_parabolas).value;
    }
    let worse = if gap(1.0)(start) < gap(-1.0)(start) { 1.0 } else { -1.0 };
    let bottom = follow(gap(worse), start, n_parabolas);
    if gap(-worse)(bottom.at) < bottom.value {
        return follow(gap(-worse), bottom.at, n_parabolas).value.min(bottom.value);
    }
    bottom.value
}

/// The bottom of the dip around `start`: downhill in growing strides, then between the last three.
fn follow(gap: impl Fn(f64) -> f64, start: f64, n_parabolas: usize) -> Minimum {
    let mut middle = Minimum { at: start, value: gap(start) };
    let mut stride = STRIDE_DEG;
    let mut right = Minimum { at: start + stride, value: gap(start + stride) };
    let mut left = Minimum { at: start - stride, value: gap(start - stride) };
    while (left.value < middle.value || right.value < middle.value)
        && (middle.at - start).abs() < FARTHEST_DEG
    {
        stride *= 1.6;
        if left.value < right.value {
            (right, middle) = (middle, left);
            left.at -= stride;
            left.value = gap(left.at);
        } else {
            (left, middle) = (middle, right);
            right.at += stride;
            right.value = gap(right.at);
        }
    }
    if left.value == middle.value && right.value == middle.value {
        // Nothing moves.
        return middle;
    }
    for _ in 0..n_parabolas {
        let Some(bottom) = parabola_bottom(left, middle, right) else { break };
        let is_narrow = right.at - left.at < NARROW_DEG;
        if is_narrow && middle.value - bottom.value < LEVEL_M {
            return middle;
        }
        let here = Minimum { at: bottom.at, value: gap(bottom.at) };
        if is_narrow && (here.value - bottom.value).abs() < LEVEL_M {
            return if here.value < middle.value { here } else { middle };
        }
        // Keep the lowest in the middle.
        (left, middle, right) = match (here.value < middle.value, here.at < middle.at) {
            (true, true) => (left, here, middle),
            (true, false) => (middle, here, right),
            (false, true) => (here, middle, right),
            (false, false) => (left, middle, here),
        };
    }
    least_in(gap, [left.at, right.at], middle, SAMPLE_ACCURACY_DEG)
}

/// Three places tell the course between them only when they are near each other.
const NARROW_DEG: f64 = 2.1 * STRIDE_DEG;

/// Parabolas that are tried before golden sections take over; a smooth gap needs two or three. Where a gap may have a kink,
/// it has none at most of its dips.
const MAX_PARABOLAS: usize = 5;
const FEW_PARABOLAS: usize = 3;

/// The bottom of the parabola through three places, the middle one lowest; `None` where they lie on none.
#[inline]
fn parabola_bottom(left: Minimum, middle: Minimum, right: Minimum) -> Option<Minimum> {
    let (a, b) = (left.at - middle.at, right.at - middle.at);
    let (up_left, up_right) = (left.value - middle.value, right.value - middle.value);
    let bend = (up_left / a - up_right / b) / (a - b);
    let slope = up_right / b - bend * b;
    if up_left <= LEVEL_M && up_right <= LEVEL_M {
        return Some(middle);
    }
    let step = -0.5 * slope / bend;
    let within = bend.is_finite() && bend > 0.0 && a < step && step < b;
    within.then(|| Minimum { at: middle.at + step, value: middle.value - 0.25 * slope * slope / bend })
}
