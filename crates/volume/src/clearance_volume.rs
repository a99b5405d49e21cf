//! What stands above the top ring at top dead centre, part by part. Leaves out plug and valve protrusion, which the
//! poured chamber volume already holds, and growth with heat.

use std::f64::consts::PI;

use fit::relief_of_block::removed_by;
use fit::relief_of_piston::fly_cuts_volume;
use parts::{Block, Cylinder};
use units::Volume;

use crate::outline_area::outline_area;
use crate::swept_volume::bore_area;

/// A part of the clearance volume.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ClearancePart {
    /// The poured chamber in the head.
    Chamber,
    /// Inside the gasket's opening, as thick as it is when torqued down.
    Gasket,
    /// Between crown datum plane and deck; negative for a piston that stands proud.
    Deck,
    /// Dish and pockets less dome.
    Crown,
    /// Beside the top land, from the ring up to the crown datum plane.
    TopLand,
    /// The lead-in chamfer at the top of the bore.
    Chamfer,
    /// Reliefs cut into bore and deck.
    Relief,
    /// Pockets cut into the crown since its volume was poured.
    FlyCut,
}

impl ClearancePart {
    /// All parts, in the order of a worksheet.
    pub const ALL: [Self; 8] = [
        Self::Chamber,
        Self::Gasket,
        Self::Deck,
        Self::Crown,
        Self::TopLand,
        Self::Chamfer,
        Self::Relief,
        Self::FlyCut,
    ];

    /// The shop's word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Chamber => "chamber",
            Self::Gasket => "gasket",
            Self::Deck => "deck",
            Self::Crown => "crown",
            Self::TopLand => "top land",
            Self::Chamfer => "bore chamfer",
            Self::Relief => "reliefs",
            Self::FlyCut => "fly-cuts",
        }
    }
}

/// The clearance volume of one cylinder, part by part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClearanceVolumes {
    /// See [`ClearancePart::Chamber`].
    pub chamber: Volume,
    /// See [`ClearancePart::Gasket`].
    pub gasket: Volume,
    /// See [`ClearancePart::Deck`].
    pub deck: Volume,
    /// See [`ClearancePart::Crown`].
    pub crown: Volume,
    /// See [`ClearancePart::TopLand`].
    pub top_land: Volume,
    /// See [`ClearancePart::Chamfer`].
    pub chamfer: Volume,
    /// See [`ClearancePart::Relief`].
    pub relief: Volume,
    /// See [`ClearancePart::FlyCut`].
    pub fly_cut: Volume,
}

impl ClearanceVolumes {
    /// One of the parts.
    pub fn of(&self, part: ClearancePart) -> Volume {
        match part {
            ClearancePart::Chamber => self.chamber,
            ClearancePart::Gasket => self.gasket,
            ClearancePart::Deck => self.deck,
            ClearancePart::Crown => self.crown,
            ClearancePart::TopLand => self.top_land,
            ClearancePart::Chamfer => self.chamfer,
            ClearancePart::Relief => self.relief,
            ClearancePart::FlyCut => self.fly_cut,
        }
    }

    /// All parts together.
    pub fn total(&self) -> Volume {
        ClearancePart::ALL
            .into_iter()
            .map(|part| self.of(part))
            .fold(Volume::default(), |sum, part| sum + part)
    }
}

/// The clearance volume of a cylinder, part by part.
///
/// ```text
/// gasket   A_opening t            the real opening, not the bore
/// deck     -pi/4 B^2 d            d deck offset, positive when the piston stands proud
/// crown    as measured from the datum plane, positive for a dish
/// top land pi (B - c) c h         the ring between bore B and land B - 2c, from the ring h up to the datum plane
/// chamfer  pi w k (B/2 + w/3)     a triangle w wide and k deep carried round the bore (Pappus)
/// reliefs  the metal the cutters take out of the block; what two share counts once
/// fly-cuts the metal they take out of a flat crown with its older pockets; what two share counts once
/// ```
/// Plane and solid geometry, exact for round, straight bores; the worksheet of the trade (racing press) has the same
/// parts, with the bore in place of the opening and without chamfer.
///
/// The land's ring reaches up to the *datum plane*, so the sum stays exact when a piston stands proud by `d`: its
/// land is thinner than the bore and takes `pi/4 (B - 2c)^2 d` out of the gasket's space, while the ring beside it
/// ends at the deck:
///
/// ```text
/// -pi/4 (B - 2c)^2 d + pi (B - c) c (h - d)  =  -pi/4 B^2 d + pi (B - c) c h
/// ```
pub fn clearance_volumes(cylinder: &Cylinder) -> ClearanceVolumes {
    let Cylinder { block, gasket, head, piston, .. } = cylinder;
    let land = piston.land_clearance.value;
    ClearanceVolumes {
        chamber: head.chamber_volume.value,
        gasket: outline_area(&gasket.opening) * gasket.thickness.value,
        deck: -(bore_area(block) * piston.deck_offset.value),
        crown: piston.crown_volume.value,
        top_land: PI * (block.bore.value - land) * land * piston.top_land_height.value,
        chamfer: chamfer_volume(block),
        relief: relief_volume(block),
        fly_cut: fly_cut_volume(cylinder),
    }
}

fn chamfer_volume(block: &Block) -> Volume {
    let (width, depth) = (block.chamfer_width.value, block.chamfer_depth.value);
    PI * width * depth * (block.bore.value / 2.0 + width / 3.0)
}

fn relief_volume(block: &Block) -> Volume {
    block.reliefs.iter().map(|relief| removed_by(block, relief)).fold(Volume::default(), |sum, one| sum + one)
}

fn fly_cut_volume(cylinder: &Cylinder) -> Volume {
    cylinder.piston.fly_cut_volume.map_or_else(|| fly_cuts_volume(cylinder), |known| known.value)
}
