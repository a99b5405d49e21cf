//! Where the piston stands in its bore, and how far it can lean about its pin. Leaves out what it meets.

use glam::DVec3;

use crate::distance::Ring;
use crate::solid::ValveHead;

/// Where the piston stands in its bore.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PistonPose {
    /// Height of the crown's flat over the block deck, in metres.
    pub crown_m: f64,
    /// Turn about the pin, in radians; positive lowers the crown on the side of `+y`.
    pub rock_rad: f64,
    /// The pin's y and its depth below the flat, in metres; only counts when the piston rocks.
    pub pin_m: [f64; 2],
}

impl PistonPose {
    /// A piston that stands straight.
    pub fn straight(crown_m: f64) -> Self {
        Self { crown_m, rock_rad: 0.0, pin_m: [0.0; 2] }
    }

    /// A valve at a lift, as a valve at no lift in the piston's frame.
    pub fn valve_in_piston(&self, valve: &ValveHead, lift_m: f64) -> ValveHead {
        let mut moved = valve.clone();
        moved.seated = valve.face_center(lift_m) - DVec3::Z * self.crown_m;
        if self.rock_rad != 0.0 {
            let pin = self.pin();
            moved.seated = pin + self.unrocked(moved.seated - pin);
            moved.axis = self.unrocked(valve.axis);
            moved.across = valve.across.map(|v| self.unrocked(v));
        }
        moved
    }

    /// The bore's direction toward the crank, in the piston's frame.
    pub fn down_in_piston(&self) -> DVec3 {
        self.unrocked(-DVec3::Z)
    }

    /// A point of the piston's frame in the bore frame.
    pub fn in_bore(&self, p_in_piston: DVec3) -> DVec3 {
        let pin = self.pin();
        pin + self.rocked(p_in_piston - pin) + DVec3::Z * self.crown_m
    }

    /// A point of the bore frame in the piston's frame.
    pub fn in_piston(&self, p_in_bore: DVec3) -> DVec3 {
        let pin = self.pin();
        pin + self.unrocked(p_in_bore - DVec3::Z * self.crown_m - pin)
    }

    /// A ring of the piston's frame in the bore frame.
    pub fn ring_in_bore(&self, ring: &Ring) -> Ring {
        Ring {
            center: self.in_bore(ring.center),
            to_cos: self.rocked(ring.to_cos),
            to_sin: self.rocked(ring.to_sin),
        }
    }

    /// A ring of the bore frame in the piston's frame.
    pub fn ring_in_piston(&self, ring: &Ring) -> Ring {
        Ring {
            center: self.in_piston(ring.center),
            to_cos: self.unrocked(ring.to_cos),
            to_sin: self.unrocked(ring.to_sin),
        }
    }

    fn pin(&self) -> DVec3 {
        DVec3::new(0.0, self.pin_m[0], -self.pin_m[1])
    }

    fn rocked(&self, v: DVec3) -> DVec3 {
        let (sin, cos) = self.rock_rad.sin_cos();
        DVec3::new(v.x, cos * v.y + sin * v.z, cos * v.z - sin * v.y)
    }

    fn unrocked(&self, v: DVec3) -> DVec3 {
        let (sin, cos) = self.rock_rad.sin_cos();
        DVec3::new(v.x, cos * v.y - sin * v.z, sin * v.y + cos * v.z)
    }
}

/// The largest angle a piston can lean about its pin, in radians, or 0 for no clearance: the skirt touches
/// the wall at its top on one side and its foot on the other, `tan(rock) = skirt clearance / skirt length`
/// with the diametral clearance; the land stops it sooner when `tan(rock) = land clearance / height of crown
/// over pin`.
///
/// Plane geometry of a straight skirt in a straight bore; a barrelled skirt rocks a little more.
pub fn rock_limit_rad(
    skirt_clearance_m: f64,
    skirt_length_m: f64,
    land_clearance_m: f64,
    crown_over_pin_m: f64,
) -> f64 {
    let by = |clearance: f64, length: f64| {
        if clearance > 0.0 && length > 0.0 { (clearance / length).atan() } else { 0.0 }
    };
    by(skirt_clearance_m, skirt_length_m).min(by(land_clearance_m, crown_over_pin_m))
}
