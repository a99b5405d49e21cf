//! How far a valve and the piston are from each other in the straight. Leaves out ways along bore and valve, which are
//! `valve_to_piston.rs`.

use glam::DVec3;

use crate::distance::{Ring, least_on_arc, least_on_segment};
use crate::solid::ValveHead;
use crate::solid::crown::{Crown, CrownPart};
use crate::valve_to_metal::{point_in_valve, ring_in_valve, sloped_to_valve};
use crate::valve_to_piston::{N_KINKED, PistonGap, TURN, for_each_dip_along, ridges_near};

/// Signed distance of valve and piston in the piston's frame: apart, the distance of the two bodies; run into
/// each other, minus the deepest of how far the valve's rims reach into the metal and the metal's sharp edges
/// into the valve, each to the nearest surface. `travel_m` is any travel gap of the same pose, for its sign.
pub fn distance_gap(valve: &ValveHead, crown: &Crown, travel_m: f64) -> PistonGap {
    let mut best = PistonGap::NONE;
    let heights = [(valve.head_radius, 0.0), (valve.head_radius, valve.margin)];
    if travel_m > 0.0 {
        for (radius, height) in heights {
            rim_beside_metal(&mut best, &valve.ring(0.0, radius, height), crown);
        }
    } else {
        for (radius, height) in heights.into_iter().chain([(valve.stem_ring[0], valve.stem_ring[1])]) {
            let ring = valve.ring(0.0, radius, height);
            for_each_dip_along::<N_KINKED>(
                &ring,
                TURN,
                best.gap_m,
                |p| crown.distance_bound(p),
                |dip| {
                    if dip.value <= 0.0 {
                        best.see(dip.value, ring.point(dip.at), part_near(crown, ring.point(dip.at)));
                    }
                },
            );
        }
    }
    let to_valve = |q: DVec3| sloped_to_valve(valve, q);
    for arc in crown.arcs() {
        let ring = ring_in_valve(valve, 0.0, &arc.ring);
        let found = least_on_arc(&ring, arc.span, ring.to_cos.length(), best.gap_m, to_valve);
        best.see(found.value, arc.ring.point(found.at), arc.part);
    }
    ridges_near(&mut best, crown, |q| to_valve(point_in_valve(valve, 0.0, q)).0);
    for &(ends, part) in crown.chords() {
        let found = least_on_segment(ends.map(|q| point_in_valve(valve, 0.0, q)), |q| to_valve(q).0);
        best.see(found.value, ends[0] + (ends[1] - ends[0]) * found.at, part);
    }
    best
}

/// The part of the crown whose surface is nearest to a point in the metal.
fn part_near(crown: &Crown, p: DVec3) -> CrownPart {
    let to_flat = crown.levels()[0].normal.dot(p).abs();
    let mut nearest = (to_flat, CrownPart::Flat);
    for (idx, cup) in crown.cups().iter().enumerate() {
        let (height, radial) = cup.height_and_radial(p);
        let beyond = (radial.length() - cup.radius).max(0.0);
        let away = height.min(0.0).hypot(beyond);
        if away < nearest.0 {
            nearest = (away, if -height > beyond { CrownPart::Floor(idx) } else { CrownPart::Wall(idx) });
        }
    }
    nearest.1
}

/// A rim apart from the metal: its nearest points to planes, walls and dome whose foot lies on the metal. Where the
/// foot misses, an edge is nearer, which is searched against the valve.
fn rim_beside_metal(best: &mut PistonGap, ring: &Ring, crown: &Crown) {
    for level in crown.levels() {
        let height = level.height_along(ring);
        if height.mean - height.swing() >= best.gap_m {
            continue;
        }
        let lowest = height.lowest();
        let gap = height.at(lowest);
        let foot = ring.center + ring.to_cos * lowest[0] + ring.to_sin * lowest[1] - level.normal * gap;
        if gap >= 0.0 && crown.bears(level, foot, None) {
            best.see(gap, foot, level.part);
        }
    }
    for (idx, cup) in crown.cups().iter().enumerate() {
        if cup.radius - cup.farthest(ring) >= best.gap_m {
            continue;
        }
        let (angles, n) = cup.beyond_wall(ring).tops();
        for &angle in &angles[..n] {
            let p = ring.point(angle);
            let (_, radial) = cup.height_and_radial(p);
            let out = radial.length();
            let gap = cup.radius - out;
            if gap >= 0.0 && out > 0.0 {
                let foot = p + radial * (gap / out);
                if crown.bears_on_wall(idx, foot) {
                    best.see(gap, foot, CrownPart::Wall(idx));
                }
            }
        }
    }
    if crown.dome().is_some() {
        // The bound is the distance wherever the dome itself is nearest.
        for_each_dip_along::<N_KINKED>(
            ring,
            TURN,
            best.gap_m,
            |p| crown.distance_bound(p),
            |dip| {
                let p = ring.point(dip.at);
                if crown.cups().iter().all(|cup| !cup.holds(p)) {
                    best.see(dip.value, p, CrownPart::Dome);
                }
            },
        );
    }
}
