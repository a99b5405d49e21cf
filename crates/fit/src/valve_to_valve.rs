//! How close two valves come to each other at any two lifts. Leaves out when (see [`crate::two_turns`]), and
//! the flex of stems.

use glam::DVec3;

use crate::distance::{Ring, Sloped, least_on_ring, least_on_ring_near};
use crate::solid::ValveHead;
use crate::valve_to_metal::{ring_in_valve, sloped_to_axis, sloped_to_valve};

/// A signed gap between two valves and where it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ValveGap {
    /// In metres; negative when the valves run into each other.
    pub gap_m: f64,
    /// A point of one of them that is nearest to the other, in the bore frame, in metres.
    pub point_m: DVec3,
}

/// Signed gap between two valves, in metres, true to [`crate::distance::RESOLUTION_M`].
///
/// Apart, it is the distance of the two bodies. Heads are convex: the hull of their rings. Where two of them
/// are nearest, their surfaces face each other, and seats, which face the roof, cannot while the stems stand
/// less than 45 degrees apart (the seat angle's complement, in general). So a rim is always one of the two,
/// but for two margins that cross: they are nearest on the common normal of the two axes. Run into each
/// other, it is minus the deepest of what a ring of either reaches into the other.
pub fn valve_to_valve(one: &ValveHead, lift_one_m: f64, two: &ValveHead, lift_two_m: f64) -> ValveGap {
    let mut best = ValveGap { gap_m: f64::INFINITY, point_m: DVec3::ZERO };
    for ((a, lift_a), (b, lift_b)) in
        [((one, lift_one_m), (two, lift_two_m)), ((two, lift_two_m), (one, lift_one_m))]
    {
        for height in [0.0, a.margin] {
            ring_to_valve(&mut best, &a.ring(lift_a, a.head_radius, height), b, lift_b);
        }
        if best.gap_m <= 0.0 {
            let [radius, height] = a.stem_ring;
            ring_to_valve(&mut best, &a.ring(lift_a, radius, height), b, lift_b);
        }
    }
    if best.gap_m > 0.0
        && let Some(crossed) = margins_crossed(one, lift_one_m, two, lift_two_m)
        && crossed.gap_m < best.gap_m
    {
        best = crossed;
    }
    best
}

/// A ring of one valve against the other.
fn ring_to_valve(best: &mut ValveGap, ring_in_bore: &Ring, valve: &ValveHead, lift: f64) {
    let ring = ring_in_valve(valve, lift, ring_in_bore);
    let radius = ring.to_cos.length();
    if ball_bound(&ring, radius, valve) >= best.gap_m {
        return;
    }
    let to_valve = |q: DVec3| -> Sloped { sloped_to_valve(valve, q) };
    let found = least_on_ring(&ring, radius, best.gap_m, to_valve);
    if found.value < best.gap_m {
        *best = ValveGap { gap_m: found.value, point_m: ring_in_bore.point(found.at) };
    }
    // The stem is thin and meets the seat in a hollow, which a look around the ring may step over.
    let (from_axis, _) = sloped_to_axis(ring.center);
    if from_axis - radius - valve.stem_ring[0] < best.gap_m {
        let by_stem = least_on_ring(&ring, 2.0 * radius, f64::INFINITY, sloped_to_axis).at;
        let found = least_on_ring_near(&ring, by_stem, to_valve);
        if found.value < best.gap_m {
            *best = ValveGap { gap_m: found.value, point_m: ring_in_bore.point(found.at) };
        }
    }
}

/// What the ring's distance from a valve is not below: the centre's distance less the radius.
#[inline]
fn ball_bound(ring: &Ring, radius: f64, valve: &ValveHead) -> f64 {
    sloped_to_valve(valve, ring.center).0 - radius
}

/// The gap of the two margins where the common normal of the axes passes through both.
fn margins_crossed(one: &ValveHead, lift_one: f64, two: &ValveHead, lift_two: f64) -> Option<ValveGap> {
    let normal = one.axis.cross(two.axis);
    let sine_sq = normal.length_squared();
    if sine_sq <= crate::solid::crown::PARALLEL {
        return None;
    }
    let (from, to) = (one.face_center(lift_one), two.face_center(lift_two));
    let apart = to - from;
    // Along each axis to the foot of the common normal.
    let along_one = apart.cross(two.axis).dot(normal) / sine_sq;
    let along_two = apart.cross(one.axis).dot(normal) / sine_sq;
    let on_margins =
        0.0 <= along_one && along_one <= one.margin && 0.0 <= along_two && along_two <= two.margin;
    on_margins.then(|| {
        let way = (to + two.axis * along_two) - (from + one.axis * along_one);
        let length = way.length();
        let point_m = from + one.axis * along_one + way * (one.head_radius / length);
        ValveGap { gap_m: length - one.head_radius - two.head_radius, point_m }
    })
}

/// What the gap of two valves is not below: the distance of the balls around their heads. Cheap.
#[inline]
pub fn valve_to_valve_bound_m(one: &ValveHead, lift_one_m: f64, two: &ValveHead, lift_two_m: f64) -> f64 {
    // Face rim and upper rim lie in the ball around the middle of the margin; seats and stems reach farther
    // up, but never nearer to the other valve than stems stand apart.
    let middle = |valve: &ValveHead, lift: f64| valve.face_center(lift) + valve.axis * (0.5 * valve.margin);
    let reach = |valve: &ValveHead| valve.head_radius.hypot(0.5 * valve.margin);
    (middle(one, lift_one_m) - middle(two, lift_two_m)).length() - reach(one) - reach(two)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn upright(x: f64, radius: f64) -> ValveHead {
        let seat_angle = std::f64::consts::FRAC_PI_4;
        ValveHead::new(radius, 0.0015, seat_angle, 0.004, DVec3::new(x, 0.0, 0.0), [0.0, 0.0])
    }

    ///   |    |           |    |      stems
    ///  _/    \_    g    _/    \_
    /// |________|<----->|________|    side by side
    #[test]
    fn exact_side_by_side_and_stepped() {
        let (one, two) = (upright(0.0, 0.020), upright(0.038, 0.016));
        let side = valve_to_valve(&one, 0.003, &two, 0.003).gap_m;
        assert!((side - 0.002).abs() < 1e-8, "{side}");
        // One face rim 2 mm beside and 1 mm over the other's upper rim: corner to corner. Another 3 mm up it
        // is nearest to the seat.
        let stepped = valve_to_valve(&one, 0.0, &two, 0.0025).gap_m;
        assert!((stepped - 0.002_f64.hypot(0.001)).abs() < 1e-8, "{stepped}");
        let over_seat = valve_to_valve(&one, 0.0, &two, 0.0055).gap_m;
        assert!((over_seat - 0.006 * 0.5_f64.sqrt()).abs() < 1e-8, "{over_seat}");
        let hits = valve_to_valve(&upright(0.0, 0.020), 0.003, &upright(0.035, 0.016), 0.003).gap_m;
        // The upper rim is 1 mm past the other's; the way out is through the seat.
        assert!((hits + 0.001 * 0.5_f64.sqrt()).abs() < 1e-8, "{hits}");
    }

    #[test]
    fn exact_margins_that_cross() {
        let lean = 0.2_f64;
        let one = ValveHead::new(0.018, 0.002, 0.785, 0.004, DVec3::new(0.0, 0.0, 0.0), [lean, 0.0]);
        let two = ValveHead::new(0.018, 0.002, 0.785, 0.004, DVec3::new(0.0, 0.038, 0.0), [-lean, 0.0]);
        // Lifted by half a margin each, the axes cross in the middle of both margins, seen along y.
        let gap = valve_to_valve(&one, 0.0, &two, 0.0);
        let middle = valve_to_valve(&one, 0.0001, &two, 0.0001);
        assert!((gap.gap_m - 0.002).abs() < 1e-8, "{}", gap.gap_m);
        assert!(middle.gap_m <= 0.002 + 1e-8, "{}", middle.gap_m);
    }

    proptest! {
        /// Either order gives the same, and moving a valve changes the gap by no more than it moves.
        #[test]
        fn exact_symmetric_and_never_faster_than_the_lift(
            tilt in prop::array::uniform4(-0.35..0.35f64),
            lifts in prop::array::uniform2(0.0..0.012f64),
            step in 0.0..0.001f64,
            apart in 0.034..0.045f64,
        ) {
            let one = ValveHead::new(0.019, 0.0015, 0.785, 0.004, DVec3::ZERO, [tilt[0], tilt[1]]);
            let two = ValveHead::new(0.016, 0.0015, 0.7, 0.004, DVec3::new(0.0, apart, 0.001), [tilt[2], tilt[3]]);
            let gap = valve_to_valve(&one, lifts[0], &two, lifts[1]).gap_m;
            let swapped = valve_to_valve(&two, lifts[1], &one, lifts[0]).gap_m;
            prop_assert!((gap - swapped).abs() < 2e-8);
            let moved = valve_to_valve(&one, lifts[0] + step, &two, lifts[1]).gap_m;
            prop_assert!((moved - gap).abs() <= step + 2e-8);
            if gap > 0.0 {
                prop_assert!(valve_to_valve_bound_m(&one, lifts[0], &two, lifts[1]) <= gap + 1e-9);
            }
        }
    }
}
