//! How much gas flows through an orifice or a poppet between two pressures, choked or not, either way.
//!
//! Quasi-steady and isentropic to the throat, times a discharge coefficient on a stated area. Leaves out the
//! gas's inertia (a pipe's business) and reactions on the way.

use crate::composition::Composition;
use std::f64::consts::PI;
use thiserror::Error;

/// A flow that could not be worked out.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum OrificeError {
    /// A pressure or temperature that is not a positive number.
    #[error("{what} is {value}, expected a positive number")]
    NotPositive {
        /// Which, with its unit.
        what: &'static str,
        /// As given.
        value: f64,
    },
}

/// Gas at rest on one side of an orifice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reservoir {
    /// Pressure, Pa.
    pub p_pa: f64,
    /// Temperature, K.
    pub t_k: f64,
    /// What the gas is.
    pub gas: Composition,
}

/// What flows through an orifice, positive from the first reservoir to the second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OrificeFlow {
    /// kg/s.
    pub mass_kg_per_s: f64,
    /// Enthalpy with formation that goes with it, W.
    pub enthalpy_w: f64,
    /// Whether the throat is sonic.
    pub choked: bool,
    /// Temperature in the throat, K.
    pub t_throat_k: f64,
}

/// The area a discharge coefficient is stated on. Coefficients mean nothing without it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PoppetArea {
    /// pi x head diameter x lift.
    Curtain {
        /// Diameter the curtain stands on, m.
        diameter_m: f64,
    },
    /// The bore of the throat, less the stem; does not vary with lift.
    Throat {
        /// Throat diameter, m.
        diameter_m: f64,
        /// Stem diameter, m.
        stem_m: f64,
    },
    /// The full circle of the head; does not vary with lift.
    Head {
        /// Head diameter, m.
        diameter_m: f64,
    },
}

impl PoppetArea {
    /// Reference area at a lift, m2; zero when shut.
    pub fn at_lift_m2(&self, lift_m: f64) -> f64 {
        if lift_m <= 0.0 {
            return 0.0;
        }
        match *self {
            Self::Curtain { diameter_m } => PI * diameter_m * lift_m,
            Self::Throat { diameter_m, stem_m } => 0.25 * PI * (diameter_m.powi(2) - stem_m.powi(2)),
            Self::Head { diameter_m } => 0.25 * PI * diameter_m.powi(2),
        }
    }

    /// Effective area, m2: the discharge coefficient times the area it is stated on.
    pub fn effective_m2(&self, lift_m: f64, discharge_coefficient: f64) -> f64 {
        discharge_coefficient * self.at_lift_m2(lift_m)
    }
}

/// Mass flux through an ideal throat, kg/(m2 s), of a perfect gas at rest upstream.
///
/// G = p0/sqrt(R T0) r^(1/gamma) sqrt(2 gamma/(gamma-1) (1 - r^((gamma-1)/gamma))), r = p/p0 but not under
/// (2/(gamma+1))^(gamma/(gamma-1)). Source: J. B. Heywood (1988), "Internal Combustion Engine Fundamentals",
/// appendix C, eqs. C.8 and C.9. Zero when p is not under p0.
pub fn ideal_mass_flux_kg_per_m2_s(
    gamma: f64,
    gas_constant_j_per_kg_k: f64,
    p0_pa: f64,
    t0_k: f64,
    p_pa: f64,
) -> f64 {
    let critical = (2.0 / (gamma + 1.0)).powf(gamma / (gamma - 1.0));
    let r = (p_pa / p0_pa).max(critical);
    if r >= 1.0 {
        return 0.0;
    }
    // 1 - r^z without cancellation near r = 1.
    let fall = -((gamma - 1.0) / gamma * r.ln()).exp_m1();
    p0_pa / (gas_constant_j_per_kg_k * t0_k).sqrt()
        * r.powf(1.0 / gamma)
        * (2.0 * gamma / (gamma - 1.0) * fall).sqrt()
}

/// Flow between two reservoirs of real frozen gases through an effective area.
///
/// The side of higher pressure is upstream and gives the gas. Isentropic to the throat with heat capacity
/// varying: s(T) - s(T0) = R ln(p/p0), u^2 = 2 (h0 - h(T)); choked where that reaches the speed of sound.
/// Solved by Newton to `accuracy` (relative, in temperature); the mass flow is then within about that, since
/// it is flat at the sonic point.
pub fn orifice_flow(
    first: &Reservoir,
    second: &Reservoir,
    effective_area_m2: f64,
    accuracy: f64,
) -> Result<OrificeFlow, OrificeError> {
    for (what, value) in [
        ("first pressure in Pa", first.p_pa),
        ("second pressure in Pa", second.p_pa),
        ("first temperature in K", first.t_k),
        ("second temperature in K", second.t_k),
    ] {
        if !(0.0 < value && value.is_finite()) {
            return Err(OrificeError::NotPositive { what, value });
        }
    }
    let (up, down, sign) =
        if first.p_pa >= second.p_pa { (first, second, 1.0) } else { (second, first, -1.0) };
    let gas = &up.gas;
    let r = gas.gas_constant_j_per_kg_k();
    let h0 = gas.enthalpy_j_per_kg(up.t_k);
    let s0 = gas.entropy_of_temperature_j_per_kg_k(up.t_k);

    let t_sonic = sonic_temperature(gas, up.t_k, h0, accuracy);
    let p_sonic = up.p_pa * ((gas.entropy_of_temperature_j_per_kg_k(t_sonic) - s0) / r).exp();
    let choked = down.p_pa <= p_sonic;
    let (t, p) = if choked {
        (t_sonic, p_sonic)
    } else {
        (isentropic_temperature(gas, up.t_k, s0, r * (down.p_pa / up.p_pa).ln(), accuracy), down.p_pa)
    };
    let u = (2.0 * (h0 - gas.enthalpy_j_per_kg(t))).max(0.0).sqrt();
    let mass = sign * effective_area_m2 * p / (r * t) * u;
    Ok(OrificeFlow { mass_kg_per_s: mass, enthalpy_w: mass * h0, choked, t_throat_k: t })
}

const MOST_ITERATIONS: usize = 60;

/// Where 2 (h0 - h(T)) = gamma R T.
fn sonic_temperature(gas: &Composition, t0: f64, h0: f64, accuracy: f64) -> f64 {
    let r = gas.gas_constant_j_per_kg_k();
    let mut t = 2.0 * t0 / (gas.gamma(t0) + 1.0);
    for _ in 0..MOST_ITERATIONS {
        let residual = 2.0 * (h0 - gas.enthalpy_j_per_kg(t)) - gas.gamma(t) * r * t;
        // The slope without that of gamma, which is small: convergence is linear with a small factor.
        let step = residual / (2.0 * gas.cp_j_per_kg_k(t) + gas.gamma(t) * r);
        t += step;
        if step.abs() < accuracy * t {
            break;
        }
    }
    t
}

/// Where s(T) = s0 + change.
fn isentropic_temperature(gas: &Composition, t0: f64, s0: f64, change: f64, accuracy: f64) -> f64 {
    let mut t = t0 * (change / gas.cp_j_per_kg_k(t0)).exp();
    for _ in 0..MOST_ITERATIONS {
        let residual = s0 + change - gas.entropy_of_temperature_j_per_kg_k(t);
        let ratio = (residual / gas.cp_j_per_kg_k(t)).exp();
        t *= ratio;
        if (ratio - 1.0).abs() < accuracy {
            break;
        }
    }
    t
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::species::Species;

    fn argon(p_pa: f64, t_k: f64) -> Reservoir {
        Reservoir { p_pa, t_k, gas: Composition::from_moles(&[(Species::Ar, 1.0)]) }
    }

    /// Argon has a constant gamma: the general solution must be the closed form, both ways, choked or not.
    #[test]
    fn exact_constant_gamma_is_the_closed_form() {
        let r = argon(1.0, 300.0).gas.gas_constant_j_per_kg_k();
        for ratio in [0.01, 0.3, 0.48, 0.49, 0.7, 0.95, 0.999, 1.0] {
            let (high, low) = (argon(2e5, 700.0), argon(2e5 * ratio, 300.0));
            let expected = 1e-4 * ideal_mass_flux_kg_per_m2_s(5.0 / 3.0, r, 2e5, 700.0, 2e5 * ratio);
            let forth = orifice_flow(&high, &low, 1e-4, 1e-15).unwrap();
            let back = orifice_flow(&low, &high, 1e-4, 1e-15).unwrap();
            // Near a ratio of one the mass flow is a root of a difference of two enthalpies.
            let tolerance = if ratio > 0.9 { 1e-11 } else { 1e-12 };
            assert!(
                (forth.mass_kg_per_s - expected).abs() <= tolerance * expected,
                "{ratio}: {forth:?} against {expected}"
            );
            assert_eq!(forth.mass_kg_per_s, -back.mass_kg_per_s);
            assert_eq!(forth.choked, ratio < 0.487);
        }
    }

    /// Against an integration of dh = dp/rho down the pressure in a million steps, without the entropy
    /// function: variable properties, subcritical and choked.
    #[test]
    fn exact_variable_properties_match_an_integration() {
        let gas = Composition::from_moles(&[(Species::Co2, 8.0), (Species::H2o, 9.0), (Species::N2, 47.0)]);
        for (t0, ratio) in [(1800.0, 0.9), (1800.0, 0.6), (1800.0, 0.2), (350.0, 0.7), (350.0, 0.1)] {
            let up = Reservoir { p_pa: 3e5, t_k: t0, gas };
            let down = Reservoir { p_pa: 3e5 * ratio, t_k: 300.0, gas };
            let r = gas.gas_constant_j_per_kg_k();
            let n = 40_000;
            let step = ratio.ln() / f64::from(n);
            let (mut t, mut best) = (t0, 0.0_f64);
            let h0 = gas.enthalpy_j_per_kg(t0);
            for i in 0..n {
                // d ln T / d ln p = R / cp, by the midpoint rule.
                let half = t * (0.5 * step * r / gas.cp_j_per_kg_k(t)).exp();
                t *= (step * r / gas.cp_j_per_kg_k(half)).exp();
                let p = 3e5 * (step * f64::from(i + 1)).exp();
                let u = (2.0 * (h0 - gas.enthalpy_j_per_kg(t))).max(0.0).sqrt();
                best = best.max(p / (r * t) * u);
            }
            let found = orifice_flow(&up, &down, 1.0, 1e-10).unwrap().mass_kg_per_s;
            assert!((found / best - 1.0).abs() < 1e-6, "{t0} K, {ratio}: {found} against {best}");
        }
    }

    #[test]
    fn exact_poppet_areas() {
        let curtain = PoppetArea::Curtain { diameter_m: 0.04 };
        assert!((curtain.at_lift_m2(0.01) - PI * 0.04 * 0.01).abs() < 1e-18);
        assert_eq!(curtain.at_lift_m2(-1e-3), 0.0);
        let throat = PoppetArea::Throat { diameter_m: 0.034, stem_m: 0.007 };
        assert!(
            (throat.effective_m2(0.01, 0.5) - 0.125 * PI * (0.034_f64.powi(2) - 0.007_f64.powi(2))).abs()
                < 1e-18
        );
    }
}
