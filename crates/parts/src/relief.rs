//! A relief cut into bore and deck: where its cutter stood and how far it went. Leaves out what it removes and leaves.

use units::{Angle, Length, Reading, Volume};

use crate::readings::visit_readings;

/// A relief in the block, fixed in the bore frame: a head that is swapped later finds it where it was cut.
///
/// The cutter is a body of revolution about its own axis with a flat end, a rounded corner and a straight side that may lean
/// out toward the deck. It goes up its axis without end.
#[derive(Clone, Debug, PartialEq)]
pub struct Relief {
    /// Name of the valve it was cut for.
    pub valve: String,
    /// Where the cutter's axis goes through the deck, along the crank, positive to the front.
    pub x: Reading<Length>,
    /// Where it goes through the deck, across the engine, positive to the left.
    pub y: Reading<Length>,
    /// Diameter of the cutter where its end and side would meet.
    pub diameter: Reading<Length>,
    /// How far the cutter's end lies below the deck, along its axis.
    pub plunge: Reading<Length>,
    /// Radius between floor and wall; 0 for a square corner.
    pub corner_radius: Reading<Length>,
    /// Angle between the wall and the axis: 0 for a plain cutter, more for a wall laid back by hand.
    pub layback: Reading<Angle>,
    /// Lean of the axis in the x-z plane, as for a valve.
    pub tilt_x: Reading<Angle>,
    /// Lean of the axis in the y-z plane, as for a valve.
    pub tilt_y: Reading<Angle>,
    /// Metal it removed, where that is known better than from the cutter and the bore.
    pub removed: Option<Reading<Volume>>,
}

impl Relief {
    /// Mirrors the relief front to back.
    pub fn mirror(&mut self) {
        self.x.value = -self.x.value;
        self.tilt_x.value = -self.tilt_x.value;
    }
}

visit_readings!(Relief { x, y, diameter, plunge, corner_radius, layback, tilt_x, tilt_y; removed? });
