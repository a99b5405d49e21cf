//! What crosses a face between two gas states: the HLLC approximate Riemann solver.

use super::state::{Flux, each};
use crate::lane::Lane;

/// A gas state at one side of a face.
#[derive(Clone, Copy, Debug)]
pub struct Face<L, const S: usize> {
    /// Density, kg/m3.
    pub rho: L,
    /// Velocity, m/s.
    pub u: L,
    /// Pressure, Pa.
    pub p: L,
    /// Sensible internal energy, J/m3.
    pub rho_e: L,
    /// Speed of sound of the cell it belongs to, m/s.
    pub c: L,
    /// Mass fractions of the transported components.
    pub y: [L; S],
}

/// Flux through a face from the states at its two sides, positive to the right.
///
/// Outer wave speeds S = min(u - c), max(u + c) of the two sides; contact speed
/// S* = (p_r - p_l + a_l u_l - a_r u_r) / (a_l - a_r), a = rho (S - u); the star state by the jump
/// conditions across the outer wave of the side the face lies on.
/// Source: E. F. Toro (2009), "Riemann Solvers and Numerical Methods for Fluid Dynamics", 3rd ed.,
/// eqs. 10.37, 10.39, and S. F. Davis (1988), SIAM J. Sci. Stat. Comput. 9:445 for the wave speeds.
/// The speeds of sound are those of the cells, not of the faces: one root a cell instead of two.
/// The two divisions are folded into one. A face with equal pressures and no velocity gives exactly p.
#[inline(always)]
pub fn flux_hllc<L: Lane, const S: usize>(left: &Face<L, S>, right: &Face<L, S>) -> Flux<L, S> {
    let zero = L::splat(0.0);
    let speed_left = (left.u - left.c).min(right.u - right.c);
    let speed_right = (left.u + left.c).max(right.u + right.c);
    let slip_left = speed_left - left.u;
    let slip_right = speed_right - right.u;
    let a_left = left.rho * slip_left;
    let a_right = right.rho * slip_right;
    let numerator = a_left.fma(left.u, (-a_right).fma(right.u, right.p - left.p));
    let denominator = a_left - a_right;

    // The denominator is negative: the contact moves right where the numerator is negative too.
    let from_left = numerator.lt(zero);
    let speed = L::sel(from_left, speed_left, speed_right);
    let slip = L::sel(from_left, slip_left, slip_right);
    let a = L::sel(from_left, a_left, a_right);
    let (rho, u, p) = (
        L::sel(from_left, left.rho, right.rho),
        L::sel(from_left, left.u, right.u),
        L::sel(from_left, left.p, right.p),
    );
    let rho_e = L::sel(from_left, left.rho_e, right.rho_e);
    let energy = (rho * (u * L::splat(0.5))).fma(u, rho_e);

    let gap = speed.fma(denominator, -numerator);
    let shared = L::splat(1.0) / (denominator * gap);
    let contact = numerator * (gap * shared);
    let inverse_gap = denominator * (denominator * shared);
    let p_star = a.fma(contact - u, p);
    let rho_star = a * inverse_gap;
    let energy_star = slip.fma(energy, p_star.fma(contact, -(p * u))) * inverse_gap;

    // Supersonic: the face lies outside the fan. The speed of the picked side has the sign of its side.
    let speed_inward = L::sel(from_left, -speed_left, speed_right);
    let in_fan = zero.lt(speed_inward);
    let rho = L::sel(in_fan, rho_star, rho);
    let u = L::sel(in_fan, contact, u);
    let p = L::sel(in_fan, p_star, p);
    let energy = L::sel(in_fan, energy_star, energy);

    let mass = rho * u;
    let component = each(|s| mass * L::sel(from_left, left.y[s], right.y[s]));
    Flux { mass, momentum: mass.fma(u, p), energy: (energy + p) * u, component }
}
