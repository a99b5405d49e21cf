//! How much block is left between a cut and its neighbours: bolt, oil and water holes, the next bore, and the cut in
//! the next bore. Leaves out the water jacket, which has no drawn outline; see [`crate::wall_left`].

use glam::DVec2;
use parts::DeckHole;
use units::Length;

use crate::relief_cut::{ReliefCut, metres, outline_accuracy};
use crate::relief_margin::{Levels, Margin, least_along_cut};

/// A round hole in the deck, going straight down.
#[derive(Clone, Debug, PartialEq)]
pub struct Hole {
    /// What it is, such as `head bolt 3` or `steam hole`.
    pub name: String,
    /// Centre along the crank, positive to the front.
    pub x: Length,
    /// Centre across the engine, positive to the left.
    pub y: Length,
    /// Its diameter; for a bolt hole that of the thread or of its counterbore, whichever is larger.
    pub diameter: Length,
}

impl From<&DeckHole> for Hole {
    fn from(hole: &DeckHole) -> Self {
        Self { name: hole.name.clone(), x: hole.x.value, y: hole.y.value, diameter: hole.diameter.value }
    }
}

/// Least metal between the cut, at any depth, and a hole; negative when it breaks in. `None` for an empty cut.
///
/// Limit: [`crate::relief_limit::Left::Hole`].
pub fn to_hole(cut: &ReliefCut, hole: &Hole) -> Option<Margin> {
    let (center, radius) = (DVec2::new(hole.x.value, hole.y.value), hole.diameter.value / 2.0);
    least_along_cut(cut, Levels::All, |p| p.distance(center) - radius)
}

/// Least metal between the cut and the next bore, the lesser of both sides: `front` and `rear` say whether there is
/// one. `None` for an empty cut or a cylinder without neighbours.
///
/// Limit: [`crate::relief_limit::Left::BoreBridge`].
pub fn to_next_bore(cut: &ReliefCut, spacing: Length, front: bool, rear: bool) -> Option<Margin> {
    let sides = [(front, spacing), (rear, -spacing)];
    let next = |x: Length| Hole {
        name: String::new(),
        x,
        y: Length::default(),
        diameter: metres(2.0 * cut.bore_radius_m()),
    };
    sides
        .into_iter()
        .filter(|(there, _)| *there)
        .filter_map(|(_, x)| to_hole(cut, &next(x)))
        .reduce(Margin::lesser)
}

/// Least deck between the cut and the cut of the next bore, whose bore frame lies `spacing` toward the front; true to
/// the chords of the outlines. `None` when either leaves the deck whole.
///
/// Limit: [`crate::relief_limit::Left::BoreBridge`].
pub fn to_next_cut(cut: &ReliefCut, next: &ReliefCut, spacing: Length) -> Option<Margin> {
    let accuracy = outline_accuracy().value;
    let away = DVec2::new(spacing.value, 0.0);
    let other: Vec<DVec2> =
        next.outline.polylines(accuracy).into_iter().flatten().map(|p| p + away).collect();
    let to_other = |p: DVec2| other.iter().map(|q| p.distance(*q)).fold(f64::INFINITY, f64::min);
    if other.is_empty() {
        return None;
    }
    least_along_cut(cut, Levels::Deck, to_other)
}
