//! Exponential, logarithm, sine and cosine in lanes: fixed polynomials, no branches, no library.
//!
//! Integer and fused arithmetic only, so all lane types agree to the last bit. Within a few units of the last
//! place over the ranges an engine needs; leaves out infinities, subnormals and numbers that are not numbers.

use super::Lane;

/// The bits of 1.0.
pub(super) const ONE: u64 = 0x3FF0_0000_0000_0000;
/// The bits of a significand.
pub(super) const SIGNIFICAND: u64 = 0x000F_FFFF_FFFF_FFFF;
/// The bits of 2^52: a small whole number in the low bits counts upward from there.
pub(super) const WHOLE: u64 = 0x4330_0000_0000_0000;
/// 1.5 * 2^52: adding it rounds to a whole number and leaves that in the low bits.
pub(super) const ROUNDER: f64 = 6_755_399_441_055_744.0;

/// The nearest whole number, for magnitudes below 2^50.
#[inline(always)]
pub fn nearest_whole<L: Lane>(x: L) -> L {
    (x + L::splat(ROUNDER)) - L::splat(ROUNDER)
}

/// e^x, within 4e-16 relative for -700 to 700; arguments beyond are taken there.
///
/// 2^n e^r with |r| <= ln 2 / 2 and the series of e^r to the 13th power.
#[inline(always)]
pub fn exp<L: Lane>(x: L) -> L {
    let x = x.max(L::splat(-700.0)).min(L::splat(700.0));
    let n = nearest_whole(x * L::splat(std::f64::consts::LOG2_E));
    let r = n.fma(L::splat(-LN_2_HIGH), x);
    let r = n.fma(L::splat(-LN_2_LOW), r);
    let mut sum = L::splat(1.0);
    let mut k = 13;
    while k > 0 {
        sum = (r * L::splat(1.0 / k as f64)).fma(sum, L::splat(1.0));
        k -= 1;
    }
    sum * n.power_of_two()
}

/// ln 2 in two parts; the first has 20 zero bits at the end.
const LN_2_HIGH: f64 = 0.693_147_180_369_123_8;
const LN_2_LOW: f64 = 1.908_214_929_270_587_7e-10;

/// ln x, within 3e-16 (absolute near 1, relative elsewhere), for normal positive numbers.
///
/// With x = 2^n m, sqrt(1/2) <= m < sqrt(2) and s = (m-1)/(m+1): n ln 2 + 2 (s + s^3/3 + s^5/5 + ..).
#[inline(always)]
pub fn ln<L: Lane>(x: L) -> L {
    let (n, m) = x.exponent_and_significand();
    let (one, half) = (L::splat(1.0), L::splat(0.5));
    let high = L::splat(std::f64::consts::SQRT_2).lt(m);
    let m = L::sel(high, m * half, m);
    let n = L::sel(high, n + one, n);
    let s = (m - one) / (m + one);
    let z = s * s;
    let mut sum = L::splat(1.0 / 21.0);
    let mut k = 19;
    while k > 1 {
        sum = sum.fma(z, L::splat(1.0 / k as f64));
        k -= 2;
    }
    let two_s = s + s;
    let tail = (two_s * z).fma(sum, n * L::splat(LN_2_LOW));
    n.fma(L::splat(LN_2_HIGH), two_s + tail)
}

/// Cosine and sine of an angle in degrees, within 3e-16 for up to a million degrees.
///
/// The angle less whole quarter turns is exact; Taylor series to the 16th and 17th power beyond it.
#[inline(always)]
pub fn cos_sin_deg<L: Lane>(deg: L) -> (L, L) {
    let (zero, one) = (L::splat(0.0), L::splat(1.0));
    let quarters = nearest_whole(deg * L::splat(1.0 / 90.0));
    let x = quarters.fma(L::splat(-90.0), deg) * L::splat(std::f64::consts::PI / 180.0);
    let z = x * x;
    let (mut cos, mut sin) = (one, one);
    let mut k = 16;
    while k > 0 {
        let even = L::splat(-1.0 / (k * (k - 1)) as f64);
        let odd = L::splat(-1.0 / (k * (k + 1)) as f64);
        cos = (z * even).fma(cos, one);
        sin = (z * odd).fma(sin, one);
        k -= 2;
    }
    let sin = x * sin;
    // Quarters modulo 4, -2 to 2. One more quarter swaps the two and changes the sign of the new cosine.
    let quarter = nearest_whole(quarters * L::splat(0.25)).fma(L::splat(-4.0), quarters);
    let magnitude = quarter.abs();
    let half = L::splat(0.5);
    let swapped = L::and(half.lt(magnitude), magnitude.lt(L::splat(1.5)));
    let sign = L::sel(half.lt(magnitude), L::sel(L::and(swapped, quarter.lt(zero)), one, -one), one);
    // Sign of the cosine; that of the sine is the other one after a swap.
    (L::sel(swapped, sin, cos) * sign, L::sel(swapped, -cos, sin) * sign)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lane::{Layout, Program, dispatch, widths};

    #[test]
    fn exact_exponential_and_logarithm() {
        let (mut worst_exp, mut worst_ln) = (0.0_f64, 0.0_f64);
        for i in 0..200_000 {
            let x = -700.0 + 0.007 * f64::from(i);
            worst_exp = worst_exp.max((exp(x) / x.exp() - 1.0).abs());
            let x = 1e-12 * 1.000_4_f64.powi(i);
            worst_ln = worst_ln.max((ln(x) - x.ln()).abs() / x.ln().abs().max(1.0));
        }
        assert!(worst_exp < 5e-16, "exponential off by {worst_exp:e}");
        assert!(worst_ln < 4e-16, "logarithm off by {worst_ln:e}");
        assert_eq!(ln(1.0), 0.0);
        assert_eq!(exp(0.0), 1.0);
    }

    #[test]
    fn exact_cosine_and_sine() {
        for i in -20_000..20_000 {
            let deg = 0.131 * f64::from(i);
            let (c, s) = cos_sin_deg(deg);
            // The argument in radians is off by half a unit of its own last place.
            let tolerance = 4e-16 + 2e-16 * deg.to_radians().abs();
            assert!((c - deg.to_radians().cos()).abs() < tolerance, "cosine of {deg}: {c}");
            assert!((s - deg.to_radians().sin()).abs() < tolerance, "sine of {deg}: {s}");
        }
        for turn in -8..=8 {
            let base = 360.0 * f64::from(turn);
            assert_eq!(cos_sin_deg(base), (1.0, 0.0));
            assert_eq!(cos_sin_deg(base + 180.0).0, -1.0);
            assert_eq!(cos_sin_deg(base + 90.0).1, 1.0);
            assert_eq!(cos_sin_deg(base + 270.0).1, -1.0);
        }
    }

    struct Bits;
    impl Program for Bits {
        type Output = Vec<[u64; 5]>;
        #[inline(always)]
        fn run<X: Layout>(self) -> Self::Output {
            let mut all = Vec::new();
            for i in 0..512 {
                let mut lane = -1.0;
                let x = X::End::splat(0.0).map(|_| {
                    lane += 1.0;
                    1.3 * f64::from(i) - 250.0 + lane
                });
                let (c, s) = cos_sin_deg(x);
                let (e, l, p) = (exp(x), ln(x.abs() + X::End::splat(1e-3)), nearest_whole(x));
                all.push([c, s, e, l, p].map(|v| v.get(0).to_bits()));
            }
            all
        }
    }

    #[test]
    fn exact_same_bits_at_every_width() {
        let reference = dispatch(widths()[0], Bits);
        for &width in widths() {
            assert!(dispatch(width, Bits) == reference, "{width:?} differs");
        }
    }
}
