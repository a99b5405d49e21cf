//! Pressure, temperature and speed of sound of pipe gas from its energy, in lanes.
//!
//! Two models: constant gamma, and a mixture with its own composition and
//! temperature-dependent heat capacity. Leaves out dissociation: pipe gas is frozen.

use crate::lane::Lane;

/// What a gas model answers for one state.
#[derive(Clone, Copy, Debug)]
pub struct Thermal<L> {
    /// p / rho = R T, J/kg.
    pub r_t: L,
    /// Temperature, K.
    pub t_k: L,
    /// Ratio of heat capacities.
    pub gamma: L,
    /// Heat capacity at constant pressure, J/(kg K).
    pub cp: L,
}

/// A gas that pipes can carry, with `S` transported components beside the first one.
pub trait PipeGas<L: Lane, const S: usize>: Copy {
    /// Whether rho e is p / (gamma - 1) with one constant: then faces need no energy of their own.
    const CALORIC_IS_LINEAR: bool;
    /// State at a sensible internal energy (J/kg) and mass fractions of the transported components.
    fn thermal(&self, e: L, y: &[L; S]) -> Thermal<L>;
    /// Sensible internal energy, J/kg, at p/rho = R T and mass fractions.
    fn energy_at_r_t(&self, r_t: L, y: &[L; S]) -> L;
    /// Gas constant, J/(kg K).
    fn gas_constant(&self, y: &[L; S]) -> L;
    /// rho e from p where [`PipeGas::CALORIC_IS_LINEAR`].
    fn energy_from_pressure(&self, p: L) -> L;
}

/// A gas model at every width: what a network is built over.
pub trait GasFamily<const S: usize>: Copy + Send + Sync + 'static {
    /// The model for one number type.
    type For<L: Lane>: PipeGas<L, S>;
}

/// Perfect gases.
#[derive(Clone, Copy, Debug)]
pub struct PerfectFamily;

impl<const S: usize> GasFamily<S> for PerfectFamily {
    type For<L: Lane> = PerfectGas<L>;
}

/// A perfect gas: constant gamma and gas constant. Transported components are passive.
#[derive(Clone, Copy, Debug)]
pub struct PerfectGas<L> {
    gamma: L,
    gamma_less_one: L,
    inverse_gamma_less_one: L,
    gas_constant: L,
    inverse_gas_constant: L,
    cp: L,
}

impl<L: Lane> PerfectGas<L> {
    /// From the ratio of heat capacities and the gas constant in J/(kg K).
    pub fn new(gamma: L, gas_constant: L) -> Self {
        let one = L::splat(1.0);
        let gamma_less_one = gamma - one;
        Self {
            gamma,
            gamma_less_one,
            inverse_gamma_less_one: one / gamma_less_one,
            gas_constant,
            inverse_gas_constant: one / gas_constant,
            cp: gamma * gas_constant / gamma_less_one,
        }
    }
}

impl<L: Lane, const S: usize> PipeGas<L, S> for PerfectGas<L> {
    const CALORIC_IS_LINEAR: bool = true;
    #[inline(always)]
    fn thermal(&self, e: L, _y: &[L; S]) -> Thermal<L> {
        let r_t = self.gamma_less_one * e;
        Thermal { r_t, t_k: r_t * self.inverse_gas_constant, gamma: self.gamma, cp: self.cp }
    }
    #[inline(always)]
    fn energy_at_r_t(&self, r_t: L, _y: &[L; S]) -> L {
        r_t * self.inverse_gamma_less_one
    }
    #[inline(always)]
    fn gas_constant(&self, _y: &[L; S]) -> L {
        self.gas_constant
    }
    #[inline(always)]
    fn energy_from_pressure(&self, p: L) -> L {
        p * self.inverse_gamma_less_one
    }
}
