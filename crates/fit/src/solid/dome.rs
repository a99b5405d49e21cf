//! A dome on a crown. Leaves out what is cut into it.

use glam::DVec3;

use crate::distance::Sloped;

/// Raised metal on the flat: a round plateau about the bore axis with sloping sides.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dome {
    /// Radius where the sides meet the flat.
    pub base_radius: f64,
    /// Radius of the plateau.
    pub top_radius: f64,
    /// Height of the plateau over the flat.
    pub height: f64,
}

impl Dome {
    /// Distances along a line at which it enters and leaves the dome.
    pub(super) fn passage(&self, p: DVec3, d: DVec3) -> Option<[f64; 2]> {
        // In slabs and in the cone x^2 + y^2 = (base - slope z)^2, of which the lower half counts.
        let slope = (self.base_radius - self.top_radius) / self.height;
        let across = self.base_radius - slope * p.z;
        let qa = d.x * d.x + d.y * d.y - slope * slope * d.z * d.z;
        let qb = p.x * d.x + p.y * d.y + slope * d.z * across;
        let qc = p.x * p.x + p.y * p.y - across * across;
        let mut span = if d.z == 0.0 {
            if p.z < 0.0 || p.z > self.height {
                return None;
            }
            [f64::NEG_INFINITY, f64::INFINITY]
        } else {
            let ends = [-p.z / d.z, (self.height - p.z) / d.z];
            [ends[0].min(ends[1]), ends[0].max(ends[1])]
        };
        let inside = |t: f64| qa * t * t + 2.0 * qb * t + qc <= 0.0;
        let under_root = qb * qb - qa * qc;
        if under_root <= 0.0 {
            let middle = 0.5 * (span[0] + span[1]);
            return (middle.is_finite() && inside(middle)).then_some(span);
        }
        let q = -(qb + under_root.sqrt().copysign(qb));
        let roots = [q / qa, qc / q];
        let roots = [roots[0].min(roots[1]), roots[0].max(roots[1])];
        if qa > 0.0 {
            span = [span[0].max(roots[0]), span[1].min(roots[1])];
        } else if inside(span[0]) {
            span[1] = if roots[0] > span[0] { span[1].min(roots[0]) } else { span[1] };
        } else {
            span[0] = roots.into_iter().filter(|&t| t > span[0]).fold(f64::INFINITY, f64::min);
        }
        (span[0] < span[1]).then_some(span)
    }

    /// Signed distance of a point from the dome alone, its base as a face of its own.
    pub(super) fn distance(&self, p: DVec3) -> f64 {
        self.sloped_distance(p).0
    }

    /// The same with its gradient.
    pub fn sloped_distance(&self, p: DVec3) -> Sloped {
        let u = (p.x * p.x + p.y * p.y).sqrt();
        let scale = 1.0 / u.max(f64::MIN_POSITIVE);
        let in_space = |by_u: f64, by_z: f64| DVec3::new(p.x * scale * by_u, p.y * scale * by_u, by_z);
        let (sx, sz) = (self.top_radius - self.base_radius, self.height);
        let length = sx.hypot(sz);
        let out = ((u - self.base_radius) * sz - p.z * sx) / length;
        let along = ((u - self.base_radius) * sx + p.z * sz) / length;
        if out <= 0.0 && 0.0 <= p.z && p.z <= self.height {
            let faces = [
                (out, in_space(sz / length, -sx / length)),
                (p.z - self.height, DVec3::Z),
                (-p.z, DVec3::NEG_Z),
            ];
            return faces.into_iter().fold(faces[0], |most, face| if face.0 > most.0 { face } else { most });
        }
        let beyond = along - along.clamp(0.0, length);
        let side = out.hypot(beyond);
        let per = 1.0 / side.max(f64::MIN_POSITIVE);
        let by = |across: f64, along: f64| (across * out + along * beyond) * per / length;
        let mut nearest = (side, in_space(by(sz, sx), by(-sx, sz)));
        if u <= self.top_radius && p.z > self.height && p.z - self.height < nearest.0 {
            nearest = (p.z - self.height, DVec3::Z);
        }
        if u <= self.base_radius && p.z < 0.0 && -p.z < nearest.0 {
            nearest = (-p.z, DVec3::NEG_Z);
        }
        nearest
    }
}
