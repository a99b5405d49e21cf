//! What was measured of the metal around the bore: wall thicknesses, deck plate, holes. A cut asks for it; nothing else
//! does.

use units::{Angle, Length, Reading};

use crate::readings::{ReadingMut, Visit, show, visit_readings};

/// The metal around one bore, as far as somebody measured it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DeckMetal {
    /// Wall thicknesses by sonic tester.
    pub walls: Vec<WallReading>,
    /// Thickness of the deck plate beside the bore.
    pub deck_thickness: Option<Reading<Length>>,
    /// Holes in the deck.
    pub holes: Vec<DeckHole>,
}

/// A wall thickness taken with a sonic tester from inside the bore, before any cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WallReading {
    /// Where around the bore, clockwise from the front seen from above.
    pub clockwise: Reading<Angle>,
    /// How far below the deck.
    pub below_deck: Reading<Length>,
    /// From the bore's surface to the water.
    pub thickness: Reading<Length>,
}

visit_readings!(WallReading { clockwise, below_deck, thickness });

/// A round hole in the deck, going straight down.
#[derive(Clone, Debug, PartialEq)]
pub struct DeckHole {
    /// What it is called, such as `bolt_3`.
    pub name: String,
    /// What goes through it.
    pub kind: HoleKind,
    /// Centre along the crank, positive to the front.
    pub x: Reading<Length>,
    /// Centre across the engine, positive to the left.
    pub y: Reading<Length>,
    /// Diameter; for a bolt that of the thread or of its counterbore, whichever is larger.
    pub diameter: Reading<Length>,
}

visit_readings!(DeckHole { x, y, diameter });

/// What goes through a hole in the deck.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HoleKind {
    /// A head bolt or stud.
    Bolt,
    /// Coolant.
    Water,
    /// Oil.
    Oil,
    /// A dowel, from which work is set up.
    Dowel,
}

impl HoleKind {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Bolt, Self::Water, Self::Oil, Self::Dowel];

    /// The word in a sheet.
    pub fn key(self) -> &'static str {
        match self {
            Self::Bolt => "bolt",
            Self::Water => "water",
            Self::Oil => "oil",
            Self::Dowel => "dowel",
        }
    }
}

impl Visit for DeckMetal {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        if let Some(thickness) = &mut self.deck_thickness {
            show(thickness, path, "deck_thickness", see);
        }
        for (idx, wall) in self.walls.iter_mut().enumerate() {
            wall.visit(&format!("{path}.wall.{}", idx + 1), see);
        }
        for hole in &mut self.holes {
            let hole_path = format!("{path}.hole.{}", hole.name);
            hole.visit(&hole_path, see);
        }
    }
}
