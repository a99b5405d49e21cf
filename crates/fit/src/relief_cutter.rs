//! The tool that makes a relief: a body of revolution about the valve's axis, and how far a point is from it. Leaves
//! out what it cuts.

use glam::{DVec2, DVec3};
use thiserror::Error;
use units::{Angle, Length};

use crate::solid::ValveHead;

/// How a relief is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// A cutter plunged down the valve's axis.
    Cutter {
        /// Radius of the cutter's corner, between its end and its side; 0 for a square one.
        corner_radius: Length,
    },
    /// Blended by hand: the room of the swept valve, its wall laid back toward the deck.
    LaidBack {
        /// Radius between floor and wall.
        corner_radius: Length,
        /// Angle between the wall and the valve's axis.
        layback: Angle,
    },
}

/// How much room a relief is to give.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// Around the valve head.
    pub radial: Length,
    /// Beyond the face at the end of its travel.
    pub axial: Length,
    /// Travel beyond full lift when the valve floats.
    pub float: Length,
}

/// Why there is no such cutter.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum CutterError {
    /// No head, or more clearance taken off than there is head.
    #[error("cutter radius of {0:.3} mm is not positive")]
    Radius(f64),
    /// The floor would have no middle.
    #[error("corner radius of {corner_mm:.3} mm does not fit a cutter of {radius_mm:.3} mm radius")]
    Corner {
        /// Corner radius.
        corner_mm: f64,
        /// Cutter radius.
        radius_mm: f64,
    },
    /// The wall would hardly rise, or fall, on the side it leans to.
    #[error("wall of the cut lies {0:.1} degrees from the bore axis, more than 85")]
    TooFlat(f64),
}

/// The wall of a cut may lie no flatter than this from the bore axis: 85 degrees. Beyond, the cut has no edge on the
/// deck.
pub const FLATTEST_WALL_RAD: f64 = 85.0 * std::f64::consts::PI / 180.0;

/// A body of revolution with a flat end, a rounded corner and a straight side, going up its axis without end.
///
/// ```text
///   height    \                /     side, leaning out by the lay-back
///     |        \              /
///     |         (____________)       corner of radius q; end at height 0
///               <---- 2 r ---->      radius where end and side would meet without the corner
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cutter {
    /// Centre of the end, in the bore frame.
    pub end: DVec3,
    /// Unit vector up the axis, toward the stem tip.
    pub axis: DVec3,
    /// Two unit vectors that complete a right-handed frame with the axis.
    pub across: [DVec3; 2],
    /// Radius where end and side would meet.
    pub radius: f64,
    /// Radius of the corner.
    pub corner: f64,
    /// Sine and cosine of the lay-back.
    pub layback: [f64; 2],
    /// Radius of the flat part of the end.
    pub flat: f64,
}

impl Cutter {
    /// The cutter that gives a valve its room at the end of its travel, in metres.
    pub fn around(valve: &ValveHead, travel_m: f64, room: Room, shape: Shape) -> Result<Self, CutterError> {
        let end = valve.face_center(travel_m + (room.float + room.axial).value);
        Self::new(end, valve.axis, valve.across, valve.head_radius + room.radial.value, shape)
    }

    /// A cutter from its end, axis and radius, in metres.
    pub fn new(
        end: DVec3,
        axis: DVec3,
        across: [DVec3; 2],
        radius: f64,
        shape: Shape,
    ) -> Result<Self, CutterError> {
        let (corner, layback_rad) = match shape {
            Shape::Cutter { corner_radius } => (corner_radius.value, 0.0),
            Shape::LaidBack { corner_radius, layback } => (corner_radius.value, layback.value),
        };
        if !(radius.is_finite() && radius > 0.0) {
            return Err(CutterError::Radius(radius * 1e3));
        }
        let flat = radius - corner * (std::f64::consts::FRAC_PI_4 - 0.5 * layback_rad).tan();
        if !(corner >= 0.0 && flat >= 0.0) {
            return Err(CutterError::Corner { corner_mm: corner * 1e3, radius_mm: radius * 1e3 });
        }
        let wall = layback_rad + axis.z.clamp(-1.0, 1.0).acos();
        if !(layback_rad >= 0.0 && wall <= FLATTEST_WALL_RAD) {
            return Err(CutterError::TooFlat(wall.to_degrees()));
        }
        Ok(Self { end, axis, across, radius, corner, layback: layback_rad.sin_cos().into(), flat })
    }

    /// Sine of the angle between the cutter's and the bore's axis.
    pub fn sin_lean(&self) -> f64 {
        self.axis.x.hypot(self.axis.y)
    }

    /// Whether the axis is the bore's direction to rounding, so that every level section is a circle.
    pub fn is_upright(&self) -> bool {
        self.sin_lean() < UPRIGHT_SINE
    }

    /// Radius at a height above the end; `None` below it.
    pub fn radius_at(&self, height: f64) -> Option<f64> {
        let [sin, cos] = self.layback;
        if height < 0.0 {
            None
        } else if height < self.corner_top() {
            let down = self.corner - height;
            Some(self.flat + (self.corner * self.corner - down * down).max(0.0).sqrt())
        } else {
            Some(self.radius + height * sin / cos)
        }
    }

    /// Height above the end where the corner runs into the side.
    pub fn corner_top(&self) -> f64 {
        self.corner * (1.0 - self.layback[0])
    }

    /// Signed distance of a point of the bore frame, negative inside, and its gradient. A convex function.
    ///
    /// The rounded body is everything within the corner radius of the same body without a corner, so that the
    /// distance from that one, less the corner radius, is exact on both sides.
    #[inline]
    pub fn sloped_distance(&self, p: DVec3) -> (f64, DVec3) {
        let from_end = p - self.end;
        let height = from_end.dot(self.axis);
        let off_axis = from_end - self.axis * height;
        let radius = off_axis.length();
        let out = off_axis / radius.max(f64::MIN_POSITIVE);
        let [sin, cos] = self.layback;
        let (u, h) = (radius - self.flat, height - self.corner);
        let (below_end, beyond_side) = (-h, u * cos - h * sin);
        let (distance, by_radius, by_height) = if u > 0.0 && u * sin + h * cos < 0.0 {
            let distance = u.hypot(h);
            (distance, u / distance, h / distance)
        } else if below_end > beyond_side {
            (below_end, 0.0, -1.0)
        } else {
            (beyond_side, cos, -sin)
        };
        (distance - self.corner, out * by_radius + self.axis * by_height)
    }

    /// Signed distance alone.
    #[inline]
    pub fn distance(&self, p: DVec3) -> f64 {
        self.sloped_distance(p).0
    }

    /// Lowest `z` of the whole body.
    pub fn lowest(&self) -> f64 {
        self.end.z + self.axis.z * self.corner - self.flat * self.sin_lean() - self.corner
    }

    /// The height above the end from which on no part is below `z`.
    pub fn height_clear_of(&self, z: f64) -> f64 {
        // The lowest point of the disc at height h is at end.z + h axis.z - radius(h) sin(lean), and rises with h
        // above the corner. The radius in the corner is at most the one without it.
        let [sin, cos] = self.layback;
        let sin_lean = self.sin_lean();
        (z - self.end.z + self.radius * sin_lean) / (self.axis.z - sin_lean * sin / cos)
    }

    /// The point at a height and radius in a direction about the axis, in the bore frame.
    #[inline]
    pub fn point(&self, angle: f64, radius: f64, height: f64) -> DVec3 {
        let (sin, cos) = angle.sin_cos();
        self.end + self.axis * height + (self.across[0] * cos + self.across[1] * sin) * radius
    }

    /// The cutter moved sideways.
    pub fn moved_aside(&self, by: DVec2) -> Self {
        Self { end: self.end + by.extend(0.0), ..*self }
    }

    /// The cutter with the bore's origin moved to another height.
    pub fn lowered_by(&self, z: f64) -> Self {
        Self { end: self.end - DVec3::Z * z, ..*self }
    }
}

/// Axes leaning by less than this sine are taken as upright: a micrometre in a kilometre.
const UPRIGHT_SINE: f64 = 1e-9;

#[cfg(test)]
mod tests {
    use super::*;
    use units::angle::degree;
    use units::length::meter;

    fn shape(corner: f64, layback: f64) -> Shape {
        Shape::LaidBack {
            corner_radius: Length::new::<meter>(corner),
            layback: Angle::new::<degree>(layback),
        }
    }

    fn laid_back() -> Cutter {
        let end = DVec3::new(0.0, 0.0, -5.0);
        Cutter::new(end, DVec3::Z, [DVec3::X, DVec3::Y], 10.0, shape(2.0, 30.0)).expect("a legal cutter")
    }

    #[test]
    fn exact_distances_from_end_side_and_corner() {
        let cutter = laid_back();
        assert_eq!(cutter.distance(DVec3::new(0.0, 0.0, -9.0)), 4.0);
        // On the side, ten up: radius 10 + 10 tan 30.
        let on_side = DVec3::new(10.0 + 10.0 * (1.0_f64 / 3.0).sqrt(), 0.0, 5.0);
        assert!(cutter.distance(on_side).abs() < 1e-12);
        assert_eq!(cutter.lowest(), -5.0);
    }

    #[test]
    fn exact_radius_at_lies_on_the_surface() {
        let cutter = laid_back();
        for height in [0.0, 0.3, 0.999, 1.0, 2.0, 8.0] {
            let radius = cutter.radius_at(height).expect("above the end");
            for angle in [0.0, 1.0, 4.0] {
                let off = cutter.distance(cutter.point(angle, radius, height));
                assert!(off.abs() < 1e-12, "at height {height}: {off}");
            }
        }
    }

    #[test]
    fn exact_gradient_is_the_slope() {
        let cutter = Cutter {
            axis: DVec3::new(0.28, 0.0, 0.96),
            across: [DVec3::new(0.96, 0.0, -0.28), DVec3::Y],
            ..laid_back()
        };
        for p in [DVec3::new(14.0, 1.0, 3.0), DVec3::new(9.0, -2.0, -8.5), DVec3::new(1.0, 2.0, -9.0)] {
            let (_, gradient) = cutter.sloped_distance(p);
            for way in [DVec3::X, DVec3::Y, DVec3::Z] {
                let slope = (cutter.distance(p + way * 1e-6) - cutter.distance(p - way * 1e-6)) / 2e-6;
                assert!((slope - gradient.dot(way)).abs() < 1e-8, "at {p}: {slope}, {gradient}");
            }
        }
    }

    #[test]
    fn exact_impossible_cutters_are_refused() {
        let make = |radius, corner, layback| {
            Cutter::new(DVec3::ZERO, DVec3::Z, [DVec3::X, DVec3::Y], radius, shape(corner, layback))
        };
        assert!(matches!(make(-0.001, 0.0, 0.0), Err(CutterError::Radius(_))));
        assert!(matches!(make(0.010, 0.011, 0.0), Err(CutterError::Corner { .. })));
        assert!(matches!(make(0.010, 0.001, 86.0), Err(CutterError::TooFlat(_))));
    }
}
