//! The surface of the metal that a fly-cut takes out of a flat piston crown. Leaves out cuts in the block; see
//! [`crate::relief_mesh_cut`].

use glam::{DVec2, DVec3};

use crate::relief_fly_cut::FlyCut;
use crate::relief_line::{inside_on_line, surface_on_line};
use crate::relief_mesh::{Mesh, grid};

/// Directions around the pocket, and steps between two corners of a section.
const N_AROUND: usize = 288;
const N_STEPS: usize = 12;

/// Chordal accuracy of the outline whose middle is taken, in metres.
const MIDDLE_ACCURACY_M: f64 = 1e-5;

/// The closed surface of the removed metal; empty for an empty cut.
///
/// Cutter, piston and the space below the crown are convex, and so is what they share. Its surface is walked in half
/// planes through an upright line in its midst, in each by the angle about a point of that line, with a step at every
/// corner.
pub fn pocket_mesh(cut: &FlyCut) -> Mesh {
    let Some(midst) = Midst::new(cut) else { return Mesh::default() };
    let sections: Vec<Vec<DVec3>> = (0..=N_AROUND)
        .map(|idx| midst.section(std::f64::consts::TAU * (idx % N_AROUND) as f64 / N_AROUND as f64))
        .collect();
    Mesh::joined(grid(&sections, true))
}

struct Midst<'a> {
    cut: &'a FlyCut,
    /// Inside the metal, half way between floor and crown.
    point: DVec3,
    /// Beyond the whole cut.
    beyond: f64,
}

impl<'a> Midst<'a> {
    fn new(cut: &'a FlyCut) -> Option<Self> {
        let extent = cut.extent.as_ref()?;
        let outline = cut.outline.polylines(MIDDLE_ACCURACY_M).into_iter().next()?;
        let n = outline.len() as f64;
        let middle = outline.iter().sum::<DVec2>() / n;
        let below = extent.lowest.z - cut.cutter.radius;
        let from = middle.extend(0.0);
        let [floor, _] = inside_on_line(&cut.cutter, from, DVec3::Z, [below, 0.0])?;
        let beyond = 4.0 * (cut.metal.top_radius() + cut.cutter.radius - below);
        Some(Self { cut, point: middle.extend(0.5 * floor), beyond })
    }

    /// From the floor below the middle along the surface to the crown and back to the middle.
    fn section(&self, azimuth: f64) -> Vec<DVec3> {
        let out = DVec2::from_angle(azimuth);
        let down = -std::f64::consts::FRAC_PI_2;
        let edge = self.cut.outline_reach(self.point.truncate(), out);
        let to_edge = (-self.point.z).atan2(edge);
        let mut breaks = vec![down, to_edge];
        breaks.extend(self.corners(out).map(|angle| angle.clamp(down, to_edge)));
        breaks.sort_unstable_by(f64::total_cmp);
        let mut points = vec![self.surface(out, down)];
        for pair in breaks.windows(2) {
            for step in 1..=N_STEPS {
                points.push(self.surface(out, pair[0] + (pair[1] - pair[0]) * step as f64 / N_STEPS as f64));
            }
        }
        // The crown's edge exactly, then the crown.
        let last = points.len() - 1;
        points[last] = (self.point.truncate() + out * edge).extend(0.0);
        points.push(self.point.truncate().extend(0.0));
        points
    }

    /// The point of the surface in a direction: azimuth and angle above the level.
    fn surface(&self, out: DVec2, angle: f64) -> DVec3 {
        let (sin, cos) = angle.sin_cos();
        let way = (out * cos).extend(sin);
        let to_cutter = surface_on_line(&self.cut.cutter, self.point, way, self.beyond, 0.0);
        let to_crown = if sin > 0.0 { -self.point.z / sin } else { f64::INFINITY };
        let to_side = if cos > 1e-9 { self.to_piston_side(out) / cos } else { f64::INFINITY };
        self.point + way * to_cutter.min(to_crown).min(to_side)
    }

    /// Level distance from the middle to the side of the piston.
    fn to_piston_side(&self, out: DVec2) -> f64 {
        let (from, radius) = (self.point.truncate(), self.cut.metal.top_radius());
        let along = from.dot(out);
        (along * along + radius * radius - from.length_squared()).max(0.0).sqrt() - along
    }

    /// Angles, seen from the point, of the corners of the section: the ends of the cutter's rounded corner, and the
    /// piston's side.
    fn corners(&self, out: DVec2) -> [f64; 3] {
        let cutter = &self.cut.cutter;
        let side_start = cutter.corner_top();
        let side = self.to_piston_side(out);
        let below = self.point.z - self.beyond;
        let at_side = (self.point.truncate() + out * side).extend(0.0);
        let on_side = inside_on_line(cutter, at_side, DVec3::Z, [below, 0.0]);
        let ring = |radius: f64, height: f64| {
            let moved = cutter.moved_aside(-self.point.truncate());
            let level = crate::relief_mesh_cut::ring_point(&moved, radius, height, out.to_angle());
            level.map_or(0.0, |p| (p.z - self.point.z).atan2(p.truncate().dot(out)))
        };
        [
            ring(cutter.flat, 0.0),
            ring(cutter.radius_at(side_start).unwrap_or(cutter.radius), side_start),
            on_side.map_or(0.0, |[low, _]| (low - self.point.z).atan2(side)),
        ]
    }
}
