//! What a cut leaves of everything around it, each against its limit. Leaves out how each is measured, which is in crate
//! `fit`.

use fit::relief_chamfer::chamfer_left;
use fit::relief_cut::ReliefCut;
use fit::relief_limit::Left;
use fit::relief_margin::Margin;
use fit::relief_to_gasket::{to_fire_ring, to_gasket_opening};
use fit::relief_to_holes::{to_hole, to_next_bore};
use fit::ring_land::to_top_ring;
use fit::solid::Plan;
use fit::wall_left::{deck_left, wall_left};
use parts::limit::Limit;
use parts::{Build, Cylinder};
use units::Length;

use crate::finding::Status;
use crate::place::{PlaceSeen, Surface};
use crate::relief::ReliefOptions;

/// One thing a cut leaves.
#[derive(Clone, Debug)]
pub struct LeftLine {
    /// Of what.
    pub of: Left,
    /// The cylinder it was found on.
    pub cylinder: usize,
    /// How much; `None` when a needed reading is missing.
    pub left: Option<Length>,
    /// The least it may be.
    pub limit: Length,
    /// Who says so.
    pub source: String,
    /// How it stands.
    pub status: Status,
    /// Where it is least.
    pub place: Option<PlaceSeen>,
    /// The reading that is missing.
    pub needed: Option<&'static str>,
}

impl LeftLine {
    /// From what was found; without it the reading named is missing.
    pub fn new(of: Left, cylinder: usize, limit: Limit, found: Option<Margin>, needed: &'static str) -> Self {
        Self {
            of,
            cylinder,
            left: found.map(|margin| margin.left),
            limit: limit.least,
            status: found.map_or(Status::Unmeasured, |margin| left_status(margin.left, limit.least)),
            source: limit.source,
            place: found.map(|margin| PlaceSeen::new(margin.place_m.to_array(), Surface::Deck)),
            needed: found.is_none().then_some(needed),
        }
    }

    /// Whether the engine can die of it. A window in the chamfer is only hand work.
    pub fn counts(&self) -> bool {
        self.of != Left::Chamfer
    }

    /// Whether the engine does not survive it: under its limit.
    pub fn is_fatal(&self) -> bool {
        self.counts() && matches!(self.status, Status::Tight | Status::Hits)
    }

    /// The word for how it stands.
    pub fn word(&self) -> &'static str {
        match (self.of, self.status) {
            (_, Status::Unmeasured) => "unmeasured",
            (_, Status::Clear) => "survives",
            (Left::Chamfer, _) => "break edges",
            _ => "does not survive",
        }
    }
}

/// Nothing left is a hit; something under the limit is tight. A limit of zero is met by zero.
fn left_status(left: Length, limit: Length) -> Status {
    if left >= limit {
        Status::Clear
    } else if left.value <= 0.0 {
        Status::Hits
    } else {
        Status::Tight
    }
}

/// What a cut in bore and deck leaves, in the order of the answer. What the cut does not come near is not told.
pub fn left_of_block(
    build: &Build,
    cylinder: &Cylinder,
    cut: &ReliefCut,
    options: &ReliefOptions,
) -> Vec<LeftLine> {
    if cut.is_empty() {
        return Vec::new();
    }
    let line = |of: Left, found, needed| LeftLine::new(of, cylinder.number, of.usual(), found, needed);
    let mut lines = Vec::new();
    let traced = !fit::gasket_edge::is_assumed(&cylinder.gasket.opening);
    let opening = Plan::of(&cylinder.gasket.opening);
    let cuts_deck = to_gasket_opening(cut, &opening);
    if cuts_deck.is_some() {
        lines.push(line(Left::GasketOverCut, cuts_deck.filter(|_| traced), "gasket.opening"));
        if let Some(inset) = options.fire_ring_inset.filter(|_| traced) {
            let ring = to_fire_ring(cut, &opening, inset);
            lines.push(line(Left::FireRing, ring, "where the fire ring lies"));
        }
    }
    let ring = to_top_ring(cut, &cylinder.piston, options.rise);
    lines.push(line(Left::TopRing, ring, "piston.top_land_height"));
    let wall = wall_left(cut, &options.walls);
    lines.push(line(Left::Wall, wall, "wall thickness there, by sonic tester"));
    lines.push(line(Left::DeckPlate, deck_left(cut, options.deck_thickness), "thickness of the deck plate"));
    let [front, rear] = neighbours(build, cylinder.number);
    if front || rear {
        let spacing = cylinder.block.bore_spacing.map(|spacing| spacing.value);
        let bridge = spacing.and_then(|spacing| to_next_bore(cut, spacing, front, rear));
        lines.push(line(Left::BoreBridge, bridge, "block.bore_spacing"));
    }
    let hole = options.holes.iter().filter_map(|hole| to_hole(cut, hole)).reduce(Margin::lesser);
    if hole.is_some() {
        lines.push(line(Left::Hole, hole, "holes in the deck"));
    }
    let strip = chamfer_left(cut).map(|chamfer| chamfer.strip);
    lines.push(line(Left::Chamfer, strip, "block.chamfer_depth"));
    lines
}

/// Whether there is a bore in front of and behind a cylinder in its row.
fn neighbours(build: &Build, number: usize) -> [bool; 2] {
    let row = (build.cylinders.len() / build.engine.banks.max(1)).max(1);
    let place = number.saturating_sub(1) % row;
    [place > 0, place + 1 < row]
}
