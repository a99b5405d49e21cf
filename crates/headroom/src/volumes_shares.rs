//! Which physical change between two cylinders made how much of the change in compression. Leaves out which readings
//! of the two are the same: that is `volumes_change.rs`.

use parts::Cylinder;
use sheet::PartName;
use units::area::square_meter;
use units::length::meter;
use units::{Area, Length, Volume};
use volume::{clearance_volumes, outline_area, static_compression};

use crate::attribution::exact_shares;

/// A change to a cylinder that a machinist would name, and that compression answers to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PhysicalChange {
    /// The poured chamber.
    Chamber,
    /// How thick the gasket is when torqued down.
    GasketThickness,
    /// The hole in the gasket.
    GasketOpening,
    /// Where the crown stands at top dead centre.
    DeckOffset,
    /// Dish, dome and pockets.
    Crown,
    /// Width and height of the space beside the top land.
    TopLand,
    /// The bore's diameter.
    Bore,
    /// The stroke, with rod and pin offset, which touch the true travel.
    Stroke,
    /// The lead-in chamfer at the top of the bore.
    Chamfer,
    /// What was cut into bore and deck.
    Relief,
    /// Pockets cut into the crown since its volume was poured.
    FlyCut,
}

/// How much there is of what changed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// A length, or the diameter of a circle of the same area for an opening.
    Length(Length),
    /// A volume.
    Volume(Volume),
}

impl PhysicalChange {
    /// All changes, in the order of the answer.
    pub const ALL: [Self; 11] = [
        Self::Chamber,
        Self::GasketThickness,
        Self::GasketOpening,
        Self::DeckOffset,
        Self::Crown,
        Self::TopLand,
        Self::Bore,
        Self::Stroke,
        Self::Chamfer,
        Self::Relief,
        Self::FlyCut,
    ];

    /// The shop's words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Chamber => "chamber volume",
            Self::GasketThickness => "gasket thickness",
            Self::GasketOpening => "gasket opening",
            Self::DeckOffset => "deck height",
            Self::Crown => "crown",
            Self::TopLand => "top land",
            Self::Bore => "bore",
            Self::Stroke => "stroke",
            Self::Chamfer => "bore chamfer",
            Self::Relief => "relief in the block",
            Self::FlyCut => "fly-cut in the crown",
        }
    }

    /// The part whose readings it is made of.
    pub fn part(self) -> PartName {
        match self {
            Self::Chamber => PartName::Head,
            Self::GasketThickness | Self::GasketOpening => PartName::Gasket,
            Self::DeckOffset | Self::Crown | Self::TopLand | Self::FlyCut => PartName::Piston,
            Self::Bore | Self::Stroke | Self::Chamfer | Self::Relief => PartName::Block,
        }
    }

    /// How much of it a cylinder has.
    pub fn amount(self, cylinder: &Cylinder) -> Amount {
        let Cylinder { block, gasket, head, piston, .. } = cylinder;
        match self {
            Self::Chamber => Amount::Volume(head.chamber_volume.value),
            Self::GasketThickness => Amount::Length(gasket.thickness.value),
            Self::GasketOpening => Amount::Length(diameter_of(outline_area(&gasket.opening))),
            Self::DeckOffset => Amount::Length(piston.deck_offset.value),
            Self::Crown => Amount::Volume(piston.crown_volume.value),
            Self::TopLand => Amount::Volume(clearance_volumes(cylinder).top_land),
            Self::Bore => Amount::Length(block.bore.value),
            Self::Stroke => Amount::Length(block.stroke.value),
            Self::Chamfer => Amount::Volume(clearance_volumes(cylinder).chamfer),
            Self::Relief => Amount::Volume(clearance_volumes(cylinder).relief),
            Self::FlyCut => Amount::Volume(clearance_volumes(cylinder).fly_cut),
        }
    }

    /// Whether the two cylinders have different values in it, whatever their tolerances.
    pub(crate) fn differs(self, a: &Cylinder, b: &Cylinder) -> bool {
        let mut mixed = a.clone();
        self.make(&mut mixed, b);
        static_compression(&mixed) != static_compression(a)
            || self.amount(a) != self.amount(b)
            || (self == Self::GasketOpening && a.gasket.opening.shape != b.gasket.opening.shape)
    }

    /// Whether either cylinder has any of it: not every engine was cut.
    pub(crate) fn is_in(self, cylinders: &[Cylinder; 2]) -> bool {
        let any = |has: fn(&Cylinder) -> bool| cylinders.iter().any(has);
        match self {
            Self::Relief => any(|cylinder| !cylinder.block.reliefs.is_empty()),
            Self::FlyCut => any(|cylinder| !cylinder.piston.fly_cuts.is_empty()),
            _ => true,
        }
    }

    /// Makes `cylinder` like `other` in this respect.
    pub(crate) fn make(self, cylinder: &mut Cylinder, other: &Cylinder) {
        let Cylinder { block, gasket, head, piston, .. } = cylinder;
        match self {
            Self::Chamber => head.chamber_volume = other.head.chamber_volume,
            Self::GasketThickness => gasket.thickness = other.gasket.thickness,
            Self::GasketOpening => gasket.opening = other.gasket.opening.clone(),
            Self::DeckOffset => piston.deck_offset = other.piston.deck_offset,
            Self::Crown => piston.crown_volume = other.piston.crown_volume,
            Self::TopLand => {
                piston.land_clearance = other.piston.land_clearance;
                piston.top_land_height = other.piston.top_land_height;
            }
            Self::Bore => block.bore = other.block.bore,
            Self::Stroke => {
                block.stroke = other.block.stroke;
                block.rod_length = other.block.rod_length;
                block.pin_offset = other.block.pin_offset;
            }
            Self::Chamfer => {
                block.chamfer_width = other.block.chamfer_width;
                block.chamfer_depth = other.block.chamfer_depth;
            }
            Self::Relief => block.reliefs = other.block.reliefs.clone(),
            Self::FlyCut => {
                piston.fly_cuts = other.piston.fly_cuts.clone();
                piston.fly_cut_volume = other.piston.fly_cut_volume;
            }
        }
    }
}

fn diameter_of(area: Area) -> Length {
    Length::new::<meter>((area.get::<square_meter>() / std::f64::consts::FRAC_PI_4).sqrt())
}

/// The share of each change in the compression gained from `base` to `candidate`; the shares add up to the gain.
///
/// All 2^n mixtures are worked out, so it is exact; with eleven changes at most there are 2048.
pub(crate) fn shares(changes: &[PhysicalChange], base: &Cylinder, candidate: &Cylinder) -> Vec<f64> {
    let sets = 0..1usize << changes.len();
    let ratios: Vec<f64> = sets.map(|set| mixture(changes, set, base, candidate)).collect();
    exact_shares(&ratios)
}

/// Compression of the base with the changes of a set made, one bit a change.
fn mixture(changes: &[PhysicalChange], set: usize, base: &Cylinder, candidate: &Cylinder) -> f64 {
    let mut mixed = base.clone();
    for (idx, change) in changes.iter().enumerate() {
        if set & (1 << idx) != 0 {
            change.make(&mut mixed, candidate);
        }
    }
    static_compression(&mixed)
}
