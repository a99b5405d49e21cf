//! How long the charge takes to burn, estimated: from spark to 10 % and from 10 to 90 %.
//!
//! Leaves out swirl, tumble and squish by name: what they change goes into the factor of the model.

use crate::cylinder::{CycleSums, CylinderSetup};
use crate::model::{Burn, Charge, Cylinder};
use gas::fuel::Fuel;
use std::f64::consts::PI;

/// State of the charge when the intake has closed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Closing {
    /// Pressure, Pa.
    pub p_pa: f64,
    /// Temperature, K.
    pub t_k: f64,
    /// Cylinder volume, m3.
    pub volume_m3: f64,
    /// Mass fraction of burned gas.
    pub residual: f64,
}

impl Closing {
    /// As counted over a cycle.
    pub fn of(sums: &CycleSums<f64>, setup: &CylinderSetup<f64>) -> Self {
        Self {
            p_pa: sums.closing_pa,
            t_k: sums.closing_k,
            volume_m3: setup.volume(setup.closes_deg),
            residual: sums.residual,
        }
    }
}

/// Degrees from spark to 10 % burned and from 10 to 90 %.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BurnAngles {
    /// Spark to 10 %.
    pub delay_deg: f64,
    /// 10 to 90 %.
    pub duration_deg: f64,
}

/// Constants of the correlation. Set once so that an 86 x 86 mm engine of compression 10 with the plug halfway
/// between centre and edge (travel 0.65) burning a slightly rich gasoline charge at 3000 rpm takes 22 and 28 degrees,
/// the middle of the ranges J. B. Heywood (1988), section 9.3.2, and common practice give.
const DELAY: f64 = 763.6;
const DURATION: f64 = 1969.0;

/// Exponent of the flame travel. A plug at the edge of a disc chamber burns some one and a half times as long as one in
/// the middle: J. B. Heywood (1988), section 15.4, from memory.
const BY_TRAVEL: f64 = 0.55;
const USUAL_TRAVEL: f64 = 0.65;

/// Where the two states are taken, deg after TDC; what combustion does to the pressure by the middle of the burn.
const LIT_DEG: f64 = -25.0;
const RISE_BY_BURNING: f64 = 2.0;
/// Polytropic exponent of compression, and that of a charge compressed by the flame.
const COMPRESSION_EXPONENT: f64 = 1.32;

/// Angles for a cylinder: as given, or estimated.
///
/// angle = C / stroke (Sp nu)^(1/3) (h / SL)^(2/3), the burn also with the flame travel. Sp mean piston speed, nu
/// kinematic viscosity, h chamber height (volume over bore area), SL laminar flame speed, at 25 degrees before TDC for
/// the delay and at TDC with twice the motored pressure for the burn. Source: S. D. Hires, R. J. Tabaczynski, J. M.
/// Novak (1978), SAE 780232 (from memory: the form; the constants are set as said at their place, and the flame travel
/// is ours). Angles grow with the cube root of speed; the source covers 1000 to 3000 rpm, what lies beyond is
/// extrapolated. Never shorter than 5 or longer than 120 degrees.
pub fn burn_angles(
    burn: &Burn,
    charge: &Charge,
    cylinder: &Cylinder,
    speed_rpm: f64,
    closing: &Closing,
) -> BurnAngles {
    match *burn {
        Burn::Given { delay_deg, duration_deg } => BurnAngles { delay_deg, duration_deg },
        Burn::Correlated { factor } => {
            let bore_area = 0.25 * PI * cylinder.bore_m * cylinder.bore_m;
            let rise = 0.5 * cylinder.stroke_m * (1.0 - LIT_DEG.to_radians().cos());
            let at = |volume: f64, squeeze: f64| {
                let ratio = closing.volume_m3 / volume;
                let p = closing.p_pa * ratio.powf(COMPRESSION_EXPONENT) * squeeze;
                let t = closing.t_k
                    * ratio.powf(COMPRESSION_EXPONENT - 1.0)
                    * squeeze.powf(1.0 - 1.0 / COMPRESSION_EXPONENT);
                let viscosity = 3.3e-7 * t.powf(0.7) * 287.0 * t / p;
                let speed = laminar_speed(charge, p, t, closing.residual);
                let piston_speed = 2.0 * cylinder.stroke_m * speed_rpm / 60.0;
                let height = volume / bore_area;
                (piston_speed * viscosity).cbrt() * (height / speed).powf(2.0 / 3.0) / cylinder.stroke_m
            };
            let travel = (cylinder.flame_travel.max(0.1) / USUAL_TRAVEL).powf(BY_TRAVEL);
            let lit = at(cylinder.clearance_m3 + bore_area * rise, 1.0);
            let burning = at(cylinder.clearance_m3, RISE_BY_BURNING);
            BurnAngles {
                delay_deg: (factor * DELAY * lit).clamp(5.0, 120.0),
                duration_deg: (factor * DURATION * burning * travel).clamp(5.0, 120.0),
            }
        }
    }
}

/// Laminar flame speed of a charge, m/s: S0 (T/298)^a (p/1 atm)^b (1 - 2.06 x^0.77), x mole fraction of residual (taken
/// as the mass fraction).
///
/// Gasoline: S0 = 0.305 - 0.549 (phi - 1.21)^2, a = 2.4 - 0.271 phi^3.51, b = -0.357 + 0.14 phi^2.77. D. B. Rhodes, J. C.
/// Keck (1985), SAE 850047. Others: S0 = 0.263 - 0.847 (phi - 1.13)^2 iso-octane, 0.342 - 1.387 (phi - 1.08)^2 propane,
/// 0.369 - 1.405 (phi - 1.11)^2 methanol, a = 2.18 - 0.8 (phi - 1), b = -0.16 + 0.22 (phi - 1). M. Metghalchi, J. C.
/// Keck (1982), Combust. Flame 48:191. Ethanol and E85 are taken as methanol, methane as propane. Below 5 cm/s at 298 K
/// and beyond 30 % residual the edge is kept.
pub fn laminar_speed(charge: &Charge, p_pa: f64, t_k: f64, residual: f64) -> f64 {
    let phi = 1.0 / charge.lambda;
    let keck = |b_m: f64, b_2: f64, phi_m: f64| {
        (b_m - b_2 * (phi - phi_m).powi(2), 2.18 - 0.8 * (phi - 1.0), -0.16 + 0.22 * (phi - 1.0))
    };
    let (s_0, by_t, by_p) = match charge.fuel {
        Fuel::Gasoline | Fuel::E10 | Fuel::RaceGasoline => (
            0.305 - 0.549 * (phi - 1.21).powi(2),
            2.4 - 0.271 * phi.powf(3.51),
            -0.357 + 0.14 * phi.powf(2.77),
        ),
        Fuel::IsoOctane => keck(0.263, 0.847, 1.13),
        Fuel::Propane | Fuel::Methane => keck(0.342, 1.387, 1.08),
        Fuel::Methanol | Fuel::Ethanol | Fuel::E85 => keck(0.369, 1.405, 1.11),
    };
    let dilution = 1.0 - 2.06 * residual.clamp(0.0, 0.3).powf(0.77);
    s_0.max(0.05) * (t_k / 298.0).powf(by_t) * (p_pa / 101_325.0).powf(by_p) * dilution
}

/// A sentence for each angle that is not what a gasoline engine shows; empty when all is usual.
///
/// 15 to 30 degrees to 10 %, 18 to 50 for the rest: J. B. Heywood (1988), section 9.3, and common practice, widened by
/// a quarter for fast and slow running.
pub fn unusual(angles: &BurnAngles) -> Vec<String> {
    let mut found = Vec::new();
    for (what, value, lo, hi) in [
        ("spark to 10 % burned", angles.delay_deg, 11.0, 38.0),
        ("10 to 90 % burned", angles.duration_deg, 14.0, 62.0),
    ] {
        if !(lo <= value && value <= hi) {
            found.push(format!("{what} takes {value:.0} deg; {lo:.0} to {hi:.0} deg are usual"));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::{Sizes, engine};

    fn angles(compression: f64, travel: f64, speed: f64, residual: f64, lambda: f64) -> BurnAngles {
        let mut model = engine(&Sizes { compression, ..Sizes::default() });
        model.charge.lambda = lambda;
        let c = &mut model.cylinders[0];
        c.flame_travel = travel;
        let swept = 0.25 * PI * c.bore_m * c.bore_m * c.stroke_m;
        let volume_m3 = c.clearance_m3 + 0.8 * swept;
        let closing = Closing { p_pa: 1.1e5, t_k: 360.0, volume_m3, residual };
        burn_angles(&Burn::Correlated { factor: 1.0 }, &model.charge, c, speed, &closing)
    }

    /// What the constants were set for, and the directions of the source.
    #[test]
    fn val_hires_1978_usual_angles_and_directions() {
        let usual = angles(10.0, 0.65, 3000.0, 0.05, 0.9);
        assert!((usual.delay_deg - 22.0).abs() < 0.1, "{usual:?}");
        assert!((usual.duration_deg - 28.0).abs() < 0.1, "{usual:?}");
        assert!(unusual(&usual).is_empty());
        let twice = angles(10.0, 0.65, 6000.0, 0.05, 0.9);
        assert!((twice.duration_deg / usual.duration_deg - 2.0_f64.cbrt()).abs() < 1e-9);
        let middle = angles(10.0, 0.5, 3000.0, 0.05, 0.9);
        assert!((20.0..26.0).contains(&middle.duration_deg), "{middle:?}");
        let old = angles(8.0, 0.95, 3000.0, 0.08, 0.9);
        assert!((35.0..50.0).contains(&old.duration_deg), "{old:?}");
        assert!(usual.delay_deg < angles(8.0, 0.65, 3000.0, 0.05, 0.9).delay_deg);
        assert!(usual.delay_deg < angles(10.0, 0.65, 3000.0, 0.15, 0.9).delay_deg);
        assert!(usual.delay_deg < angles(10.0, 0.65, 3000.0, 0.05, 1.2).delay_deg);
        assert_eq!(unusual(&BurnAngles { delay_deg: 5.0, duration_deg: 80.0 }).len(), 2);
    }

    /// Rhodes and Keck (1985): the charge at phi 1.21 and standard conditions burns at 30.5 cm/s.
    #[test]
    fn val_rhodes_1985_flame_speed() {
        let charge = Charge { fuel: Fuel::Gasoline, lambda: 1.0 / 1.21, vapour: 1.0, ron: 95.0, mon: 85.0 };
        assert!((laminar_speed(&charge, 101_325.0, 298.0, 0.0) - 0.305).abs() < 1e-12);
        let diluted = laminar_speed(&charge, 101_325.0, 298.0, 0.1) / 0.305;
        assert!((diluted - (1.0 - 2.06 * 0.1_f64.powf(0.77))).abs() < 1e-12);
    }
}
