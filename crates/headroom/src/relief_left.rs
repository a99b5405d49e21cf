//! What a cut in bore and deck leaves of everything around it, each against its limit. Leaves out how each is measured,
//! which is in crate `fit`, and how sure it is, which is in `relief_left_chance.rs`.

use fit::relief_chamfer::chamfer_left;
use fit::relief_cut::ReliefCut;
use fit::relief_limit::Left;
use fit::relief_margin::Margin;
use fit::relief_of_block::cut_of;
use fit::relief_to_gasket::{to_fire_ring, to_gasket_opening};
use fit::relief_to_holes::{Hole, to_hole, to_next_bore, to_next_cut};
use fit::ring_land::{rise_of, to_top_ring};
use fit::solid::Plan;
use fit::wall_left::{deck_left, wall_left};
use parts::limit::Limit;
use parts::{Build, Cylinder};
use units::Length;

use crate::finding::{Status, Weakest};
use crate::place::{PlaceSeen, Surface};

/// One thing a cut leaves.
#[derive(Clone, Debug)]
pub struct LeftLine {
    /// Of what.
    pub of: Left,
    /// The cylinder it was found on.
    pub cylinder: usize,
    /// How much; `None` when a needed reading is missing.
    pub left: Option<Length>,
    /// 95 % half-width of it; zero until it was asked for.
    pub tolerance: Length,
    /// Chance that it is under its limit, from 0 to 1; `None` when it is unmeasured or was not asked for.
    pub chance_under_limit: Option<f64>,
    /// The reading whose tolerance matters most.
    pub weakest: Option<Weakest>,
    /// The least it may be.
    pub limit: Length,
    /// Who says so.
    pub source: String,
    /// How it stands.
    pub status: Status,
    /// Where it is least, in the bore frame, in metres.
    pub place_m: Option<[f64; 3]>,
    /// The same as one says it standing over the engine.
    pub place: Option<PlaceSeen>,
    /// The reading that is missing.
    pub needed: Option<&'static str>,
}

impl LeftLine {
    /// From what was found; without it the reading named is missing.
    pub fn new(of: Left, cylinder: usize, limit: Limit, found: Option<Margin>, needed: &'static str) -> Self {
        let place_m = found.map(|margin| margin.place_m.to_array());
        Self {
            of,
            cylinder,
            left: found.map(|margin| margin.left),
            tolerance: Length::default(),
            chance_under_limit: None,
            weakest: None,
            limit: limit.least,
            status: found.map_or(Status::Unmeasured, |margin| left_status(margin.left, limit.least)),
            source: limit.source,
            place_m,
            place: place_m.map(|place| PlaceSeen::new(place, Surface::Deck)),
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

/// What a cut leaves of one thing: how much where that is known, else the reading it takes.
pub(crate) type LeftOf = (Left, Option<Margin>, &'static str);

/// What a cut in bore and deck leaves, in the order of the answer. What the cut does not come near is not told.
///
/// `build` is the engine with every cut that is to be made: the next bore's count.
pub fn left_of_block(build: &Build, cylinder: &Cylinder, cut: &ReliefCut) -> Vec<LeftLine> {
    let next = Neighbours::of(build, cylinder);
    let lines = margins(cylinder, &next, cut, &|| wall_left(cut, &cylinder.block.metal.walls));
    let line = |(of, found, needed): LeftOf| LeftLine::new(of, cylinder.number, of.usual(), found, needed);
    lines.into_iter().map(line).collect()
}

/// The same as margins; `wall` tells how much wall is left, which takes a search.
pub(crate) fn margins(
    cylinder: &Cylinder,
    next: &Neighbours,
    cut: &ReliefCut,
    wall: &dyn Fn() -> Option<Margin>,
) -> Vec<LeftOf> {
    if cut.is_empty() {
        return Vec::new();
    }
    let (block, gasket, piston) = (&cylinder.block, &cylinder.gasket, &cylinder.piston);
    let mut lines: Vec<LeftOf> = Vec::new();
    let traced = !fit::gasket_edge::is_assumed(&gasket.opening);
    let opening = Plan::of(&gasket.opening);
    let cuts_deck = to_gasket_opening(cut, &opening);
    if cuts_deck.is_some() {
        lines.push((Left::GasketOverCut, cuts_deck.filter(|_| traced), "gasket.opening"));
        let inset = gasket.ring_inset.filter(|_| traced).map(|inset| inset.value);
        let ring = inset.and_then(|inset| to_fire_ring(cut, &opening, inset));
        lines.push((Left::FireRing, ring, "gasket.ring_inset"));
    }
    let ring = to_top_ring(cut, piston, rise_of(piston, block.bore.value));
    lines.push((Left::TopRing, ring, "piston.top_land_height"));
    lines.push((Left::Wall, wall(), "wall thickness there by sonic tester, block.wall"));
    let deck = deck_left(cut, block.metal.deck_thickness.map(|deck| deck.value));
    lines.push((Left::DeckPlate, deck, "block.deck_thickness"));
    if next.front.is_some() || next.rear.is_some() {
        let bridge = block.bore_spacing.and_then(|spacing| next.bridge(cut, spacing.value));
        lines.push((Left::BoreBridge, bridge, "block.bore_spacing"));
    }
    let holes = block.metal.holes.iter().map(Hole::from);
    let hole = holes.filter_map(|hole| to_hole(cut, &hole)).reduce(Margin::lesser);
    lines.push((Left::Hole, hole, "bolt and water holes, block.hole"));
    let strip = chamfer_left(cut).map(|chamfer| chamfer.strip);
    lines.push((Left::Chamfer, strip, "block.chamfer_depth"));
    lines
}

/// The bores beside one, with what is cut into them; `None` at an end of the row.
#[derive(Clone, Debug, Default)]
pub struct Neighbours {
    front: Option<Vec<ReliefCut>>,
    rear: Option<Vec<ReliefCut>>,
}

impl Neighbours {
    /// Those of a cylinder.
    pub fn of(build: &Build, cylinder: &Cylinder) -> Self {
        let row = (build.cylinders.len() / build.engine.banks.max(1)).max(1);
        let place = cylinder.number.saturating_sub(1) % row;
        let cuts = |number: usize| -> Vec<ReliefCut> {
            let other = build.cylinders.iter().find(|other| other.number == number);
            let reliefs = other.iter().flat_map(|other| &other.block.reliefs);
            reliefs.filter_map(|relief| cut_of(&other?.block, relief)).collect()
        };
        Self {
            front: (place > 0).then(|| cuts(cylinder.number - 1)),
            rear: (place + 1 < row).then(|| cuts(cylinder.number + 1)),
        }
    }

    /// Least deck between a cut and the next bore, or what is cut into it.
    fn bridge(&self, cut: &ReliefCut, spacing: Length) -> Option<Margin> {
        let to_bore = to_next_bore(cut, spacing, self.front.is_some(), self.rear.is_some());
        let sides = [(&self.front, spacing), (&self.rear, -spacing)];
        let to_cuts = sides.into_iter().flat_map(|(cuts, spacing)| {
            cuts.iter().flatten().filter_map(move |next| to_next_cut(cut, next, spacing))
        });
        to_bore.into_iter().chain(to_cuts).reduce(Margin::lesser)
    }
}
