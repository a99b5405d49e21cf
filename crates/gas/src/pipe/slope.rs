//! How steep a cell is: the monotonised central limiter, as half slopes.

use crate::lane::Lane;

/// Half the limited difference over a cell, from the differences to its left and right neighbours.
///
/// half = median(0, (a + b) / 4, the lesser of |a|, |b| with their sign); zero where they disagree in sign.
/// Source: B. van Leer (1977), "Towards the ultimate conservative difference scheme IV", J. Comput. Phys.
/// 23:276, eq. 66 (the MC limiter), halved. Written as six minima and maxima, without a branch.
#[inline(always)]
pub fn half_slope<L: Lane>(a: L, b: L) -> L {
    let zero = L::splat(0.0);
    let centred = (a + b) * L::splat(0.25);
    let upper = a.min(b).max(zero);
    let lower = a.max(b).min(zero);
    centred.min(upper).max(lower)
}

/// How much of the greater difference the steep slope keeps where the lesser allows it.
///
/// Ours. The two limiters agree where the lesser difference is above 2 x this - 1 of the greater, so smooth fields keep
/// their order; at 1 it would be superbee (P. L. Roe (1986), Annu. Rev. Fluid Mech. 18:337) inside the bounds of
/// the MC limiter, which turns waves into stairs.
const STEEPNESS: f64 = 0.94;

/// As [`half_slope`], but kept steep where the differences are far apart: for what is carried with the gas.
///
/// half = the lesser of min(|a|, |b|) and the greater of |a + b| / 4, STEEPNESS max(|a|, |b|) / 2, with their sign;
/// zero where they disagree in sign.
#[inline(always)]
pub fn half_slope_steep<L: Lane>(a: L, b: L) -> L {
    let zero = L::splat(0.0);
    let share = L::splat(0.5 * STEEPNESS);
    let centred = (a + b) * L::splat(0.25);
    let (low, high) = (a.min(b), a.max(b));
    let upper = low.min(centred.max(high * share)).max(zero);
    let lower = high.max(centred.min(low * share)).min(zero);
    upper + lower
}

/// The difference to stand outside an end cell: the inner one, but not more than twice the next one in.
///
/// With it [`half_slope`] extrapolates a smooth field to second order and stays bounded at a shock.
#[inline(always)]
pub fn end_difference<L: Lane>(inner: L, next: L) -> L {
    let zero = L::splat(0.0);
    let twice = next + next;
    let upper = inner.min(twice).max(zero);
    let lower = inner.max(twice).min(zero);
    upper + lower
}
