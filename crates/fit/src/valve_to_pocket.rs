//! How close a valve's margin comes to the wall of its pocket in the crown. Leaves out its floor.

use glam::DVec3;

use crate::distance::{Ring, cos_sin};
use crate::solid::ValveHead;
use crate::solid::crown::{Crown, CrownPart, Level};
use crate::valve_to_piston::PistonGap;

/// Least gap between the pocket's wall and any point of the margin that is at or below the crown's flat, both
/// seen along the pocket's axis; `None` while nothing of the margin is that low.
///
/// The square of the way out from the pocket's axis is a wave with its double along either rim and along the
/// section of the margin with the flat. It is greatest at a top of one of the three, or where they meet.
pub fn radial_gap(valve: &ValveHead, crown: &Crown, cup_idx: usize) -> Option<PistonGap> {
    let cup = crown.cups().get(cup_idx)?;
    let flat = Level { origin: DVec3::ZERO, normal: DVec3::Z, part: CrownPart::Flat };
    let rims = [0.0, valve.margin].map(|height| valve.ring(0.0, valve.head_radius, height));
    let heights = rims.map(|ring| flat.height_along(&ring));
    if heights[0].mean - heights[0].swing() > 0.0 {
        return None;
    }
    let mut best = PistonGap::NONE;
    let mut see = |p: DVec3| {
        let (_, radial) = cup.height_and_radial(p);
        let out = radial.length();
        let foot = p + radial * ((cup.radius - out) / out.max(f64::MIN_POSITIVE));
        best.see(cup.radius - out, foot, CrownPart::Wall(cup_idx));
    };
    for (ring, height) in rims.iter().zip(&heights) {
        if height.mean - height.swing() > 0.0 {
            continue;
        }
        let (angles, n) = cup.beyond_wall(ring).tops();
        for &angle in &angles[..n] {
            if height.at(cos_sin(angle)) <= 0.0 {
                see(ring.point(angle));
            }
        }
        height.zeros().into_iter().flatten().for_each(|angle| see(ring.point(angle)));
        if n == 0 || height.swing() == 0.0 {
            // Level and concentric: one point is as good as another.
            see(ring.point(0.0));
        }
    }
    if heights[1].mean + heights[1].swing() > 0.0 {
        let to_flat = |v: DVec3| v - valve.axis * (v.z / valve.axis.z);
        let [face_rim, _] = &rims;
        let section = Ring {
            center: to_flat(face_rim.center),
            to_cos: to_flat(face_rim.to_cos),
            to_sin: to_flat(face_rim.to_sin),
        };
        let (angles, n) = cup.beyond_wall(&section).tops();
        for &angle in &angles[..n] {
            let at = cos_sin(angle);
            if heights[0].at(at) <= 0.0 && heights[1].at(at) >= 0.0 {
                see(section.point(angle));
            }
        }
    }
    (best.gap_m < f64::INFINITY).then_some(best)
}
