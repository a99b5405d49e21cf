//! How close the edge of the crown comes to the edge of the chamber and the head's face around it. Leaves out
//! dome and roof, and rock.

use glam::DVec3;

use crate::distance::{Ring, Sloped, least_on_ring, least_on_segment};
use crate::solid::{Obstacle, Plan};

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

/// Gap between a piston of that radius, standing that high over the deck, and the head around its chamber.
///
/// The piston is a cylinder; the head is metal outside the chamber's outline from its face up to
/// `wall_height_m` over it. Where the outline overhangs, the gap is the quench, `face - crown`; beside it,
/// the way from edge to edge; and for a crown that stands up into the chamber, the way to the wall. `wall` is
/// the obstacle [`Obstacle::plate`] of it.
pub fn piston_edge_to_chamber(piston_radius_m: f64, crown_m: f64, wall: &Obstacle) -> EdgeGap {
    let edge = Ring::level(0.0, 0.0, crown_m, piston_radius_m);
    let to_wall = |p: DVec3| wall.sloped_distance(p);
    let bend = wall.bend(piston_radius_m, 0.0);
    let by_edge = least_on_ring(&edge, bend, f64::INFINITY, to_wall);
    let mut gap = (by_edge.value, edge.point(by_edge.at));
    let to_piston = |q: DVec3| sloped_to_piston(piston_radius_m, crown_m, q);
    for ring in &wall.rings {
        let found = least_on_ring(ring, ring.to_cos.length(), gap.0, to_piston);
        if found.value < gap.0 {
            gap = (found.value, ring.point(found.at));
        }
    }
    for side in wall.sides.iter().chain(&wall.uprights) {
        let found = least_on_segment(*side, |q| to_piston(q).0);
        if found.value < gap.0 {
            gap = (found.value, side[0] + (side[1] - side[0]) * found.at);
        }
    }
    let (overhang_m, overhang_at_m) = overhang(piston_radius_m, &wall.plan);
    EdgeGap { gap_m: gap.0, point_m: gap.1, overhang_m, overhang_at_m }
}

/// Signed distance of a point from the piston, and its gradient.
fn sloped_to_piston(radius: f64, crown: f64, q: DVec3) -> Sloped {
    let out = (q.x * q.x + q.y * q.y).sqrt();
    let scale = 1.0 / out.max(f64::MIN_POSITIVE);
    let outward = DVec3::new(q.x * scale, q.y * scale, 0.0);
    let (beside, above) = (out - radius, q.z - crown);
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

    fn circle(x: f64, radius: f64) -> Obstacle {
        Obstacle::plate(Plan::Circle { center: [x, 0.0], radius }, FACE_M, FACE_M + 0.004)
    }

    /// ```text
    ///   head #####|          |#####     chamber smaller than the crown: quench all round
    ///          ==================       crown
    /// ```
    #[test]
    fn exact_quench_pad_and_edge_to_edge() {
        let pad = piston_edge_to_chamber(PISTON_M, -0.0002, &circle(0.0, 0.038));
        assert!((pad.gap_m - 0.0012).abs() < 1e-8, "{pad:?}");
        assert!((pad.overhang_m - 0.0047).abs() < 1e-12);
        let wide = piston_edge_to_chamber(PISTON_M, -0.0002, &circle(0.0, 0.0437));
        assert!((wide.gap_m - 0.001_f64.hypot(0.0012)).abs() < 1e-8, "{wide:?}");
        assert!((wide.overhang_m + 0.001).abs() < 1e-12);
    }

    #[test]
    fn exact_crown_up_in_the_chamber() {
        // The crown stands 2 mm over the head's face; the chamber sits 0.4 mm to one side.
        let up = piston_edge_to_chamber(PISTON_M, 0.003, &circle(0.0004, 0.0437));
        assert!((up.gap_m - 0.0006).abs() < 1e-8, "{up:?}");
        assert!(up.point_m.x < 0.0);
        let hits = piston_edge_to_chamber(PISTON_M, 0.003, &circle(0.0014, 0.0437));
        assert!((hits.gap_m + 0.0004).abs() < 1e-8, "{hits:?}");
    }

    #[test]
    fn exact_polygon_pad_on_one_side() {
        // Straight across at x = 30 mm, wide elsewhere.
        let corners = vec![[-0.06, -0.06], [0.03, -0.06], [0.03, 0.06], [-0.06, 0.06]];
        let wall = Obstacle::plate(Plan::polygon(corners, 0.0), FACE_M, FACE_M + 0.004);
        let pad = piston_edge_to_chamber(PISTON_M, 0.0001, &wall);
        assert!((pad.gap_m - 0.0009).abs() < 1e-8, "{pad:?}");
        assert!((pad.overhang_m - (PISTON_M - 0.03)).abs() < 1e-12);
        assert!((pad.overhang_at_m[0] - 0.03).abs() < 1e-12 && pad.overhang_at_m[1].abs() < 1e-12);
    }
}
