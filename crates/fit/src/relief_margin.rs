//! How much is left between a cut and something near it, and where. Leaves out what that something is.

use glam::{DVec2, DVec3};
use units::Length;

use crate::distance::{Minimum, RESOLUTION_M};
use crate::relief_cut::{ReliefCut, metres};
use crate::relief_outline::{Section, least_of_span};

/// What is left, and where it is least.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margin {
    /// Positive when something is left, negative by how much the cut goes too far.
    pub left: Length,
    /// The point of the cut where it is least, in the bore frame, in metres.
    pub place_m: DVec3,
}

impl Margin {
    pub(crate) fn new(left_m: f64, place_m: DVec3) -> Self {
        Self { left: metres(left_m), place_m }
    }

    /// The lesser of two.
    pub fn lesser(self, other: Self) -> Self {
        if other.left < self.left { other } else { self }
    }
}

/// Levels at which a cut's outline is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Levels {
    /// At the deck.
    Deck,
    /// From the deck to the floor.
    All,
}

/// Looks along an outline, and levels between deck and floor.
const N_LOOKS: usize = 120;
const N_LEVELS: usize = 16;

/// The lowest level is taken this share of the depth above the floor, where a square corner still has its outline.
const ABOVE_FLOOR: f64 = 1e-6;

/// The least value of a function of the place over the cutter's outlines outside the bore; `None` without any.
///
/// At each level the lowest of many looks is polished; between levels the cutter's outline moves evenly down its
/// straight side, so that a distance from it is least at deck or floor unless a corner radius or a chamfer comes in
/// between, where the step between levels (a sixteenth of the depth) is what may be missed.
pub fn least_along_cut(cut: &ReliefCut, levels: Levels, value: impl Fn(DVec2) -> f64) -> Option<Margin> {
    let depth = -cut.extent.as_ref()?.lowest.z * (1.0 - ABOVE_FLOOR);
    let n_levels = if levels == Levels::Deck { 0 } else { N_LEVELS };
    let at_level = |idx: usize| {
        let z = if idx == 0 { 0.0 } else { -depth * idx as f64 / n_levels as f64 };
        let (at, least) = least_at_level(cut, z, &value)?;
        Some(Margin::new(least, at.extend(z)))
    };
    // Where a straight wall makes all levels alike, the deck's is the one to name.
    let clearly_lesser =
        |a: Margin, b: Margin| if b.left.value < a.left.value - RESOLUTION_M { b } else { a };
    (0..=n_levels).filter_map(at_level).reduce(clearly_lesser)
}

fn least_at_level(cut: &ReliefCut, z: f64, value: &impl Fn(DVec2) -> f64) -> Option<(DVec2, f64)> {
    let cutter = cut.cutter.lowered_by(z);
    let section = Section::new(&cutter)?;
    let border = cut.metal.border_radius(z);
    let spans = section.stretches(|p| border - p.length());
    let best = |span: &[f64; 2]| least_of_span(|angle| value(section.point(angle)), *span, N_LOOKS);
    let lower = |a: Minimum, b: Minimum| if b.value < a.value { b } else { a };
    let best = spans.iter().map(best).reduce(lower)?;
    Some((section.point(best.at), best.value))
}
