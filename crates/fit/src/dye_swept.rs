//! How near a valve comes to one point of the metal on its whole way from seat to full lift. Leaves out which points are
//! asked about, and the crank.

use glam::DVec3;

use crate::distance::{Minimum, least_in};
use crate::solid::{Obstacle, ValveHead};
use crate::valve_to_metal::point_in_valve;

/// Looks along the lift for a point that the valve's head runs over; its depth in the valve has a few humps at the most.
const N_LOOKS: usize = 24;

/// Depths are found to this lift, in metres.
const LIFT_ACCURACY_M: f64 = 1e-7;

/// Least signed distance of a point of the bore frame from the valve over all lifts up to `travel_m`, in metres; negative
/// where the valve runs over it.
///
/// Seen from the valve the point moves along the axis, its radius `u` the same. Beside the head (`u` at least its radius)
/// the least is in closed form: `u - r` where it passes the margin, else at one end of its way. Under the head it is
/// searched, true to a tenth of a micrometre.
pub fn least_over_lift(valve: &ValveHead, travel_m: f64, p: DVec3) -> f64 {
    let q = point_in_valve(valve, 0.0, p);
    let (u, low, high) = (q.x.hypot(q.y), q.z, q.z + travel_m);
    let at = |z: f64| valve.profile.near(u, z).distance;
    let corners = [low, high, 0.0_f64.clamp(low, high), valve.margin.clamp(low, high)];
    let least = corners.into_iter().map(at).fold(f64::INFINITY, f64::min);
    if u >= valve.head_radius || high <= 0.0 {
        return least;
    }
    let step = (high - low) / N_LOOKS as f64;
    let looks = (0..=N_LOOKS).map(|look| low + step * look as f64).map(|z| Minimum { at: z, value: at(z) });
    let best = looks.reduce(|a, b| if b.value < a.value { b } else { a });
    let deepest = best.map_or(least, |best| {
        let range = [(best.at - step).max(low), (best.at + step).min(high)];
        least_in(at, range, best, LIFT_ACCURACY_M).value
    });
    least.min(deepest)
}

/// Points deeper in the metal than this are not looked at, in metres.
const DEEPEST_M: f64 = 0.03;

/// A way is followed to this, in metres.
const WAY_ACCURACY_M: f64 = 1e-7;

/// Steps after which a way is given up; each is as long as the distance, so they only run out along a surface.
const MOST_STEPS: usize = 200;

/// How deep the valve reaches into the uncut metal behind a point of its surface, in metres; 0 where it does not.
///
/// Of the points behind it along the normal only those count that are nearer to this place than to any other of the
/// surface: the deepest point of a valve in the metal is thus told once, at the place it would come out.
pub fn depth_behind(metal: &Obstacle, p: DVec3, swept: impl Fn(DVec3) -> f64) -> f64 {
    let inward = {
        // Just outside, the gradient is the normal even on an edge's flank.
        let (_, outward) = metal.sloped_distance(p);
        -outward.normalize_or_zero()
    };
    let is_nearest = |t: f64| (metal.sloped_distance(p + inward * t).0 + t).abs() < WAY_ACCURACY_M;
    let (mut near, mut far) = (0.0, DEEPEST_M);
    if is_nearest(far) {
        near = far;
    }
    while far - near > 10.0 * WAY_ACCURACY_M {
        let middle = 0.5 * (near + far);
        if is_nearest(middle) {
            near = middle;
        } else {
            far = middle;
        }
    }
    let mut t = near;
    for _ in 0..MOST_STEPS {
        let distance = swept(p + inward * t);
        if distance <= WAY_ACCURACY_M {
            return t;
        }
        t -= distance;
        if t <= 0.0 {
            break;
        }
    }
    0.0
}
