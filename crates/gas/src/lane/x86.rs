//! Four lanes with AVX2 and FMA, eight with AVX-512: thin names over the processor's instructions.
//!
//! The types never leave this crate except as a type parameter inside a function that was compiled for the
//! instruction set and is entered only after the processor was asked. That is the invariant all `unsafe`
//! here rests on.
#![expect(unsafe_code, reason = "vendor intrinsics; reached only after run-time detection, see above")]

use super::elementary::{ONE, ROUNDER, SIGNIFICAND, WHOLE};
use super::roots::{INVERSE_QUARTER_ROOT_MAGIC, RECIPROCAL_MAGIC};
use super::{Across, Along, Lane, MOST_CELLS, Program, Width};
use std::arch::x86_64::*;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// Runs with variants side by side. The caller has checked that this machine has `width`.
pub(super) fn run_across<P: Program>(width: Width, program: P) -> P::Output {
    // SAFETY: `dispatch` asked `widths()`; width one of a machine with FMA uses it for the same speed.
    unsafe {
        match width {
            Width::One if super::widths().contains(&Width::Four) => across_1(program),
            Width::One => program.run::<Across<f64>>(),
            Width::Four => across_4(program),
            Width::Eight => across_8(program),
        }
    }
}

/// Runs with cells side by side. The caller has checked that this machine has `width`.
pub(super) fn run_along<P: Program>(width: Width, program: P) -> P::Output {
    // SAFETY: as in `run_across`.
    unsafe {
        match width {
            Width::One if super::widths().contains(&Width::Four) => along_1(program),
            Width::One => program.run::<Along<f64>>(),
            Width::Four => along_4(program),
            Width::Eight => along_8(program),
        }
    }
}

macro_rules! entry {
    ($name:ident, $layout:ty, $features:literal) => {
        #[target_feature(enable = $features)]
        fn $name<P: Program>(program: P) -> P::Output {
            program.run::<$layout>()
        }
    };
}
entry!(across_1, Across<f64>, "avx2,fma");
entry!(across_4, Across<F64x4>, "avx2,fma");
entry!(across_8, Across<F64x8>, "avx2,fma,avx512f,avx512dq,avx512vl");
entry!(along_1, Along<f64>, "avx2,fma");
entry!(along_4, Along<F64x4>, "avx2,fma");
entry!(along_8, Along<F64x8>, "avx2,fma,avx512f,avx512dq,avx512vl");

/// A lane type over one packed register: what the two widths do alike, by the names of their instructions; the last
/// block holds what they do each in their own way.
macro_rules! wide {
    (
        $(#[$doc:meta])* $name:ident($packed:ty), $n:literal, $mask:ty;
        $set1:ident $load:ident $add:ident $sub:ident $mul:ident $div:ident $xor:ident
        $fma:ident $min:ident $max:ident $sqrt:ident;
        $set1_bits:ident $bits_of:ident $of_bits:ident $add_bits:ident $sub_bits:ident $or_bits:ident $and_bits:ident
        $right:ident $left:ident;
        $($own:tt)*
    ) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug)]
        #[repr(transparent)]
        pub struct $name($packed);

        wide!(@operator $name, Add, add, $add);
        wide!(@operator $name, Sub, sub, $sub);
        wide!(@operator $name, Mul, mul, $mul);
        wide!(@operator $name, Div, div, $div);

        impl AddAssign for $name {
            #[inline(always)]
            fn add_assign(&mut self, other: Self) {
                *self = *self + other;
            }
        }
        impl SubAssign for $name {
            #[inline(always)]
            fn sub_assign(&mut self, other: Self) {
                *self = *self - other;
            }
        }
        impl Neg for $name {
            type Output = Self;
            #[inline(always)]
            fn neg(self) -> Self {
                // SAFETY: see the module header.
                Self(unsafe { $xor(self.0, $set1(-0.0)) })
            }
        }

        impl $name {
            #[inline(always)]
            fn array(self) -> [f64; $n] {
                // SAFETY: same size, any bits are valid on both sides.
                unsafe { std::mem::transmute(self.0) }
            }
            #[inline(always)]
            fn from_array(lanes: [f64; $n]) -> Self {
                // SAFETY: same size, any bits are valid on both sides.
                Self(unsafe { std::mem::transmute::<[f64; $n], $packed>(lanes) })
            }
        }

        // SAFETY of every block below: see the module header.
        impl Lane for $name {
            type Mask = $mask;
            const N: usize = $n;
            #[inline(always)]
            fn splat(value: f64) -> Self {
                Self(unsafe { $set1(value) })
            }
            #[inline(always)]
            fn load(from: &[f64; MOST_CELLS]) -> Self {
                // Both widths fit into MOST_CELLS.
                Self(unsafe { $load(from.as_ptr()) })
            }
            #[inline(always)]
            fn fma(self, factor: Self, addend: Self) -> Self {
                Self(unsafe { $fma(self.0, factor.0, addend.0) })
            }
            #[inline(always)]
            fn min(self, other: Self) -> Self {
                Self(unsafe { $min(self.0, other.0) })
            }
            #[inline(always)]
            fn max(self, other: Self) -> Self {
                Self(unsafe { $max(self.0, other.0) })
            }
            #[inline(always)]
            fn sqrt(self) -> Self {
                Self(unsafe { $sqrt(self.0) })
            }
            #[inline(always)]
            fn get(self, lane: usize) -> f64 {
                self.array()[lane]
            }
            #[inline(always)]
            fn read(from: &Self, lane: usize) -> f64 {
                assert!(lane < Self::N);
                // SAFETY: the type is N packed f64, and the lane is one of them.
                unsafe { *std::ptr::from_ref(from).cast::<f64>().add(lane) }
            }
            #[inline(always)]
            fn with(self, lane: usize, value: f64) -> Self {
                let mut lanes = self.array();
                lanes[lane] = value;
                Self::from_array(lanes)
            }
            #[inline(always)]
            fn map(self, mut f: impl FnMut(f64) -> f64) -> Self {
                let mut lanes = self.array();
                for lane in &mut lanes {
                    *lane = f(*lane);
                }
                Self::from_array(lanes)
            }
            #[inline(always)]
            fn reduce_max(self) -> f64 {
                self.array().into_iter().fold(f64::NEG_INFINITY, |a, b| Lane::max(b, a))
            }
            #[inline(always)]
            fn reciprocal_seed(self) -> Self {
                unsafe { Self($of_bits($sub_bits($set1_bits(RECIPROCAL_MAGIC as i64), $bits_of(self.0)))) }
            }
            #[inline(always)]
            fn inverse_quarter_root_seed(self) -> Self {
                unsafe {
                    let magic = $set1_bits(INVERSE_QUARTER_ROOT_MAGIC as i64);
                    Self($of_bits($sub_bits(magic, $right::<2>($bits_of(self.0)))))
                }
            }
            #[inline(always)]
            fn exponent_and_significand(self) -> (Self, Self) {
                unsafe {
                    let bits = $bits_of(self.0);
                    let whole = $set1_bits(WHOLE as i64);
                    let exponent = $of_bits($or_bits($right::<52>(bits), whole));
                    let exponent = Self($sub(exponent, $of_bits(whole))) - Self::splat(1023.0);
                    let kept = $and_bits(bits, $set1_bits(SIGNIFICAND as i64));
                    (exponent, Self($of_bits($or_bits(kept, $set1_bits(ONE as i64)))))
                }
            }
            #[inline(always)]
            fn power_of_two(self) -> Self {
                let shifted = self + Self::splat(ROUNDER);
                unsafe {
                    let bits = $left::<52>($bits_of(shifted.0));
                    Self($of_bits($add_bits(bits, $set1_bits(ONE as i64))))
                }
            }
            $($own)*
        }
    };
    (@operator $name:ident, $trait:ident, $method:ident, $instruction:ident) => {
        impl $trait for $name {
            type Output = Self;
            #[inline(always)]
            fn $method(self, other: Self) -> Self {
                // SAFETY: see the module header.
                Self(unsafe { $instruction(self.0, other.0) })
            }
        }
    };
}

wide! {
    /// Four `f64` in an AVX register.
    F64x4(__m256d), 4, __m256d;
    _mm256_set1_pd _mm256_loadu_pd _mm256_add_pd _mm256_sub_pd _mm256_mul_pd _mm256_div_pd _mm256_xor_pd
    _mm256_fmadd_pd _mm256_min_pd _mm256_max_pd _mm256_sqrt_pd;
    _mm256_set1_epi64x _mm256_castpd_si256 _mm256_castsi256_pd _mm256_add_epi64 _mm256_sub_epi64 _mm256_or_si256 _mm256_and_si256
    _mm256_srli_epi64 _mm256_slli_epi64;
    #[inline(always)]
    fn abs(self) -> Self {
        Self(unsafe { _mm256_andnot_pd(_mm256_set1_pd(-0.0), self.0) })
    }
    #[inline(always)]
    fn lt(self, other: Self) -> __m256d {
        unsafe { _mm256_cmp_pd::<_CMP_LT_OQ>(self.0, other.0) }
    }
    #[inline(always)]
    fn not_positive(self) -> __m256d {
        unsafe { _mm256_cmp_pd::<_CMP_NGT_UQ>(self.0, _mm256_setzero_pd()) }
    }
    #[inline(always)]
    fn sel(mask: __m256d, when_true: Self, when_false: Self) -> Self {
        Self(unsafe { _mm256_blendv_pd(when_false.0, when_true.0, mask) })
    }
    #[inline(always)]
    fn and(a: __m256d, b: __m256d) -> __m256d {
        unsafe { _mm256_and_pd(a, b) }
    }
    #[inline(always)]
    fn any(mask: __m256d) -> bool {
        unsafe { _mm256_movemask_pd(mask) != 0 }
    }
    #[inline(always)]
    fn all(mask: __m256d) -> bool {
        unsafe { _mm256_movemask_pd(mask) == 0xF }
    }
    #[inline(always)]
    fn lanes_from(first: usize) -> __m256d {
        Self::from_array([0.0, 1.0, 2.0, 3.0]).lt(Self::splat(first as f64)).not()
    }
    #[inline(always)]
    fn shift_from(self, previous: Self) -> Self {
        unsafe {
            let middle = _mm256_permute2f128_pd::<0x21>(previous.0, self.0);
            Self(_mm256_shuffle_pd::<0b0101>(middle, self.0))
        }
    }
    #[inline(always)]
    fn shift_to(self, next: Self) -> Self {
        unsafe {
            let middle = _mm256_permute2f128_pd::<0x21>(self.0, next.0);
            Self(_mm256_shuffle_pd::<0b0101>(self.0, middle))
        }
    }
}

trait Not {
    fn not(self) -> Self;
}

impl Not for __m256d {
    #[inline(always)]
    fn not(self) -> Self {
        // SAFETY: see the module header.
        unsafe { _mm256_xor_pd(self, _mm256_castsi256_pd(_mm256_set1_epi64x(-1))) }
    }
}

wide! {
    /// Eight `f64` in an AVX-512 register.
    F64x8(__m512d), 8, __mmask8;
    _mm512_set1_pd _mm512_loadu_pd _mm512_add_pd _mm512_sub_pd _mm512_mul_pd _mm512_div_pd _mm512_xor_pd
    _mm512_fmadd_pd _mm512_min_pd _mm512_max_pd _mm512_sqrt_pd;
    _mm512_set1_epi64 _mm512_castpd_si512 _mm512_castsi512_pd _mm512_add_epi64 _mm512_sub_epi64 _mm512_or_si512 _mm512_and_si512
    _mm512_srli_epi64 _mm512_slli_epi64;
    #[inline(always)]
    fn abs(self) -> Self {
        Self(unsafe { _mm512_abs_pd(self.0) })
    }
    #[inline(always)]
    fn lt(self, other: Self) -> __mmask8 {
        unsafe { _mm512_cmp_pd_mask::<_CMP_LT_OQ>(self.0, other.0) }
    }
    #[inline(always)]
    fn not_positive(self) -> __mmask8 {
        unsafe { _mm512_cmp_pd_mask::<_CMP_NGT_UQ>(self.0, _mm512_setzero_pd()) }
    }
    #[inline(always)]
    fn sel(mask: __mmask8, when_true: Self, when_false: Self) -> Self {
        Self(unsafe { _mm512_mask_blend_pd(mask, when_false.0, when_true.0) })
    }
    #[inline(always)]
    fn and(a: __mmask8, b: __mmask8) -> __mmask8 {
        a & b
    }
    #[inline(always)]
    fn any(mask: __mmask8) -> bool {
        mask != 0
    }
    #[inline(always)]
    fn all(mask: __mmask8) -> bool {
        mask == 0xFF
    }
    #[inline(always)]
    fn lanes_from(first: usize) -> __mmask8 {
        if first < 8 { 0xFF << first } else { 0 }
    }
    #[inline(always)]
    fn shift_from(self, previous: Self) -> Self {
        unsafe {
            let (a, b) = (_mm512_castpd_si512(self.0), _mm512_castpd_si512(previous.0));
            Self(_mm512_castsi512_pd(_mm512_alignr_epi64::<7>(a, b)))
        }
    }
    #[inline(always)]
    fn shift_to(self, next: Self) -> Self {
        unsafe {
            let (a, b) = (_mm512_castpd_si512(next.0), _mm512_castpd_si512(self.0));
            Self(_mm512_castsi512_pd(_mm512_alignr_epi64::<1>(a, b)))
        }
    }
}
