//! How close a valve comes to a block with a relief cut into it. Leaves out how the relief was chosen.

use glam::DVec3;

use crate::distance::{Minimum, least_in, least_on_ring};
use crate::relief_cutter::Cutter;
use crate::solid::{Obstacle, ValveHead};
use crate::valve_to_metal::gap_m;

/// Signed gap at a lift between a valve and the block with that cutter's cut in it, in metres. A gap is never overstated;
/// below zero it is a depth, as in [`gap_m`]. Exact where the valve stays inside the cutter's path and is nearer to its
/// wall or floor than to the block around it.
///
/// The larger of two gaps, to the whole block and to everything outside the cutter:
///
/// `gap = max( gap(valve, block), min over the valve of -d(p) )`, `d` the cutter's signed distance, negative inside.
///
/// What is left of the block lies in the block and lies outside the cutter. A part of a set is never nearer than the set,
/// so each of the two gaps is at most the true one, and so is the larger.
///
/// The second minimum is taken on rings alone: `d` is convex (the cutter is), so `-d` is concave, and a concave function
/// on a convex body is least at its extreme points. The head from face to the foot of the stem is the hull of its two rims and
/// of the ring at the stem's foot; the stem is the hull of that ring and one higher up. The stem is followed until it is a
/// head's radius above the deck, where nothing below the deck is nearer than that.
///
/// A valve that runs out of the cutter's path into the air of the bore has a true gap larger than this one.
pub fn gap_with_relief_m(valve: &ValveHead, block: &Obstacle, cutter: &Cutter, lift_m: f64) -> f64 {
    gap_m(valve, block, lift_m).max(room_in_cutter_m(valve, cutter, lift_m))
}

/// Least of [`gap_with_relief_m`] from seat to full travel: the lift and the gap, in metres.
///
/// The gap changes no faster than the valve moves. It is looked at at even steps, and the lowest place is polished between its
/// neighbours; at the end of the travel, where a cut on the valve's own axis gives least room, it is exact.
pub fn least_with_relief_m(valve: &ValveHead, block: &Obstacle, cutter: &Cutter, travel_m: f64) -> [f64; 2] {
    let gap = |lift: f64| gap_with_relief_m(valve, block, cutter, lift);
    let lift_at = |step: u32| travel_m * f64::from(step) / f64::from(N_LIFTS);
    let looks = (0..=N_LIFTS).map(|step| (step, gap(lift_at(step))));
    let lower = |a: (u32, f64), b: (u32, f64)| if b.1 < a.1 { b } else { a };
    let (step, value) = looks.fold((0, f64::INFINITY), lower);
    let around = [lift_at(step.saturating_sub(1)), lift_at((step + 1).min(N_LIFTS))];
    let least = least_in(gap, around, Minimum { at: lift_at(step), value }, LIFT_ACCURACY_M);
    [least.at, least.value]
}

/// Steps of lift, and how closely the lowest place between them is found, in metres.
const N_LIFTS: u32 = 256;
const LIFT_ACCURACY_M: f64 = 1e-7;

/// Least of minus the cutter's signed distance over the valve, as far as the valve can be near the block.
fn room_in_cutter_m(valve: &ValveHead, cutter: &Cutter, lift_m: f64) -> f64 {
    let [stem_radius, stem_foot] = valve.stem_ring;
    let center_z = valve.face_center(lift_m).z;
    let above_deck = (valve.head_radius + stem_radius * valve.sin_lean() - center_z) / valve.axis.z;
    let rings = [
        (valve.head_radius, 0.0),
        (valve.head_radius, valve.margin),
        (stem_radius, stem_foot),
        (stem_radius, above_deck.max(stem_foot)),
    ];
    let room = rings.map(|(radius, height)| {
        let ring = valve.ring(lift_m, radius, height);
        let inward = |p: DVec3| {
            let (distance, gradient) = cutter.sloped_distance(p);
            (-distance, -gradient)
        };
        least_on_ring(&ring, f64::INFINITY, f64::INFINITY, inward).value
    });
    room.into_iter().fold(valve.head_radius, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::relief_cutter::{Room, Shape};
    use proptest::prelude::*;
    use units::Length;
    use units::length::millimeter;

    fn valve(tilt: [f64; 2]) -> ValveHead {
        ValveHead::new(0.0185, 0.0015, 0.785, 0.004, DVec3::new(-0.0236, 0.0005, 0.0053), tilt)
    }

    fn cutter(valve: &ValveHead, travel: f64, room_mm: f64, corner_mm: f64) -> Cutter {
        let mm = Length::new::<millimeter>;
        let room = Room { radial: mm(room_mm), axial: mm(room_mm), float: mm(0.0) };
        Cutter::around(valve, travel, room, Shape::Cutter { corner_radius: mm(corner_mm) }).expect("possible")
    }

    #[test]
    fn exact_room_is_the_gap_where_the_bore_was_hit() {
        // The rim would be 2.4 mm in the wall; the cut leaves its room beside and below the valve.
        let valve = valve([0.0; 2]);
        let block = Obstacle::block(0.041125, 0.0005, 0.0005);
        assert!(gap_m(&valve, &block, 0.0102) < 0.0);
        let cutter = cutter(&valve, 0.0102, 1.5, 1.0);
        let [_, gap] = least_with_relief_m(&valve, &block, &cutter, 0.0102);
        assert!((gap - 0.0015).abs() < 2e-8, "{gap}");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]
        #[test]
        fn exact_gap_is_never_overstated(
            lean in -0.2..0.2_f64, lift in 0.0..0.0102_f64, room in 0.2..2.5_f64, aside in -0.003..0.003_f64,
        ) {
            let valve = valve([lean, 0.03]);
            let (radius, down) = (0.041125, -0.02);
            let block = Obstacle::block(radius, 0.0, 0.0);
            let cutter = cutter(&valve, 0.0102, room, 0.1).moved_aside(glam::DVec2::new(aside, 0.0));
            let stated = gap_with_relief_m(&valve, &block, &cutter, lift);
            prop_assume!(stated > 0.0);
            // Points of what is left of the block, each at least as far from the valve as stated.
            for idx in 0..4000_u32 {
                let part = |many: u32| f64::from(idx * many % 4001) / 4001.0;
                let at = glam::DVec2::from_angle(std::f64::consts::PI * (0.7 + 0.6 * part(1)));
                let p = (at * (radius + 0.008 * part(61) * part(61))).extend(down * part(977) * part(977));
                if cutter.distance(p) > 0.0 {
                    let in_valve = valve.in_valve(p - valve.face_center(lift));
                    let apart = valve.profile.near(in_valve.truncate().length(), in_valve.z).distance;
                    prop_assert!(apart >= stated - 1e-9, "{apart} apart, {stated} stated, at {p}");
                }
            }
        }
    }
}
