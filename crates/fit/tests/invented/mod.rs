//! An invented cylinder to try things on.

use parts::{Block, Cylinder, Duty, Gasket, Head, Outline, Piston, Shape, Valve, estimate};
use units::angle::degree;
use units::length::millimeter;
use units::volume::cubic_meter;
use units::{Angle, Length, Reading, Volume};

pub fn mm(value: f64, tolerance: f64) -> Reading<Length> {
    Reading::measured(Length::new::<millimeter>(value), Length::new::<millimeter>(tolerance))
}

pub fn deg(value: f64, tolerance: f64) -> Reading<Angle> {
    Reading::measured(Angle::new::<degree>(value), Angle::new::<degree>(tolerance))
}

/// One valve in a bore of 83 mm; it meets the bore wall when `y_mm` is above about 22.5 mm.
pub fn cylinder(y_mm: f64, tilt_y_deg: f64) -> Cylinder {
    let circle = |diameter| Shape::Circle { diameter };
    let valve = Valve {
        name: "exhaust".into(),
        duty: Duty::Exhaust,
        head_diameter: mm(38.0, 0.03),
        margin: mm(1.3, 0.1),
        seat_angle: deg(45.0, 0.5),
        stem_diameter: mm(8.0, 0.02),
        x: mm(-3.0, 0.15),
        y: mm(y_mm, 0.15),
        recess: mm(2.1, 0.1),
        tilt_x: deg(0.5, 0.5),
        tilt_y: deg(tilt_y_deg, 0.5),
        lift: mm(10.2, 0.1),
        contact_lift: None,
    };
    Cylinder {
        number: 1,
        block: Block {
            bore: mm(83.0, 0.02),
            stroke: mm(90.0, 0.02),
            rod_length: mm(150.0, 0.05),
            pin_offset: mm(0.0, 0.05),
            chamfer_width: mm(0.5, 0.1),
            chamfer_depth: mm(0.5, 0.1),
            bore_spacing: None,
            reliefs: Vec::new(),
            metal: parts::DeckMetal::default(),
        },
        gasket: Gasket {
            thickness: mm(1.1, 0.05),
            opening: Outline { center_x: mm(0.0, 0.3), center_y: mm(0.3, 0.3), shape: circle(mm(84.4, 0.1)) },
            ring_inset: None,
            ring_width: None,
        },
        head: Head {
            chamber_volume: Reading::measured(
                Volume::new::<cubic_meter>(48e-6),
                Volume::new::<cubic_meter>(0.3e-6),
            ),
            chamber: Outline { center_x: mm(0.0, 0.3), center_y: mm(0.5, 0.3), shape: circle(mm(86.0, 0.3)) },
            chamber_wall_height: mm(3.0, 0.5),
            shift_x: mm(0.0, 0.13),
            shift_y: mm(0.0, 0.13),
            twist: deg(0.0, 0.05),
            bore_spacing: None,
            valves: vec![valve],
        },
        piston: Piston {
            deck_offset: mm(-0.4, 0.05),
            crown_volume: estimate::crown_volume(),
            land_clearance: estimate::land_clearance(),
            top_land_height: estimate::top_land_height(),
            compression_height: estimate::compression_height(mm(83.0, 0.0).value),
            skirt_clearance: estimate::skirt_clearance(),
            skirt_length: estimate::skirt_length(mm(83.0, 0.0).value),
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
