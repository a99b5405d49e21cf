//! Degrees of the crank and degrees of the cam, kept apart. Leaves out where zero is: a crank angle is
//! counted from whatever its field says.

use std::ops::{Add, Mul, Neg, Sub};

use uom::si::angle::{degree, radian};
use uom::si::f64::Angle;

/// Turns of the crank in one turn of the cam of a four-stroke engine.
pub const CRANK_TURNS_PER_CAM_TURN: f64 = 2.0;

/// An angle of crankshaft rotation, positive in the direction of rotation.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct CrankAngle(pub Angle);

/// An angle of camshaft rotation, positive in the direction of rotation.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct CamAngle(pub Angle);

impl CrankAngle {
    /// The cam's angle while the crank turns this one: half of it, exactly.
    pub fn to_cam(self) -> CamAngle {
        CamAngle(self.0 / CRANK_TURNS_PER_CAM_TURN)
    }
}

impl CamAngle {
    /// The crank's angle while the cam turns this one: twice it, exactly.
    pub fn to_crank(self) -> CrankAngle {
        CrankAngle(self.0 * CRANK_TURNS_PER_CAM_TURN)
    }
}

macro_rules! shaft_angle {
    ($angle:ident) => {
        impl $angle {
            /// From degrees of this shaft.
            pub fn from_degrees(degrees: f64) -> Self {
                Self(Angle::new::<degree>(degrees))
            }

            /// In degrees of this shaft.
            pub fn degrees(self) -> f64 {
                self.0.get::<degree>()
            }

            /// From radians of this shaft.
            pub fn from_radians(radians: f64) -> Self {
                Self(Angle::new::<radian>(radians))
            }

            /// In radians of this shaft.
            pub fn radians(self) -> f64 {
                self.0.get::<radian>()
            }

            pub(crate) fn from_base(si: f64) -> Self {
                Self::from_radians(si)
            }

            pub(crate) fn base(self) -> f64 {
                self.0.value
            }
        }

        impl Add for $angle {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $angle {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Neg for $angle {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Mul<f64> for $angle {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
    };
}

shaft_angle!(CrankAngle);
shaft_angle!(CamAngle);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_cam_turns_half_as_far_as_crank() {
        assert_eq!(CrankAngle::from_degrees(212.0).to_cam(), CamAngle::from_degrees(106.0));
        assert_eq!(CamAngle::from_degrees(106.0).to_crank(), CrankAngle::from_degrees(212.0));
        let odd = CrankAngle::from_radians(0.1 + 0.2);
        assert_eq!(odd.to_cam().to_crank(), odd);
    }
}
