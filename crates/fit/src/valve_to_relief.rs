//! How close a valve comes to a block with reliefs cut into it. Leaves out how the reliefs were chosen.

use glam::DVec3;

use crate::distance::{RESOLUTION_M, Sloped, least_on_ring};
use crate::relief_cutter::Cutter;
use crate::solid::{Obstacle, ValveHead};
use crate::valve_to_metal::uncut_gap_m;

/// A gap to metal with cuts in it, and where on the valve it is least.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CutGap {
    /// Signed gap, in metres.
    pub gap_m: f64,
    /// The point of the valve, in the bore frame.
    pub point_m: DVec3,
}

/// Signed gap at a lift between a valve and metal with cuts in it. The least over the valve's surface of
///
/// `d(p) = max( distance to the metal uncut, -distance to cutter 1, -distance to cutter 2, ... )`
///
/// What is left of the metal lies in the metal and outside every cutter, and a part of a set is never nearer than the set:
/// `d` never overstates how far a point is from what is left. It is exact beside a cut's wall or floor and beside the metal
/// around it, its sign is exact everywhere, and so is the lift of first contact; near the edge where a cut comes out into the
/// bore it may understate a gap, by less than a third. Below zero it is a depth, as in [`crate::valve_to_metal::gap_m`].
///
/// The surface is searched as rings around the valve's axis: the corners of its profile first, then strips between two rings.
/// A strip is left alone where it cannot hold anything lower: `d` changes no faster than the place, and minus the distance
/// from a convex cutter is concave, so that over a strip (the hull of its two rings) it is least on one of them. Strips
/// narrower than [`FINEST_M`] are not divided. The stem is followed until it is a head's radius above the deck, where
/// nothing below the deck is nearer than that.
pub fn gap_with_cuts(valve: &ValveHead, metal: &Obstacle, lift_m: f64) -> CutGap {
    let rings =
        corner_rings(valve, lift_m).map(|[radius, height]| Seen::new(valve, metal, lift_m, radius, height));
    let mut best = rings[0];
    for ring in &rings[1..] {
        if ring.value < best.value {
            best = *ring;
        }
    }
    // Neither the metal uncut nor any one cutter alone comes nearer than this.
    let at_least = rings_in_cuts(&rings).fold(uncut_gap_m(valve, metal, lift_m), f64::max);
    if best.value > at_least + RESOLUTION_M {
        for pair in rings.windows(2) {
            lower_in_strip(&mut best, valve, metal, lift_m, [&pair[0], &pair[1]]);
        }
    }
    CutGap { gap_m: best.value, point_m: valve.ring(lift_m, best.radius, best.height).point(best.angle) }
}

/// Distance of a point of the bore frame from metal with cuts in it, as in [`gap_with_cuts`], and its gradient.
pub fn sloped_from_cut_metal(metal: &Obstacle, p: DVec3) -> Sloped {
    let uncut = metal.sloped_distance(p);
    metal.cuts.iter().fold(uncut, |nearest, cutter| {
        let (distance, gradient) = cutter.sloped_distance(p);
        if -distance > nearest.0 { (-distance, -gradient) } else { nearest }
    })
}

/// The cutter whose surface is nearer to a point inside it than the metal uncut; `None` where the metal itself is.
pub fn nearest_cut(metal: &Obstacle, p: DVec3) -> Option<&Cutter> {
    let from_metal = metal.sloped_distance(p).0;
    let deeper = |a: &&Cutter, b: &&Cutter| b.distance(p).total_cmp(&a.distance(p));
    metal.cuts.iter().filter(|cutter| -cutter.distance(p) > from_metal).max_by(deeper)
}

/// Strips of a valve's surface are not divided below this, in metres.
pub const FINEST_M: f64 = 2e-5;

/// Cutters that are remembered for every ring; with more the search is only slower.
const N_REMEMBERED: usize = 6;

/// A ring of the valve, and what was found on it.
#[derive(Clone, Copy)]
struct Seen {
    radius: f64,
    height: f64,
    value: f64,
    angle: f64,
    /// Least depth within each cutter.
    in_cuts: [f64; N_REMEMBERED],
}

impl Seen {
    fn new(valve: &ValveHead, metal: &Obstacle, lift_m: f64, radius: f64, height: f64) -> Self {
        let ring = valve.ring(lift_m, radius, height);
        let all = f64::INFINITY;
        let least = least_on_ring(&ring, all, all, |p| sloped_from_cut_metal(metal, p));
        let mut in_cuts = [f64::NEG_INFINITY; N_REMEMBERED];
        for (depth, cutter) in in_cuts.iter_mut().zip(&metal.cuts) {
            let inward = |p: DVec3| {
                let (distance, gradient) = cutter.sloped_distance(p);
                (-distance, -gradient)
            };
            *depth = least_on_ring(&ring, all, all, inward).value;
        }
        Self { radius, height, value: least.value, angle: least.at, in_cuts }
    }
}

/// Corners of the valve's profile, from the middle of the face to as high up the stem as matters.
fn corner_rings(valve: &ValveHead, lift_m: f64) -> [[f64; 2]; 5] {
    let [stem_radius, stem_foot] = valve.stem_ring;
    let center_z = valve.face_center(lift_m).z;
    let above_deck = (valve.head_radius + stem_radius * valve.sin_lean() - center_z) / valve.axis.z;
    [
        [0.0, 0.0],
        [valve.head_radius, 0.0],
        [valve.head_radius, valve.margin],
        [stem_radius, stem_foot],
        [stem_radius, above_deck.max(stem_foot)],
    ]
}

/// For each remembered cutter the least depth of the whole valve in it.
fn rings_in_cuts(rings: &[Seen]) -> impl Iterator<Item = f64> {
    (0..N_REMEMBERED).map(|idx| rings.iter().map(|ring| ring.in_cuts[idx]).fold(f64::INFINITY, f64::min))
}

fn lower_in_strip(best: &mut Seen, valve: &ValveHead, metal: &Obstacle, lift_m: f64, [a, b]: [&Seen; 2]) {
    let length = (b.radius - a.radius).hypot(b.height - a.height);
    let enough = best.value - RESOLUTION_M;
    let by_steepness = 0.5 * (a.value + b.value - length);
    let by_cutters = rings_in_cuts(&[*a, *b]).fold(f64::NEG_INFINITY, f64::max);
    if length < FINEST_M || by_steepness >= enough || by_cutters >= enough {
        return;
    }
    let middle = Seen::new(valve, metal, lift_m, 0.5 * (a.radius + b.radius), 0.5 * (a.height + b.height));
    if middle.value < best.value {
        *best = middle;
    }
    lower_in_strip(best, valve, metal, lift_m, [a, &middle]);
    lower_in_strip(best, valve, metal, lift_m, [&middle, b]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::relief_cutter::{Room, Shape};
    use crate::valve_to_metal::gap_m;
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
        let mut block = Obstacle::block(0.041125, 0.0005, 0.0005);
        assert!(gap_m(&valve, &block, 0.0102) < 0.0);
        block.cuts.push(cutter(&valve, 0.0102, 1.5, 1.0));
        for lift in [0.006, 0.008, 0.0102] {
            let gap = gap_m(&valve, &block, lift);
            assert!((gap - 0.0015).abs() < 2e-8, "{gap} at {lift}");
        }
    }

    #[test]
    fn exact_a_valve_between_cut_and_bore_touches_neither() {
        // The cut stands farther out than the valve: neither the bore alone nor the cut alone has room for it.
        //
        //     bore wall ->|      |<- wall of the cut
        //          ( valve head )
        let valve = valve([0.0; 2]);
        let mut block = Obstacle::block(0.041125, 0.0, 0.0);
        let moved = cutter(&valve, 0.0102, 2.0, 0.0).moved_aside(glam::DVec2::new(-0.003, 0.0));
        block.cuts.push(moved);
        let lift = 0.009;
        let inner_rim = valve.ring(lift, valve.head_radius, 0.0).point(0.0);
        assert!(moved.distance(inner_rim) > 0.0, "the rim toward the bore axis is outside the cutter");
        let gap = gap_m(&valve, &block, lift);
        assert!(gap > 0.5e-3, "{gap}");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(60))]
        #[test]
        fn exact_gap_is_never_overstated(
            lean in -0.2..0.2_f64, lift in 0.0..0.0102_f64, room in 0.2..2.5_f64, aside in -0.004..0.004_f64,
            corner in 0.0..2.0_f64,
        ) {
            let valve = valve([lean, 0.03]);
            let (radius, down) = (0.041125, -0.02);
            let mut block = Obstacle::block(radius, 0.0, 0.0);
            let cutter = cutter(&valve, 0.0102, room, corner).moved_aside(glam::DVec2::new(aside, 0.0));
            block.cuts.push(cutter);
            let stated = gap_m(&valve, &block, lift);
            prop_assert!(stated >= uncut_gap_m(&valve, &block, lift) - 1e-8);
            prop_assume!(stated > 0.0);
            // Points of what is left of the block, each at least as far from the valve as stated.
            for idx in 0..4000_u32 {
                let part = |many: u32| f64::from(idx * many % 4001) / 4001.0;
                let azimuth = std::f64::consts::TAU * part(1);
                let out = radius + 0.006 * part(89) * part(89);
                let p = DVec3::new(out * azimuth.cos(), out * azimuth.sin(), down * part(1511));
                if cutter.distance(p) >= 0.0 {
                    let in_valve = valve.in_valve(p - valve.face_center(lift));
                    let distance = crate::valve_to_metal::sloped_to_valve(&valve, in_valve).0;
                    prop_assert!(distance >= stated - 1e-8, "{distance} below {stated} at {p}");
                }
            }
        }

        #[test]
        fn exact_sign_is_that_of_sown_points(
            lift in 0.0..0.0102_f64, room in 0.2..2.5_f64, aside in -0.006..0.006_f64, lean in -0.2..0.2_f64,
        ) {
            let valve = valve([lean, 0.0]);
            let mut block = Obstacle::block(0.041125, 0.0004, 0.0003);
            let cutter = cutter(&valve, 0.0102, room, 0.5).moved_aside(glam::DVec2::new(aside, 0.0));
            block.cuts.push(cutter);
            let stated = gap_m(&valve, &block, lift);
            // The deepest of points sown over the face's rim is in the metal no deeper than stated.
            let rim = valve.ring(lift, valve.head_radius, 0.0);
            let sown = (0..2000).map(|idx| rim.point(f64::from(idx) * std::f64::consts::TAU / 2000.0));
            let deepest = sown.map(|p| sloped_from_cut_metal(&block, p).0).fold(f64::INFINITY, f64::min);
            prop_assert!(stated <= deepest + 1e-8, "{stated} above {deepest}");
        }
    }
}
