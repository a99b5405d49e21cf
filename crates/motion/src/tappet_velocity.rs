//! Whether a flat tappet is wide enough for its lobe. Leaves out wear and spin.

use units::length::meter;
use units::{CamAngle, Length};

use crate::lobe::LiftCurve;
use crate::lobe_extremes::greatest;

/// Lift a flat tappet can gain at most in one degree of the cam.
///
/// On a flat face the contact stands away from the tappet's axis by dy/da, a in radians of the cam; it has to stay on
/// the face, so dy/da <= D/2, which is D/2/57.296 in one degree. Geometry of the flat follower; the lobe's width and a
/// chamfer take a little more (common practice keeps 0.0002 to 0.0004 in per degree below it).
pub fn flat_tappet_velocity_limit(diameter: Length) -> Length {
    diameter * 0.5 * 1f64.to_radians()
}

/// A lobe on a flat tappet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlatTappetCheck {
    /// Greatest lift gained or lost in one cam degree.
    pub per_cam_degree: Length,
    /// Where that is, from the nose.
    pub at: CamAngle,
    /// What the tappet allows.
    pub limit: Length,
    /// Left over at the edge of the face: tappet radius less the contact's greatest distance from its axis. Negative
    /// when the lobe's flank runs on the edge.
    pub edge_margin: Length,
}

/// How far the contact stays from the edge of a flat tappet.
pub fn flat_tappet(curve: &LiftCurve, diameter: Length) -> FlatTappetCheck {
    let (at_deg, m_per_deg) = greatest(curve, |jet| jet[1].abs());
    let reach = Length::new::<meter>(m_per_deg.to_degrees());
    FlatTappetCheck {
        per_cam_degree: Length::new::<meter>(m_per_deg),
        at: CamAngle::from_degrees(at_deg),
        limit: flat_tappet_velocity_limit(diameter),
        edge_margin: diameter * 0.5 - reach,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::length::inch;

    /// Usual tappet diameters in inches and their limits in inches per cam degree, as printed in cam-grinding
    /// guides.
    #[test]
    fn exact_velocity_limits() {
        for (diameter, limit) in [(0.842, 0.00735), (0.875, 0.00764), (0.904, 0.00789)] {
            let got = flat_tappet_velocity_limit(Length::new::<inch>(diameter)).get::<inch>();
            assert!((got - limit).abs() < 5.1e-6, "{diameter}: {got}");
        }
    }
}
