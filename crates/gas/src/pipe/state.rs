//! What a pipe cell holds: conserved densities, and the plain quantities worked out from them.

use crate::lane::Lane;

/// Conserved densities of a cell: what the scheme keeps to round-off.
#[derive(Clone, Copy, Debug)]
pub struct Conserved<L, const S: usize> {
    /// Mass, kg/m3.
    pub mass: L,
    /// Momentum, kg/(m2 s).
    pub momentum: L,
    /// Sensible internal plus kinetic energy, J/m3.
    pub energy: L,
    /// Mass of each transported component, kg/m3.
    pub component: [L; S],
}

/// The plain quantities of a cell.
#[derive(Clone, Copy, Debug)]
pub struct Primitive<L, const S: usize> {
    /// Density, kg/m3.
    pub rho: L,
    /// 1 / density, m3/kg.
    pub inverse_rho: L,
    /// Velocity, m/s, positive from the left end to the right.
    pub u: L,
    /// Pressure, Pa.
    pub p: L,
    /// Sensible internal energy, J/m3.
    pub rho_e: L,
    /// Speed of sound, m/s.
    pub c: L,
    /// Mass fraction of each transported component.
    pub y: [L; S],
    /// Friction rate f |u| / (2 D), 1/s, with the Darcy factor f.
    pub friction: L,
    /// Heat from the wall, W/m3.
    pub heat: L,
}

/// What crosses a face, per area, positive to the right.
#[derive(Clone, Copy, Debug)]
pub struct Flux<L, const S: usize> {
    /// kg/(m2 s).
    pub mass: L,
    /// Pa.
    pub momentum: L,
    /// W/m2, with sensible energy.
    pub energy: L,
    /// kg/(m2 s) of each transported component.
    pub component: [L; S],
}

/// An array from its positions. Unlike `std::array::from_fn` it is sure to melt into the caller, and so to be
/// compiled for the caller's instruction set.
#[inline(always)]
pub fn each<T: Lane, const S: usize>(mut f: impl FnMut(usize) -> T) -> [T; S] {
    let mut out = [T::splat(0.0); S];
    let mut s = 0;
    while s < S {
        out[s] = f(s);
        s += 1;
    }
    out
}

impl<L: Lane, const S: usize> Conserved<L, S> {
    /// Nothing at all.
    #[inline(always)]
    pub fn zero() -> Self {
        let zero = L::splat(0.0);
        Self { mass: zero, momentum: zero, energy: zero, component: [zero; S] }
    }
}

impl<L: Lane, const S: usize> Flux<L, S> {
    /// Nothing crosses.
    #[inline(always)]
    pub fn zero() -> Self {
        let zero = L::splat(0.0);
        Self { mass: zero, momentum: zero, energy: zero, component: [zero; S] }
    }

    /// Applies `f` to every entry.
    #[inline(always)]
    pub fn map<M: Lane>(self, mut f: impl FnMut(L) -> M) -> Flux<M, S> {
        Flux {
            mass: f(self.mass),
            momentum: f(self.momentum),
            energy: f(self.energy),
            component: each(|s| f(self.component[s])),
        }
    }

    /// Applies `f` to every pair of entries.
    #[inline(always)]
    pub fn zip(self, other: Self, f: impl Fn(L, L) -> L) -> Self {
        Self {
            mass: f(self.mass, other.mass),
            momentum: f(self.momentum, other.momentum),
            energy: f(self.energy, other.energy),
            component: each(|s| f(self.component[s], other.component[s])),
        }
    }
}
