//! Flow problems that return their own exact solution, for any scheme to be tried on.
//!
//! All on 0 <= x <= 1 m with gamma 1.4 and in the usual dimensionless numbers read as SI. Leaves out friction, heat
//! and variable heat capacity.

use crate::riemann::{GasState, riemann_exact};
use std::f64::consts::PI;

/// A problem with its exact solution. The ends stay undisturbed until `time_s`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TestProblem {
    /// What it is called in tables.
    pub name: &'static str,
    /// Ratio of heat capacities.
    pub gamma: f64,
    /// When to compare, s.
    pub time_s: f64,
    kind: Kind,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Kind {
    /// Two states that meet at a point.
    Riemann { left: GasState, right: GasState, at_m: f64 },
    /// A density bump carried by a uniform flow.
    Bump { u_m_per_s: f64 },
    /// A velocity bump running to the right and steepening, without a shock before `time_s`.
    SimpleWave { u_max_m_per_s: f64 },
}

const GAMMA: f64 = 1.4;

/// The five Riemann problems: shock tube, strong shock, near vacuum, moving contact, colliding streams.
pub fn riemann_problems() -> [TestProblem; 5] {
    let problem = |name, l: [f64; 3], r: [f64; 3], at_m, time_s| TestProblem {
        name,
        gamma: GAMMA,
        time_s,
        kind: Kind::Riemann {
            left: GasState::new(l[0], l[1], l[2]),
            right: GasState::new(r[0], r[1], r[2]),
            at_m,
        },
    };
    [
        // G. A. Sod (1978), J. Comput. Phys. 27:1.
        problem("sod", [1.0, 0.0, 1.0], [0.125, 0.0, 0.1], 0.5, 0.2),
        // Toro (2009), table 4.1, tests 3 and 2; the last two are ours.
        problem("strong_shock", [1.0, 0.0, 1000.0], [1.0, 0.0, 0.01], 0.5, 0.012),
        problem("near_vacuum", [1.0, -2.0, 0.4], [1.0, 2.0, 0.4], 0.5, 0.15),
        problem("moving_contact", [1.4, 0.5, 1.0], [1.0, 0.5, 1.0], 0.3, 0.4),
        problem("colliding_streams", [1.0, 2.0, 0.4], [1.0, -2.0, 0.4], 0.5, 0.3),
    ]
}

/// A carried density bump and a nonlinear simple wave: smooth, for the order of a scheme.
pub fn smooth_problems() -> [TestProblem; 2] {
    [
        TestProblem { name: "bump", gamma: GAMMA, time_s: 0.25, kind: Kind::Bump { u_m_per_s: 0.8 } },
        TestProblem {
            name: "simple_wave",
            gamma: GAMMA,
            time_s: 0.2,
            kind: Kind::SimpleWave { u_max_m_per_s: 0.15 },
        },
    ]
}

/// sin^6 over 0.1 to 0.5, zero outside: five continuous derivatives.
fn bump(x: f64) -> f64 {
    if 0.1 < x && x < 0.5 { (PI * (x - 0.1) / 0.4).sin().powi(6) } else { 0.0 }
}

impl TestProblem {
    /// The state at the start.
    pub fn initial(&self, x_m: f64) -> GasState {
        self.exact(x_m, 0.0)
    }

    /// The exact state at a place and time (up to `time_s`).
    pub fn exact(&self, x_m: f64, t_s: f64) -> GasState {
        match self.kind {
            Kind::Riemann { left, right, at_m } if t_s == 0.0 => {
                if x_m < at_m {
                    left
                } else {
                    right
                }
            }
            Kind::Riemann { left, right, at_m } => {
                riemann_exact(&left, &right, self.gamma, (x_m - at_m) / t_s)
            }
            Kind::Bump { u_m_per_s } => {
                GasState::new(1.0 + 0.5 * bump(x_m - u_m_per_s * t_s), u_m_per_s, 1.0)
            }
            Kind::SimpleWave { u_max_m_per_s } => self.simple_wave(u_max_m_per_s, x_m, t_s),
        }
    }

    /// Rest state rho = p = 1; u is carried along x = x0 + (u + c) t with c = c0 + (gamma - 1)/2 u and constant
    /// entropy (L. D. Landau, E. M. Lifshitz (1987), "Fluid Mechanics", 2nd ed., section 101).
    fn simple_wave(&self, u_max: f64, x: f64, t: f64) -> GasState {
        let c0 = self.gamma.sqrt();
        let speed = |u: f64| u + c0 + 0.5 * (self.gamma - 1.0) * u;
        // u falls on the foot point of its characteristic: bisect the foot, which lies behind x.
        let (mut low, mut high) = (x - speed(u_max) * t, x - c0 * t);
        for _ in 0..80 {
            let foot = 0.5 * (low + high);
            if foot + speed(u_max * bump(foot)) * t < x {
                low = foot;
            } else {
                high = foot;
            }
        }
        let u = u_max * bump(0.5 * (low + high));
        let ratio = 1.0 + 0.5 * (self.gamma - 1.0) * u / c0;
        let power = 2.0 / (self.gamma - 1.0);
        GasState::new(ratio.powf(power), u, ratio.powf(self.gamma * power))
    }

    /// Mean of a quantity of the exact solution over a cell, by sixteen midpoints.
    pub fn cell_mean(&self, from_m: f64, to_m: f64, t_s: f64, of: impl Fn(&GasState) -> f64) -> f64 {
        let n = 16;
        let at = |i: i32| from_m + (to_m - from_m) * (f64::from(i) + 0.5) / f64::from(n);
        (0..n).map(|i| of(&self.exact(at(i), t_s))).sum::<f64>() / f64::from(n)
    }
}
