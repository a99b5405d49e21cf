//! How the charge burns over crank angle: Wiebe's curve, and where it lies.
//!
//! Leaves out how long it takes ([`crate::burn_duration`]) and when it is best lit.

use gas::lane::{Lane, exp, ln};

/// Wiebe's a of a burn whose 99.3 % point is its end. Source: J. B. Heywood (1988), "Internal Combustion Engine
/// Fundamentals", eq. 9.30; a 5 and m 2 fit spark-ignition engines.
pub const WIEBE_A: f64 = 5.0;
/// Wiebe's m, as above.
pub const WIEBE_M: f64 = 2.0;

/// A Wiebe burn: x = 1 - exp(-a ((angle - start) / duration)^(m+1)).
///
/// Not cut at its end: the last 0.7 % burn on the same curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Burning<L> {
    /// Spark, deg before TDC.
    pub spark_deg: L,
    /// Where the curve begins, deg after TDC.
    pub start_deg: L,
    /// From there to 99.3 % burned, deg.
    pub duration_deg: L,
    /// a.
    pub a: L,
    /// m + 1.
    pub m_plus_one: L,
}

impl Burning<f64> {
    /// Lit `spark_deg` before TDC, 10 % burned `delay_deg` later and 90 % another `ten_to_ninety_deg` later, with the
    /// usual a and m.
    pub fn new(spark_deg: f64, delay_deg: f64, ten_to_ninety_deg: f64) -> Self {
        let ten = Self::progress(0.1);
        let duration_deg = (ten_to_ninety_deg / (Self::progress(0.9) - ten)).max(SHORTEST_DEG);
        Self {
            spark_deg,
            start_deg: delay_deg - spark_deg - ten * duration_deg,
            duration_deg,
            a: WIEBE_A,
            m_plus_one: WIEBE_M + 1.0,
        }
    }

    /// The same durations, lit so that half is burned at an angle after TDC.
    pub fn half_burned_at(half_deg: f64, delay_deg: f64, ten_to_ninety_deg: f64) -> Self {
        let at_tdc = Self::new(0.0, delay_deg, ten_to_ninety_deg);
        Self::new(at_tdc.angle_deg(0.5) - half_deg, delay_deg, ten_to_ninety_deg)
    }

    /// Part of the duration in which a part of the charge burns, with the usual a and m.
    fn progress(part: f64) -> f64 {
        (-(1.0 - part).ln() / WIEBE_A).powf(1.0 / (WIEBE_M + 1.0))
    }

    /// Where a part of the charge is burned, deg after TDC.
    pub fn angle_deg(&self, part: f64) -> f64 {
        self.start_deg + self.duration_deg * (-(1.0 - part).ln() / self.a).powf(1.0 / self.m_plus_one)
    }

    /// Part burned at an angle after TDC.
    pub fn burned_at(&self, angle_deg: f64) -> f64 {
        -(-self.a * self.raised(angle_deg)).exp_m1()
    }
}

/// Shortest burn, deg; keeps the curve finite.
const SHORTEST_DEG: f64 = 1e-9;

impl<L: Lane> Burning<L> {
    pub(crate) fn gather(variants: &[Burning<f64>]) -> Self {
        let mut burning = Self {
            spark_deg: L::splat(0.0),
            start_deg: L::splat(0.0),
            duration_deg: L::splat(1.0),
            a: L::splat(1.0),
            m_plus_one: L::splat(1.0),
        };
        for lane in 0..L::N {
            burning.set(lane, &variants[lane.min(variants.len() - 1)]);
        }
        burning
    }

    pub(crate) fn set(&mut self, lane: usize, burning: &Burning<f64>) {
        self.spark_deg = self.spark_deg.with(lane, burning.spark_deg);
        self.start_deg = self.start_deg.with(lane, burning.start_deg);
        self.duration_deg = self.duration_deg.with(lane, burning.duration_deg);
        self.a = self.a.with(lane, burning.a);
        self.m_plus_one = self.m_plus_one.with(lane, burning.m_plus_one);
    }

    /// ((angle - start) / duration)^(m+1), zero before the start.
    #[inline(always)]
    pub(crate) fn raised(&self, angle_deg: L) -> L {
        let s = (angle_deg - self.start_deg) / self.duration_deg;
        let burns = L::splat(0.0).lt(s);
        L::sel(burns, exp(self.m_plus_one * ln(s.max(L::splat(1e-30)))), L::splat(0.0))
    }

    /// Part of the gas still unburned that burns between two values of [`Burning::raised`].
    #[inline(always)]
    pub(crate) fn hazard(&self, from: L, to: L) -> L {
        L::splat(1.0) - exp(-(self.a * (to - from).max(L::splat(0.0))))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Heywood (1988), eq. 9.30 with a 5, m 2: 10, 50 and 90 % at 0.276, 0.518 and 0.772 of the duration.
    #[test]
    fn val_heywood_1988_wiebe_fractions() {
        let burning =
            Burning { spark_deg: 20.0, start_deg: -10.0, duration_deg: 50.0, a: 5.0, m_plus_one: 3.0 };
        for (part, at) in [(0.1, 0.276), (0.5, 0.518), (0.9, 0.772)] {
            assert!(((burning.angle_deg(part) + 10.0) / 50.0 - at).abs() < 5e-4);
            assert!((burning.burned_at(burning.angle_deg(part)) - part).abs() < 1e-12);
        }
    }

    #[test]
    fn exact_asked_angles_are_met() {
        let burning = Burning::new(30.0, 22.0, 28.0);
        assert!((burning.angle_deg(0.1) + 8.0).abs() < 1e-12);
        assert!((burning.angle_deg(0.9) - 20.0).abs() < 1e-12);
        let burning = Burning::half_burned_at(8.0, 22.0, 28.0);
        assert!((burning.angle_deg(0.5) - 8.0).abs() < 1e-12);
        assert!((burning.angle_deg(0.1) + burning.spark_deg - 22.0).abs() < 1e-12);
    }
}
