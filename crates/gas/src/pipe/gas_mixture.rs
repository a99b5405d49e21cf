//! The gas of the pipes: air, fuel vapour and burned gas, each with its own heat capacity, in lanes.
//!
//! The NASA polynomials themselves, blended by mass fraction: exact for a frozen ideal-gas mixture. Leaves out
//! reactions and dissociation in the pipe.

use super::gas_model::{GasFamily, PipeGas, Thermal};
use crate::composition::Composition;
use crate::lane::{Lane, reciprocal_guess};
use crate::species::{Species, UNIVERSAL_GAS_CONSTANT};

/// Transported components: the mass fractions of fuel vapour and of burned gas; the rest is air.
pub const N_TRANSPORTED: usize = 2;
/// Position of the fuel vapour among the transported components.
pub const FUEL: usize = 0;
/// Position of the burned gas among the transported components.
pub const BURNED: usize = 1;

/// Where the polynomials of all our species meet, K.
const T_MID_K: f64 = 1000.0;

/// What one component, or a blend of them, needs. All linear in the mass fractions.
#[derive(Clone, Copy, Debug)]
struct Caloric<L> {
    gas_constant: L,
    /// Sensible energy at `T_MID_K`, J/kg.
    e_mid: L,
    /// Bend of T over e below and above `T_MID_K`, times `e_mid`.
    bend: [L; 2],
    /// e = T (b0 + b1 T + .. b4 T^4) below, plus b5 above.
    low: [L; 5],
    high: [L; 6],
}

/// Air, fuel vapour and burned gas of a variant, ready for the kernels.
///
/// The sensible energy of a component is its internal energy less its own constant
/// ([`sensible_offset_j_per_kg`]), so that it vanishes with the temperature: pipes do not react, and their
/// energies stay positive.
#[derive(Clone, Copy, Debug)]
pub struct Mixture<L> {
    air: Caloric<L>,
    /// Fuel less air, burned gas less air.
    beyond_air: [Caloric<L>; N_TRANSPORTED],
}

/// Mixtures of air, fuel vapour and burned gas.
#[derive(Clone, Copy, Debug)]
pub struct MixtureFamily;

impl GasFamily<N_TRANSPORTED> for MixtureFamily {
    type For<L: Lane> = Mixture<L>;
}

/// Internal energy with formation less the sensible energy of the pipes, J/kg.
pub fn sensible_offset_j_per_kg(component: &Composition) -> f64 {
    let constants = Species::ALL.iter().zip(component.kmol_per_kg());
    UNIVERSAL_GAS_CONSTANT * constants.map(|(s, n)| n * s.data().low[5]).sum::<f64>()
}

fn caloric(component: &Composition) -> Caloric<f64> {
    let sum = |f: &dyn Fn(Species) -> f64| -> f64 {
        let amounts = Species::ALL.iter().zip(component.kmol_per_kg());
        UNIVERSAL_GAS_CONSTANT * amounts.map(|(&s, n)| n * f(s)).sum::<f64>()
    };
    let power = |high: bool, i: usize| {
        let shift = if i == 0 { 1.0 } else { 0.0 };
        sum(&|s| {
            let a = if high { s.data().high[i] } else { s.data().low[i] };
            (a - shift) / (i + 1) as f64
        })
    };
    let low: [f64; 5] = std::array::from_fn(|i| power(false, i));
    let lift = sum(&|s| s.data().high[5] - s.data().low[5]);
    let high: [f64; 6] = std::array::from_fn(|i| if i < 5 { power(true, i) } else { lift });
    let energy = |t: f64| {
        let b = if t < T_MID_K { &low[..] } else { &high[..5] };
        let rest = if t < T_MID_K { 0.0 } else { lift };
        t * b.iter().rev().fold(0.0, |sum, b| sum * t + b) + rest
    };
    let e_mid = energy(T_MID_K);
    let bend_at = |t: f64| {
        let s = energy(t) / e_mid;
        (t / T_MID_K / s - 1.0) / (1.0 - s) * e_mid
    };
    Caloric {
        gas_constant: component.gas_constant_j_per_kg_k(),
        e_mid,
        bend: [bend_at(400.0), bend_at(2200.0)],
        low,
        high,
    }
}

impl<L: Lane> Caloric<L> {
    fn combine(parts: &[Caloric<f64>], f: impl Fn(&[f64]) -> L) -> Self {
        let gather = |g: &dyn Fn(&Caloric<f64>) -> f64| f(&parts.iter().map(g).collect::<Vec<_>>());
        Self {
            gas_constant: gather(&|c| c.gas_constant),
            e_mid: gather(&|c| c.e_mid),
            bend: std::array::from_fn(|i| gather(&|c| c.bend[i])),
            low: std::array::from_fn(|i| gather(&|c| c.low[i])),
            high: std::array::from_fn(|i| gather(&|c| c.high[i])),
        }
    }
}

impl<L: Lane> Caloric<L> {
    fn set_lane(&mut self, lane: usize, variant: &Caloric<f64>) {
        let put = |mine: &mut L, its: f64| *mine = mine.with(lane, its);
        put(&mut self.gas_constant, variant.gas_constant);
        put(&mut self.e_mid, variant.e_mid);
        self.bend.iter_mut().zip(variant.bend).for_each(|(mine, its)| put(mine, its));
        self.low.iter_mut().zip(variant.low).for_each(|(mine, its)| put(mine, its));
        self.high.iter_mut().zip(variant.high).for_each(|(mine, its)| put(mine, its));
    }
}

impl<L: Lane> Mixture<L> {
    /// From air, fuel vapour and burned gas, one triple a lane (the last is repeated when there are fewer).
    ///
    /// Needs at least one triple.
    pub fn new(variants: &[[Composition; 3]]) -> Self {
        let calorics: Vec<[Caloric<f64>; 3]> =
            (0..L::N).map(|lane| variants[lane.min(variants.len() - 1)].map(|c| caloric(&c))).collect();
        let pick = |which: usize| calorics.iter().map(|c| c[which]).collect::<Vec<_>>();
        let in_lanes = |values: &[f64]| {
            let mut lane = 0;
            L::splat(0.0).map(|_| {
                lane += 1;
                values[lane - 1]
            })
        };
        let beyond = |which: usize| {
            let (air, other) = (pick(0), pick(which));
            let parts: Vec<_> = air.into_iter().chain(other).collect();
            Caloric::combine(&parts, |values| {
                let (air, other) = values.split_at(L::N);
                let gains: Vec<f64> = other.iter().zip(air).map(|(o, a)| o - a).collect();
                in_lanes(&gains)
            })
        };
        Self { air: Caloric::combine(&pick(0), in_lanes), beyond_air: [beyond(1), beyond(2)] }
    }

    /// Gives one lane the gases of another variant.
    pub fn set_lane(&mut self, lane: usize, variant: &Mixture<f64>) {
        self.air.set_lane(lane, &variant.air);
        for (mine, its) in self.beyond_air.iter_mut().zip(&variant.beyond_air) {
            mine.set_lane(lane, its);
        }
    }

    #[inline(always)]
    fn blend(&self, y: &[L; N_TRANSPORTED], air: L, fuel: L, burned: L) -> L {
        y[BURNED].fma(burned, y[FUEL].fma(fuel, air))
    }
}

/// (b0 + b1 T + .. b4 T^4) and the slope of T times that, by a double Horner scheme.
#[inline(always)]
fn slope<L: Lane>(b: &[L; 5], t: L) -> (L, L) {
    let q1 = b[4].fma(t, b[3]);
    let d1 = b[4].fma(t, q1);
    let q2 = q1.fma(t, b[2]);
    let d2 = d1.fma(t, q2);
    let q3 = q2.fma(t, b[1]);
    let d3 = d2.fma(t, q3);
    let q4 = q3.fma(t, b[0]);
    (q4, d3.fma(t, q4))
}

macro_rules! blended {
    ($self:ident, $y:ident, $($field:tt)+) => {
        $self.blend($y, $self.air.$($field)+, $self.beyond_air[FUEL].$($field)+, $self.beyond_air[BURNED].$($field)+)
    };
}

/// The polynomial of the side of 1000 K a state lies on, and the bend of its first guess.
struct Side<L> {
    b: [L; 5],
    rest: L,
    bend: L,
}

impl<L: Lane> Mixture<L> {
    #[inline(always)]
    fn cold_side(&self, y: &[L; N_TRANSPORTED]) -> Side<L> {
        Side {
            b: [
                blended!(self, y, low[0]),
                blended!(self, y, low[1]),
                blended!(self, y, low[2]),
                blended!(self, y, low[3]),
                blended!(self, y, low[4]),
            ],
            rest: L::splat(0.0),
            bend: blended!(self, y, bend[0]),
        }
    }

    #[inline(always)]
    fn hot_side(&self, y: &[L; N_TRANSPORTED]) -> Side<L> {
        Side {
            b: [
                blended!(self, y, high[0]),
                blended!(self, y, high[1]),
                blended!(self, y, high[2]),
                blended!(self, y, high[3]),
                blended!(self, y, high[4]),
            ],
            rest: blended!(self, y, high[5]),
            bend: blended!(self, y, bend[1]),
        }
    }

    /// Neighbours are mostly on the same side; what is not needed by any lane is not worked out, which changes
    /// no lane's value.
    #[inline(always)]
    fn side(&self, hot: L::Mask, y: &[L; N_TRANSPORTED]) -> Side<L> {
        if !L::any(hot) {
            return self.cold_side(y);
        }
        let above = self.hot_side(y);
        if L::all(hot) {
            return above;
        }
        let below = self.cold_side(y);
        Side {
            b: [
                L::sel(hot, above.b[0], below.b[0]),
                L::sel(hot, above.b[1], below.b[1]),
                L::sel(hot, above.b[2], below.b[2]),
                L::sel(hot, above.b[3], below.b[3]),
                L::sel(hot, above.b[4], below.b[4]),
            ],
            rest: L::sel(hot, above.rest, below.rest),
            bend: L::sel(hot, above.bend, below.bend),
        }
    }
}

impl<L: Lane> PipeGas<L, N_TRANSPORTED> for Mixture<L> {
    const CALORIC_IS_LINEAR: bool = false;

    /// Temperature from energy: a bent straight line as the guess, then two Newton steps on the polynomial
    /// of the side of 1000 K the energy lies on. Within 3e-6 relative from 250 to 3000 K for air with up to
    /// 15 % fuel vapour and any share of burned gas, within 3e-5 up to 30 % (tested); gamma from the slope of
    /// the last step.
    #[inline(always)]
    fn thermal(&self, e: L, y: &[L; N_TRANSPORTED]) -> Thermal<L> {
        let one = L::splat(1.0);
        let gas_constant = blended!(self, y, gas_constant);
        let e_mid = blended!(self, y, e_mid);
        let hot = e_mid.lt(e);
        let Side { b, rest, bend } = self.side(hot, y);
        let target = e - rest;

        let inverse_mid = reciprocal_guess(e_mid);
        let s = e * inverse_mid;
        let straightened = (bend * inverse_mid).fma(one - s, one);
        let guess = (s * straightened * L::splat(T_MID_K)).max(L::splat(50.0)).min(L::splat(5000.0));
        let (over_t, cv) = slope(&b, guess);
        let inverse = reciprocal_guess(cv);
        let t = (-over_t).fma(guess, target).fma(inverse, guess);
        let (over_t, cv) = slope(&b, t);
        // The heat capacity has moved little: one Newton step renews its reciprocal.
        let inverse_cv = inverse.fma((-cv).fma(inverse, one), inverse);
        let t = (-over_t).fma(t, target).fma(inverse_cv, t);
        Thermal {
            r_t: gas_constant * t,
            t_k: t,
            gamma: gas_constant.fma(inverse_cv, one),
            cp: cv + gas_constant,
        }
    }

    #[inline(always)]
    fn energy_at_r_t(&self, r_t: L, y: &[L; N_TRANSPORTED]) -> L {
        let t = r_t / blended!(self, y, gas_constant);
        let hot = L::splat(T_MID_K).lt(t);
        let Side { b: [b0, b1, b2, b3, b4], rest, .. } = self.side(hot, y);
        b4.fma(t, b3).fma(t, b2).fma(t, b1).fma(t, b0).fma(t, rest)
    }

    #[inline(always)]
    fn gas_constant(&self, y: &[L; N_TRANSPORTED]) -> L {
        blended!(self, y, gas_constant)
    }

    #[inline(always)]
    fn energy_from_pressure(&self, p: L) -> L {
        p
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::equilibrium::equilibrate;

    fn triple() -> [Composition; 3] {
        let air = Composition::dry_air();
        let fuel = Composition::from_moles(&[(Species::IsoOctane, 1.0)]);
        let charge = Composition::blend(&[(&air, 14.0), (&fuel, 1.0)]);
        [air, fuel, equilibrate(&charge, 1700.0, 1e5).unwrap().composition]
    }

    /// Energy to temperature and back, and gamma, against the plain composition.
    #[test]
    fn exact_temperature_gamma_and_energy_are_those_of_the_blend() {
        let parts = triple();
        let gas = Mixture::<f64>::new(&[parts]);
        let mut worst = [0.0_f64; 3];
        for fuel in [0.0, 0.03, 0.07, 0.15, 0.3] {
            for burned in [0.0, 0.2, 0.5, 1.0 - fuel] {
                let air = 1.0 - fuel - burned;
                let blend = Composition::blend(&[(&parts[0], air), (&parts[1], fuel), (&parts[2], burned)]);
                let offset = air * sensible_offset_j_per_kg(&parts[0])
                    + fuel * sensible_offset_j_per_kg(&parts[1])
                    + burned * sensible_offset_j_per_kg(&parts[2]);
                for i in 0..=110 {
                    let t = 250.0 + 25.0 * f64::from(i);
                    let e = blend.internal_energy_j_per_kg(t) - offset;
                    let y = [fuel, burned];
                    let found = gas.thermal(e, &y);
                    let r = blend.gas_constant_j_per_kg_k();
                    let t_error = (found.t_k / t - 1.0).abs();
                    if fuel < 0.2 {
                        worst[0] = worst[0].max(t_error);
                    } else {
                        assert!(t_error < 3e-5, "{t} K with much fuel: off by {t_error:e}");
                    }
                    worst[1] = worst[1].max((found.gamma / blend.gamma(t) - 1.0).abs());
                    worst[2] = worst[2].max((gas.energy_at_r_t(r * t, &y) / e - 1.0).abs());
                }
            }
        }
        assert!(worst[0] < 3e-6, "temperature off by {:e}", worst[0]);
        // The slope is taken one Newton step before the last.
        // With 30 % of fuel vapour the heat capacity moves most between the two.
        assert!(worst[1] < 1e-3, "gamma off by {:e}", worst[1]);
        // The polynomials of the source meet at 1000 K to seven digits.
        assert!(worst[2] < 1e-6, "energy off by {:e}", worst[2]);
    }
}
