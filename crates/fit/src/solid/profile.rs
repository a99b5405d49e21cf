//! A region of the half plane (u, z), bounded by straight edges, and how far a point is from it.
//!
//! Swept along a plan line (a circle or a polygon) it becomes a solid; the nearest point of such a solid always lies
//! in the half plane through the point asked about, so this distance is the distance in space.

/// One straight edge: a start, a unit direction, a length (infinite for a ray) and the normal that points out of the
/// region.
#[derive(Clone, Copy, Debug)]
struct Edge {
    start: [f64; 2],
    direction: [f64; 2],
    length: f64,
    normal: [f64; 2],
}

const UNUSED: Edge = Edge { start: [0.0; 2], direction: [1.0, 0.0], length: 0.0, normal: [0.0; 2] };

/// Most edges a profile may have.
const MAX_EDGES: usize = 4;

/// A region bounded by up to four edges.
#[derive(Clone, Copy, Debug)]
pub struct Profile {
    edges: [Edge; MAX_EDGES],
    n_edges: usize,
    /// Convex pieces whose union is the region, each as the set of edges that bound it.
    pieces: [u8; 2],
}

/// Which part of a profile is nearest to a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest {
    /// Signed distance; negative inside the region.
    pub distance: f64,
    /// The edge, counted as the constructor lists them.
    pub edge_idx: usize,
    /// The nearest point of that edge.
    pub point: [f64; 2],
    /// Whether that point is an end of the edge, a corner of the region.
    pub at_corner: bool,
}

impl Profile {
    /// The block around a bore: metal where `u > 0` and `z < 0`, less a chamfer of that width and depth.
    /// Edges: 0 bore wall, 1 deck, 2 chamfer (when there is one).
    pub fn block(chamfer_width: f64, chamfer_depth: f64) -> Self {
        let sharp = !(chamfer_width > 0.0 && chamfer_depth > 0.0);
        let (width, depth) = if sharp { (0.0, 0.0) } else { (chamfer_width, chamfer_depth) };
        let wall =
            Edge { start: [0.0, -depth], direction: [0.0, -1.0], length: f64::INFINITY, normal: [-1.0, 0.0] };
        let deck =
            Edge { start: [width, 0.0], direction: [1.0, 0.0], length: f64::INFINITY, normal: [0.0, 1.0] };
        if sharp {
            return Self { edges: [wall, deck, UNUSED, UNUSED], n_edges: 2, pieces: [0b011, 0b011] };
        }
        let slope = width.hypot(depth);
        let chamfer = Edge {
            start: [0.0, -depth],
            direction: [width / slope, depth / slope],
            length: slope,
            normal: [-depth / slope, width / slope],
        };
        Self { edges: [wall, deck, chamfer, UNUSED], n_edges: 3, pieces: [0b111, 0b111] }
    }

    /// A plate with an opening: metal where `u > 0` between two heights.
    /// Edges: 0 wall of the opening, 1 lower face, 2 upper face.
    pub fn plate(z_low: f64, z_high: f64) -> Self {
        let wall =
            Edge { start: [0.0, z_low], direction: [0.0, 1.0], length: z_high - z_low, normal: [-1.0, 0.0] };
        let face = |z: f64, up: f64| Edge {
            start: [0.0, z],
            direction: [1.0, 0.0],
            length: f64::INFINITY,
            normal: [0.0, up],
        };
        let edges = [wall, face(z_low, -1.0), face(z_high, 1.0), UNUSED];
        Self { edges, n_edges: 3, pieces: [0b111, 0b111] }
    }

    /// A valve about its own axis, `u` its radius and `z` the height above its face: face, margin, seat cone carried
    /// on to the stem, stem. Edges in that order.
    pub fn valve(head_radius: f64, margin: f64, seat_angle_rad: f64, stem_radius: f64) -> Self {
        let (sin, cos) = seat_angle_rad.sin_cos();
        let cone_length = (head_radius - stem_radius) / cos;
        let stem_start = margin + cone_length * sin;
        let face =
            Edge { start: [0.0, 0.0], direction: [1.0, 0.0], length: head_radius, normal: [0.0, -1.0] };
        let edge =
            Edge { start: [head_radius, 0.0], direction: [0.0, 1.0], length: margin, normal: [1.0, 0.0] };
        let cone = Edge {
            start: [head_radius, margin],
            direction: [-cos, sin],
            length: cone_length,
            normal: [sin, cos],
        };
        let stem = Edge {
            start: [stem_radius, stem_start],
            direction: [0.0, 1.0],
            length: f64::INFINITY,
            normal: [1.0, 0.0],
        };
        Self { edges: [face, edge, cone, stem], n_edges: 4, pieces: [0b0111, 0b1001] }
    }

    /// Signed distance from a point; negative inside.
    #[inline]
    pub fn signed_distance(&self, u: f64, z: f64) -> f64 {
        let mut least_sq = f64::INFINITY;
        let mut outside = 0_u8;
        for (edge_idx, edge) in self.edges[..self.n_edges].iter().enumerate() {
            let (du, dz) = (u - edge.start[0], z - edge.start[1]);
            let along = (du * edge.direction[0] + dz * edge.direction[1]).max(0.0).min(edge.length);
            let (ru, rz) = (du - along * edge.direction[0], dz - along * edge.direction[1]);
            least_sq = least_sq.min(ru * ru + rz * rz);
            outside |= u8::from(du * edge.normal[0] + dz * edge.normal[1] > 0.0) << edge_idx;
        }
        let inside = self.pieces[0] & outside == 0 || self.pieces[1] & outside == 0;
        if inside { -least_sq.sqrt() } else { least_sq.sqrt() }
    }

    /// As [`Self::signed_distance`], with the edge and its nearest point.
    pub fn nearest(&self, u: f64, z: f64) -> Nearest {
        let mut best = Nearest { distance: f64::INFINITY, edge_idx: 0, point: [0.0; 2], at_corner: false };
        for (edge_idx, edge) in self.edges[..self.n_edges].iter().enumerate() {
            let (du, dz) = (u - edge.start[0], z - edge.start[1]);
            let along = du * edge.direction[0] + dz * edge.direction[1];
            let held = along.max(0.0).min(edge.length);
            let point = [edge.start[0] + held * edge.direction[0], edge.start[1] + held * edge.direction[1]];
            let distance = (u - point[0]).hypot(z - point[1]);
            if distance < best.distance {
                best = Nearest { distance, edge_idx, point, at_corner: held != along };
            }
        }
        best.distance = self.signed_distance(u, z);
        best
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(profile: &Profile, u: f64, z: f64, expected: f64) {
        let found = profile.signed_distance(u, z);
        assert!((found - expected).abs() < 1e-12, "at ({u}, {z}): {found}, expected {expected}");
    }

    #[test]
    fn exact_block() {
        //        z
        //   gap  |   gap
        //  ------+-----------   deck from u = 1 on
        //        | /#########
        //        |/##########   wall from z = -1 down
        let sharp = Profile::block(0.0, 0.0);
        check(&sharp, -3.0, 4.0, 5.0);
        check(&sharp, -2.0, -7.0, 2.0);
        check(&sharp, 6.0, 0.5, 0.5);
        check(&sharp, 2.0, -3.0, -2.0);
        let chamfered = Profile::block(1.0, 1.0);
        check(&chamfered, 0.0, 0.0, 0.5_f64.sqrt());
        check(&chamfered, 0.5, -0.5, 0.0);
        check(&chamfered, 1.0, -1.0, -(0.5_f64.sqrt()));
        check(&chamfered, -3.0, -1.0, 3.0);
    }

    #[test]
    fn exact_plate() {
        let plate = Profile::plate(0.0, 2.0);
        check(&plate, -3.0, 6.0, 5.0);
        check(&plate, 5.0, 0.5, -0.5);
        check(&plate, 0.25, 1.0, -0.25);
        check(&plate, 5.0, -4.0, 4.0);
    }

    #[test]
    fn exact_valve() {
        let valve = Profile::valve(10.0, 1.0, std::f64::consts::FRAC_PI_4, 4.0);
        check(&valve, 0.0, -2.0, 2.0);
        check(&valve, 13.0, 0.5, 3.0);
        check(&valve, 13.0, -4.0, 5.0);
        check(&valve, 4.0, 6.0, -(0.5_f64.sqrt()));
        check(&valve, 6.0, 40.0, 2.0);
        check(&valve, 1.0, 40.0, -3.0);
        // On the axis just under the stem the nearest surface is the face, not an inner border.
        check(&valve, 0.0, 3.0, -3.0);
    }
}
