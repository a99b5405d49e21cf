//! Reciprocals and quarter roots without the divider: a guess from the bits, then Newton steps.
//!
//! Integer and fused arithmetic only, so all lane types agree to the last bit.

use super::Lane;

/// The bits of 1.0 twice, less the offset that spreads the error of the linear guess of 1/x evenly.
/// From memory: the "magic number" trick; the offset is the midpoint, error at most 12.5 %.
pub(super) const RECIPROCAL_MAGIC: u64 = 0x7FDE_6238_22FC_16E6;

/// Five quarters of the bits of 1.0, less an offset that keeps the guess of x^(-1/4) within 4 %.
pub(super) const INVERSE_QUARTER_ROOT_MAGIC: u64 = 0x4FEB_0000_0000_0000;

/// 1/x within 3e-4 relative, for normal positive numbers: two Newton steps y (2 - x y).
#[inline(always)]
pub fn reciprocal_guess<L: Lane>(x: L) -> L {
    let one = L::splat(1.0);
    let y = x.reciprocal_seed();
    let y = y.fma((-x).fma(y, one), y);
    y.fma((-x).fma(y, one), y)
}

/// x^(-1/4) within 2e-5 relative for normal positive numbers: two Newton steps y + y (1 - x y^4) / 4.
#[inline(always)]
pub fn inverse_quarter_root<L: Lane>(x: L) -> L {
    let (one, quarter) = (L::splat(1.0), L::splat(0.25));
    let mut y = x.inverse_quarter_root_seed();
    for _ in 0..2 {
        let squared = y * y;
        let residual = (-(x * squared)).fma(squared, one);
        y = (y * quarter).fma(residual, y);
    }
    y
}

/// x^(1/4) within 6e-5 relative; zero for zero.
#[inline(always)]
pub fn quarter_root<L: Lane>(x: L) -> L {
    let y = inverse_quarter_root(x);
    x * (y * y * y)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_rough_roots_keep_their_promise() {
        let mut worst = [0.0_f64; 2];
        for i in 0..20_000 {
            let x = 1e-9 * 1.003_f64.powi(i);
            worst[0] = worst[0].max((reciprocal_guess(x) * x - 1.0).abs());
            worst[1] = worst[1].max((quarter_root(x) / x.powf(0.25) - 1.0).abs());
        }
        assert!(worst[0] < 3e-4, "reciprocal off by {:e}", worst[0]);
        assert!(worst[1] < 6e-5, "quarter root off by {:e}", worst[1]);
        assert_eq!(quarter_root(0.0), 0.0);
    }
}
