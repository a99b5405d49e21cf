//! The number type of the hot kernels: one `f64`, or four or eight side by side.
//!
//! The kernels are written once over [`Lane`]. A lane value is either the same cell of several variants
//! ([`Across`]) or several neighbouring cells of one pipe ([`Along`]); the arithmetic is the same, so the
//! results agree to the last bit. Wide types can be reached through [`dispatch`] only, which has asked the
//! processor first. Leaves out: anything that knows what the numbers mean.

mod dispatch;
mod elementary;
mod layout;
mod roots;
mod scalar;
mod two;
#[cfg(target_arch = "x86_64")]
mod x86;

pub use dispatch::{Program, Width, dispatch, dispatch_along, widths};
pub use elementary::{cos_sin_deg, exp, ln, nearest_whole};
pub use layout::{Across, Along, Layout, MOST_CELLS};
pub use roots::{inverse_quarter_root, quarter_root, reciprocal_guess};
pub use two::Two;

use std::fmt::Debug;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// One or more `f64` advanced together. No operation lets one lane see another, except the named shifts
/// and the reductions.
///
/// Every operation is the IEEE one and correctly rounded, so all implementations give the same bits.
/// `min` and `max` return the second operand when either is not a number, as the x86 instructions do.
pub trait Lane:
    Copy
    + Debug
    + Send
    + Sync
    + 'static
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
    + AddAssign
    + SubAssign
{
    /// The outcome of a comparison, one bit a lane.
    type Mask: Copy + Debug;
    /// How many numbers it holds.
    const N: usize;
    /// The same number in every lane.
    fn splat(value: f64) -> Self;
    /// The first `N` of these.
    fn load(from: &[f64; MOST_CELLS]) -> Self;
    /// Fused `self * factor + addend`, rounded once.
    fn fma(self, factor: Self, addend: Self) -> Self;
    /// The lesser; `other` when either is not a number.
    fn min(self, other: Self) -> Self;
    /// The greater; `other` when either is not a number.
    fn max(self, other: Self) -> Self;
    /// Square root.
    fn sqrt(self) -> Self;
    /// Magnitude.
    fn abs(self) -> Self;
    /// Where `self < other`.
    fn lt(self, other: Self) -> Self::Mask;
    /// Where it is zero, negative or not a number.
    fn not_positive(self) -> Self::Mask;
    /// `when_true` where the mask is set, else `when_false`.
    fn sel(mask: Self::Mask, when_true: Self, when_false: Self) -> Self;
    /// Lanes set in both masks.
    fn and(a: Self::Mask, b: Self::Mask) -> Self::Mask;
    /// Whether any lane is set. Must only steer work that changes no value in the lanes that are not set.
    fn any(mask: Self::Mask) -> bool;
    /// Whether all lanes are set. As [`Lane::any`].
    fn all(mask: Self::Mask) -> bool;
    /// Lanes whose position is `first` or later.
    fn lanes_from(first: usize) -> Self::Mask;
    /// One lane.
    fn get(self, lane: usize) -> f64;
    /// One lane, read where the value lies.
    fn read(from: &Self, lane: usize) -> f64;
    /// The same with one lane replaced.
    fn with(self, lane: usize, value: f64) -> Self;
    /// `f` of every lane in turn; for work outside the step loop.
    fn map(self, f: impl FnMut(f64) -> f64) -> Self;
    /// The left neighbours when lanes are successive cells: the last of `previous`, then all but the last
    /// of `self`.
    fn shift_from(self, previous: Self) -> Self;
    /// The right neighbours when lanes are successive cells: all but the first of `self`, then the first
    /// of `next`.
    fn shift_to(self, next: Self) -> Self;
    /// The greatest lane.
    fn reduce_max(self) -> f64;
    /// A first guess of `1 / self` from its bits, within 13 %; for normal positive numbers.
    fn reciprocal_seed(self) -> Self;
    /// A first guess of `self^(-1/4)` from its bits, within 4 %; for normal positive numbers.
    fn inverse_quarter_root_seed(self) -> Self;
    /// The whole exponent of two and what is left, from 1 up to 2; for normal positive numbers.
    fn exponent_and_significand(self) -> (Self, Self);
    /// Two to the power of a whole number from -1022 to 1023.
    fn power_of_two(self) -> Self;
}
