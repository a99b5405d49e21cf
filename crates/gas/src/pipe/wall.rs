//! Wall friction and heat of a pipe cell, in lanes and without the divider.

use crate::lane::{Lane, quarter_root};

/// What a cell feels of its wall. Diameter zero length scales are not allowed; a frictionless wall has
/// both factors zero.
#[derive(Clone, Copy, Debug)]
pub struct WallCell<L> {
    /// Roughness height over diameter.
    pub relative_roughness: L,
    /// 1 / diameter, 1/m.
    pub inverse_diameter: L,
    /// Factor on the friction.
    pub friction_factor: L,
    /// Factor on the heat transfer.
    pub heat_factor: L,
    /// Wall temperature, K.
    pub t_wall_k: L,
}

/// Whether the kernel works out friction and heat at all.
pub trait WallModel: Copy + Send + Sync + 'static {
    /// Compiled in or out.
    const ACTIVE: bool;
}

/// No friction, no heat: the plain Euler equations.
#[derive(Clone, Copy, Debug)]
pub struct SmoothAdiabatic;

/// Friction by Reynolds number and roughness, heat by the Reynolds-Colburn analogy.
#[derive(Clone, Copy, Debug)]
pub struct RoughHeated;

impl WallModel for SmoothAdiabatic {
    const ACTIVE: bool = false;
}

impl WallModel for RoughHeated {
    const ACTIVE: bool = true;
}

/// Pr^(-2/3) with Pr = 0.71, of air at room temperature; burned gas to 2000 K has 0.70 to 0.75.
const PRANDTL_POWER: f64 = 1.2563;

/// Viscosity of air, Pa s, as a polynomial in the temperature (K): fitted by least squares to Sutherland's
/// law mu = 1.458e-6 T^1.5 / (T + 110.4) (U.S. Standard Atmosphere 1976, eq. 51) over 200 to 2500 K,
/// within 4 %. Burned gas lies within 8 % of it; together that moves the friction factor by under 3 %.
const VISCOSITY: [f64; 4] = [3.652_07e-6, 5.463_01e-8, -1.997_53e-11, 3.545_84e-15];

/// Friction rate f |u| / (2 D) in 1/s and heat from the wall in W/m3.
///
/// Darcy factor: the greater of 64/Re (laminar) and 0.11 (k/D + 68/Re)^(1/4).
/// Source: A. D. Altshul (1952), as given in I. E. Idelchik (1986), "Handbook of Hydraulic Resistance",
/// 2nd ed., diagram 2-4; within 5 % of Colebrook for Re 4e3 to 1e7 and k/D up to 0.03. The change from
/// laminar to turbulent falls at Re = 1190, where the two meet, not at 2300.
/// Heat: St = (f/8) Pr^(-2/3) (Reynolds-Colburn), so q per volume = rho cp rate Pr^(-2/3) (T_wall - T).
/// Steady, developed flow; pulsating flow transfers more, which `heat_factor` is for.
#[inline(always)]
pub fn wall_rates<L: Lane>(wall: &WallCell<L>, rho: L, inverse_rho: L, u: L, t_k: L, cp: L) -> (L, L) {
    let [m0, m1, m2, m3] = VISCOSITY.map(L::splat);
    let t = t_k.min(L::splat(3500.0));
    let viscosity = m3.fma(t, m2).fma(t, m1).fma(t, m0);
    let kinematic_over_d = viscosity * inverse_rho * wall.inverse_diameter;
    let speed = u.abs();
    let laminar = kinematic_over_d * L::splat(64.0);
    let inner = wall.relative_roughness.fma(speed, kinematic_over_d * L::splat(68.0));
    let turbulent = quarter_root((speed * speed) * (speed * inner)) * L::splat(0.11);
    let rate = laminar.max(turbulent) * (wall.inverse_diameter * L::splat(0.5));
    let heat = (rho * cp) * (rate * wall.heat_factor) * ((wall.t_wall_k - t_k) * L::splat(PRANDTL_POWER));
    (rate * wall.friction_factor, heat)
}
