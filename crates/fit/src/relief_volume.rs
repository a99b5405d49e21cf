//! How much metal a cutter takes out of a block or a piston crown. Leaves out the shape of what is left.

use glam::DVec3;

use crate::relief_cutter::Cutter;
use crate::relief_integral::integral;
use crate::relief_line::inside_on_line;

/// Metal below the level `z = 0`, round about the bore axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Metal {
    /// The block around a bore with a chamfer; width and depth 0 for a sharp edge.
    Block {
        /// Radius of the bore.
        bore_radius: f64,
        /// How far the chamfer reaches outward.
        chamfer_width: f64,
        /// How far it reaches down.
        chamfer_depth: f64,
    },
    /// A piston with a flat crown.
    Piston {
        /// Radius of its top land.
        radius: f64,
    },
}

impl Metal {
    /// The block around a bore; a chamfer with only one of its lengths is none.
    pub fn block(bore_radius: f64, chamfer_width: f64, chamfer_depth: f64) -> Self {
        if chamfer_width > 0.0 && chamfer_depth > 0.0 {
            Self::Block { bore_radius, chamfer_width, chamfer_depth }
        } else {
            Self::Block { bore_radius, chamfer_width: 0.0, chamfer_depth: 0.0 }
        }
    }

    /// Radius of the edge between metal and the level `z = 0`.
    pub fn top_radius(&self) -> f64 {
        match *self {
            Self::Block { bore_radius, chamfer_width, .. } => bore_radius + chamfer_width,
            Self::Piston { radius } => radius,
        }
    }

    /// Radius of its round border at a height.
    pub fn border_radius(&self, z: f64) -> f64 {
        match *self {
            Self::Block { bore_radius, chamfer_width, chamfer_depth } => {
                let above_foot = z + chamfer_depth;
                if chamfer_depth > 0.0 && above_foot > 0.0 {
                    bore_radius + chamfer_width * above_foot / chamfer_depth
                } else {
                    bore_radius
                }
            }
            Self::Piston { radius } => radius,
        }
    }

    /// Whether a point is metal.
    #[inline]
    pub fn holds(&self, p: DVec3) -> bool {
        let border = self.border_radius(p.z);
        let radius_sq = p.x * p.x + p.y * p.y;
        p.z <= 0.0
            && match self {
                Self::Block { .. } => radius_sq >= border * border,
                Self::Piston { .. } => radius_sq <= border * border,
            }
    }
}

/// Panels around the axis and up it that the volume starts with. A cut that spans less than a degree around the axis
/// could slip between the points of 24 panels of fifteen.
const N_PANELS_AROUND: usize = 24;
const N_PANELS_UP: usize = 2;

/// Volume of the metal inside the cutter, in cubic metres, to an absolute `accuracy_m3`.
///
/// In the cutter's own cylindrical frame: the integral over height and angle of `(b^2 - a^2) / 2` for every part
/// `a..b` of the ray from the axis to the cutter's surface that is metal. Where the ray crosses the level, the wall
/// and the chamfer are roots of quadratics, so only the two outer integrals are numerical.
///
/// Upright in a sharp bore this is the area of the cutter's circle outside the bore's, times the depth.
pub fn removed_volume_m3(cutter: &Cutter, metal: &Metal, accuracy_m3: f64) -> f64 {
    removed_after_m3(cutter, &[], metal, accuracy_m3)
}

/// The same of what earlier cutters left of the metal, so that a space which several take counts once: of the first nine
/// cutters; what a tenth shares with the last of them counts for both.
///
/// The union of cuts is their sum taken one after another. Where a ray enters and leaves an earlier cutter, which is convex,
/// is found on the ray.
pub fn removed_after_m3(cutter: &Cutter, earlier: &[Cutter], metal: &Metal, accuracy_m3: f64) -> f64 {
    let near: Vec<Cutter> =
        earlier.iter().filter(|other| may_meet(cutter, other)).take(MOST_EARLIER).copied().collect();
    let top = cutter.height_clear_of(0.0);
    if top <= 0.0 {
        return 0.0;
    }
    let corner_top = cutter.corner_top().min(top);
    let share = 0.5 * accuracy_m3;
    let mut slice = |height: f64| {
        let radius = cutter.radius_at(height).unwrap_or(0.0);
        slice_area_m2(cutter, &near, metal, height, radius, QUIETER * share / top)
    };
    // The slice jumps where the floor of an earlier cutter with the same axis begins; no rule gets over a jump.
    let mut breaks: Vec<f64> = near.iter().map(|other| (other.end - cutter.end).dot(cutter.axis)).collect();
    breaks.extend([0.0, corner_top, top]);
    breaks.retain(|height| (0.0..=top).contains(height));
    breaks.sort_unstable_by(f64::total_cmp);
    let share = share / breaks.len() as f64;
    let mut removed = 0.0;
    for part in breaks.windows(2) {
        removed += if part[1] <= corner_top {
            // The radius starts like a root at the foot of the corner; counted in the square of a new variable it is smooth.
            let mut rooted = |root: f64| 2.0 * root * slice(root * root);
            integral(&mut rooted, [part[0].sqrt(), part[1].sqrt()], N_PANELS_UP, share)
        } else {
            integral(&mut slice, [part[0], part[1]], N_PANELS_UP, share)
        };
    }
    removed
}

/// The inner integral is found this much more closely than the outer one. Its error is noise to the outer, which halves for ever
/// where noise is all that its two rules differ by.
const QUIETER: f64 = 0.1;

/// Earlier cutters that are taken account of.
const MOST_EARLIER: usize = 8;

/// Whether two cutters can share any space below the level: by upright cylinders around what they have there.
fn may_meet(one: &Cutter, other: &Cutter) -> bool {
    let around = |cutter: &Cutter| {
        let top = cutter.height_clear_of(0.0).max(0.0);
        let aside = cutter.axis.truncate() * top;
        let widest = cutter.radius_at(top).unwrap_or(0.0).max(cutter.radius);
        (cutter.end.truncate() + 0.5 * aside, 0.5 * aside.length() + widest)
    };
    let ((here, reach), (there, other_reach)) = (around(one), around(other));
    here.distance(there) < reach + other_reach
}

/// Area of the metal in the disc of the cutter at a height.
fn slice_area_m2(
    cutter: &Cutter,
    earlier: &[Cutter],
    metal: &Metal,
    height: f64,
    radius: f64,
    accuracy_m2: f64,
) -> f64 {
    let center = cutter.end + cutter.axis * height;
    let mut sector = |angle: f64| {
        let (sin, cos) = angle.sin_cos();
        metal_on_ray(metal, earlier, center, cutter.across[0] * cos + cutter.across[1] * sin, radius)
    };
    integral(&mut sector, [0.0, std::f64::consts::TAU], N_PANELS_AROUND, accuracy_m2)
}

/// Half the sum of `b^2 - a^2` over the parts `a..b` of a ray of that length which are metal and in no earlier cutter.
#[inline]
fn metal_on_ray(metal: &Metal, earlier: &[Cutter], from: DVec3, way: DVec3, length: f64) -> f64 {
    let mut cuts = [0.0; 7 + 2 * MOST_EARLIER];
    let mut n_cuts = 1;
    let mut cut = |at: f64| {
        if 0.0 < at && at < length {
            cuts[n_cuts] = at;
            n_cuts += 1;
        }
    };
    cut(-from.z / way.z);
    let (out_sq, along, way_sq) =
        (from.x * from.x + from.y * from.y, from.x * way.x + from.y * way.y, way.x * way.x + way.y * way.y);
    let (Metal::Block { bore_radius: wall, .. } | Metal::Piston { radius: wall }) = *metal;
    quadratic(way_sq, along, out_sq - wall * wall).into_iter().for_each(&mut cut);
    if let Metal::Block { bore_radius, chamfer_width, chamfer_depth } = *metal
        && chamfer_depth > 0.0
    {
        let per_depth = chamfer_width / chamfer_depth;
        let (here, climb) = (bore_radius + per_depth * (from.z + chamfer_depth), per_depth * way.z);
        quadratic(way_sq - climb * climb, along - here * climb, out_sq - here * here)
            .into_iter()
            .for_each(&mut cut);
    }
    for other in earlier {
        inside_on_line(other, from, way, [0.0, length]).into_iter().flatten().for_each(&mut cut);
    }
    cuts[n_cuts] = length;
    let cuts = &mut cuts[..=n_cuts];
    cuts.sort_unstable_by(f64::total_cmp);
    let mut sum = 0.0;
    for part in cuts.windows(2) {
        let middle = from + way * (0.5 * (part[0] + part[1]));
        if metal.holds(middle) && earlier.iter().all(|other| other.distance(middle) > 0.0) {
            sum += 0.5 * (part[1] - part[0]) * (part[1] + part[0]);
        }
    }
    sum
}

/// Real roots of `a t^2 + 2 b t + c`; not a number where there are none.
#[inline]
fn quadratic(a: f64, b: f64, c: f64) -> [f64; 2] {
    let q = -(b + (b * b - a * c).sqrt().copysign(b));
    [q / a, c / q]
}
