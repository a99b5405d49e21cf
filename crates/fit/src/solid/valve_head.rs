//! A valve at some lift: a profile turned about an axis that stands anywhere in the bore frame.

use glam::DVec3;

use super::Profile;
use crate::distance::Ring;

/// A valve as a solid of revolution, placed by its seated face centre and its axis.
#[derive(Clone, Debug)]
pub struct ValveHead {
    /// About its own axis.
    pub profile: Profile,
    /// Largest radius.
    pub head_radius: f64,
    /// Height of the upper rim above the face.
    pub margin: f64,
    /// Radius and height of the ring where the seat cone meets the stem.
    pub stem_ring: [f64; 2],
    /// Face centre with the valve shut, in the bore frame.
    pub seated: DVec3,
    /// Unit vector from face to stem tip; the valve opens the other way.
    pub axis: DVec3,
    /// Two unit vectors that complete a right-handed frame with the axis.
    pub across: [DVec3; 2],
}

impl ValveHead {
    /// A valve from its dimensions.
    pub fn new(
        head_radius: f64,
        margin: f64,
        seat_angle_rad: f64,
        stem_radius: f64,
        seated: DVec3,
        tilt_rad: [f64; 2],
    ) -> Self {
        let (sin, cos) = seat_angle_rad.sin_cos();
        let seat = [sin, cos];
        let axis = DVec3::new(tilt_rad[0].tan(), tilt_rad[1].tan(), 1.0).normalize();
        let first = DVec3::new(axis.z, 0.0, -axis.x).normalize();
        Self {
            profile: Profile::Valve { head_radius, margin, seat, stem_radius },
            head_radius,
            margin,
            stem_ring: [stem_radius, margin + (head_radius - stem_radius) * seat_angle_rad.tan()],
            seated,
            axis,
            across: [first, axis.cross(first)],
        }
    }

    /// Sine of the angle between the valve's and the bore's axis.
    #[inline]
    pub fn sin_lean(&self) -> f64 {
        (self.axis.x * self.axis.x + self.axis.y * self.axis.y).sqrt()
    }

    /// Face centre at a lift.
    #[inline]
    pub fn face_center(&self, lift: f64) -> DVec3 {
        self.seated - self.axis * lift
    }

    /// The ring of that radius and height above the face, at a lift, in the bore frame.
    #[inline]
    pub fn ring(&self, lift: f64, radius: f64, height: f64) -> Ring {
        let center = self.seated + self.axis * (height - lift);
        Ring { center, to_cos: self.across[0] * radius, to_sin: self.across[1] * radius }
    }

    /// A vector of the bore frame in the valve's own frame.
    #[inline]
    pub fn in_valve(&self, v: DVec3) -> DVec3 {
        DVec3::new(v.dot(self.across[0]), v.dot(self.across[1]), v.dot(self.axis))
    }

    /// A point of the valve's own frame (origin at the face centre) in the bore frame.
    pub fn in_bore(&self, p_in_valve: DVec3, lift: f64) -> DVec3 {
        self.face_center(lift)
            + self.across[0] * p_in_valve.x
            + self.across[1] * p_in_valve.y
            + self.axis * p_in_valve.z
    }
}
