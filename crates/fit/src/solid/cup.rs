//! A round cut into a crown: a valve pocket, or a dish. Leaves out the other cuts it may cross.

use glam::DVec3;

use super::crown::{ON_SURFACE_M, PARALLEL, across};
use crate::distance::{Ring, SquareWave};

/// A round, flat-bottomed cut along its own axis, without an upper end: a valve pocket, or an upright one for a dish.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cup {
    /// Centre of the floor.
    pub floor: DVec3,
    /// Unit vector from the floor to the open.
    pub axis: DVec3,
    /// Radius of the cut.
    pub radius: f64,
    /// Two unit vectors that complete a frame with the axis; the first is level or leans most, the second is level.
    pub(super) across: [DVec3; 2],
}

impl Cup {
    /// A cut whose floor centre stands at x and y, `depth` below the flat measured along the leaning axis.
    pub fn new(x: f64, y: f64, depth: f64, radius: f64, tilt_rad: [f64; 2]) -> Self {
        let axis = DVec3::new(tilt_rad[0].tan(), tilt_rad[1].tan(), 1.0).normalize();
        Self { floor: DVec3::new(x, y, -depth * axis.z), axis, radius, across: across(axis, DVec3::Z) }
    }

    /// Height of a point over the floor, and the way to it from the axis.
    #[inline]
    pub fn height_and_radial(&self, p: DVec3) -> (f64, DVec3) {
        let from_floor = p - self.floor;
        let height = from_floor.dot(self.axis);
        (height, from_floor - self.axis * height)
    }

    /// Signed distance of a point from what the cut leaves standing: positive in the cut, exact but near its mouth.
    #[inline]
    pub(super) fn room(&self, p: DVec3) -> f64 {
        let (height, radial) = self.height_and_radial(p);
        let inward = self.radius - radial.length();
        if height < 0.0 && inward < 0.0 { -height.hypot(inward) } else { height.min(inward) }
    }

    /// Whether a point lies in the cut by more than [`ON_SURFACE_M`].
    #[inline]
    pub fn holds(&self, p: DVec3) -> bool {
        self.room(p) > ON_SURFACE_M
    }

    /// Distances along a line at which it enters and leaves the cut, with the parts it passes; `None` if it does not.
    #[inline]
    pub(super) fn passage(&self, p: DVec3, d: DVec3) -> Option<[(f64, bool); 2]> {
        let (height, radial) = self.height_and_radial(p);
        let climb = d.dot(self.axis);
        let drift = d - self.axis * climb;
        let (qa, qb) = (drift.length_squared(), radial.dot(drift));
        let qc = radial.length_squared() - self.radius * self.radius;
        let (mut enter, mut leave) = ((f64::NEG_INFINITY, false), (f64::INFINITY, false));
        if qa > PARALLEL {
            let under_root = qb * qb - qa * qc;
            if under_root <= 0.0 {
                return None;
            }
            let root = under_root.sqrt();
            // The two roots without cancelling.
            let q = -(qb + root.copysign(qb));
            let (first, second) = (q / qa, if q == 0.0 { 0.0 } else { qc / q });
            (enter.0, leave.0) = (first.min(second), first.max(second));
        } else if qc >= 0.0 {
            return None;
        }
        if climb != 0.0 {
            let at_floor = -height / climb;
            if climb > 0.0 && at_floor > enter.0 {
                enter = (at_floor, true);
            }
            if climb < 0.0 && at_floor < leave.0 {
                leave = (at_floor, true);
            }
        } else if height <= 0.0 {
            return None;
        }
        (enter.0 < leave.0).then_some([enter, leave])
    }

    /// How far a point goes along `d` until it leaves the cut sideways, the wall carried on without ends;
    /// negative for a point past it, infinite where the line misses the cut.
    #[inline]
    pub fn way_to_wall(&self, p: DVec3, d: DVec3) -> f64 {
        let (_, radial) = self.height_and_radial(p);
        let drift = d - self.axis * d.dot(self.axis);
        let (qa, qb) = (drift.length_squared(), radial.dot(drift));
        let under_root = qb * qb - qa * (radial.length_squared() - self.radius * self.radius);
        if qa > PARALLEL && under_root > 0.0 { (under_root.sqrt() - qb) / qa } else { f64::INFINITY }
    }

    /// The square of how far the points of a ring, moved along with it, stand from the axis, less the radius squared.
    #[inline]
    pub fn beyond_wall(&self, ring: &Ring) -> SquareWave {
        let (_, at_mean) = self.height_and_radial(ring.center);
        let square_to_axis = |v: DVec3| v - self.axis * v.dot(self.axis);
        let (to_cos, to_sin) = (square_to_axis(ring.to_cos), square_to_axis(ring.to_sin));
        SquareWave::of(at_mean, to_cos, to_sin, self.radius * self.radius)
    }

    /// No point of a ring is farther from the axis than this.
    #[inline]
    pub fn farthest(&self, ring: &Ring) -> f64 {
        let (cos_sq, sin_sq) = (ring.to_cos.length_squared(), ring.to_sin.length_squared());
        // The longer half-axis of an ellipse from any two of its conjugate radii.
        let skew = (0.5 * (cos_sq - sin_sq)).hypot(ring.to_cos.dot(ring.to_sin));
        self.height_and_radial(ring.center).1.length() + (0.5 * (cos_sq + sin_sq) + skew).sqrt()
    }
}
