//! The exact solution of the Riemann problem for a perfect gas, vacuum included.
//!
//! What every scheme is held against. Leaves out variable heat capacity.

/// A uniform gas state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GasState {
    /// Density, kg/m3.
    pub rho_kg_per_m3: f64,
    /// Velocity, m/s.
    pub u_m_per_s: f64,
    /// Pressure, Pa.
    pub p_pa: f64,
}

impl GasState {
    /// From density, velocity and pressure.
    pub fn new(rho_kg_per_m3: f64, u_m_per_s: f64, p_pa: f64) -> Self {
        Self { rho_kg_per_m3, u_m_per_s, p_pa }
    }

    /// Speed of sound, m/s.
    pub fn c_m_per_s(&self, gamma: f64) -> f64 {
        (gamma * self.p_pa / self.rho_kg_per_m3).sqrt()
    }
}

const MOST_ITERATIONS: usize = 100;
/// Newton stops at this relative change of the star pressure.
const TOLERANCE: f64 = 1e-15;

/// State at x/t = `speed_m_per_s` of the Riemann problem between two states.
///
/// Rarefaction or shock on each side of a contact, or two rarefactions around a vacuum when
/// u_r - u_l >= 2 (c_l + c_r)/(gamma - 1); the vacuum is returned as zero density and pressure.
/// Source: E. F. Toro (2009), "Riemann Solvers and Numerical Methods for Fluid Dynamics", 3rd ed., chapter 4:
/// eqs. 4.5 to 4.8 and 4.37 (star pressure), 4.53 to 4.63 (fans), 4.74 to 4.82 (vacuum).
pub fn riemann_exact(left: &GasState, right: &GasState, gamma: f64, speed_m_per_s: f64) -> GasState {
    let (c_left, c_right) = (left.c_m_per_s(gamma), right.c_m_per_s(gamma));
    let opening = 2.0 * (c_left + c_right) / (gamma - 1.0);
    if right.u_m_per_s - left.u_m_per_s >= opening {
        return beside_vacuum(left, right, gamma, speed_m_per_s);
    }
    let (p_star, u_star) = star(left, right, gamma);
    if speed_m_per_s <= u_star {
        return one_side(left, gamma, p_star, u_star, speed_m_per_s);
    }
    let mirrored = one_side(&mirror(right), gamma, p_star, -u_star, -speed_m_per_s);
    mirror(&mirrored)
}

/// Pressure and velocity between the two outer waves.
pub fn star(left: &GasState, right: &GasState, gamma: f64) -> (f64, f64) {
    let (c_left, c_right) = (left.c_m_per_s(gamma), right.c_m_per_s(gamma));
    let rise = right.u_m_per_s - left.u_m_per_s;
    // Two-rarefaction guess (Toro eq. 4.46): exact for two rarefactions, and always positive.
    let z = (gamma - 1.0) / (2.0 * gamma);
    let top = (c_left + c_right - 0.5 * (gamma - 1.0) * rise).max(1e-300);
    let mut p = (top / (c_left / left.p_pa.powf(z) + c_right / right.p_pa.powf(z))).powf(1.0 / z);
    for _ in 0..MOST_ITERATIONS {
        let (f_left, slope_left) = velocity_change(left, c_left, gamma, p);
        let (f_right, slope_right) = velocity_change(right, c_right, gamma, p);
        let next = p - (f_left + f_right + rise) / (slope_left + slope_right);
        let next = next.max(0.1 * p);
        let moved = (next - p).abs() / p;
        p = next;
        if moved < TOLERANCE {
            break;
        }
    }
    let (f_left, _) = velocity_change(left, c_left, gamma, p);
    let (f_right, _) = velocity_change(right, c_right, gamma, p);
    (p, 0.5 * (left.u_m_per_s + right.u_m_per_s + f_right - f_left))
}

/// Change of velocity across the outer wave to a star pressure, and its slope.
fn velocity_change(state: &GasState, c: f64, gamma: f64, p: f64) -> (f64, f64) {
    if p > state.p_pa {
        let a = 2.0 / ((gamma + 1.0) * state.rho_kg_per_m3);
        let b = (gamma - 1.0) / (gamma + 1.0) * state.p_pa;
        let root = (a / (p + b)).sqrt();
        return ((p - state.p_pa) * root, root * (1.0 - 0.5 * (p - state.p_pa) / (b + p)));
    }
    let ratio = p / state.p_pa;
    let z = (gamma - 1.0) / (2.0 * gamma);
    let value = 2.0 * c / (gamma - 1.0) * (ratio.powf(z) - 1.0);
    (value, ratio.powf(-(gamma + 1.0) / (2.0 * gamma)) / (state.rho_kg_per_m3 * c))
}

/// Left of the contact: undisturbed, inside the fan, or the star state.
fn one_side(state: &GasState, gamma: f64, p_star: f64, u_star: f64, speed: f64) -> GasState {
    let c = state.c_m_per_s(gamma);
    let ratio = p_star / state.p_pa;
    if p_star > state.p_pa {
        let shock = state.u_m_per_s
            - c * ((gamma + 1.0) / (2.0 * gamma) * ratio + (gamma - 1.0) / (2.0 * gamma)).sqrt();
        if speed <= shock {
            return *state;
        }
        let m = (gamma - 1.0) / (gamma + 1.0);
        return GasState::new(state.rho_kg_per_m3 * (ratio + m) / (m * ratio + 1.0), u_star, p_star);
    }
    if speed <= state.u_m_per_s - c {
        return *state;
    }
    let c_star = c * ratio.powf((gamma - 1.0) / (2.0 * gamma));
    if speed >= u_star - c_star {
        return GasState::new(state.rho_kg_per_m3 * ratio.powf(1.0 / gamma), u_star, p_star);
    }
    in_fan(state, gamma, c, speed)
}

/// Inside a left rarefaction fan.
fn in_fan(state: &GasState, gamma: f64, c: f64, speed: f64) -> GasState {
    let inner = 2.0 / (gamma + 1.0) + (gamma - 1.0) / ((gamma + 1.0) * c) * (state.u_m_per_s - speed);
    let u = 2.0 / (gamma + 1.0) * (c + 0.5 * (gamma - 1.0) * state.u_m_per_s + speed);
    let power = 2.0 / (gamma - 1.0);
    GasState::new(state.rho_kg_per_m3 * inner.powf(power), u, state.p_pa * inner.powf(gamma * power))
}

fn beside_vacuum(left: &GasState, right: &GasState, gamma: f64, speed: f64) -> GasState {
    let (c_left, c_right) = (left.c_m_per_s(gamma), right.c_m_per_s(gamma));
    if speed <= left.u_m_per_s - c_left {
        return *left;
    }
    if speed >= right.u_m_per_s + c_right {
        return *right;
    }
    if speed < left.u_m_per_s + 2.0 * c_left / (gamma - 1.0) {
        return in_fan(left, gamma, c_left, speed);
    }
    if speed > right.u_m_per_s - 2.0 * c_right / (gamma - 1.0) {
        return mirror(&in_fan(&mirror(right), gamma, c_right, -speed));
    }
    GasState::new(0.0, speed, 0.0)
}

fn mirror(state: &GasState) -> GasState {
    GasState { u_m_per_s: -state.u_m_per_s, ..*state }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Star values of the five tests of Toro (2009), table 4.2, given there to five or six digits.
    #[test]
    fn val_toro_2009_star_values() {
        let check = |l: [f64; 3], r: [f64; 3], p: f64, u: f64| {
            let (l, r) = (GasState::new(l[0], l[1], l[2]), GasState::new(r[0], r[1], r[2]));
            let (p_star, u_star) = star(&l, &r, 1.4);
            assert!((p_star / p - 1.0).abs() < 3e-3, "p* {p_star}, table {p}");
            assert!((u_star - u).abs() < 1e-4 * u.abs().max(1.0), "u* {u_star}, table {u}");
        };
        check([1.0, 0.0, 1.0], [0.125, 0.0, 0.1], 0.30313, 0.92745);
        check([1.0, -2.0, 0.4], [1.0, 2.0, 0.4], 0.00189, 0.0);
        check([1.0, 0.0, 1000.0], [1.0, 0.0, 0.01], 460.894, 19.5975);
        check([1.0, 0.0, 0.01], [1.0, 0.0, 100.0], 46.095, -6.19633);
        check([5.99924, 19.5975, 460.894], [5.99242, -6.19633, 46.095], 1691.64, 8.68975);
    }

    /// Mass and momentum of the exact fan integrate to what flowed in.
    #[test]
    fn exact_solution_conserves() {
        let (l, r) = (GasState::new(1.0, 0.3, 2.0), GasState::new(0.4, -0.2, 0.5));
        let n = 400_000;
        let (reach, mut mass) = (4.0, 0.0);
        for i in 0..n {
            let s = -reach + 2.0 * reach * (f64::from(i) + 0.5) / f64::from(n);
            mass += riemann_exact(&l, &r, 1.4, s).rho_kg_per_m3 * 2.0 * reach / f64::from(n);
        }
        let expected = (l.rho_kg_per_m3 + r.rho_kg_per_m3) * reach + l.rho_kg_per_m3 * l.u_m_per_s
            - r.rho_kg_per_m3 * r.u_m_per_s;
        assert!((mass / expected - 1.0).abs() < 1e-5, "{mass} against {expected}");
    }

    #[test]
    fn exact_vacuum_opens() {
        let (l, r) = (GasState::new(1.0, -6.0, 0.4), GasState::new(1.0, 6.0, 0.4));
        assert_eq!(riemann_exact(&l, &r, 1.4, 0.0).rho_kg_per_m3, 0.0);
        assert_eq!(riemann_exact(&l, &r, 1.4, -10.0), l);
    }
}
