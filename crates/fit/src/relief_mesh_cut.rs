//! The surface of the metal that a cut takes out of the block. Leaves out pockets in pistons; see
//! [`crate::relief_mesh_pocket`].

use glam::{DVec2, DVec3};

use crate::relief_cut::ReliefCut;
use crate::relief_cutter::Cutter;
use crate::relief_line::{deepest_on_line, inside_on_line};
use crate::relief_mesh::{Mesh, grid};
use crate::relief_volume::Metal;

/// Sections around the bore for each opening of the wall, and steps between two corners of a section.
const N_SECTIONS: usize = 112;
const N_STEPS: usize = 36;

/// The first and last section are taken this share of the opening inside its ends, and closed to a line there.
const INSIDE_END: f64 = 1e-6;

/// Layers between two corners thinner than this are left out, in metres.
const THINNEST_LAYER_M: f64 = 5e-6;

/// Between floor and ceiling a section is taken as no thinner than this, in metres, so that its sides touch only at
/// their ends.
const THINNEST_M: f64 = 1e-7;

/// Lines on floor and ceiling of a section are taken this much inside it, in metres.
const HAIR_M: f64 = 1e-9;

/// Steps of a golden section search: 0.618^48 is 1e-10.
const N_GOLDEN: usize = 48;
const GOLDEN: f64 = 0.618_033_988_749_894_9;

/// The closed surface of the removed metal; empty for an empty cut.
///
/// Made of sections by half planes through the bore axis. Cutter and block are convex in each, so a section is two
/// chains of points at equal levels, one on the bore's side and one on the cutter's. Levels are placed at the corners
/// of the section and between them. The mesh is chordal: its volume differs from the exact one by less than a
/// thousandth on ordinary cuts.
pub fn cut_mesh(cut: &ReliefCut) -> Mesh {
    let Some(extent) = &cut.extent else { return Mesh::default() };
    let below = cut.cutter.lowest() - cut.cutter.radius;
    let sections = Sections { cut, below, beyond: 1.5 * extent.farthest.truncate().length() };
    let mut triangles = Vec::new();
    for &[from, to] in &extent.azimuths {
        let whole_turn = to - from > std::f64::consts::TAU - 1e-9;
        let azimuth = |idx: usize| {
            let share = idx as f64 / N_SECTIONS as f64;
            let eased = if whole_turn { share } else { ease(share).clamp(INSIDE_END, 1.0 - INSIDE_END) };
            from + (to - from) * eased
        };
        let mut chains: Vec<[Vec<DVec3>; 2]> =
            (0..=N_SECTIONS).map(|idx| sections.chains(azimuth(idx))).collect();
        if !whole_turn {
            for end in [0, N_SECTIONS] {
                chains[end][1] = chains[end][0].clone();
            }
        }
        let (inner, outer): (Vec<_>, Vec<_>) =
            chains.into_iter().map(|[inner, outer]| (inner, outer)).unzip();
        let across = |idx: usize| -> Vec<Vec<DVec3>> {
            inner.iter().zip(&outer).map(|(inner, outer)| vec![inner[idx], outer[idx]]).collect()
        };
        let (floor, top) = (across(0), across(inner[0].len() - 1));
        triangles.extend(grid(&inner, false));
        triangles.extend(grid(&outer, true));
        triangles.extend(grid(&floor, true));
        triangles.extend(grid(&top, false));
    }
    Mesh::joined(triangles)
}

/// From 0 to 1, slow at both ends.
fn ease(share: f64) -> f64 {
    0.5 * (1.0 - (std::f64::consts::PI * share).cos())
}

struct Sections<'a> {
    cut: &'a ReliefCut,
    /// A level below the cutter.
    below: f64,
    /// A distance from the bore axis beyond the cut.
    beyond: f64,
}

impl Sections<'_> {
    /// The two sides of the section at an azimuth, from below upward.
    fn chains(&self, azimuth: f64) -> [Vec<DVec3>; 2] {
        let [lowest, highest] = self.levels(azimuth);
        let mut breaks = vec![lowest, highest];
        breaks.extend(self.corners(azimuth).map(|z| z.clamp(lowest, highest)));
        breaks.sort_unstable_by(f64::total_cmp);
        for idx in 1..breaks.len() {
            if breaks[idx] - breaks[idx - 1] < THINNEST_LAYER_M {
                breaks[idx] = breaks[idx - 1];
            }
        }
        let hair = HAIR_M.min(0.25 * (highest - lowest));
        let mut chains = [Vec::new(), Vec::new()];
        let mut add = |z: f64| {
            let apart = if lowest < z && z < highest { THINNEST_M } else { 0.0 };
            // On the very floor rounding would decide whether the line is inside.
            let inside = z.clamp(lowest + hair, highest - hair);
            for (chain, p) in chains.iter_mut().zip(self.across(azimuth, inside, apart)) {
                chain.push(p.with_z(z));
            }
        };
        add(breaks[0]);
        for pair in breaks.windows(2) {
            for step in 1..=N_STEPS {
                add(pair[0] + (pair[1] - pair[0]) * ease(step as f64 / N_STEPS as f64));
            }
        }
        chains
    }

    /// The removed metal on a level line: from bore or cutter to cutter, at least so far apart.
    fn across(&self, azimuth: f64, z: f64, apart: f64) -> [DVec3; 2] {
        let border = self.cut.metal.border_radius(z);
        let way = DVec2::from_angle(azimuth).extend(0.0);
        let from = DVec3::Z * z;
        let range = [border, self.beyond];
        let ends = inside_on_line(&self.cut.cutter, from, way, range).unwrap_or_else(|| {
            // At the very lowest and highest level the line touches.
            [deepest_on_line(&self.cut.cutter, from, way, range).0; 2]
        });
        [ends[0], ends[1].max(ends[0] + apart)].map(|radius| from + way * radius)
    }

    /// Lowest and highest level of the section, by upright lines. What is searched is low outside the cutter only
    /// where the line comes near it, and lower inside, so that golden sections find the one valley.
    fn levels(&self, azimuth: f64) -> [f64; 2] {
        let out = DVec2::from_angle(azimuth);
        let bore = self.cut.bore_radius_m();
        let upright = |radius: f64| {
            let (from, top) = ((out * radius).extend(0.0), self.top(radius));
            let range = [self.below, top];
            inside_on_line(&self.cut.cutter, from, DVec3::Z, range)
                .ok_or_else(|| 1.0 + deepest_on_line(&self.cut.cutter, from, DVec3::Z, range).1)
        };
        let lowest =
            golden(|radius| upright(radius).map_or_else(|off| off, |[low, _]| low), bore, self.beyond);
        let highest =
            golden(|radius| upright(radius).map_or_else(|off| off, |[_, high]| -high), bore, self.beyond);
        [lowest.min(0.0), (-highest).min(0.0).max(lowest.min(0.0))]
    }

    /// Highest level of metal at a distance from the bore axis.
    fn top(&self, radius: f64) -> f64 {
        match self.cut.metal {
            Metal::Block { bore_radius, chamfer_width, chamfer_depth } if chamfer_width > 0.0 => {
                (chamfer_depth * ((radius - bore_radius) / chamfer_width - 1.0)).min(0.0)
            }
            _ => 0.0,
        }
    }

    /// Levels of the corners of the section: foot of the chamfer, floor at the border, and where floor and side meet
    /// the cutter's rounded corner.
    fn corners(&self, azimuth: f64) -> [f64; 4] {
        let (cutter, out) = (&self.cut.cutter, DVec2::from_angle(azimuth));
        let foot = match self.cut.metal {
            Metal::Block { chamfer_depth, .. } => -chamfer_depth,
            Metal::Piston { .. } => 0.0,
        };
        let wall = (out * self.cut.bore_radius_m()).extend(self.below);
        let at_wall = inside_on_line(cutter, wall, DVec3::Z, [0.0, foot - self.below]);
        let side_start = cutter.corner_top();
        let ring =
            |radius: f64, height: f64| ring_point(cutter, radius, height, azimuth).map_or(foot, |p| p.z);
        [
            foot,
            at_wall.map_or(foot, |[low, _]| self.below + low),
            ring(cutter.flat, 0.0),
            ring(cutter.radius_at(side_start).unwrap_or(cutter.radius), side_start),
        ]
    }
}

/// The point at which a ring about the cutter's axis meets a half plane through the frame's `z` axis, the outer one
/// of two.
pub(crate) fn ring_point(cutter: &Cutter, radius: f64, height: f64, azimuth: f64) -> Option<DVec3> {
    let out = DVec2::from_angle(azimuth);
    let aside = DVec3::new(-out.y, out.x, 0.0);
    let center = cutter.end + cutter.axis * height;
    // The ring's point at angle t stands off the plane by c + r (a cos t + b sin t).
    let (a, b, c) = (cutter.across[0].dot(aside), cutter.across[1].dot(aside), center.dot(aside));
    let (amount, turn) = (radius * a.hypot(b), b.atan2(a));
    if c.abs() > amount {
        return None;
    }
    let half = (-c / amount).acos();
    let outer = |p: DVec3, q: DVec3| if p.truncate().dot(out) > q.truncate().dot(out) { p } else { q };
    let point = outer(cutter.point(turn + half, radius, height), cutter.point(turn - half, radius, height));
    (point.truncate().dot(out) > 0.0).then_some(point)
}

/// Least value of a function with one valley, plateaus allowed.
fn golden(f: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    let (mut left, mut right) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
    let (mut at_left, mut at_right) = (f(left), f(right));
    let mut least = f(low).min(at_left).min(at_right);
    for _ in 0..N_GOLDEN {
        if at_left <= at_right {
            (high, right, at_right) = (right, left, at_left);
            left = high - GOLDEN * (high - low);
            at_left = f(left);
            least = least.min(at_left);
        } else {
            (low, left, at_left) = (left, right, at_right);
            right = low + GOLDEN * (high - low);
            at_right = f(right);
            least = least.min(at_right);
        }
    }
    least
}
