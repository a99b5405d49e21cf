//! How close a valve comes to a block with a relief cut in it. Leaves out gasket and chamber, which a cut in the
//! block does not move.

use glam::DVec3;

use crate::distance::Minimum;
use crate::relief_cutter::Cutter;
use crate::relief_outline::least_of_span;
use crate::solid::{Obstacle, ValveHead};

/// Looks around the valve, places along each straight line of its side, and lifts.
const N_LOOKS: usize = 144;
const N_ALONG: usize = 6;
const N_LIFTS: usize = 48;

/// Signed gap between a valve at a lift and the block with the cutter's room taken out of it, in metres; never more
/// than the true one.
///
/// A point that is `a` away from the uncut block and `b` inside the cutter is at least the greater of both away from
/// what metal is left. The least of that over face, margin and seat cone is returned: exact where the nearest metal is
/// the cutter's own surface or a surface that the cut did not touch, too small where it is the new edge between them.
/// With a cut made for this valve it is the room asked for, less what a rounded corner keeps.
pub fn gap_after_cut_m(valve: &ValveHead, block: &Obstacle, cutter: &Cutter, lift_m: f64) -> f64 {
    let [stem_radius, stem_height] = valve.stem_ring;
    let sides = [
        [[0.0, 0.0], [valve.head_radius, 0.0]],
        [[valve.head_radius, 0.0], [valve.head_radius, valve.margin]],
        [[valve.head_radius, valve.margin], [stem_radius, stem_height]],
    ];
    let room = |p: DVec3| block.sloped_distance(p).0.max(-cutter.distance(p));
    let least_at = |angle: f64| {
        let (sin, cos) = angle.sin_cos();
        let point = |[radius, height]: [f64; 2]| {
            valve.in_bore(DVec3::new(radius * cos, radius * sin, height), lift_m)
        };
        let along = |[from, to]: [[f64; 2]; 2]| {
            let (from, to) = (point(from), point(to));
            least_of_span(|share| room(from.lerp(to, share)), [0.0, 1.0], N_ALONG).value
        };
        sides.map(along).into_iter().fold(f64::INFINITY, f64::min)
    };
    least_of_span(least_at, [-std::f64::consts::PI, std::f64::consts::PI], N_LOOKS).value
}

/// The least of [`gap_after_cut_m`] from seat to full travel and the lift at which it is.
pub fn least_gap_after_cut_m(valve: &ValveHead, block: &Obstacle, cutter: &Cutter, travel_m: f64) -> Minimum {
    least_of_span(|lift| gap_after_cut_m(valve, block, cutter, lift), [0.0, travel_m], N_LIFTS)
}
