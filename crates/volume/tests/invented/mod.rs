//! Invented cylinders to count the cc's of.

use parts::{Block, Cylinder, Gasket, Head, Outline, Piston, Shape, estimate};
use units::length::{inch, millimeter};
use units::volume::cubic_centimeter;
use units::{Length, Reading, Volume};

/// A length without tolerance.
pub fn mm(value: f64) -> Reading<Length> {
    Reading::measured(Length::new::<millimeter>(value), Length::default())
}

/// A length without tolerance.
pub fn inches(value: f64) -> Reading<Length> {
    Reading::measured(Length::new::<inch>(value), Length::default())
}

/// A volume without tolerance.
pub fn cc(value: f64) -> Reading<Volume> {
    Reading::measured(Volume::new::<cubic_centimeter>(value), Volume::default())
}

/// A cylinder with this bore and stroke and nothing above the piston: no chamber, no gasket, level crown, no land.
pub fn bare(bore: Reading<Length>, stroke: Reading<Length>) -> Cylinder {
    Cylinder {
        number: 1,
        block: Block {
            bore,
            stroke,
            rod_length: mm(1.75 * stroke.value.get::<millimeter>()),
            pin_offset: mm(0.0),
            chamfer_width: mm(0.0),
            chamfer_depth: mm(0.0),
            bore_spacing: None,
            reliefs: Vec::new(),
            metal: parts::DeckMetal::default(),
        },
        gasket: Gasket { thickness: mm(0.0), opening: round(bore), ring_inset: None, ring_width: None },
        head: Head {
            chamber_volume: cc(0.0),
            chamber: estimate::chamber_outline(bore.value),
            chamber_wall_height: mm(0.0),
            shift_x: mm(0.0),
            shift_y: mm(0.0),
            twist: estimate::head_twist(),
            bore_spacing: None,
            valves: Vec::new(),
        },
        piston: Piston {
            deck_offset: mm(0.0),
            crown_volume: cc(0.0),
            land_clearance: mm(0.0),
            top_land_height: mm(0.0),
            compression_height: estimate::compression_height(bore.value),
            skirt_clearance: estimate::skirt_clearance(),
            skirt_length: estimate::skirt_length(bore.value),
            dome: None,
            dish: None,
            pockets: Vec::new(),
            fly_cuts: Vec::new(),
            fly_cut_volume: None,
            metal: parts::CrownMetal::default(),
            drops: Vec::new(),
        },
        gear: parts::Gear::default(),
    }
}

/// A round opening about the bore axis.
pub fn round(diameter: Reading<Length>) -> Outline {
    Outline { center_x: mm(0.0), center_y: mm(0.0), shape: Shape::Circle { diameter } }
}
