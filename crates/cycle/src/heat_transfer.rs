//! How fast the gas in a cylinder gives heat to its walls: three published coefficients in one form, in lanes.
//!
//! Each is K p^a T^b V^c w^d with a gas speed w = w0 + w2 (p - p_motored). Leaves out radiation and where on a wall
//! the heat goes.

use crate::cylinder::gather;
use crate::model::{Heat, HeatLaw};
use gas::lane::{Lane, exp, ln};

/// A heat transfer coefficient, ready for one cylinder at one speed.
#[derive(Clone, Copy, Debug)]
pub struct HeatCoefficient<L> {
    factor: L,
    ln_k: L,
    by_p: L,
    by_t: L,
    by_v: L,
    by_w: L,
    /// Gas speed with the valves shut, and with a valve open, m/s.
    w_closed: L,
    w_open: L,
    /// Swept volume times the combustion constant, m3 m/(s K).
    w_burning: L,
}

/// A state the coefficient is asked for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct HeatState<L: Lane> {
    /// Logarithm of the pressure, Pa.
    pub ln_p: L,
    /// Logarithm of the volume, m3.
    pub ln_v: L,
    /// Mean temperature, K.
    pub t: L,
    /// Pressure over that without burning, Pa; 0 before it burns.
    pub rise: L,
    /// T / (p V) when the intake closed, K/J.
    pub reference: L,
    /// Valves shut.
    pub closed: L::Mask,
}

impl HeatCoefficient<f64> {
    /// For a cylinder; sizes in m and m3.
    ///
    /// - Woschni: h = 3.26 B^-0.2 p^0.8 T^-0.55 w^0.8 (m, kPa, K, m/s), w = C1 Sp + C2 Vd Tr/(pr Vr) (p - p_motored);
    ///   C1 6.18 in the gas exchange and 2.28 with the valves shut, C2 3.24e-3 m/(s K) once it burns, else 0.
    ///   G. Woschni (1967), SAE 670931, as written by J. B. Heywood (1988), eqs. 12.18 and 12.19.
    /// - Hohenberg: h = 130 V^-0.06 p^0.8 T^-0.4 (Sp + 1.4)^0.8 (m3, bar, K, m/s). G. F. Hohenberg (1979), SAE 790825.
    /// - Annand: Nu = 0.49 Re^0.7 with the bore and Sp, no radiation. W. J. D. Annand (1963), Proc. IMechE 177:973;
    ///   a from 0.35 to 0.8 there. Viscosity 3.3e-7 T^0.7 Pa s and Prandtl number 0.7 (Heywood, eqs. 4.57, 4.58:
    ///   3.3e-7 T^0.7 for air, less 3 % for burned gas), cp 1200 J/(kg K), R 287 J/(kg K).
    pub fn new(heat: &Heat, bore_m: f64, stroke_m: f64, speed_rpm: f64, swept_m3: f64) -> Self {
        let piston_speed = 2.0 * stroke_m * speed_rpm / 60.0;
        let none = Self {
            factor: heat.factor,
            ln_k: 0.0,
            by_p: 0.8,
            by_t: 0.0,
            by_v: 0.0,
            by_w: 0.8,
            w_closed: piston_speed,
            w_open: piston_speed,
            w_burning: 0.0,
        };
        match heat.law {
            HeatLaw::None => Self { factor: 0.0, ..none },
            HeatLaw::Woschni => Self {
                ln_k: (3.26 * bore_m.powf(-0.2) * 1e-3_f64.powf(0.8)).ln(),
                by_t: -0.55,
                w_closed: 2.28 * piston_speed,
                w_open: 6.18 * piston_speed,
                w_burning: 3.24e-3 * swept_m3,
                ..none
            },
            HeatLaw::Hohenberg => Self {
                ln_k: (130.0 * 1e-5_f64.powf(0.8)).ln(),
                by_t: -0.4,
                by_v: -0.06,
                w_closed: piston_speed + 1.4,
                w_open: piston_speed + 1.4,
                ..none
            },
            HeatLaw::Annand => {
                let (viscosity, prandtl, cp, r) = (3.3e-7, 0.7, 1200.0, 287.0);
                let conductivity = viscosity * cp / prandtl;
                let k = 0.49 * conductivity / bore_m * (bore_m / (r * viscosity)).powf(0.7);
                Self { ln_k: k.ln(), by_p: 0.7, by_t: 0.7 - 0.7 * 1.7, by_w: 0.7, ..none }
            }
        }
    }

    /// W/(m2 K) at p (Pa), T (K), V (m3) with the valves shut and nothing burning.
    pub fn at(&self, p_pa: f64, t_k: f64, volume_m3: f64) -> f64 {
        let (ln_p, ln_v) = (p_pa.ln(), volume_m3.ln());
        self.w_per_m2_k(&HeatState { ln_p, ln_v, t: t_k, rise: 0.0, reference: 0.0, closed: true })
    }
}

impl<L: Lane> HeatCoefficient<L> {
    pub(crate) fn gather(variants: &[HeatCoefficient<f64>]) -> Self {
        Self {
            factor: gather(variants, |v| v.factor),
            ln_k: gather(variants, |v| v.ln_k),
            by_p: gather(variants, |v| v.by_p),
            by_t: gather(variants, |v| v.by_t),
            by_v: gather(variants, |v| v.by_v),
            by_w: gather(variants, |v| v.by_w),
            w_closed: gather(variants, |v| v.w_closed),
            w_open: gather(variants, |v| v.w_open),
            w_burning: gather(variants, |v| v.w_burning),
        }
    }

    /// W/(m2 K).
    #[inline(always)]
    pub(crate) fn w_per_m2_k(&self, s: &HeatState<L>) -> L {
        let w = L::sel(s.closed, self.w_closed, self.w_open);
        let w = (self.w_burning * s.reference).fma(s.rise, w);
        let power = self.by_p.fma(s.ln_p, self.by_t.fma(ln(s.t), self.by_v * s.ln_v));
        self.factor * exp(self.by_w.fma(ln(w), self.ln_k + power))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn coefficient(law: HeatLaw) -> f64 {
        let heat = Heat { law, factor: 1.0, head_k: 450.0, crown_k: 500.0, bore_k: 400.0 };
        // 12 m/s of mean piston speed.
        HeatCoefficient::new(&heat, 0.1, 0.08, 4500.0, 6e-4).at(4e6, 2000.0, 5e-4)
    }

    /// The formulas by hand at 4 MPa, 2000 K, 12 m/s, bore 0.1 m, 500 cm3.
    #[test]
    fn val_woschni_1967_and_hohenberg_1979() {
        assert!((coefficient(HeatLaw::Woschni) - 849.0).abs() < 0.5, "{}", coefficient(HeatLaw::Woschni));
        assert!(
            (coefficient(HeatLaw::Hohenberg) - 1496.0).abs() < 0.5,
            "{}",
            coefficient(HeatLaw::Hohenberg)
        );
        assert_eq!(coefficient(HeatLaw::None), 0.0);
    }

    /// Annand by its dimensionless groups.
    #[test]
    fn val_annand_1963() {
        let viscosity = 3.3e-7 * 2000.0_f64.powf(0.7);
        let conductivity = viscosity * 1200.0 / 0.7;
        let reynolds = 4e6 / (287.0 * 2000.0) * 12.0 * 0.1 / viscosity;
        let h = 0.49 * conductivity / 0.1 * reynolds.powf(0.7);
        assert!((coefficient(HeatLaw::Annand) / h - 1.0).abs() < 1e-12);
    }
}
