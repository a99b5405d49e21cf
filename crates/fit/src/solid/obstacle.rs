//! The metal a valve may meet: a profile swept along a plan line, and the sharp edges of it.

use glam::DVec3;

use super::plan::for_each_side;
use super::profile::Near;
use super::{Plan, Profile};
use crate::distance::{Ring, Sloped};
use crate::relief_cutter::Cutter;

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
    /// Straight edges that stand upright where a corner of the metal juts into the opening.
    pub uprights: Vec<[DVec3; 2]>,
    /// What was cut out of it; the rest of this description is of the metal uncut.
    pub cuts: Vec<Cutter>,
}

impl Obstacle {
    /// The block around a bore with a chamfer.
    pub fn block(bore_radius: f64, chamfer_width: f64, chamfer_depth: f64) -> Self {
        let mut rings = Vec::with_capacity(2);
        let sharp = !(chamfer_width > 0.0 && chamfer_depth > 0.0);
        let (width, depth) = if sharp { (0.0, 0.0) } else { (chamfer_width, chamfer_depth) };
        if !sharp {
            rings.push(Ring::level(0.0, 0.0, -chamfer_depth, bore_radius));
            rings.push(Ring::level(0.0, 0.0, 0.0, bore_radius + chamfer_width));
        } else {
            rings.push(Ring::level(0.0, 0.0, 0.0, bore_radius));
        }
        Self {
            plan: Plan::Circle { center: [0.0, 0.0], radius: bore_radius },
            profile: Profile::Block { width, depth },
            rings,
            sides: Vec::new(),
            uprights: Vec::new(),
            cuts: Vec::new(),
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
                });
                for corner in jutting_corners(corners) {
                    uprights.push([z_low, z_high].map(|z| DVec3::new(corner[0], corner[1], z)));
                }
            }
        }
        Self { plan, profile: Profile::Plate { z_low, z_high }, rings, sides, uprights, cuts: Vec::new() }
    }

    /// Signed distance of a point of the bore frame from the metal uncut, negative inside it, and its gradient.
    #[inline]
    pub fn sloped_distance(&self, p: DVec3) -> Sloped {
        let (u, out) = self.plan.sloped_outside(p.x, p.y);
        let Near { distance, gradient: [by_u, by_z], .. } = self.profile.near(u, p.z);
        (distance, DVec3::new(by_u * out[0], by_u * out[1], by_z))
    }

    /// How sharply the distance from this metal may bend down along a ring of that radius whose plane leans by the angle
    /// of that sine, for [`crate::distance::least_on_ring`].
    pub fn bend(&self, ring_radius: f64, sin_lean: f64) -> f64 {
        match &self.plan {
            // Near the line the distance to it bends down as `radius^2 / plan radius` along the ring, the height as
            // `radius sin(lean)`; points far from the line bend more but are far from nearest. Half as much again for safety.
            Plan::Circle { radius, .. } => 1.5 * ring_radius * (ring_radius / radius + sin_lean),
            // A jutting corner may stand anywhere: look everywhere.
            Plan::Polygon { .. } => f64::INFINITY,
        }
    }
}

/// Corners of a counter-clockwise polygon where it turns clockwise.
fn jutting_corners(corners: &[[f64; 2]]) -> impl Iterator<Item = [f64; 2]> {
    let n = corners.len();
    (0..n).map(move |idx| [(idx + n - 1) % n, idx, (idx + 1) % n].map(|at| corners[at])).filter_map(
        |[before, here, after]| {
            let turn =
                (here[0] - before[0]) * (after[1] - here[1]) - (here[1] - before[1]) * (after[0] - here[0]);
            (turn < 0.0).then_some(here)
        },
    )
}
