//! A pipe end that opens through an orifice to gas at rest: a volume, the outside, or what the caller holds.
//!
//! The wave in the pipe and the quasi-steady orifice are solved together for the pressure at the end of the
//! pipe, so the coupling is as accurate as the pipe itself. In lanes, a fixed number of steps, no `pow`.

use crate::lane::Lane;

/// One end to be solved: velocities are positive out of the pipe.
#[derive(Clone, Copy, Debug)]
pub struct OrificeProblem<L> {
    /// Density at the end of the pipe, kg/m3.
    pub rho: L,
    /// Velocity out of the pipe, m/s.
    pub v: L,
    /// Pressure, Pa.
    pub p: L,
    /// Ratio of heat capacities of the pipe gas.
    pub gamma: L,
    /// Pressure of the gas at rest outside, Pa.
    pub p_outside: L,
    /// Density of it, kg/m3.
    pub rho_outside: L,
    /// Ratio of heat capacities of it.
    pub gamma_outside: L,
    /// Effective orifice area over pipe area for flow out of the pipe, 0 to 1.
    pub opening_out: L,
    /// The same for flow into the pipe.
    pub opening_in: L,
}

/// What the end does: per pipe area, positive out of the pipe.
#[derive(Clone, Copy, Debug)]
pub struct OrificeSolution<L> {
    /// Mass flux, kg/(m2 s).
    pub mass: L,
    /// Pressure at the end of the pipe, Pa.
    pub p: L,
    /// Velocity out of the pipe there, m/s.
    pub v: L,
    /// Density there, kg/m3.
    pub rho: L,
}

/// Evaluations after the two at the ends of the bracket. Six leave the mass flux within 1e-5 of the pipe's
/// sonic flux (tested).
const N_STEPS: usize = 6;

/// Terms of the binomial series of 1 - (1 - x)^a.
const N_SERIES: usize = 12;

/// 1 - (1 - x)^a for 0 <= x <= 0.52 and 0 < a < 0.5, within 1e-5: the binomial series.
///
/// a x (1 + (1-a)/2 x (1 + (2-a)/3 x (1 + ..))), from the inside out.
#[inline(always)]
fn fall_of_power<L: Lane>(x: L, a: L) -> L {
    let one = L::splat(1.0);
    let mut sum = one;
    let mut k = N_SERIES;
    while k > 1 {
        let factor = (L::splat((k - 1) as f64) - a) * L::splat(1.0 / k as f64);
        sum = (factor * x).fma(sum, one);
        k -= 1;
    }
    a * x * sum
}

/// (1 - y)^n for 0 <= y <= 0.26 and 1 < n < 11: the binomial series, within 1e-5 where n y stays under 1.3.
#[inline(always)]
fn power_below_one<L: Lane>(y: L, n: L) -> L {
    let one = L::splat(1.0);
    let mut sum = one;
    let mut k = N_SERIES;
    while k > 0 {
        let factor = (n - L::splat((k - 1) as f64)) * L::splat(-1.0 / k as f64);
        sum = (factor * y).fma(sum, one);
        k -= 1;
    }
    sum
}

/// What depends on gamma alone.
#[derive(Clone, Copy)]
struct Powers<L> {
    /// (gamma - 1) / gamma.
    a: L,
    /// gamma / (gamma - 1).
    inverse_a: L,
    /// 1 / (gamma - 1).
    n: L,
    /// 2 / (gamma + 1).
    sonic: L,
}

impl<L: Lane> Powers<L> {
    #[inline(always)]
    fn of(gamma: L) -> Self {
        let one = L::splat(1.0);
        let n = one / (gamma - one);
        let a = (gamma - one) / gamma;
        Self { a, inverse_a: gamma * n, n, sonic: L::splat(2.0) / (gamma + one) }
    }
}

/// The throat of an isentropic nozzle fed by gas at `p`, `rho` with velocity `v`, into `p_down`.
///
/// Returns the mass flux per throat area. T_throat/T falls to (p_down/p)^((gamma-1)/gamma), but not below
/// T0/T x 2/(gamma+1), where the throat is sonic.
#[inline(always)]
fn nozzle_flux<L: Lane>(p: L, rho: L, v: L, powers: &Powers<L>, p_down: L) -> L {
    let (zero, one, two) = (L::splat(0.0), L::splat(1.0), L::splat(2.0));
    let inverse_p = one / p;
    let inverse_h = rho * powers.a * inverse_p;
    let kinetic = (v * v) * L::splat(0.5);
    // Beyond x = 0.52 every gas of gamma above 1.1 is choked, so the clamp changes nothing.
    let x = ((p - p_down) * inverse_p).max(zero).min(L::splat(0.52));
    let y_sonic = one - (one + kinetic * inverse_h) * powers.sonic;
    let y = fall_of_power(x, powers.a).min(y_sonic.max(zero));
    // rho x speed in one root: speed^2 = 2 (v^2/2 + h y), h = p gamma / ((gamma - 1) rho).
    let momentum = (two * rho * (kinetic.fma(rho, p * powers.inverse_a * y))).sqrt();
    power_below_one(y, powers.n) * momentum
}

/// Pressure and mass flux at the end of the pipe.
///
/// In the pipe: v_b = v - (p_b - p) / (rho c sqrt(1 + (gamma+1)/(2 gamma) (p_b/p - 1))), and the Hugoniot
/// density, exact for a shock and right to third order for a rarefaction (Toro (2009), section 9.4.1, the
/// two-shock approximation). Out of the pipe: continuity rho_b v_b = opening x nozzle flux from the end of the
/// pipe to the outside pressure. Into the pipe: a nozzle from the outside to the pressure at the end, then
/// mixing at that pressure with the enthalpy kept: p_b v / (R T_b) = flux, h_b + v^2/2 = h_outside
/// (R. S. Benson (1982), "The Thermodynamics and Gas Dynamics of Internal-Combustion Engines", vol. 1,
/// chapter 6, the constant-pressure model). Fully open this is the isentropic open end both ways.
/// The root is bracketed by the pressures of a closed end and of no resistance; the Illinois method shrinks
/// the bracket. When the pipe flows out faster than sound through a full opening nothing outside is felt.
#[inline(always)]
pub fn solve_orifice<L: Lane>(q: &OrificeProblem<L>) -> OrificeSolution<L> {
    let (zero, one, half) = (L::splat(0.0), L::splat(1.0), L::splat(0.5));
    let c = (q.gamma * q.p / q.rho).sqrt();
    let stiffness = one / (q.rho * c);
    let kappa = (q.gamma + one) / (q.gamma + q.gamma);
    let inverse_p = one / q.p;
    let p_closed = closed_pressure(q.rho, q.v, q.p, q.gamma);

    let inside = Powers::of(q.gamma);
    let beyond = Powers::of(q.gamma_outside);
    let b_factor = beyond.inverse_a;
    let h_outside = b_factor * q.p_outside / q.rho_outside;
    let end =
        End { q, stiffness, kappa, inverse_p, outward: zero.lt(zero), powers: inside, b_factor, h_outside };
    let outward = zero.lt(end.wave(q.p_outside).0);
    let powers = Powers {
        a: L::sel(outward, inside.a, beyond.a),
        inverse_a: L::sel(outward, inside.inverse_a, beyond.inverse_a),
        n: L::sel(outward, inside.n, beyond.n),
        sonic: L::sel(outward, inside.sonic, beyond.sonic),
    };
    let end = End { outward, powers, ..end };
    // Bracket in s with p_b = p_outside + (p_closed - p_outside) s^2, in which the orifice's square root is
    // straight: `open` at s = 0 (residual >= 0), `shut` at s = 1 (<= 0).
    let reach = p_closed - q.p_outside;
    let (mut open, mut shut) = (zero, one);
    let mut f_open = end.residual(q.p_outside).max(zero);
    let mut f_shut = end.residual(p_closed).min(zero);
    let mut p_b = p_closed;
    let mut last_side = zero;
    for _ in 0..N_STEPS {
        let span = f_open - f_shut;
        let steep = zero.lt(span);
        let s = (shut - open).fma(L::sel(steep, f_open / L::sel(steep, span, one), half), open);
        p_b = (s * s).fma(reach, q.p_outside);
        let f = end.residual(p_b);
        let to_open = zero.lt(f);
        // Illinois: halve the residual of an end that stays twice.
        let side = L::sel(to_open, one, -one);
        let keep = L::sel(zero.lt(side * last_side), half, one);
        last_side = side;
        f_shut = L::sel(to_open, f_shut * keep, f);
        f_open = L::sel(to_open, f, f_open * keep);
        open = L::sel(to_open, s, open);
        shut = L::sel(to_open, shut, s);
    }
    let (v, rho) = end.wave(p_b);
    // Into the pipe the mixed gas, not the pipe's, sets the density.
    let supersonic = L::and(c.lt(q.v), L::splat(0.999).lt(q.opening_out));
    let p_b = L::sel(supersonic, q.p, p_b);
    let v = L::sel(supersonic, q.v, v);
    let rho = L::sel(supersonic, q.rho, rho);
    // The pipe may flow away faster than any gas can follow: then the orifice sets the velocity.
    let inflow = (-v).max(zero);
    let follows = end.inflow_velocity(p_b, end.flux(p_b));
    let too_fast = follows.fma(L::splat(1.1), L::splat(0.02) * c).lt(inflow);
    let inflow = L::sel(too_fast, follows, inflow);
    // m = p_b v b_factor / (h - v^2/2) from the energy balance of the mixed gas.
    let rho_mixed = b_factor * p_b / (h_outside - half * inflow * inflow).max(L::splat(0.05) * h_outside);
    let rho = L::sel(outward, rho, rho_mixed);
    let v = L::sel(outward, v.max(zero), -inflow);
    // A narrow orifice is best read at the orifice, a wide one at the pipe.
    let at_pipe = rho * v;
    let at_orifice = L::sel(outward, end.flux(p_b), -end.flux(p_b));
    let opening = L::sel(outward, q.opening_out, q.opening_in);
    let weight = L::sel(supersonic, one, opening * opening);
    let mass = weight.fma(at_pipe - at_orifice, at_orifice);
    OrificeSolution { mass, p: p_b, v, rho }
}

/// Pressure at a closed end: the two-shock answer to the gas being stopped, pi / sqrt(1 + kappa pi) = gamma v/c
/// with pi = p_b/p - 1, solved in closed form.
#[inline(always)]
pub(super) fn closed_pressure<L: Lane>(rho: L, v: L, p: L, gamma: L) -> L {
    let (one, half) = (L::splat(1.0), L::splat(0.5));
    let kappa = (gamma + one) / (gamma + gamma);
    let c = (gamma * p / rho).sqrt();
    let g = gamma * v / c;
    let g2k = g * g * kappa;
    let root = (g2k * g2k + L::splat(4.0) * g * g).sqrt();
    let rise = half * (g2k + L::sel(g.lt(L::splat(0.0)), -root, root));
    p * (one + rise).max(L::splat(1e-3))
}

struct End<'a, L: Lane> {
    q: &'a OrificeProblem<L>,
    stiffness: L,
    kappa: L,
    inverse_p: L,
    /// Where gas leaves the pipe.
    outward: L::Mask,
    /// Of the gas that flows.
    powers: Powers<L>,
    /// gamma / (gamma - 1) of the gas outside.
    b_factor: L,
    /// b_factor p / rho of the gas outside, J/kg.
    h_outside: L,
}

impl<L: Lane> End<'_, L> {
    /// Velocity and density of the pipe gas behind the wave that brings its end to `p_b`.
    #[inline(always)]
    fn wave(&self, p_b: L) -> (L, L) {
        let (q, one) = (self.q, L::splat(1.0));
        let pi = p_b * self.inverse_p - one;
        let v = q.v - (p_b - q.p) * self.stiffness / self.kappa.fma(pi, one).max(L::splat(1e-6)).sqrt();
        let (up, down) = (q.gamma + one, q.gamma - one);
        (v, q.rho * (up.fma(p_b, down * q.p) / down.fma(p_b, up * q.p)))
    }

    /// Mass flux the orifice passes, per pipe area, without sign.
    #[inline(always)]
    fn flux(&self, p_b: L) -> L {
        let (q, outward) = (self.q, self.outward);
        let (v, rho) = self.wave(p_b);
        nozzle_flux(
            L::sel(outward, p_b, q.p_outside),
            L::sel(outward, rho, q.rho_outside),
            L::sel(outward, v.max(L::splat(0.0)), L::splat(0.0)),
            &self.powers,
            L::sel(outward, q.p_outside, p_b),
        ) * L::sel(outward, q.opening_out, q.opening_in)
    }

    /// Velocity of the gas let in, mixed at the pressure of the end with its enthalpy kept.
    ///
    /// u = 2 h m / (b + sqrt(b^2 + 2 h m^2)) with b = gamma/(gamma-1) p_b.
    #[inline(always)]
    fn inflow_velocity(&self, p_b: L, flux: L) -> L {
        let b = self.b_factor * p_b;
        let twice_h = self.h_outside + self.h_outside;
        twice_h * flux / (b + b.fma(b, twice_h * flux * flux).sqrt())
    }

    /// Positive while the pressure at the end is still on the outside's side of the root.
    #[inline(always)]
    fn residual(&self, p_b: L) -> L {
        let outward = self.outward;
        let (v, rho) = self.wave(p_b);
        let flux = self.flux(p_b);
        let u_in = self.inflow_velocity(p_b, flux);
        L::sel(outward, v - flux / rho, -v - u_in)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orifice::ideal_mass_flux_kg_per_m2_s;

    fn at_rest(p: f64, p_outside: f64, opening: f64) -> OrificeProblem<f64> {
        OrificeProblem {
            rho: p / (287.0 * 300.0),
            v: 0.0,
            p,
            gamma: 1.4,
            p_outside,
            rho_outside: p_outside / (287.0 * 300.0),
            gamma_outside: 1.4,
            opening_out: opening,
            opening_in: opening,
        }
    }

    /// A pinhole: the pipe stays as it is and the flow is that of the orifice between two gases at rest.
    #[test]
    fn exact_pinhole_is_an_orifice() {
        for ratio in [0.1, 0.5, 0.53, 0.7, 0.9, 0.99] {
            let hole = 1e-6;
            let expected = hole * ideal_mass_flux_kg_per_m2_s(1.4, 287.0, 2e5, 300.0, 2e5 * ratio);
            let out = solve_orifice(&at_rest(2e5, 2e5 * ratio, hole)).mass;
            let into = solve_orifice(&at_rest(2e5 * ratio, 2e5, hole)).mass;
            assert!((out / expected - 1.0).abs() < 1e-4, "{ratio}: out {out:e}, {expected:e}");
            assert!((into / expected + 1.0).abs() < 1e-4, "{ratio}: in {into:e}, {expected:e}");
        }
    }

    /// Equal pressures, no motion: exactly nothing, at any opening. And a shut end gives its own pressure.
    #[test]
    fn exact_rest_stays_at_rest() {
        for opening in [0.0, 0.3, 1.0] {
            let found = solve_orifice(&at_rest(1e5, 1e5, opening));
            assert_eq!((found.mass, found.p), (0.0, 1e5));
        }
        let shut = solve_orifice(&at_rest(3e5, 1e5, 0.0));
        assert!(shut.mass.abs() < 1e-9 && (shut.p / 3e5 - 1.0).abs() < 1e-9, "{shut:?}");
    }

    /// The answer of six steps against that of a plain bisection on the same equations' mass balance.
    #[test]
    fn converges_to_continuity_and_energy() {
        let mut worst: f64 = 0.0;
        for p in [0.3e5, 0.8e5, 1e5, 1.3e5, 4e5, 20e5] {
            for v in [-200.0, -50.0, 0.0, 60.0, 250.0] {
                for opening in [0.02, 0.2, 0.6, 1.0] {
                    let mut q = at_rest(p, 1e5, opening);
                    q.v = v;
                    let found = solve_orifice(&q);
                    assert!(found.p > 0.0 && found.mass.is_finite());
                    let expected = if found.mass > 0.0 {
                        opening * nozzle_flux(found.p, found.rho, found.v, &Powers::of(1.4), 1e5)
                    } else {
                        -opening * nozzle_flux(1e5, q.rho_outside, 0.0, &Powers::of(1.4), found.p)
                    };
                    let c = (1.4_f64 * p / q.rho).sqrt();
                    worst = worst.max((found.mass - expected).abs() / (q.rho.max(q.rho_outside) * c));
                }
            }
        }
        assert!(worst < 1e-4, "mass flux off by {worst:e} of the sonic flux");
    }
}
