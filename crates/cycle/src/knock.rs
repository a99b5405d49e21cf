//! How near the unburned gas is to lighting itself: an induction-time integral.
//!
//! Leaves out what knock does, and the way hot spots or cool-flame heat release shift it.

use crate::cylinder::gather;
use crate::model::Charge;
use gas::lane::{Lane, exp};

/// Induction time of end gas by A. M. Douaud, P. Eyzat (1978), SAE 780080:
/// tau (ms) = 17.68 (ON/100)^3.402 p^-1.7 exp(3800/T), p in atm, T in K; octane numbers 80 to 100.
///
/// The integral of dt/tau by J. C. Livengood, P. C. Wu (1955), 5th Symp. Combust. 347: knock at 1. The octane number
/// is that of the road, (RON + MON) / 2. Beyond 80 to 100 the formula is extrapolated.
#[derive(Clone, Copy, Debug)]
pub struct KnockDelay<L> {
    /// 1/tau at p = 1 Pa and T without limit, 1/s.
    rate: L,
}

const PA_PER_ATM: f64 = 101_325.0;

impl KnockDelay<f64> {
    /// Of a charge.
    pub fn new(charge: &Charge) -> Self {
        Self::with_octane(0.5 * (charge.ron + charge.mon))
    }

    /// Of an octane number.
    pub fn with_octane(octane: f64) -> Self {
        let tau_s = 17.68e-3 * (octane.max(1.0) / 100.0).powf(3.402);
        Self { rate: PA_PER_ATM.powf(-1.7) / tau_s }
    }

    /// Induction time, s, at p (Pa) and T (K).
    pub fn seconds(&self, p_pa: f64, t_k: f64) -> f64 {
        1.0 / self.per_second(p_pa.ln(), t_k)
    }
}

impl<L: Lane> KnockDelay<L> {
    pub(crate) fn gather(variants: &[KnockDelay<f64>]) -> Self {
        Self { rate: gather(variants, |v| v.rate) }
    }

    /// 1/tau at the logarithm of the pressure in Pa and a temperature in K, 1/s.
    #[inline(always)]
    pub(crate) fn per_second(&self, ln_p: L, t: L) -> L {
        self.rate * exp(ln_p.fma(L::splat(1.7), -(L::splat(3800.0) / t)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Douaud and Eyzat (1978) as written above, by hand.
    #[test]
    fn val_douaud_1978_induction_times() {
        for (octane, atm, t_k, ms) in [(90.0, 30.0, 800.0, 4.40), (95.0, 40.0, 850.0, 2.45)] {
            let found = KnockDelay::with_octane(octane).seconds(atm * PA_PER_ATM, t_k) * 1e3;
            assert!((found - ms).abs() < 0.005, "{found} ms against {ms}");
        }
    }
}
