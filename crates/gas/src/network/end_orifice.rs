//! A pipe end that opens through an orifice to gas at rest: a volume, the outside, or what the caller holds.
//!
//! The wave in the pipe and the quasi-steady orifice are solved together for the pressure at the end of the
//! pipe, so the coupling is as accurate as the pipe itself. In lanes, a fixed number of steps, no `pow`.

use super::orifice_fits::{Cubic, choked_fall, choked_mach, sonic_fall, sonic_flux};
use crate::lane::{Lane, Two};

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

impl<L: Lane> OrificeProblem<L> {
    /// This and another, to be solved at the same time.
    #[inline(always)]
    pub(super) fn beside(&self, other: &Self) -> OrificeProblem<Two<L>> {
        OrificeProblem {
            rho: Two(self.rho, other.rho),
            v: Two(self.v, other.v),
            p: Two(self.p, other.p),
            gamma: Two(self.gamma, other.gamma),
            p_outside: Two(self.p_outside, other.p_outside),
            rho_outside: Two(self.rho_outside, other.rho_outside),
            gamma_outside: Two(self.gamma_outside, other.gamma_outside),
            opening_out: Two(self.opening_out, other.opening_out),
            opening_in: Two(self.opening_in, other.opening_in),
        }
    }
}

impl<L: Lane> OrificeSolution<Two<L>> {
    /// The solutions of both.
    #[inline(always)]
    pub(super) fn apart(self) -> [OrificeSolution<L>; 2] {
        let Self { mass, p, v, rho } = self;
        [
            OrificeSolution { mass: mass.0, p: p.0, v: v.0, rho: rho.0 },
            OrificeSolution { mass: mass.1, p: p.1, v: v.1, rho: rho.1 },
        ]
    }
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

/// Newton steps after the guess; the test below says what they leave.
const N_STEPS: usize = 3;

/// The wave variable w stays above this: the pipe end is then below a tenth of the pipe's pressure.
const LEAST_W: f64 = 0.15;

/// Least part of its pressure an end keeps when its gas runs away, and of its enthalpy gas keeps that runs in.
const LEAST_PRESSURE_PART: f64 = 1e-3;
const LEAST_ENTHALPY_PART: f64 = 0.05;

/// Openings below this count as shut. What they pass is lost in rounding: velocities of a ten-millionth of sound are
/// differences of numbers near one, and the slope Newton's step divides by is then as good as any number.
const LEAST_OPENING: f64 = 1e-7;

/// What is added to denominators that vanish only where their numerators do.
const NOTHING: f64 = 1e-30;

/// The wave into the pipe, with w = sqrt(1 + kappa (p_b/p - 1)), kappa = (gamma+1)/(2 gamma), for unknown.
///
/// In w the two-shock relation has no root: v_b = v - a (w - 1/w) with a = 2c/(gamma+1), and p_b = p + (w^2 - 1) p/kappa.
/// Toro (2009), eqs. 4.20 and 4.21, for a shock; right to third order for a rarefaction (section 9.4.1).
#[derive(Clone, Copy)]
struct Wave<L> {
    c: L,
    a: L,
    p_over_kappa: L,
    half_inverse_a: L,
    /// w and pressure that stop the gas.
    w_closed: L,
    p_closed: L,
}

impl<L: Lane> Wave<L> {
    #[inline(always)]
    fn of(rho: L, v: L, p: L, gamma: L) -> Self {
        let (one, two) = (L::splat(1.0), L::splat(2.0));
        let up = gamma + one;
        // One division for 1/rho and 1/(gamma + 1).
        let shared = one / (rho * up);
        let c = (gamma * p * (shared * up)).sqrt();
        let inverse_up = shared * rho;
        let a = two * c * inverse_up;
        let p_over_kappa = two * gamma * p * inverse_up;
        let half_inverse_a = L::splat(0.5) / a;
        let b = v * half_inverse_a;
        let w_closed = (b.fma(b, one).sqrt() + b).max(L::splat(LEAST_W));
        let p_closed =
            p_over_kappa.fma(w_closed.fma(w_closed, -one), p).max(L::splat(LEAST_PRESSURE_PART) * p);
        Self { c, a, p_over_kappa, half_inverse_a, w_closed, p_closed }
    }
}

/// Pressure at a closed end: the two-shock answer to the gas being stopped, w - 1/w = v/a, in closed form.
#[inline(always)]
pub(super) fn closed_pressure<L: Lane>(rho: L, v: L, p: L, gamma: L) -> L {
    Wave::of(rho, v, p, gamma).p_closed
}

/// Density behind the wave, by Hugoniot: Toro (2009), eq. 3.57.
#[inline(always)]
fn density_behind<L: Lane>(q: &OrificeProblem<L>, p_b: L) -> L {
    let (up, down) = (q.gamma + L::splat(1.0), q.gamma - L::splat(1.0));
    q.rho * (up.fma(p_b, down * q.p) / down.fma(p_b, up * q.p))
}

/// Pressure and mass flux at the end of the pipe.
///
/// In the pipe: the two-shock wave to p_b. Out of the pipe: continuity and an isentropic nozzle from the end of the
/// pipe to the outside pressure, (rho_b v_b)^2 (1 - phi^2 (rho_t/rho_b)^2) = 2 phi^2 rho_b p_b g(p_out/p_b), with
/// g(r) = gamma/(gamma-1) (r^(2/gamma) - r^((gamma+1)/gamma)), r not below its choked value. Into the pipe: a nozzle
/// from the outside to the pressure at the end, m^2 = 2 phi^2 rho_0 p_0 g, then mixing at that pressure with the
/// enthalpy kept: m (h_0 - v_b^2/2) = gamma/(gamma-1) p_b v_b
/// (R. S. Benson (1982), "The Thermodynamics and Gas Dynamics of Internal-Combustion Engines", vol. 1,
/// chapter 6, the constant-pressure model). Fully open this is the isentropic open end both ways. When the pipe flows
/// out faster than sound through a full opening nothing outside is felt; where gas would come in faster than sound the pipe
/// is not felt, and the choked flow comes in at the speed of sound with the pressure that takes (ours: the wave equation has
/// no say there, since no wave reaches the end).
///
/// The squares of these are smooth in w, so a fixed number of Newton steps from a closed-form guess (an elliptic
/// flux function on a straight wave, or the choked flow) will do. Mass flux, over the greater sonic flux of the two
/// gases: within 3e-5 while the pressures differ by up to a factor of five, 1e-4 to thirty (tested). An opening
/// of zero, or less than a ten-millionth, passes exactly nothing.
#[inline(always)]
pub fn solve_orifice<L: Lane>(q: &OrificeProblem<L>) -> OrificeSolution<L> {
    let (zero, one, half) = (L::splat(0.0), L::splat(1.0), L::splat(0.5));
    let wave = Wave::of(q.rho, q.v, q.p, q.gamma);
    let p_closed = wave.p_closed;
    let outward = q.p_outside.lt(p_closed);
    let phi = L::sel(outward, q.opening_out, q.opening_in);
    let open = L::splat(LEAST_OPENING).lt(phi);
    let phi2 = phi * phi;
    let beside = (one - phi2).max(zero);
    let t = beside.sqrt();

    // One division for 1/gamma, 1/gamma_outside and 1/p; one for 1/p_outside, 1/rho_outside, 1/(gamma_outside - 1).
    let shared = one / (q.gamma * q.gamma_outside * q.p);
    let a_in = shared * (q.gamma_outside * q.p);
    let a_out = shared * (q.gamma * q.p);
    let inverse_p = shared * (q.gamma * q.gamma_outside);
    let down_outside = q.gamma_outside - one;
    let shared = one / (q.p_outside * q.rho_outside * down_outside);
    let inverse_p_outside = shared * (q.rho_outside * down_outside);
    let r_t = q.p_outside * q.p_outside * down_outside * shared;
    let b_factor = q.gamma_outside * (q.p_outside * q.rho_outside * shared);
    let h_outside = b_factor * r_t;

    let gas = L::sel(outward, a_in, a_out);
    let flux_shape = Cubic::flux_shape(gas);
    let density_shape = Cubic::density_shape(gas);
    let x_most = L::sel(outward, choked_fall(t, a_in), sonic_fall(a_out));

    // The guess: impedance and density at the closed end, straight from there to the outside pressure.
    let reach = (p_closed - q.p_outside).abs();
    let root_r_t = r_t.sqrt();
    let stiff = q.rho * wave.c * (wave.w_closed * wave.w_closed);
    let sonic = phi * sonic_flux(a_out) * root_r_t;
    let drive = sonic * q.p_outside;
    let steeper = L::splat(0.53) * q.rho * root_r_t * (p_closed * inverse_p)
        + half * sonic * q.rho_outside * (one - a_out)
        + stiff;
    let mach = phi * choked_mach(t, a_in);
    let down = q.gamma - one;
    let into = p_closed + (p_closed * p_closed + L::splat(4.0) * steeper * drive).sqrt();
    let v_choked = L::sel(outward, mach * down.fma(q.v, wave.c + wave.c), -(drive + drive))
        / L::sel(outward, down.fma(mach, L::splat(2.0)), into);
    let stiff = L::sel(outward, stiff * L::splat(0.85), stiff);
    let mean = L::splat(0.75).fma(q.p_outside - p_closed, p_closed);
    let weight = L::sel(outward, density_behind(q, p_closed) * beside.max(L::splat(1e-12)), mean * mean);
    let source = L::sel(outward, one, q.rho_outside * r_t * r_t);
    let nothing = L::splat(NOTHING);
    let ease = (phi2 + phi2) * (source * (stiff * stiff)) / reach.fma(weight, nothing);
    // ease s (1 - tau s) = (1 - s)^2 with p_b = p_outside + (p_closed - p_outside) s.
    let tau = half * reach / (x_most.max(L::splat(1e-3)) * p_closed.max(q.p_outside));
    let under_root = (ease * (ease + L::splat(4.0) * (one - tau))).max(zero);
    let s = (L::splat(2.0) / (L::splat(2.0) + ease + under_root.sqrt())).min(one);
    let v_free = (one - s) * (reach / stiff);
    let v_free = L::sel(outward, v_free, -v_free);
    let v_guess = L::sel(one.lt((s + s) * tau), v_choked, v_free);
    let b = (q.v - v_guess) * wave.half_inverse_a;
    let w_outside = ((q.p_outside - q.p) / wave.p_over_kappa + one).max(L::splat(LEAST_W * LEAST_W)).sqrt();
    let (w_low, w_high) = (wave.w_closed.min(w_outside), wave.w_closed.max(w_outside));
    let mut w = (b.fma(b, one).sqrt() + b).max(w_low).min(w_high);

    let least_p = L::splat(LEAST_PRESSURE_PART) * q.p;
    let drive = (phi2 + phi2) * (q.rho_outside * q.p_outside);
    for _ in 0..N_STEPS {
        let inverse_w = one / w;
        let (v, p_b) = wave.at(q, w, inverse_w);
        let p_b = p_b.max(least_p);
        let v_slope = -(wave.a * inverse_w.fma(inverse_w, one));
        let p_slope = (wave.p_over_kappa + wave.p_over_kappa) * w;
        let (up, down) = (q.gamma + one, q.gamma - one);
        let behind = down.fma(p_b, up * q.p);
        let shared = one / (p_b * behind);
        let inverse_p_b = shared * behind;
        let rho = q.rho * (up.fma(p_b, down * q.p) * (shared * p_b));
        let x = L::sel(outward, (p_b - q.p_outside) * inverse_p_b, (q.p_outside - p_b) * inverse_p_outside);
        let scale = L::sel(outward, q.p_outside * inverse_p_b * inverse_p_b, -inverse_p_outside);
        let x_slope = L::sel(x.lt(x_most), p_slope * scale, zero);
        let x = x.max(zero).min(x_most);
        let (flux, flux_slope) = flux_shape.times_x(x);
        let flux_slope = flux_slope * x_slope;
        let (thinner, thinner_slope) = density_shape.times_x(x);
        // Out of the pipe.
        let share = phi2.fma(thinner, beside);
        let share_slope = phi2 * thinner_slope * x_slope;
        let twice = phi2 + phi2;
        let rho_v = rho * v;
        let f_out = (twice * p_b).fma(flux, -(rho_v * v * share));
        // Along the Hugoniot the density rises nearly as p^(1/gamma).
        let relative = p_slope * inverse_p_b * a_in;
        let lost = (v_slope + v_slope).fma(share, v * relative.fma(share, share_slope));
        let slope_out = twice.fma(p_slope.fma(flux, p_b * flux_slope), -(rho_v * lost));
        // Into the pipe.
        let h = (-half * v).fma(v, h_outside);
        let b_p = b_factor * p_b;
        let b_p_v = b_p * v;
        let f_in = b_p_v.fma(b_p_v, -(drive * flux * (h * h)));
        let h_slope = -(v * v_slope);
        let gained = b_factor * p_slope.fma(v, p_b * v_slope);
        let spent = drive * h * flux_slope.fma(h, (flux + flux) * h_slope);
        let slope_in = (b_p_v + b_p_v).fma(gained, -spent);
        let f = L::sel(outward, f_out, f_in);
        let slope = L::sel(outward, slope_out, slope_in);
        w = (w - f / (slope.max(zero) + nothing)).max(w_low).min(w_high);
    }

    let (v, p_b) = wave.at(q, w, one / w);
    let p_b = p_b.max(least_p);
    let p_b = L::sel(outward, p_b.max(q.p_outside), p_b.min(q.p_outside));
    let rho = density_behind(q, p_b);
    let v_out = v.max(zero);
    // When the pipe runs away the flow is still no more than the orifice gives.
    let x = ((q.p_outside - p_b) * inverse_p_outside).max(zero).min(x_most);
    let spare = L::splat(0.02) * q.rho_outside * root_r_t;
    let given = (drive * flux_shape.times_x(x).0).sqrt();
    let most = given.fma(L::splat(1.05), spare);
    let inflow = (-v).max(zero);
    let h = (-half * inflow).fma(inflow, h_outside).max(L::splat(LEAST_ENTHALPY_PART) * h_outside);
    let rho_in = b_factor * p_b / h;
    let mass_in = (rho_in * inflow).min(most);
    // Past the speed of sound no wave of the pipe comes back to the end: it is fed at that speed, and runs on by itself.
    let c2 = (down_outside + down_outside) * h_outside / (q.gamma_outside + one);
    let fed = c2.lt(inflow * inflow);
    let c = c2.sqrt();
    let sonic_rho = given / c;
    let inflow = L::sel(fed, c, inflow);
    let mass_in = L::sel(fed, given, mass_in);
    let rho_in = L::sel(fed, sonic_rho, rho_in);
    let p_in = L::sel(fed, sonic_rho * c2 * a_out, p_b);
    let supersonic = L::and(wave.c.lt(q.v), L::splat(0.999).lt(q.opening_out));
    let supersonic = L::and(supersonic, open);
    let shut = OrificeSolution { mass: zero, p: p_closed, v: zero, rho: density_behind(q, p_closed) };
    let found = OrificeSolution {
        mass: L::sel(outward, rho * v_out, -mass_in),
        p: L::sel(outward, p_b, p_in),
        v: L::sel(outward, v_out, -inflow),
        rho: L::sel(outward, rho, rho_in),
    };
    let free = OrificeSolution { mass: q.rho * q.v, p: q.p, v: q.v, rho: q.rho };
    free.or(supersonic, &found.or(open, &shut))
}

/// What [`solve_orifice`] answers for an opening of zero, to the same bits.
#[inline(always)]
pub(super) fn shut_end<L: Lane>(q: &OrificeProblem<L>) -> OrificeSolution<L> {
    let p = closed_pressure(q.rho, q.v, q.p, q.gamma);
    let zero = L::splat(0.0);
    OrificeSolution { mass: zero, p, v: zero, rho: density_behind(q, p) }
}

impl<L: Lane> OrificeSolution<L> {
    /// This where the mask is set, `other` where not.
    #[inline(always)]
    fn or(&self, keep: L::Mask, other: &Self) -> Self {
        Self {
            mass: L::sel(keep, self.mass, other.mass),
            p: L::sel(keep, self.p, other.p),
            v: L::sel(keep, self.v, other.v),
            rho: L::sel(keep, self.rho, other.rho),
        }
    }
}

impl<L: Lane> Wave<L> {
    /// Velocity and pressure behind the wave.
    #[inline(always)]
    fn at(&self, q: &OrificeProblem<L>, w: L, inverse_w: L) -> (L, L) {
        let rise = w.fma(w, -L::splat(1.0));
        ((-(self.a * rise)).fma(inverse_w, q.v), self.p_over_kappa.fma(rise, q.p))
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

    /// A valve about to close: through a crack passes no more than the crack's share of sonic flow, however fine it is and
    /// however the gas moves, down to openings whose flow is lost in rounding.
    #[test]
    fn exact_a_crack_passes_no_more_than_its_share() {
        for exponent in 2..18 {
            let opening = 10.0_f64.powi(-exponent);
            for ratio in [0.2, 0.5, 0.6, 0.9, 0.999, 1.001, 1.1, 1.7, 2.0, 5.0] {
                for k in 0..41 {
                    let mut q = at_rest(1e5 * ratio, 1e5, opening);
                    q.v = 347.0 * 0.02 * f64::from(k - 20);
                    let found = solve_orifice(&q);
                    let p_most = found.p.max(q.p_outside).max(q.p);
                    let most = 1.1 * opening * 0.6847 * p_most / (287.0_f64 * 300.0).sqrt();
                    assert!(
                        found.mass.abs() <= most,
                        "{} through {opening:e}, {most} allowed: {q:?}",
                        found.mass
                    );
                }
            }
        }
    }

    /// However low the pressure in the pipe and however fast its gas runs away, what comes in is no faster than sound: a pipe
    /// that is fed at the speed of sound cannot ask for more. It is the orifice's choked flow, with the energy it had.
    #[test]
    fn exact_gas_comes_in_no_faster_than_sound() {
        let gamma: f64 = 1.4;
        let sonic = 0.5 * (gamma + 1.0);
        for opening in [0.05, 0.3, 0.74, 0.95, 1.0] {
            for ratio in [0.001, 0.01, 0.05, 0.1, 0.3, 0.6] {
                for mach in [-5.0, -2.0, -1.0, -0.5, 0.0, 0.3] {
                    let mut q = at_rest(1e5 * ratio, 1e5, opening);
                    q.v = mach * 347.0;
                    let found = solve_orifice(&q);
                    let c = (gamma * found.p / found.rho).sqrt();
                    assert!(-found.v < 1.001 * c, "{} m/s of {c}, {q:?}", -found.v);
                    let h = c * c / (gamma - 1.0) + 0.5 * found.v * found.v;
                    assert!(
                        (h / (gamma * 287.0 * 300.0 / (gamma - 1.0)) - 1.0).abs() < 0.003,
                        "{h} J/kg, {q:?}"
                    );
                    if -found.v > 0.999 * c {
                        let choked = ideal_mass_flux_kg_per_m2_s(gamma, 287.0, 1e5, 300.0, 1e4);
                        assert!(
                            (-found.mass / (opening * choked) - 1.0).abs() < 1e-3,
                            "{}, {q:?}",
                            found.mass
                        );
                        let p = opening * 1e5 * sonic.powf(-gamma / (gamma - 1.0));
                        assert!((found.p / p - 1.0).abs() < 2e-3, "{} Pa, {p} expected", found.p);
                    }
                }
            }
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

    /// g(r) of the doc comment.
    fn flux_function(gamma: f64, r: f64) -> f64 {
        gamma / (gamma - 1.0) * (r.powf(2.0 / gamma) - r.powf((gamma + 1.0) / gamma))
    }

    /// The pressure ratio at which an opening chokes, by bisection on the area-Mach relation.
    fn choked_ratio(gamma: f64, opening: f64) -> f64 {
        let t_ratio = |m: f64| 2.0 / (gamma + 1.0) * (1.0 + (gamma - 1.0) / 2.0 * m * m);
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..60 {
            let m = 0.5 * (low + high);
            if m * t_ratio(m).powf(-(gamma + 1.0) / (2.0 * (gamma - 1.0))) < opening {
                low = m;
            } else {
                high = m;
            }
        }
        t_ratio(low).powf(gamma / (gamma - 1.0))
    }

    /// Mass flux by a hundred bisections of the equations in the doc comment, with `powf`.
    fn by_bisection(q: &OrificeProblem<f64>) -> f64 {
        let closed = closed_pressure(q.rho, q.v, q.p, q.gamma);
        let c = (q.gamma * q.p / q.rho).sqrt();
        let kappa = (q.gamma + 1.0) / (2.0 * q.gamma);
        let wave = |p_b: f64| {
            let v = q.v - (p_b - q.p) / (q.rho * c * (1.0 + kappa * (p_b / q.p - 1.0)).max(0.02).sqrt());
            (v, density_behind(q, p_b))
        };
        let outward = q.p_outside < closed;
        let gamma = if outward { q.gamma } else { q.gamma_outside };
        let phi = if outward { q.opening_out } else { q.opening_in };
        let least = if outward { choked_ratio(gamma, phi) } else { choked_ratio(gamma, 0.0) };
        let b = q.gamma_outside / (q.gamma_outside - 1.0);
        let h = b * q.p_outside / q.rho_outside;
        let excess = |p_b: f64| {
            let (v, rho) = wave(p_b);
            if outward {
                let r = (q.p_outside / p_b).clamp(least, 1.0);
                let share = 1.0 - phi * phi * r.powf(2.0 / gamma);
                let out = phi * (2.0 * rho * p_b * flux_function(gamma, r)).sqrt();
                out - rho * v * share.max(0.0).sqrt()
            } else {
                let r = (p_b / q.p_outside).clamp(least, 1.0);
                let m = phi * (2.0 * q.rho_outside * q.p_outside * flux_function(gamma, r)).sqrt();
                m * (h - 0.5 * v * v) + b * p_b * v
            }
        };
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..100 {
            let s: f64 = 0.5 * (low + high);
            if excess(q.p_outside + (closed - q.p_outside) * s * s) < 0.0 { low = s } else { high = s }
        }
        let p_b = q.p_outside + (closed - q.p_outside) * low * low;
        let (v, rho) = wave(p_b);
        if outward { rho * v } else { b * p_b * v / (h - 0.5 * v * v) }
    }

    /// The worst mass flux over the greater sonic flux, against a bisection, to a ratio of pressures.
    fn worst_to(ratio: f64) -> f64 {
        let mut worst: f64 = 0.0;
        for i in 0..=12 {
            let p = 1e5 * ratio.powf(f64::from(i) / 6.0 - 1.0);
            for t in [280.0, 600.0, 2000.0] {
                for mach in [-0.5, -0.2, 0.0, 0.1, 0.4, 0.7] {
                    for opening in [1e-3, 0.02, 0.2, 0.4, 0.6, 0.8, 0.95, 1.0] {
                        for (gamma, gamma_outside) in [(1.4, 1.4), (1.28, 1.38), (1.39, 1.25)] {
                            let mut q = at_rest(p, 1e5, opening);
                            (q.gamma, q.gamma_outside) = (gamma, gamma_outside);
                            q.rho = p / (287.0 * t);
                            let c = (gamma * p / q.rho).sqrt();
                            q.v = mach * c;
                            let outside = (gamma_outside * 1e5 / q.rho_outside).sqrt() * q.rho_outside;
                            let error = (solve_orifice(&q).mass - by_bisection(&q)).abs();
                            assert!(error.is_finite());
                            worst = worst.max(error / (q.rho * c).max(outside));
                        }
                    }
                }
            }
        }
        worst
    }

    #[test]
    fn converges_to_continuity_and_energy() {
        // Three Newton steps from the guess: the further the pressures lie apart, the further off the guess.
        for (ratio, promised) in [(1.05, 3e-5), (5.0, 3e-5), (30.0, 1e-4)] {
            let worst = worst_to(ratio);
            assert!(worst < promised, "to a ratio of {ratio}: off by {worst:e} of the sonic flux");
        }
    }
}
