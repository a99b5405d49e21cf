//! Which lane type this processor runs, and the one door to the wide ones.
//!
//! A [`Program`] is run inside a function compiled for the instruction set; everything below it must be
//! `inline(always)` to inherit that. Leaves out: choosing how many variants to batch.

use super::{Across, Along, Layout};

/// Work to be run with a lane type chosen at run time.
pub trait Program {
    /// What it gives back.
    type Output;
    /// The work; mark the implementation `#[inline(always)]`, and all it calls in its inner loops.
    fn run<X: Layout>(self) -> Self::Output;
}

/// How many `f64` are advanced at a time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Width {
    /// One; any machine.
    One,
    /// Four: AVX2 and FMA.
    Four,
    /// Eight: AVX-512 F and DQ.
    Eight,
}

impl Width {
    /// Variants that run side by side with [`dispatch`].
    pub fn lanes(self) -> usize {
        match self {
            Self::One => 1,
            Self::Four => 4,
            Self::Eight => 8,
        }
    }

    /// The widest of this machine.
    pub fn widest() -> Self {
        *widths().last().expect("every machine has width one")
    }
}

/// The widths this machine can run, narrowest first.
pub fn widths() -> &'static [Width] {
    #[cfg(target_arch = "x86_64")]
    {
        let four = std::arch::is_x86_feature_detected!("avx2") && std::arch::is_x86_feature_detected!("fma");
        let eight = std::arch::is_x86_feature_detected!("avx512f")
            && std::arch::is_x86_feature_detected!("avx512dq")
            && std::arch::is_x86_feature_detected!("avx512vl");
        if four && eight {
            return &[Width::One, Width::Four, Width::Eight];
        }
        if four {
            return &[Width::One, Width::Four];
        }
    }
    &[Width::One]
}

/// Runs a program with variants side by side: [`Across`], `width.lanes()` of them.
///
/// A width this machine lacks falls back to one; ask [`widths`] first.
pub fn dispatch<P: Program>(width: Width, program: P) -> P::Output {
    #[cfg(target_arch = "x86_64")]
    if widths().contains(&width) {
        return super::x86::run_across(width, program);
    }
    let _ = width;
    program.run::<Across<f64>>()
}

/// Runs a program for one variant with neighbouring cells of a pipe side by side: [`Along`].
///
/// A width this machine lacks falls back to one.
pub fn dispatch_along<P: Program>(width: Width, program: P) -> P::Output {
    #[cfg(target_arch = "x86_64")]
    if widths().contains(&width) {
        return super::x86::run_along(width, program);
    }
    let _ = width;
    program.run::<Along<f64>>()
}
