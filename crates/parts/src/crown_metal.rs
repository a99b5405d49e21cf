//! What was measured of the metal of a piston's crown, and how far the piston rises running. A cut asks for it; nothing
//! else does.

use units::{Length, Reading};

use crate::readings::visit_readings;

/// The metal around crown and top ring, as far as somebody measured it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CrownMetal {
    /// Thickness of the crown where a pocket goes.
    pub crown_thickness: Option<Reading<Length>>,
    /// From the top land's surface inward to the back of the top ring groove.
    pub groove_depth: Option<Reading<Length>>,
    /// Between the groove's faces.
    pub groove_height: Option<Reading<Length>>,
    /// How far the running piston stands higher than by hand.
    pub growth: Option<Reading<Length>>,
    /// How it is made.
    pub make: Option<CrownMake>,
}

visit_readings!(CrownMetal { ; crown_thickness?, groove_depth?, groove_height?, growth? });

/// How a piston is made and used, for the crown it needs below a pocket.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CrownMake {
    /// Cast or hypereutectic.
    Cast,
    /// Forged, without boost.
    Forged,
    /// Forged, with boost or nitrous oxide.
    ForgedBoosted,
}

impl CrownMake {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Cast, Self::Forged, Self::ForgedBoosted];

    /// The word in a sheet.
    pub fn key(self) -> &'static str {
        match self {
            Self::Cast => "cast",
            Self::Forged => "forged",
            Self::ForgedBoosted => "forged_boosted",
        }
    }
}
