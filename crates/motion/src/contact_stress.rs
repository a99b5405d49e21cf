//! How hard lobe and follower press on each other. Leaves out oil film and wear.

use units::angular_velocity::radian_per_second;
use units::force::newton;
use units::length::meter;
use units::mass::kilogram;
use units::pressure::pascal;
use units::{AngularVelocity, CrankAngle, Force, Length, Mass, Pressure};

use crate::cam_surface::{Rider, pressure_angle_rad, surface_radius_m};
use crate::spring::SpringLoad;
use crate::valve_motion::{CYCLE_DEG, ValveMotion};

/// What a part of the contact is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Material {
    /// Young's modulus.
    pub stiffness: Pressure,
    /// Poisson's ratio.
    pub poisson: f64,
}

impl Material {
    /// Hardened steel: 207 GPa and 0.3 (engineering handbooks, from memory).
    pub fn steel() -> Self {
        Self { stiffness: Pressure::new::<pascal>(207e9), poisson: 0.3 }
    }

    /// Chilled cast iron: 150 GPa and 0.26 (engineering handbooks, from memory; castings vary by a tenth).
    pub fn chilled_iron() -> Self {
        Self { stiffness: Pressure::new::<pascal>(150e9), poisson: 0.26 }
    }
}

/// Greatest pressure between two parallel cylinders.
///
/// p = sqrt(F E / (pi b R)), 1/R = 1/R1 + 1/R2, 1/E = (1 - v1^2)/E1 + (1 - v2^2)/E2: Hertz's line contact; Johnson
/// (1985), "Contact Mechanics" ch. 4, from memory. Radii are positive for convex and negative for hollow surfaces;
/// infinite for flat ones. Holds while the touching strip is narrow compared with the radii and the pressure is even
/// along the width; a crowned or misaligned follower presses harder. No force gives no pressure, and `None` stands for a
/// hollow tighter than what lies in it.
pub fn line_contact(
    force: Force,
    width: Length,
    radii: (Length, Length),
    materials: (Material, Material),
) -> Option<Pressure> {
    let bend = 1.0 / radii.0.get::<meter>() + 1.0 / radii.1.get::<meter>();
    let give = |material: Material| (1.0 - material.poisson.powi(2)) / material.stiffness.get::<pascal>();
    let stiffness = 1.0 / (give(materials.0) + give(materials.1));
    if bend.is_nan() || bend < 0.0 {
        return None;
    }
    let per_width = force.get::<newton>().max(0.0) / width.get::<meter>();
    Some(Pressure::new::<pascal>((per_width * stiffness * bend / std::f64::consts::PI).sqrt()))
}

/// Lobe and follower as they touch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contact {
    /// Base circle of the lobe.
    pub base_radius: Length,
    /// Shape of the follower.
    pub rider: Rider,
    /// Width that touches.
    pub width: Length,
    /// Of lobe and follower.
    pub materials: (Material, Material),
}

/// Where lobe and follower press hardest at one speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ContactPeak {
    /// Greatest pressure.
    pub pressure: Pressure,
    /// Force on the contact there.
    pub force: Force,
    /// Crank angle.
    pub at: CrankAngle,
}

/// Crank degrees between looks.
const LOOK_DEG: f64 = 0.5;

/// Greatest pressure between lobe and follower while the valve is off its seat; speed 0 for hand cranking. `None` when the
/// valve never opens or the follower does not fit a hollow flank.
///
/// Force at the follower = (spring + m a) x ratio, on a slanting flank that over cos(pressure angle); m is the effective mass
/// at the valve, the train is rigid and without friction.
pub fn contact_peak(
    motion: &ValveMotion,
    contact: &Contact,
    load: &SpringLoad,
    mass: Mass,
    crank_speed: AngularVelocity,
) -> Option<ContactPeak> {
    let deg_per_s = crank_speed.get::<radian_per_second>().to_degrees();
    let base_m = contact.base_radius.get::<meter>();
    let follower = match contact.rider {
        Rider::Flat => Length::new::<meter>(f64::INFINITY),
        Rider::Round { radius } => radius,
    };
    let mut peak: Option<ContactPeak> = None;
    for i in 0..(CYCLE_DEG / LOOK_DEG) as usize {
        let deg = i as f64 * LOOK_DEG;
        let [lift, _, per_deg2, _] = motion.jet_m(deg);
        if lift <= 0.0 {
            continue;
        }
        let lobe = motion.lobe_jet_m(deg);
        let at_valve = load.at_m(lift) + mass.get::<kilogram>() * per_deg2 * deg_per_s * deg_per_s;
        let lean = pressure_angle_rad(lobe, base_m, contact.rider);
        let force = Force::new::<newton>((at_valve * motion.ratio_at(lobe[0])).max(0.0) / lean.cos());
        let surface = Length::new::<meter>(surface_radius_m(lobe, base_m, contact.rider));
        let pressure = line_contact(force, contact.width, (surface, follower), contact.materials)?;
        if peak.is_none_or(|peak| pressure > peak.pressure) {
            peak = Some(ContactPeak { pressure, force, at: CrankAngle::from_degrees(deg) });
        }
    }
    peak
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::length::millimeter;

    /// The textbook form for two steels, p = 0.418 sqrt(F E / (b R)) with v = 0.3.
    #[test]
    fn exact_handbook_factor() {
        let mm = |value| Length::new::<millimeter>(value);
        let steel = Material::steel();
        let p = line_contact(
            Force::new::<newton>(2000.0),
            mm(12.0),
            (mm(15.0), mm(f64::INFINITY)),
            (steel, steel),
        );
        let p = p.expect("convex").get::<pascal>();
        let handbook = 0.418 * (2000.0 * 207e9 / (0.012 * 0.015f64)).sqrt();
        assert!((p / handbook - 1.0).abs() < 1e-3, "{p} {handbook}");
        assert!(
            line_contact(Force::new::<newton>(1.0), mm(12.0), (mm(9.0), mm(-8.0)), (steel, steel)).is_none()
        );
    }
}
