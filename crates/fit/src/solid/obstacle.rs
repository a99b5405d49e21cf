//! The metal a valve may meet: a profile swept along a plan line, and the sharp edges of it.

use glam::DVec3;

use super::plan::for_each_side;
use super::{Plan, Profile};
use crate::distance::Ring;

/// A block, a gasket or the wall of a chamber.
#[derive(Clone, Debug)]
pub struct Obstacle {
    /// Metal lies outside this line ...
    pub plan: Plan,
    /// ... where the profile has it, with `u` the distance outside the line.
    pub profile: Profile,
    /// Round edges.
    pub rings: Vec<Ring>,
    /// Straight edges along the plan line, from end to end.
    pub sides: Vec<[DVec3; 2]>,
    /// Straight edges that stand upright at the corners of the plan line.
    pub uprights: Vec<[DVec3; 2]>,
}

impl Obstacle {
    /// The block around a bore with a chamfer.
    pub fn block(bore_radius: f64, chamfer_width: f64, chamfer_depth: f64) -> Self {
        let mut rings = Vec::with_capacity(2);
        if chamfer_width > 0.0 && chamfer_depth > 0.0 {
            rings.push(Ring::level(0.0, 0.0, -chamfer_depth, bore_radius));
            rings.push(Ring::level(0.0, 0.0, 0.0, bore_radius + chamfer_width));
        } else {
            rings.push(Ring::level(0.0, 0.0, 0.0, bore_radius));
        }
        Self {
            plan: Plan::Circle { center: [0.0, 0.0], radius: bore_radius },
            profile: Profile::block(chamfer_width, chamfer_depth),
            rings,
            sides: Vec::new(),
            uprights: Vec::new(),
        }
    }

    /// A plate between two heights with an opening.
    pub fn plate(plan: Plan, z_low: f64, z_high: f64) -> Self {
        let (mut rings, mut sides, mut uprights) = (Vec::new(), Vec::new(), Vec::new());
        match &plan {
            Plan::Circle { center, radius } => {
                for z in [z_low, z_high] {
                    rings.push(Ring::level(center[0], center[1], z, *radius));
                }
            }
            Plan::Polygon { corners } => {
                for_each_side(corners, |a, b| {
                    for z in [z_low, z_high] {
                        sides.push([DVec3::new(a[0], a[1], z), DVec3::new(b[0], b[1], z)]);
                    }
                    uprights.push([DVec3::new(a[0], a[1], z_low), DVec3::new(a[0], a[1], z_high)]);
                });
            }
        }
        Self { plan, profile: Profile::plate(z_low, z_high), rings, sides, uprights }
    }

    /// Signed distance of a point of the bore frame; negative inside the metal.
    #[inline]
    pub fn signed_distance(&self, p: DVec3) -> f64 {
        self.profile.signed_distance(self.plan.outside(p.x, p.y), p.z)
    }
}
