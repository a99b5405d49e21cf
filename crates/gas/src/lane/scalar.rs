//! A single `f64` as a lane: the plain reference.

use super::elementary::{ONE, ROUNDER, SIGNIFICAND, WHOLE};
use super::roots::{INVERSE_QUARTER_ROOT_MAGIC, RECIPROCAL_MAGIC};
use super::{Lane, MOST_CELLS};

impl Lane for f64 {
    type Mask = bool;
    const N: usize = 1;
    #[inline(always)]
    fn splat(value: f64) -> Self {
        value
    }
    #[inline(always)]
    fn load(from: &[f64; MOST_CELLS]) -> Self {
        from[0]
    }
    #[inline(always)]
    fn fma(self, factor: Self, addend: Self) -> Self {
        self.mul_add(factor, addend)
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        if self < other { self } else { other }
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        if self > other { self } else { other }
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        f64::sqrt(self)
    }
    #[inline(always)]
    fn abs(self) -> Self {
        f64::abs(self)
    }
    #[inline(always)]
    fn lt(self, other: Self) -> bool {
        self < other
    }
    #[inline(always)]
    fn not_positive(self) -> bool {
        !matches!(0.0_f64.partial_cmp(&self), Some(std::cmp::Ordering::Less))
    }
    #[inline(always)]
    fn sel(mask: bool, when_true: Self, when_false: Self) -> Self {
        if mask { when_true } else { when_false }
    }
    #[inline(always)]
    fn and(a: bool, b: bool) -> bool {
        a & b
    }
    #[inline(always)]
    fn any(mask: bool) -> bool {
        mask
    }
    #[inline(always)]
    fn all(mask: bool) -> bool {
        mask
    }
    #[inline(always)]
    fn lanes_from(first: usize) -> bool {
        first == 0
    }
    #[inline(always)]
    fn get(self, _lane: usize) -> f64 {
        self
    }
    #[inline(always)]
    fn read(from: &Self, _lane: usize) -> f64 {
        *from
    }
    #[inline(always)]
    fn with(self, _lane: usize, value: f64) -> Self {
        value
    }
    #[inline(always)]
    fn map(self, mut f: impl FnMut(f64) -> f64) -> Self {
        f(self)
    }
    #[inline(always)]
    fn shift_from(self, previous: Self) -> Self {
        previous
    }
    #[inline(always)]
    fn shift_to(self, next: Self) -> Self {
        next
    }
    #[inline(always)]
    fn reduce_max(self) -> f64 {
        self
    }
    #[inline(always)]
    fn reciprocal_seed(self) -> Self {
        f64::from_bits(RECIPROCAL_MAGIC.wrapping_sub(self.to_bits()))
    }
    #[inline(always)]
    fn inverse_quarter_root_seed(self) -> Self {
        f64::from_bits(INVERSE_QUARTER_ROOT_MAGIC.wrapping_sub(self.to_bits() >> 2))
    }
    #[inline(always)]
    fn exponent_and_significand(self) -> (Self, Self) {
        let bits = self.to_bits();
        let exponent = f64::from_bits((bits >> 52) | WHOLE) - f64::from_bits(WHOLE) - 1023.0;
        (exponent, f64::from_bits((bits & SIGNIFICAND) | ONE))
    }
    #[inline(always)]
    fn power_of_two(self) -> Self {
        // The low bits of self + 1.5 2^52 are the whole number itself, in two's complement.
        f64::from_bits((self + ROUNDER).to_bits().wrapping_shl(52).wrapping_add(ONE))
    }
}
