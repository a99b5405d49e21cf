//! Where the piston is at a crank angle, how fast it moves and how hard it is accelerated. Leaves out stretch,
//! bearing clearance and rock.

use thiserror::Error;
use units::acceleration::meter_per_second_squared;
use units::angle::radian;
use units::angular_velocity::radian_per_second;
use units::length::{meter, millimeter};
use units::velocity::meter_per_second;
use units::{Acceleration, Angle, AngularVelocity, CrankAngle, Length, Velocity};

/// A crank, a rod and a pin that may run beside the bore axis.
///
/// ```text
///      pin travels here
///            | e |  bore axis and crank centre
///            o   |
///           /    |        e  pin offset, positive to the side the throw moves to
///        L /     |           after top dead centre
///         /      |        a  throw angle from the bore axis
///        *---r---+
/// ```
///
/// Angles count from the true top: the place where throw and rod lie in one line and the piston is highest. With an
/// offset pin that is not where the throw stands upright.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SliderCrank {
    throw_m: f64,
    rod_m: f64,
    offset_m: f64,
    top_rad: f64,
}

/// A crank that cannot turn.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum SliderCrankError {
    /// Rod too short for throw and offset.
    #[error(
        "rod of {rod_mm} mm is too short for a throw of {throw_mm} mm with a pin offset of {offset_mm} mm"
    )]
    RodTooShort {
        /// Rod length.
        rod_mm: f64,
        /// Half the stroke.
        throw_mm: f64,
        /// Pin offset.
        offset_mm: f64,
    },
    /// Something is zero, negative or not a number.
    #[error("{what} of {value_mm} mm cannot be")]
    Impossible {
        /// Which reading.
        what: &'static str,
        /// Its value.
        value_mm: f64,
    },
}

impl SliderCrank {
    /// From the stroke without pin offset (twice the throw), the rod length and the pin offset.
    pub fn new(stroke: Length, rod_length: Length, pin_offset: Length) -> Result<Self, SliderCrankError> {
        for (what, value) in [("stroke", stroke), ("rod length", rod_length)] {
            let value_mm = value.get::<millimeter>();
            if !value_mm.is_finite() || value_mm <= 0.0 {
                return Err(SliderCrankError::Impossible { what, value_mm });
            }
        }
        let (throw_m, rod_m, offset_m) =
            (stroke.get::<meter>() / 2.0, rod_length.get::<meter>(), pin_offset.get::<meter>());
        if !offset_m.is_finite() {
            let value_mm = pin_offset.get::<millimeter>();
            return Err(SliderCrankError::Impossible { what: "pin offset", value_mm });
        }
        if rod_m <= throw_m + offset_m.abs() {
            return Err(SliderCrankError::RodTooShort {
                rod_mm: rod_length.get::<millimeter>(),
                throw_mm: throw_m * 1e3,
                offset_mm: pin_offset.get::<millimeter>(),
            });
        }
        let top_rad = (offset_m / (throw_m + rod_m)).asin();
        Ok(Self { throw_m, rod_m, offset_m, top_rad })
    }

    /// How far the piston stands below its highest place.
    pub fn drop(&self, angle: CrankAngle) -> Length {
        Length::new::<meter>(self.drop_m(angle.radians()))
    }

    /// Speed of the piston at a constant crank speed, positive on the way down.
    pub fn velocity(&self, angle: CrankAngle, speed: AngularVelocity) -> Velocity {
        let omega = speed.get::<radian_per_second>();
        Velocity::new::<meter_per_second>(self.drop_m_per_rad(angle.radians()) * omega)
    }

    /// Acceleration of the piston at a constant crank speed, positive downward: greatest at the top.
    pub fn acceleration(&self, angle: CrankAngle, speed: AngularVelocity) -> Acceleration {
        let omega = speed.get::<radian_per_second>();
        let per_rad2 = self.drop_m_per_rad2(angle.radians());
        Acceleration::new::<meter_per_second_squared>(per_rad2 * omega * omega)
    }

    /// How far the piston drops in one degree of the crank at this angle.
    pub fn drop_per_degree(&self, angle: CrankAngle) -> Length {
        Length::new::<meter>(self.drop_m_per_rad(angle.radians()) * 1f64.to_radians())
    }

    /// Lean of the rod from the bore axis, positive when its big end is on the side the throw moves to after top
    /// dead centre.
    pub fn rod_angle(&self, angle: CrankAngle) -> Angle {
        Angle::new::<radian>((self.side_m(angle.radians() + self.top_rad) / self.rod_m).asin())
    }

    /// True travel of the piston: a little more than the stroke when the pin is offset.
    pub fn travel(&self) -> Length {
        let (r, l, e) = (self.throw_m, self.rod_m, self.offset_m);
        let high = ((l + r).powi(2) - e * e).sqrt();
        let low = ((l - r).powi(2) - e * e).sqrt();
        Length::new::<meter>(high - low)
    }

    /// Turn of the crank from the true top to the true bottom: 180 degrees without pin offset.
    pub fn bottom(&self) -> CrankAngle {
        let low = std::f64::consts::PI + (self.offset_m / (self.rod_m - self.throw_m)).asin();
        CrankAngle::from_radians(low - self.top_rad)
    }

    /// How far the big end stands to the side of the pin.
    fn side_m(&self, throw_rad: f64) -> f64 {
        self.throw_m * throw_rad.sin() - self.offset_m
    }

    /// Metres below the top.
    ///
    /// Pin height over the crank centre is h(a) = r cos a + q, q = sqrt(L^2 - s^2), s = r sin a - e, and the drop is
    /// h(a_top) - h(a) with sin a_top = e/(L + r). Plane geometry of the crank chain: Taylor (1985), "The
    /// Internal-Combustion Engine in Theory and Practice" vol. 2, from memory.
    /// The difference is taken as a product so that nothing cancels near the top:
    /// drop = 2 r sin(t/2) [sin m + cos m (s + s0)/(q + q0)], m midway between a and a_top, t the angle past the top.
    pub(crate) fn drop_m(&self, rad: f64) -> f64 {
        let (r, l) = (self.throw_m, self.rod_m);
        let (s, s0) = (self.side_m(rad + self.top_rad), self.side_m(self.top_rad));
        let (q, q0) = ((l * l - s * s).sqrt(), (l * l - s0 * s0).sqrt());
        let mid = self.top_rad + rad / 2.0;
        2.0 * r * (rad / 2.0).sin() * (mid.sin() + mid.cos() * (s + s0) / (q + q0))
    }

    /// d(drop)/da = r sin a + s r cos a / q.
    pub(crate) fn drop_m_per_rad(&self, rad: f64) -> f64 {
        let (r, l) = (self.throw_m, self.rod_m);
        let a = rad + self.top_rad;
        let s = self.side_m(a);
        r * a.sin() + s * r * a.cos() / (l * l - s * s).sqrt()
    }

    /// d2(drop)/da2 = r cos a + ((r cos a)^2 - s r sin a)/q + (s r cos a)^2/q^3.
    pub(crate) fn drop_m_per_rad2(&self, rad: f64) -> f64 {
        let (r, l) = (self.throw_m, self.rod_m);
        let a = rad + self.top_rad;
        let s = self.side_m(a);
        let q = (l * l - s * s).sqrt();
        let across = r * a.cos();
        across + (across * across - s * r * a.sin()) / q + (s * across).powi(2) / q.powi(3)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::length::inch;

    fn inches(stroke: f64, rod: f64, offset: f64) -> SliderCrank {
        SliderCrank::new(Length::new::<inch>(stroke), Length::new::<inch>(rod), Length::new::<inch>(offset))
            .expect("a crank that turns")
    }

    /// Drops in inches at stroke 3.48 and rod 5.70, printed to four places in trade tables of piston position.
    #[test]
    fn exact_handbook_drop_inch() {
        let crank = inches(3.48, 5.70, 0.0);
        for (deg, drop) in
            [(10.0, 0.0344), (30.0, 0.2999), (60.0, 1.0728), (90.0, 2.0121), (120.0, 2.8128), (180.0, 3.48)]
        {
            let got = crank.drop(CrankAngle::from_degrees(deg)).get::<inch>();
            assert!((got - drop).abs() < 0.000_051, "{deg} deg: {got} in, table {drop} in");
        }
        // 70 degrees past the bottom the piston has risen 0.9053 in.
        let rise = 3.48 - crank.drop(CrankAngle::from_degrees(250.0)).get::<inch>();
        assert!((rise - 0.9053).abs() < 0.000_051, "{rise}");
    }

    /// The same for 86 x 143 mm.
    #[test]
    fn exact_handbook_drop_metric() {
        let mm = |value| Length::new::<millimeter>(value);
        let crank = SliderCrank::new(mm(86.0), mm(143.0), mm(0.0)).expect("a crank that turns");
        for (deg, drop) in [(15.0, 1.899), (90.0, 49.618)] {
            let got = crank.drop(CrankAngle::from_degrees(deg)).get::<millimeter>();
            assert!((got - drop).abs() < 0.000_51, "{deg} deg: {got} mm, table {drop} mm");
        }
    }

    /// Piston speed near the top in inches a degree against r (1 + r/L) sin t, which is of first order in t: 1 %.
    #[test]
    fn exact_speed_near_top() {
        let crank = inches(3.48, 5.70, 0.0);
        for (deg, per_deg) in [(7.75, 0.0053), (12.0, 0.0082), (15.0, 0.0103)] {
            let got = crank.drop_per_degree(CrankAngle::from_degrees(deg)).get::<inch>();
            assert!((got / per_deg - 1.0).abs() < 0.012, "{deg} deg: {got} in/deg, table {per_deg}");
        }
    }

    #[test]
    fn exact_true_top_with_pin_offset() {
        for offset in [-0.06, 0.04, 0.3] {
            let crank = inches(3.48, 5.70, offset);
            assert!(crank.drop_m_per_rad(0.0).abs() < 1e-16);
            assert!(crank.drop_m(0.0) == 0.0);
            let bottom = crank.bottom();
            assert!((crank.drop(bottom) - crank.travel()).value.abs() < 1e-15);
            assert!(crank.travel().get::<inch>() > 3.48);
        }
    }

    #[test]
    fn exact_impossible_cranks_are_refused() {
        let mm = |value| Length::new::<millimeter>(value);
        assert!(matches!(
            SliderCrank::new(mm(90.0), mm(44.0), mm(0.0)),
            Err(SliderCrankError::RodTooShort { .. })
        ));
        assert!(SliderCrank::new(mm(f64::NAN), mm(140.0), mm(0.0)).is_err());
        assert!(SliderCrank::new(mm(86.0), mm(140.0), mm(f64::NAN)).is_err());
    }
}
