//! The piston: where its crown stands, what is cut into it and where its top ring sits.

use units::{Angle, CrankAngle, Length, Reading, Volume};

use crate::readings::{ReadingMut, Visit, show, visit_readings};
use crate::{CrownMetal, Valve};

/// One piston.
///
/// The crown datum plane is the flat of the crown, the surface a deck bridge or drop gauge stands on. Dish, dome and
/// pockets are measured from it.
#[derive(Clone, Debug, PartialEq)]
pub struct Piston {
    /// Crown datum plane above the block deck at top dead centre; negative when it stays in the hole.
    pub deck_offset: Reading<Length>,
    /// What dish and pockets add to the space above the datum plane, less what a dome takes: positive for a dish.
    pub crown_volume: Reading<Volume>,
    /// Between bore wall and top land, on one side.
    pub land_clearance: Reading<Length>,
    /// From the datum plane down to the upper face of the top ring groove.
    pub top_land_height: Reading<Length>,
    /// Pin centre to datum plane.
    pub compression_height: Reading<Length>,
    /// Bore less skirt, on the diameter.
    pub skirt_clearance: Reading<Length>,
    /// From the upper to the lower end of what guides the piston in its bore.
    pub skirt_length: Reading<Length>,
    /// Raised metal on the crown, when it was measured.
    pub dome: Option<Dome>,
    /// A round dish in the crown, when it was measured.
    pub dish: Option<Dish>,
    /// Valve pockets cut into the crown.
    pub pockets: Vec<Pocket>,
    /// Pockets cut since the crown's volume was poured; each stands in the place of its valve's pocket.
    pub fly_cuts: Vec<Pocket>,
    /// What all fly-cuts together add, where that is known better than from their cutters.
    pub fly_cut_volume: Option<Reading<Volume>>,
    /// Drops from seated valves to the crown, measured near the top of the overlap. Where a valve has some, they stand for
    /// the crown's geometry.
    pub drops: Vec<SeatedDrop>,
    /// What was measured of the metal of crown and ring groove.
    pub metal: CrownMetal,
}

impl Piston {
    /// The pockets of a valve as they stand: a fly-cut in the place of what was there before it.
    pub fn pockets_of<'a>(&'a self, valve: &'a str) -> impl Iterator<Item = &'a Pocket> {
        let cut = self.fly_cuts.iter().filter(move |pocket| pocket.valve == valve);
        let is_cut = self.fly_cuts.iter().any(|pocket| pocket.valve == valve);
        let before = self.pockets.iter().filter(move |pocket| !is_cut && pocket.valve == valve);
        before.chain(cut)
    }
}

/// A round plateau about the bore axis with sloping sides that stands on the crown datum plane.
#[derive(Clone, Debug, PartialEq)]
pub struct Dome {
    /// Diameter where the sides meet the datum plane.
    pub base_diameter: Reading<Length>,
    /// Diameter of the plateau.
    pub top_diameter: Reading<Length>,
    /// Height of the plateau over the datum plane.
    pub height: Reading<Length>,
}

visit_readings!(Dome { base_diameter, top_diameter, height });

/// A round, flat-bottomed dish with upright sides.
#[derive(Clone, Debug, PartialEq)]
pub struct Dish {
    /// Diameter.
    pub diameter: Reading<Length>,
    /// Floor below the datum plane.
    pub depth: Reading<Length>,
    /// Centre along the crank, positive to the front.
    pub x: Reading<Length>,
    /// Centre across the engine, positive to the left.
    pub y: Reading<Length>,
}

visit_readings!(Dish { diameter, depth, x, y });

/// How far a seated valve can be pushed open before it meets the piston, at one crank angle.
#[derive(Clone, Debug, PartialEq)]
pub struct SeatedDrop {
    /// Name of the valve.
    pub valve: String,
    /// Crank angle after overlap top dead centre; negative before.
    pub after_tdc: Reading<CrankAngle>,
    /// The drop, along the valve.
    pub drop: Reading<Length>,
}

visit_readings!(SeatedDrop { after_tdc, drop });

/// A valve pocket in the crown: a round, flat-bottomed cut along its own axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Pocket {
    /// Name of the valve it was cut for.
    pub valve: String,
    /// Centre of the floor along the crank, positive to the front.
    pub x: Reading<Length>,
    /// Centre of the floor across the engine, positive to the left.
    pub y: Reading<Length>,
    /// Diameter of the cut.
    pub diameter: Reading<Length>,
    /// Floor below the crown datum plane, along the cut's axis at its centre.
    pub depth: Reading<Length>,
    /// Lean of the cut's axis in the x-z plane, as for a valve.
    pub tilt_x: Reading<Angle>,
    /// Lean of the cut's axis in the y-z plane, as for a valve.
    pub tilt_y: Reading<Angle>,
    /// Whether each of the two is counted from the lean of its valve, along which the cut was made, and not from upright.
    pub from_valve: [bool; 2],
}

impl Pocket {
    /// Lean of the cut's axis from upright in both planes, cut for that valve.
    pub fn tilt(&self, valve: &Valve) -> [Angle; 2] {
        let of = |from_valve: bool, own: Angle, valve: Angle| if from_valve { valve + own } else { own };
        [
            of(self.from_valve[0], self.tilt_x.value, valve.tilt_x.value),
            of(self.from_valve[1], self.tilt_y.value, valve.tilt_y.value),
        ]
    }

    /// Mirrors the pocket front to back.
    pub fn mirror(&mut self) {
        self.x.value = -self.x.value;
        self.tilt_x.value = -self.tilt_x.value;
    }
}

visit_readings!(Pocket { x, y, diameter, depth, tilt_x, tilt_y });

impl Visit for Piston {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        show(&mut self.deck_offset, path, "deck_offset", see);
        show(&mut self.crown_volume, path, "crown_volume", see);
        show(&mut self.land_clearance, path, "land_clearance", see);
        show(&mut self.top_land_height, path, "top_land_height", see);
        show(&mut self.compression_height, path, "compression_height", see);
        show(&mut self.skirt_clearance, path, "skirt_clearance", see);
        show(&mut self.skirt_length, path, "skirt_length", see);
        if let Some(dome) = &mut self.dome {
            dome.visit(&format!("{path}.dome"), see);
        }
        if let Some(dish) = &mut self.dish {
            dish.visit(&format!("{path}.dish"), see);
        }
        for pocket in &mut self.pockets {
            let pocket_path = format!("{path}.pocket.{}", pocket.valve);
            pocket.visit(&pocket_path, see);
        }
        if let Some(volume) = &mut self.fly_cut_volume {
            show(volume, path, "fly_cut_volume", see);
        }
        for cut in &mut self.fly_cuts {
            let cut_path = format!("{path}.fly_cut.{}", cut.valve);
            cut.visit(&cut_path, see);
        }
        self.metal.visit(path, see);
        for (idx, drop) in self.drops.iter_mut().enumerate() {
            let drop_path = format!("{path}.drop.{}.{}", drop.valve, idx + 1);
            drop.visit(&drop_path, see);
        }
    }
}
