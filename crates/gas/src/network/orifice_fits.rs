//! Closed forms of orifice flow as short polynomials in lanes: no `pow`, no division.
//!
//! Fitted to the closed forms for gamma from 1.08 to 1.67 by checks/gas_end_fits/make_fits.py; x is the fall of
//! pressure over the pressure above, 1 - p/p_up, and a = 1/gamma. Leaves out what is solved with them.

use crate::lane::Lane;

/// gamma/(gamma-1) (r^(2/gamma) - r^((gamma+1)/gamma)) / x with r = 1 - x, less 1: within 2e-5 to the sonic x.
const FLUX_SHAPE: [[f64; 4]; 3] = [
    [-0.019_234_134_4, -1.436_293_26, -0.066_916_242_5, 0.023_106_071],
    [0.183_418_084, -1.406_636_33, 1.722_613_47, -0.175_219_29],
    [-0.417_280_286, 0.575_789_04, 0.371_202_378, -0.411_394_568],
];

/// (1 - r^(2/gamma)) / x, less 2/gamma: within 2e-5 to the sonic x.
const DENSITY_SHAPE: [[f64; 4]; 3] = [
    [-0.009_823_113_46, 1.044_431_95, -2.070_060_28, 0.036_435_106_4],
    [0.026_762_522_6, 0.514_547_24, -1.693_347_22, 1.145_608_49],
    [0.279_253_698, -0.785_617_196, 0.355_221_105, 0.163_226_954],
];

/// The x at which an opening phi of a pipe chokes, in powers of sqrt(1 - phi^2): within 3e-3. The flow is at its
/// greatest there, so it errs by the square of that.
const CHOKED_FALL: [[f64; 2]; 4] = [
    [1.464_671_75, -0.808_968_871],
    [-1.336_376_75, 0.917_356_461],
    [0.763_248_776, -0.575_551_41],
    [-0.193_991_381, 0.154_633_128],
];

/// The Mach number of a pipe whose opening phi is choked, over phi, less 1, in powers of sqrt(1 - phi^2): within
/// 2e-3; it serves as a guess only.
const CHOKED_MACH: [[f64; 2]; 4] = [
    [-0.964_131_043, 0.285_999_359],
    [0.764_845_725, -0.304_251_454],
    [-0.403_075_138, 0.181_493_007],
    [0.096_123_680_9, -0.046_258_642_3],
];

/// The x at which gas from rest becomes sonic: within 2e-5.
const SONIC_FALL: [f64; 4] = [0.888_400_921, -0.917_335_412, 0.580_922_662, -0.158_705_882];

/// sqrt(gamma) (2/(gamma+1))^((gamma+1)/(2(gamma-1))): within 3e-4; it serves as a guess only.
const SONIC_FLUX: [f64; 3] = [1.038_942_72, -0.657_453_249, 0.226_457_98];

/// No opening chokes below this fall: what keeps a wide open end from dividing nothing by nothing.
const LEAST_CHOKED_FALL: f64 = 1e-4;

#[inline(always)]
fn horner<L: Lane, const N: usize>(c: &[f64; N], x: L) -> L {
    let mut sum = L::splat(c[N - 1]);
    let mut k = N - 1;
    while k > 0 {
        k -= 1;
        sum = sum.fma(x, L::splat(c[k]));
    }
    sum
}

/// lead + c1 x + c2 x^2 + c3 x^3 and its slope, the coefficients worked out for one gamma.
#[derive(Clone, Copy)]
pub(super) struct Cubic<L> {
    c: [L; 4],
}

impl<L: Lane> Cubic<L> {
    #[inline(always)]
    fn of(lead: L, table: &[[f64; 4]; 3], a: L) -> Self {
        Self { c: [lead, horner(&table[0], a), horner(&table[1], a), horner(&table[2], a)] }
    }

    /// The flux function over x.
    #[inline(always)]
    pub(super) fn flux_shape(a: L) -> Self {
        Self::of(L::splat(1.0), &FLUX_SHAPE, a)
    }

    /// One less the density ratio squared, over x.
    #[inline(always)]
    pub(super) fn density_shape(a: L) -> Self {
        Self::of(a + a, &DENSITY_SHAPE, a)
    }

    /// x times the cubic, and the slope of that.
    #[inline(always)]
    pub(super) fn times_x(&self, x: L) -> (L, L) {
        let [c0, c1, c2, c3] = self.c;
        let value = c3.fma(x, c2).fma(x, c1).fma(x, c0);
        let slope = (c3 * L::splat(4.0)).fma(x, c2 * L::splat(3.0)).fma(x, c1 + c1).fma(x, c0);
        (x * value, slope)
    }
}

/// A polynomial in t = sqrt(1 - phi^2), from the first power on.
#[inline(always)]
fn in_t<L: Lane>(table: &[[f64; 2]; 4], t: L, a: L) -> L {
    let c = |k: usize| L::splat(table[k][1]).fma(a, L::splat(table[k][0]));
    t * c(3).fma(t, c(2)).fma(t, c(1)).fma(t, c(0))
}

/// The fall at which an opening chokes; t = sqrt(1 - phi^2).
#[inline(always)]
pub(super) fn choked_fall<L: Lane>(t: L, a: L) -> L {
    in_t(&CHOKED_FALL, t, a).max(L::splat(LEAST_CHOKED_FALL))
}

/// The Mach number in the pipe when the opening is choked, over the opening.
#[inline(always)]
pub(super) fn choked_mach<L: Lane>(t: L, a: L) -> L {
    L::splat(1.0) + in_t(&CHOKED_MACH, t, a)
}

/// The fall at which gas from rest becomes sonic.
#[inline(always)]
pub(super) fn sonic_fall<L: Lane>(a: L) -> L {
    horner(&SONIC_FALL, a)
}

/// Sonic mass flux of gas from rest over p0 / sqrt(R T0).
#[inline(always)]
pub(super) fn sonic_flux<L: Lane>(a: L) -> L {
    horner(&SONIC_FLUX, a)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_fits_keep_their_promise() {
        let mut worst = [0.0_f64; 6];
        for i in 0..=59 {
            let g = 1.08 + 0.01 * f64::from(i);
            let a = 1.0 / g;
            let sonic = 1.0 - (2.0 / (g + 1.0)).powf(g / (g - 1.0));
            worst[2] = worst[2].max((sonic_fall(a) - sonic).abs());
            let flux = g.sqrt() * (2.0 / (g + 1.0)).powf((g + 1.0) / (2.0 * (g - 1.0)));
            worst[3] = worst[3].max((sonic_flux(a) - flux).abs());
            for k in 1..=50 {
                let x = sonic * f64::from(k) / 50.0;
                let r = 1.0 - x;
                let flux = g / (g - 1.0) * (r.powf(2.0 / g) - r.powf((g + 1.0) / g));
                worst[0] = worst[0].max((Cubic::flux_shape(a).times_x(x).0 / flux - 1.0).abs());
                let density = 1.0 - r.powf(2.0 / g);
                worst[1] = worst[1].max((Cubic::density_shape(a).times_x(x).0 / density - 1.0).abs());
                // A Mach number, the opening it chokes, and the fall from it to the throat.
                let m = f64::from(k) / 50.0;
                let t_ratio = 2.0 / (g + 1.0) * (1.0 + (g - 1.0) / 2.0 * m * m);
                let phi = (m * t_ratio.powf(-(g + 1.0) / (2.0 * (g - 1.0)))).min(1.0);
                let t = (1.0 - phi * phi).sqrt();
                worst[4] = worst[4].max((choked_fall(t, a) - (1.0 - t_ratio.powf(g / (g - 1.0)))).abs());
                worst[5] = worst[5].max((choked_mach(t, a) * phi / m - 1.0).abs());
            }
        }
        let promised = [4e-5, 4e-5, 2e-5, 3e-4, 4e-3, 3e-3];
        for (found, promised) in worst.into_iter().zip(promised) {
            assert!(found < promised, "{worst:?}");
        }
    }
}
