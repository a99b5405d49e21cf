//! Two lane values side by side, so that two long chains of operations run at the same time.
//!
//! A processor looks only some hundred instructions ahead for independent work; a solver whose every result waits
//! for the one before it leaves it idle unless it is handed two problems at once. Lane by lane the same bits.

use super::{Lane, MOST_CELLS};
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// Two lane values: the lanes of the first, then those of the second.
#[derive(Clone, Copy, Debug)]
pub struct Two<L>(pub L, pub L);

macro_rules! operator {
    ($trait:ident, $name:ident, $op:tt) => {
        impl<L: Lane> $trait for Two<L> {
            type Output = Self;
            #[inline(always)]
            fn $name(self, other: Self) -> Self {
                Self(self.0 $op other.0, self.1 $op other.1)
            }
        }
    };
}
operator!(Add, add, +);
operator!(Sub, sub, -);
operator!(Mul, mul, *);
operator!(Div, div, /);

impl<L: Lane> Neg for Two<L> {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        Self(-self.0, -self.1)
    }
}

impl<L: Lane> AddAssign for Two<L> {
    #[inline(always)]
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl<L: Lane> SubAssign for Two<L> {
    #[inline(always)]
    fn sub_assign(&mut self, other: Self) {
        *self = *self - other;
    }
}

/// What both halves do for themselves.
macro_rules! both {
    ($($name:ident($($other:ident),*));+ $(;)?) => {
        $(
            #[inline(always)]
            fn $name(self, $($other: Self),*) -> Self {
                Self(self.0.$name($($other.0),*), self.1.$name($($other.1),*))
            }
        )+
    };
}

impl<L: Lane> Lane for Two<L> {
    type Mask = (L::Mask, L::Mask);
    const N: usize = 2 * L::N;
    both! {
        fma(factor, addend);
        min(other);
        max(other);
        sqrt();
        abs();
        reciprocal_seed();
        inverse_quarter_root_seed();
        power_of_two();
    }
    #[inline(always)]
    fn splat(value: f64) -> Self {
        Self(L::splat(value), L::splat(value))
    }
    #[inline(always)]
    fn load(from: &[f64; MOST_CELLS]) -> Self {
        let mut second = [0.0; MOST_CELLS];
        for (lane, value) in second.iter_mut().enumerate().take(MOST_CELLS - L::N) {
            *value = from[L::N + lane];
        }
        Self(L::load(from), L::load(&second))
    }
    #[inline(always)]
    fn lt(self, other: Self) -> Self::Mask {
        (self.0.lt(other.0), self.1.lt(other.1))
    }
    #[inline(always)]
    fn not_positive(self) -> Self::Mask {
        (self.0.not_positive(), self.1.not_positive())
    }
    #[inline(always)]
    fn sel(mask: Self::Mask, when_true: Self, when_false: Self) -> Self {
        Self(L::sel(mask.0, when_true.0, when_false.0), L::sel(mask.1, when_true.1, when_false.1))
    }
    #[inline(always)]
    fn and(a: Self::Mask, b: Self::Mask) -> Self::Mask {
        (L::and(a.0, b.0), L::and(a.1, b.1))
    }
    #[inline(always)]
    fn any(mask: Self::Mask) -> bool {
        L::any(mask.0) | L::any(mask.1)
    }
    #[inline(always)]
    fn all(mask: Self::Mask) -> bool {
        L::all(mask.0) & L::all(mask.1)
    }
    #[inline(always)]
    fn lanes_from(first: usize) -> Self::Mask {
        (L::lanes_from(first.min(L::N)), L::lanes_from(first.saturating_sub(L::N)))
    }
    #[inline(always)]
    fn get(self, lane: usize) -> f64 {
        if lane < L::N { self.0.get(lane) } else { self.1.get(lane - L::N) }
    }
    #[inline(always)]
    fn read(from: &Self, lane: usize) -> f64 {
        if lane < L::N { L::read(&from.0, lane) } else { L::read(&from.1, lane - L::N) }
    }
    #[inline(always)]
    fn with(self, lane: usize, value: f64) -> Self {
        if lane < L::N {
            Self(self.0.with(lane, value), self.1)
        } else {
            Self(self.0, self.1.with(lane - L::N, value))
        }
    }
    #[inline(always)]
    fn map(self, mut f: impl FnMut(f64) -> f64) -> Self {
        Self(self.0.map(&mut f), self.1.map(&mut f))
    }
    #[inline(always)]
    fn shift_from(self, previous: Self) -> Self {
        Self(self.0.shift_from(previous.1), self.1.shift_from(self.0))
    }
    #[inline(always)]
    fn shift_to(self, next: Self) -> Self {
        Self(self.0.shift_to(self.1), self.1.shift_to(next.0))
    }
    #[inline(always)]
    fn reduce_max(self) -> f64 {
        Lane::max(self.0.reduce_max(), self.1.reduce_max())
    }
    #[inline(always)]
    fn exponent_and_significand(self) -> (Self, Self) {
        let (a, b) = (self.0.exponent_and_significand(), self.1.exponent_and_significand());
        (Self(a.0, b.0), Self(a.1, b.1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_two_is_twice_one() {
        let (a, b) = (Two(2.0, -3.0), Two(0.5, 7.0));
        let sum = a.fma(b, a) / b - a;
        assert_eq!((sum.get(0), sum.get(1)), ((2.0 * 0.5 + 2.0) / 0.5 - 2.0, (-3.0 * 7.0 - 3.0) / 7.0 + 3.0));
        let picked = Two::sel(a.lt(b), a, b);
        assert_eq!((picked.get(0), picked.get(1)), (0.5, -3.0));
        let (from, to) = (a.shift_from(b), a.shift_to(b));
        assert_eq!((from.0, from.1, to.0, to.1), (7.0, 2.0, -3.0, 0.5));
        assert_eq!(Two::sel(Two::<f64>::lanes_from(1), a, b).get(0), 0.5);
        assert_eq!(
            (Two::<f64>::load(&[1.0, 2.0, 3.0, 0.0, 0.0, 0.0, 0.0, 0.0]).1, a.reduce_max()),
            (2.0, 2.0)
        );
    }
}
