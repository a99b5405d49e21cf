//! The least that a relief may leave of everything around it, with who says so. Leaves out the limits of gaps between
//! parts, which are in `parts::limit`.

use parts::CrownMake;
use parts::limit::Limit;
use units::Length;
use units::length::inch;

/// Something a relief must leave enough of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Left {
    /// Deck between the cut and the edge of the gasket opening, which has to lie outside.
    GasketOverCut,
    /// Deck between the cut and the gasket's fire ring or bead.
    FireRing,
    /// Wall between the floor of the cut and the top ring's upper face at its highest.
    TopRing,
    /// Metal between the cut and the water jacket.
    Wall,
    /// Deck plate below the floor of the cut.
    DeckPlate,
    /// Deck between the cut and the neighbouring bore.
    BoreBridge,
    /// Deck between the cut and a bolt, oil or water hole.
    Hole,
    /// Foot of the lead-in chamfer below the floor of the cut.
    Chamfer,
    /// Crown below a fly-cut.
    Crown,
    /// Top land left above the ring groove where a fly-cut comes out of the piston's side.
    LandAboveGroove,
    /// Metal between a fly-cut and the ring groove.
    Groove,
}

impl Left {
    /// All of them, in the order of the answer.
    pub const ALL: [Self; 11] = [
        Self::GasketOverCut,
        Self::FireRing,
        Self::TopRing,
        Self::Wall,
        Self::DeckPlate,
        Self::BoreBridge,
        Self::Hole,
        Self::Chamfer,
        Self::Crown,
        Self::LandAboveGroove,
        Self::Groove,
    ];

    /// A word for it, as a key.
    pub fn key(self) -> &'static str {
        match self {
            Self::GasketOverCut => "gasket_over_cut",
            Self::FireRing => "fire_ring_land",
            Self::TopRing => "cut_to_top_ring",
            Self::Wall => "wall_left",
            Self::DeckPlate => "deck_left",
            Self::BoreBridge => "bore_bridge",
            Self::Hole => "cut_to_hole",
            Self::Chamfer => "chamfer_left",
            Self::Crown => "crown_left",
            Self::LandAboveGroove => "land_above_groove",
            Self::Groove => "cut_to_groove",
        }
    }

    /// The default limit.
    pub fn usual(self) -> Limit {
        let (thou, source) = match self {
            // Opening outside bore, notches and chamber by 0.015 to 0.020 in; gasket makers' advice of 0.030 in on
            // the diameter at the least gives the same.
            Self::GasketOverCut => (
                15.0,
                "0.015 in: the gasket opening must clear every cut (derived from gasket makers' advice)",
            ),
            // About 1 mm of flat deck on either side of the bead.
            Self::FireRing => (40.0, "0.040 in of flat deck inside the bead (common practice, no source)"),
            // 0.030 to 0.060 in, and the deck's own uncertainty on top, which the tolerances bring.
            Self::TopRing => {
                (30.0, "0.030 in; 0.060 in is comfortable (derived and common practice, no source)")
            }
            // Absolute floor in critical areas; racing builders keep 0.180 in, boosted 0.200 in on the thrust side.
            Self::Wall => (
                125.0,
                "0.125 in, the floor for critical areas (engine machining press); 0.180 in is usual in racing",
            ),
            // A cut deeper than the deck plate goes into the water-backed wall.
            Self::DeckPlate => (0.0, "the floor stays within the deck plate (common practice, no source)"),
            // Embossed steel gaskets: 7 to 8 mm on the road, 5 to 6 mm in racing.
            Self::BoreBridge => (200.0, "0.200 in (5 mm), racing practice (common practice, no source)"),
            Self::Hole => (125.0, "0.125 in, as the wall (common practice, no source)"),
            // A window in the chamfer is usual, but its edges have to be broken by hand: 0.5 to 1 mm.
            Self::Chamfer => (
                0.0,
                "ring lead-in kept all round, else break every edge 0.5 to 1 mm (common practice, no source)",
            ),
            Self::Crown => return crown_limit(CrownMake::Forged),
            // 0.100 in preferred.
            Self::LandAboveGroove => (100.0, "0.100 in (common practice, no source; ask the piston maker)"),
            Self::Groove => (60.0, "0.060 in (common practice, no source; ask the piston maker)"),
        };
        Limit { least: Length::new::<inch>(thou / 1000.0), source: source.to_owned() }
    }
}

/// Least crown below a fly-cut, by how the piston is made.
pub fn crown_limit(make: CrownMake) -> Limit {
    let (thou, source) = match make {
        // 0.150 to 0.180 in.
        CrownMake::Cast => (180.0, "0.180 in, cast pistons, better not cut at all"),
        // 0.180 to 0.200 in.
        CrownMake::Forged => (200.0, "0.200 in, forged pistons without boost"),
        // 0.225 to 0.250 in.
        CrownMake::ForgedBoosted => (250.0, "0.250 in, forged pistons with boost or nitrous oxide"),
    };
    let source = format!("{source} (common practice, no source; ask the piston maker)");
    Limit { least: Length::new::<inch>(thou / 1000.0), source }
}
