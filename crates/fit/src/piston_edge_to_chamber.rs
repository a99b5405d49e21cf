//! How close the edge of the crown, or of a dome on it, comes to the edge and wall of the chamber and the head's face
//! around it. Leaves out the chamber's roof.

use glam::DVec3;

use crate::distance::{Ring, Sloped, least_on_ring, least_on_segment};
use crate::piston_pose::PistonPose;
use crate::solid::{Dome, Obstacle, Plan, Profile};

/// A signed gap between crown edge and head, and how the two outlines lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgeGap {
    /// In metres; negative when the crown runs into the head.
    pub gap_m: f64,
    /// The point of the piston or of the chamber's edge where it is, in the bore frame, in metres.
    pub point_m: DVec3,
    /// How far the chamber's outline reaches inside the crown's edge where it does most, seen from above, in
    /// metres: the width of the quench pad. Negative when the chamber is larger all round, by the least it
    /// is.
    pub overhang_m: f64,
    /// Where that is, in the bore frame, in metres.
    pub overhang_at_m: [f64; 2],
}

/// The upper end of a piston: its edge, and a dome on it if there is one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PistonTop {
    /// Radius of the crown's edge, the top land's.
    pub radius_m: f64,
    /// What stands up from the flat.
    pub dome: Option<Dome>,
}

/// Gap between a piston in some pose and the head around its chamber.
///
/// The piston is a cylinder with a dome, if it has one; the head is metal outside the chamber's outline from its face up.
/// Where the outline overhangs, the gap is the quench, `face - crown`; beside it, the way from edge to edge; and for a
/// crown or dome that stands up into the chamber, the way to the wall. `wall` is the obstacle [`Obstacle::plate`] of it.
/// A piston that leans brings one side of its edge nearer.
///
/// Run into each other, it is minus how far an edge of one reaches into the other.
pub fn piston_edge_to_chamber(top: &PistonTop, pose: &PistonPose, wall: &Obstacle) -> EdgeGap {
    let mut gap = (f64::INFINITY, DVec3::ZERO);
    let mut see = |value: f64, p_in_bore: DVec3| {
        if value < gap.0 {
            gap = (value, p_in_bore);
        }
        gap.0
    };
    let (overhang_m, overhang_at_m) = overhang(top.radius_m, &wall.plan);
    let edge = pose.ring_in_bore(&Ring::level(0.0, 0.0, 0.0, top.radius_m));
    let highest = highest_of(&edge);
    if let (None, Profile::Plate { z_low, .. }) = (top.dome, wall.profile) {
        // Nothing of a crown without a dome is nearer to the head's face than its highest point, if that lies under it.
        let below = z_low - highest.z;
        let gap_m = wall.sloped_distance(highest).0;
        if below >= 0.0 && gap_m <= below + SAME_M {
            return EdgeGap { gap_m, point_m: highest, overhang_m, overhang_at_m };
        }
    }
    let dome_rings = top.dome.map(|dome| [(0.0, dome.base_radius), (dome.height, dome.top_radius)]);
    let mut to_beat = f64::INFINITY;
    for (height, radius) in [(0.0, top.radius_m)].into_iter().chain(dome_rings.into_iter().flatten()) {
        let edge = pose.ring_in_bore(&Ring::level(0.0, 0.0, height, radius));
        let bend = wall.bend(radius, pose.rock_rad.abs());
        let found = least_on_ring(&edge, bend, to_beat, |p| wall.sloped_distance(p));
        to_beat = see(found.value, edge.point(found.at));
    }
    // Each solid is convex for itself; together they are not.
    let to_land = |q: DVec3| sloped_to_land(top.radius_m, q);
    let to_dome = top.dome.map(|dome| move |q: DVec3| dome.sloped_distance(q));
    for ring_in_bore in &wall.rings {
        let ring = pose.ring_in_piston(ring_in_bore);
        let found = least_on_ring(&ring, ring.to_cos.length(), to_beat, to_land);
        to_beat = see(found.value, ring_in_bore.point(found.at));
        if let Some(to_dome) = &to_dome {
            let found = least_on_ring(&ring, ring.to_cos.length(), to_beat, to_dome);
            to_beat = see(found.value, ring_in_bore.point(found.at));
        }
    }
    for side_in_bore in wall.sides.iter().chain(&wall.uprights) {
        let side = side_in_bore.map(|p| pose.in_piston(p));
        let place = |share: f64| side_in_bore[0] + (side_in_bore[1] - side_in_bore[0]) * share;
        // A distance changes by no more than its point moves.
        let length = (side[1] - side[0]).length();
        let floor = |ends: [f64; 2]| 0.5 * (ends[0] + ends[1] - length);
        if floor(side.map(|q| to_land(q).0)) < to_beat {
            let found = least_on_segment(side, |q| to_land(q).0);
            to_beat = see(found.value, place(found.at));
        }
        if let Some(to_dome) = &to_dome
            && floor(side.map(|q| to_dome(q).0)) < to_beat
        {
            let found = least_on_segment(side, |q| to_dome(q).0);
            to_beat = see(found.value, place(found.at));
        }
    }
    EdgeGap { gap_m: gap.0, point_m: gap.1, overhang_m, overhang_at_m }
}

/// Gaps nearer than this are the same, in metres.
const SAME_M: f64 = 1e-12;

/// The point of a ring that stands highest.
fn highest_of(ring: &Ring) -> DVec3 {
    let swing = ring.to_cos.z.hypot(ring.to_sin.z);
    if swing > 0.0 {
        ring.center + ring.to_cos * (ring.to_cos.z / swing) + ring.to_sin * (ring.to_sin.z / swing)
    } else {
        ring.center + ring.to_cos
    }
}

/// Signed distance of a point of the piston's frame from crown and land, and its gradient.
fn sloped_to_land(radius: f64, q: DVec3) -> Sloped {
    let out = (q.x * q.x + q.y * q.y).sqrt();
    let scale = 1.0 / out.max(f64::MIN_POSITIVE);
    let outward = DVec3::new(q.x * scale, q.y * scale, 0.0);
    let (beside, above) = (out - radius, q.z);
    if beside <= 0.0 && above <= 0.0 {
        return if beside > above { (beside, outward) } else { (above, DVec3::Z) };
    }
    if above <= 0.0 {
        return (beside, outward);
    }
    if beside <= 0.0 {
        return (above, DVec3::Z);
    }
    let distance = beside.hypot(above);
    (distance, (outward * beside + DVec3::Z * above) / distance)
}

/// How far an outline reaches inside a circle about the bore axis at most, and where.
///
/// The outline's point nearest to the axis: for a circle it lies across from the centre's side, for a polygon
/// on one of the sides. An outline that does not go round the axis reaches in to the axis and beyond.
fn overhang(radius: f64, plan: &Plan) -> (f64, [f64; 2]) {
    match plan {
        Plan::Circle { center, radius: own } => {
            let off = center[0].hypot(center[1]);
            let way = if off > 0.0 { [-center[0] / off, -center[1] / off] } else { [1.0, 0.0] };
            let nearest = own - off;
            (radius - nearest, [way[0] * nearest, way[1] * nearest])
        }
        Plan::Polygon { corners } => {
            let (mut nearest_sq, mut at) = (f64::INFINITY, [0.0; 2]);
            for (idx, &to) in corners.iter().enumerate() {
                let from = corners[(idx + corners.len() - 1) % corners.len()];
                let side = [to[0] - from[0], to[1] - from[1]];
                let length_sq = side[0] * side[0] + side[1] * side[1];
                let share = if length_sq > 0.0 {
                    (-(from[0] * side[0] + from[1] * side[1]) / length_sq).clamp(0.0, 1.0)
                } else {
                    0.0
                };
                let p = [from[0] + share * side[0], from[1] + share * side[1]];
                let out_sq = p[0] * p[0] + p[1] * p[1];
                if out_sq < nearest_sq {
                    (nearest_sq, at) = (out_sq, p);
                }
            }
            let inside = plan.outside(0.0, 0.0) <= 0.0;
            let nearest = if inside { nearest_sq.sqrt() } else { -nearest_sq.sqrt() };
            (radius - nearest, at)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PISTON_M: f64 = 0.0427;
    const FACE_M: f64 = 0.001;

    const FLAT: PistonTop = PistonTop { radius_m: PISTON_M, dome: None };

    fn straight(top: &PistonTop, crown_m: f64, wall: &Obstacle) -> EdgeGap {
        piston_edge_to_chamber(top, &PistonPose::straight(crown_m), wall)
    }

    fn circle(x: f64, radius: f64) -> Obstacle {
        Obstacle::plate(Plan::Circle { center: [x, 0.0], radius }, FACE_M, FACE_M + 0.004)
    }

    /// ```text
    ///   head #####|          |#####     chamber smaller than the crown: quench all round
    ///          ==================       crown
    /// ```
    #[test]
    fn exact_quench_pad_and_edge_to_edge() {
        let pad = straight(&FLAT, -0.0002, &circle(0.0, 0.038));
        assert!((pad.gap_m - 0.0012).abs() < 1e-8, "{pad:?}");
        assert!((pad.overhang_m - 0.0047).abs() < 1e-12);
        let wide = straight(&FLAT, -0.0002, &circle(0.0, 0.0437));
        assert!((wide.gap_m - 0.001_f64.hypot(0.0012)).abs() < 1e-8, "{wide:?}");
        assert!((wide.overhang_m + 0.001).abs() < 1e-12);
    }

    #[test]
    fn exact_crown_up_in_the_chamber() {
        // The crown stands 2 mm over the head's face; the chamber sits 0.4 mm to one side.
        let up = straight(&FLAT, 0.003, &circle(0.0004, 0.0437));
        assert!((up.gap_m - 0.0006).abs() < 1e-8, "{up:?}");
        assert!(up.point_m.x < 0.0);
        let hits = straight(&FLAT, 0.003, &circle(0.0014, 0.0437));
        assert!((hits.gap_m + 0.0004).abs() < 1e-8, "{hits:?}");
    }

    #[test]
    fn exact_polygon_pad_on_one_side() {
        // Straight across at x = 30 mm, wide elsewhere.
        let corners = vec![[-0.06, -0.06], [0.03, -0.06], [0.03, 0.06], [-0.06, 0.06]];
        let wall = Obstacle::plate(Plan::polygon(corners, 0.0), FACE_M, FACE_M + 0.004);
        let pad = straight(&FLAT, 0.0001, &wall);
        assert!((pad.gap_m - 0.0009).abs() < 1e-8, "{pad:?}");
        assert!((pad.overhang_m - (PISTON_M - 0.03)).abs() < 1e-12);
        assert!((pad.overhang_at_m[0] - 0.03).abs() < 1e-12 && pad.overhang_at_m[1].abs() < 1e-12);
    }

    /// ```text
    ///   head #####|   ________   |#####
    ///        #####|  /  dome  \\  |#####
    ///          ========================   crown
    /// ```
    #[test]
    fn exact_dome_beside_the_wall() {
        let dome = Dome { base_radius: 0.036, top_radius: 0.034, height: 0.003 };
        let top = PistonTop { dome: Some(dome), ..FLAT };
        // The wall's lower edge, 0.5 mm over the crown and 1 mm out, against the sloping side; quench is as near as that.
        let beside = straight(&top, 0.0005, &circle(0.0, 0.037));
        assert!((beside.gap_m - 0.0005).abs() < 1e-8, "{beside:?}");
        // Lower down the crown is far off, and the side's foot 1 mm beside the wall.
        let foot = straight(&PistonTop { radius_m: 0.036, ..top }, 0.0015, &circle(0.0, 0.037));
        assert!((foot.gap_m - 0.001).abs() < 1e-8, "{foot:?}");
        let low = straight(&PistonTop { radius_m: 0.036, ..top }, 0.0002, &circle(0.0, 0.037));
        let slope = 0.002 / 0.003;
        let expected = (0.001 + slope * 0.0008) / f64::hypot(1.0, slope);
        assert!((low.gap_m - expected).abs() < 1e-8, "{low:?}, {expected}");
    }

    /// A piston that leans about a pin 32 mm below its crown brings the low side of the pad nearer.
    #[test]
    fn exact_leaning_piston_over_its_pad() {
        const LEAN: f64 = 0.002;
        let pose = PistonPose { crown_m: -0.0002, rock_rad: LEAN, pin_m: [0.0, 0.032] };
        let pad = piston_edge_to_chamber(&FLAT, &pose, &circle(0.0, 0.038));
        // The edge at -y goes up by radius sin(lean), the crown over the pin down by 32 mm (1 - cos(lean)).
        let expected = 0.0012 - PISTON_M * LEAN.sin() + 0.032 * (1.0 - LEAN.cos());
        assert!((pad.gap_m - expected).abs() < 1e-8, "{pad:?}, {expected}");
        assert!(pad.point_m.y < -0.9 * PISTON_M);
    }
}
