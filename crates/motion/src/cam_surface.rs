//! What a lobe looks like under its follower: pressure angle and curvature. Leaves out stress.

use parts::train::Follower;
use units::angle::radian;
use units::length::meter;
use units::{Angle, CamAngle, Length};

use crate::lobe::{Jet, LiftCurve};
use crate::lobe_extremes::greatest;

/// What rides on the lobe, for its geometry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rider {
    /// A flat face.
    Flat,
    /// A wheel or round pad of this radius on a follower that moves straight through the cam axis. A finger swings
    /// instead; with its pivot far off compared with the lift the difference is small.
    Round {
        /// Radius of wheel or pad.
        radius: Length,
    },
}

impl Rider {
    /// The shape of a train's follower where it touches the lobe.
    pub fn of(follower: &Follower) -> Self {
        match follower {
            Follower::Flat { .. } => Self::Flat,
            Follower::Roller { radius } => Self::Round { radius: radius.value },
            Follower::Finger { pad_radius } => Self::Round { radius: pad_radius.value },
        }
    }
}

/// The lobe's surface under its follower.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CamSurface {
    /// Largest angle between the follower's travel and the push on it; 0 for a flat face.
    pub pressure_angle: Angle,
    /// Where that is, from the nose.
    pub pressure_angle_at: CamAngle,
    /// Smallest radius of a convex place; zero or negative when the lobe would be pointed or undercut.
    pub least_convex: Length,
    /// Where that is, from the nose.
    pub least_convex_at: CamAngle,
    /// Smallest radius of a hollow flank; `None` when no place is hollow. A wheel or grinding wheel has to be smaller.
    pub least_hollow: Option<Length>,
}

/// Angles and radii of a lobe ground on this base circle.
pub fn cam_surface(curve: &LiftCurve, base_radius: Length, rider: Rider) -> CamSurface {
    let base_m = base_radius.get::<meter>();
    let radius = |jet: Jet| surface_radius_m(jet, base_m, rider);
    let (pressure_angle_at, pressure) = greatest(curve, |jet| pressure_angle_rad(jet, base_m, rider));
    // The base circle itself is convex and belongs to the lobe.
    let (convex_at, bend) = greatest(curve, |jet| 1.0 / positive(radius(jet)));
    let least_convex = undercut(curve, base_m, rider).map_or(1.0 / bend, |(_, radius)| radius);
    let convex_at = undercut(curve, base_m, rider).map_or(convex_at, |(at, _)| at);
    let (_, hollow) = greatest(curve, |jet| {
        let radius = hollow_radius_m(jet, base_m, rider);
        radius.map_or(0.0, |radius| 1.0 / radius)
    });
    CamSurface {
        pressure_angle: Angle::new::<radian>(pressure),
        pressure_angle_at: CamAngle::from_degrees(pressure_angle_at),
        least_convex: Length::new::<meter>(least_convex),
        least_convex_at: CamAngle::from_degrees(convex_at),
        least_hollow: (hollow > 0.0).then(|| Length::new::<meter>(1.0 / hollow)),
    }
}

/// Convex radii as they are; hollow ones count as flat.
fn positive(radius: f64) -> f64 {
    if radius > 0.0 { radius } else { f64::INFINITY }
}

/// A convex place whose radius has come down to nothing, if there is one: place and radius, the worst first.
fn undercut(curve: &LiftCurve, base_m: f64, rider: Rider) -> Option<(f64, f64)> {
    let missing = |jet: Jet| match rider {
        Rider::Flat => -surface_radius_m(jet, base_m, rider),
        Rider::Round { radius } => {
            let path = path_radius_m(jet, base_m, radius.get::<meter>());
            if path > 0.0 { radius.get::<meter>() - path } else { f64::NEG_INFINITY }
        }
    };
    let (at, missing) = greatest(curve, missing);
    (missing >= 0.0).then_some((at, -missing))
}

/// Angle between the common normal and the follower's travel: tan p = y'/(Rb + Rr + y) for a round follower without
/// offset, y' per radian; Shigley and Uicker (1980), "Theory of Machines and Mechanisms" ch. 6, from memory.
pub(crate) fn pressure_angle_rad(jet: Jet, base_m: f64, rider: Rider) -> f64 {
    match rider {
        Rider::Flat => 0.0,
        Rider::Round { radius } => {
            let centre = base_m + radius.get::<meter>() + jet[0];
            (jet[1].to_degrees() / centre).atan().abs()
        }
    }
}

/// Radius of the path that a round follower's centre takes about the cam; negative where it is hollow.
///
/// rho = (R^2 + y'^2)^(3/2) / (R^2 + 2 y'^2 - R y''), R = Rb + Rr + y, derivatives per radian: curvature of a curve in
/// polar coordinates; Shigley and Uicker (1980) ch. 6, from memory.
fn path_radius_m(jet: Jet, base_m: f64, roller_m: f64) -> f64 {
    let r = base_m + roller_m + jet[0];
    let (y1, y2) = (jet[1].to_degrees(), jet[2].to_degrees().to_degrees());
    (r * r + y1 * y1).powf(1.5) / (r * r + 2.0 * y1 * y1 - r * y2)
}

/// Radius of the lobe's surface where it touches; negative where it is hollow.
///
/// Flat face: rho = Rb + y + y'' (Shigley and Uicker 1980 ch. 6, from memory). Round follower: that of its centre's path
/// less its own radius.
pub(crate) fn surface_radius_m(jet: Jet, base_m: f64, rider: Rider) -> f64 {
    match rider {
        Rider::Flat => base_m + jet[0] + jet[2].to_degrees().to_degrees(),
        Rider::Round { radius } => {
            let roller_m = radius.get::<meter>();
            path_radius_m(jet, base_m, roller_m) - roller_m
        }
    }
}

fn hollow_radius_m(jet: Jet, base_m: f64, rider: Rider) -> Option<f64> {
    let Rider::Round { radius } = rider else { return None };
    let path = path_radius_m(jet, base_m, radius.get::<meter>());
    (path < 0.0).then(|| radius.get::<meter>() - path)
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::length::millimeter;

    /// An eccentric circle is a lobe whose surface has one radius all round: y = c(1 + cos a) on a base circle of
    /// R - c lifts a flat face, and rho = Rb + y + y'' = R everywhere.
    #[test]
    fn exact_eccentric_circle_under_a_flat_face() {
        let (radius, offset) = (0.020, 0.004);
        for deg in [-150.0f64, -60.0, 0.0, 30.0, 120.0] {
            let (s, c) = deg.to_radians().sin_cos();
            let per = 1f64.to_radians();
            let jet = [offset * (1.0 + c), -offset * s * per, -offset * c * per * per, 0.0];
            let got = surface_radius_m(jet, radius - offset, Rider::Flat);
            assert!((got - radius).abs() < 1e-15, "{deg}: {got}");
        }
    }

    /// The same circle under a roller: its centre runs on a circle of R + Rr about the eccentric's centre, so
    /// y = c cos a + sqrt((R + Rr)^2 - c^2 sin^2 a) - (R + Rr) + c.
    #[test]
    fn exact_eccentric_circle_under_a_roller() {
        let (radius, offset, roller) = (0.020f64, 0.004f64, 0.009f64);
        let around = radius + roller;
        let lift = |deg: f64| {
            let (s, c) = deg.to_radians().sin_cos();
            offset * c + (around * around - (offset * s).powi(2)).sqrt() - around + offset
        };
        let rider = Rider::Round { radius: Length::new::<millimeter>(9.0) };
        for deg in [-150.0, -60.0, 0.0, 30.0, 120.0] {
            let h = 0.05;
            let slope = (lift(deg + h) - lift(deg - h)) / (2.0 * h);
            let bend = (lift(deg + h) - 2.0 * lift(deg) + lift(deg - h)) / (h * h);
            let got = surface_radius_m([lift(deg), slope, bend, 0.0], radius - offset, rider);
            // Differences at this step carry an error of about 1e-7.
            assert!((got - radius).abs() < 1e-7, "{deg}: {got}");
        }
    }
}
