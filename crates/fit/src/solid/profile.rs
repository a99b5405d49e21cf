//! A region of the half plane (u, z), and how far a point is from it.
//!
//! Swept along a plan line (a circle or a polygon) it becomes a solid; the nearest point of such a solid always lies
//! in the half plane through the point asked about, so this distance is the distance in space.

/// A region of the half plane.
#[derive(Clone, Copy, Debug)]
pub enum Profile {
    /// The block around a bore: metal where `u > 0` and `z < 0`, less a chamfer. Both lengths 0 for a sharp edge.
    Block {
        /// How far the chamfer reaches outward.
        width: f64,
        /// How far it reaches down.
        depth: f64,
    },
    /// A plate with an opening: metal where `u > 0` between two heights.
    Plate {
        /// Lower face.
        z_low: f64,
        /// Upper face.
        z_high: f64,
    },
    /// A valve about its own axis, `u` its radius and `z` the height above its face: face, margin, seat cone carried on
    /// to the stem, stem without end.
    Valve {
        /// Largest radius.
        head_radius: f64,
        /// Height of the margin.
        margin: f64,
        /// sin and cos of the seat angle.
        seat: [f64; 2],
        /// Radius of the stem.
        stem_radius: f64,
    },
}

/// The part of a profile's border that is nearest to a point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Border {
    /// Bore wall, or wall of an opening.
    Wall,
    /// Chamfer or one of its edges, sharp top edge of a bore, edge of an opening.
    Edge,
    /// Deck, or face of a plate.
    Flat,
    /// Any part of a valve.
    Valve,
}

/// How far a point is from a profile.
#[derive(Clone, Copy, Debug)]
pub struct Near {
    /// Signed distance; negative inside the region.
    pub distance: f64,
    /// Its gradient by u and z, a unit vector.
    pub gradient: [f64; 2],
    /// Nearest part of the border.
    pub border: Border,
}

impl Near {
    #[inline]
    fn flat(distance: f64, gradient: [f64; 2], border: Border) -> Self {
        Self { distance, gradient, border }
    }

    /// Outside, nearest to a corner that lies by (-du, -dz) from the point.
    #[inline]
    fn corner(du: f64, dz: f64, border: Border) -> Self {
        let distance = (du * du + dz * dz).sqrt();
        let scale = 1.0 / distance.max(f64::MIN_POSITIVE);
        Self { distance, gradient: [du * scale, dz * scale], border }
    }
}

impl Profile {
    /// How far a point is.
    #[inline]
    pub fn near(&self, u: f64, z: f64) -> Near {
        match *self {
            Self::Block { width, depth } => near_block(width, depth, u, z),
            Self::Plate { z_low, z_high } => near_plate(z_low, z_high, u, z),
            Self::Valve { head_radius, margin, seat, stem_radius } => {
                near_valve(head_radius, margin, seat, stem_radius, u, z)
            }
        }
    }
}

#[inline]
fn near_block(width: f64, depth: f64, u: f64, z: f64) -> Near {
    if z <= -depth && u <= 0.0 {
        return Near::flat(-u, [-1.0, 0.0], Border::Wall);
    }
    if u >= width && z >= 0.0 {
        return Near::flat(z, [0.0, 1.0], Border::Flat);
    }
    // From the foot of the chamfer (0, -depth): along it times its length, and out of it times its length.
    let above_foot = z + depth;
    let length_sq = width * width + depth * depth;
    let along = u * width + above_foot * depth;
    let out = above_foot * width - u * depth;
    let below_both = u > 0.0 && z < 0.0;
    if below_both && out <= 0.0 {
        let chamfer_depth = if length_sq > 0.0 { -out / length_sq.sqrt() } else { f64::INFINITY };
        return if u < -z && u < chamfer_depth {
            Near::flat(-u, [-1.0, 0.0], Border::Wall)
        } else if -z < chamfer_depth {
            Near::flat(z, [0.0, 1.0], Border::Flat)
        } else {
            let scale = 1.0 / length_sq.sqrt();
            Near::flat(-chamfer_depth, [-depth * scale, width * scale], Border::Edge)
        };
    }
    if along <= 0.0 {
        Near::corner(u, above_foot, Border::Edge)
    } else if along >= length_sq {
        Near::corner(u - width, z, Border::Edge)
    } else {
        let scale = 1.0 / length_sq.sqrt();
        Near::flat(out * scale, [-depth * scale, width * scale], Border::Edge)
    }
}

#[inline]
fn near_plate(z_low: f64, z_high: f64, u: f64, z: f64) -> Near {
    let (below, above) = (z_low - z, z - z_high);
    let (beyond, up) = if below > above { (below, -1.0) } else { (above, 1.0) };
    if u <= 0.0 {
        if beyond <= 0.0 {
            Near::flat(-u, [-1.0, 0.0], Border::Wall)
        } else {
            Near::corner(u, beyond * up, Border::Edge)
        }
    } else if beyond >= 0.0 || -beyond < u {
        Near::flat(beyond, [0.0, up], Border::Flat)
    } else {
        Near::flat(-u, [-1.0, 0.0], Border::Wall)
    }
}

#[inline]
fn near_valve(head_radius: f64, margin: f64, [sin, cos]: [f64; 2], stem_radius: f64, u: f64, z: f64) -> Near {
    let beyond_rim = u - head_radius;
    if z <= 0.0 {
        return if beyond_rim <= 0.0 {
            Near::flat(-z, [0.0, -1.0], Border::Valve)
        } else {
            Near::corner(beyond_rim, z, Border::Valve)
        };
    }
    if z <= margin && beyond_rim >= 0.0 {
        return Near::flat(beyond_rim, [1.0, 0.0], Border::Valve);
    }
    // From the upper rim: along the cone, out of it; and the same for the stem.
    let above_rim = z - margin;
    let along = above_rim * sin - beyond_rim * cos;
    let out = beyond_rim * sin + above_rim * cos;
    let cone_length = (head_radius - stem_radius) / cos;
    let stem_start = margin + cone_length * sin;
    let beyond_stem = u - stem_radius;
    let in_head = beyond_rim <= 0.0 && out <= 0.0;
    let in_stem = beyond_stem <= 0.0;
    let to_cone = if along <= 0.0 {
        Near::corner(beyond_rim, above_rim, Border::Valve)
    } else if along >= cone_length {
        Near::corner(beyond_stem, z - stem_start, Border::Valve)
    } else {
        Near::flat(out.abs(), [sin.copysign(out), cos.copysign(out)], Border::Valve)
    };
    let to_stem = if z >= stem_start {
        Near::flat(beyond_stem.abs(), [1.0_f64.copysign(beyond_stem), 0.0], Border::Valve)
    } else {
        Near::corner(beyond_stem, z - stem_start, Border::Valve)
    };
    let nearest = if to_stem.distance < to_cone.distance { to_stem } else { to_cone };
    if !(in_head || in_stem) {
        return nearest;
    }
    // Inside, the face and the margin may be nearer; a gradient points out, so against the way to the border.
    let mut deepest = nearest;
    if z < deepest.distance {
        deepest = Near::flat(z, [0.0, 1.0], Border::Valve);
    }
    if z <= margin && -beyond_rim < deepest.distance {
        deepest = Near::flat(-beyond_rim, [-1.0, 0.0], Border::Valve);
    }
    let [by_u, by_z] = deepest.gradient;
    Near { distance: -deepest.distance, gradient: [-by_u, -by_z], border: Border::Valve }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(profile: &Profile, u: f64, z: f64, expected: f64) {
        let found = profile.near(u, z);
        assert!(
            (found.distance - expected).abs() < 1e-12,
            "at ({u}, {z}): {}, expected {expected}",
            found.distance
        );
        let step = 1e-6;
        let by_u = (profile.near(u + step, z).distance - profile.near(u - step, z).distance) / (2.0 * step);
        let by_z = (profile.near(u, z + step).distance - profile.near(u, z - step).distance) / (2.0 * step);
        let off = (by_u - found.gradient[0]).hypot(by_z - found.gradient[1]);
        // Central differences are good to 1e-10; on a kink they are not the gradient, so points keep off kinks.
        assert!(off < 1e-5, "gradient at ({u}, {z}): {:?}, differences {by_u}, {by_z}", found.gradient);
    }

    #[test]
    fn exact_block() {
        //        z
        //   gap  |   gap
        //  ------+-----------   deck from u = 1 on
        //        | /#########
        //        |/##########   wall from z = -1 down
        let sharp = Profile::Block { width: 0.0, depth: 0.0 };
        check(&sharp, -3.0, 4.0, 5.0);
        check(&sharp, -2.0, -7.0, 2.0);
        check(&sharp, 6.0, 0.5, 0.5);
        check(&sharp, 2.0, -3.0, -2.0);
        let chamfered = Profile::Block { width: 1.0, depth: 1.0 };
        check(&chamfered, 0.0, 0.0, 0.5_f64.sqrt());
        check(&chamfered, 0.5, -0.25, 0.125_f64.sqrt() / 2.0);
        check(&chamfered, 1.0, -1.0, -(0.5_f64.sqrt()));
        check(&chamfered, -3.0, -1.5, 3.0);
        check(&chamfered, -3.0, 3.0, 7.0 * 0.5_f64.sqrt());
    }

    #[test]
    fn exact_plate() {
        let plate = Profile::Plate { z_low: 0.0, z_high: 2.0 };
        check(&plate, -3.0, 6.0, 5.0);
        check(&plate, 5.0, 0.5, -0.5);
        check(&plate, 0.25, 0.9, -0.25);
        check(&plate, 5.0, -4.0, 4.0);
    }

    #[test]
    fn exact_valve() {
        let half_right = 0.5_f64.sqrt();
        let seat = [half_right, half_right];
        let valve = Profile::Valve { head_radius: 10.0, margin: 1.0, seat, stem_radius: 4.0 };
        check(&valve, 0.5, -2.0, 2.0);
        check(&valve, 13.0, 0.5, 3.0);
        check(&valve, 13.0, -4.0, 5.0);
        check(&valve, 4.5, 5.5, -half_right);
        check(&valve, 6.0, 40.0, 2.0);
        check(&valve, 1.0, 40.0, -3.0);
        check(&valve, 9.5, 0.7, -0.5);
        // On the axis just under the stem the nearest surface is the face, not an inner border.
        check(&valve, 0.5, 3.0, -3.0);
    }
}
