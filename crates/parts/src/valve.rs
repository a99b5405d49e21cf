//! A valve: its head, where it sits and how far it opens.

use units::{Angle, Length, Reading};

use crate::readings::visit_readings;

/// What a valve lets through.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Duty {
    /// Fresh charge in.
    Intake,
    /// Burned gas out.
    Exhaust,
}

/// One poppet valve in the bore frame.
///
/// The head is taken as a body of revolution: face, margin, then the seat cone carried on to the stem. A real tulip
/// lies inside that body, so a gap to its back is never overstated.
#[derive(Clone, Debug, PartialEq)]
pub struct Valve {
    /// Unique in the cylinder, such as `intake` or `exhaust_front`.
    pub name: String,
    /// What it lets through.
    pub duty: Duty,
    /// Largest diameter of the head.
    pub head_diameter: Reading<Length>,
    /// Height of the cylindrical edge between face and seat.
    pub margin: Reading<Length>,
    /// Between the seat and the plane of the face: 45 degrees for most.
    pub seat_angle: Reading<Angle>,
    /// Diameter of the stem.
    pub stem_diameter: Reading<Length>,
    /// Seated face centre along the crank, positive to the front.
    pub x: Reading<Length>,
    /// Seated face centre across the engine, positive to the left.
    pub y: Reading<Length>,
    /// Seated face centre above the head's gasket face; negative when it hangs below.
    pub recess: Reading<Length>,
    /// Lean of the axis in the x-z plane, positive when the stem tip leans to the front.
    pub tilt_x: Reading<Angle>,
    /// Lean of the axis in the y-z plane, positive when the stem tip leans to the left.
    pub tilt_y: Reading<Angle>,
    /// Largest travel from the seat along the axis, lash taken off.
    pub lift: Reading<Length>,
    /// Lift at which it first touched the block in a trial assembly; tells where it really sits.
    pub contact_lift: Option<Reading<Length>>,
}

impl Valve {
    /// Unit vector from the face toward the stem tip: normalise(tan tilt_x, tan tilt_y, 1). The valve opens the
    /// other way.
    pub fn axis(&self) -> [f64; 3] {
        let (tan_x, tan_y) = (self.tilt_x.value.value.tan(), self.tilt_y.value.value.tan());
        let length = (tan_x * tan_x + tan_y * tan_y + 1.0).sqrt();
        [tan_x / length, tan_y / length, 1.0 / length]
    }

    /// Mirrors the valve front to back.
    pub fn mirror(&mut self) {
        self.x.value = -self.x.value;
        self.tilt_x.value = -self.tilt_x.value;
    }
}

visit_readings!(Valve {
    head_diameter,
    margin,
    seat_angle,
    stem_diameter,
    x,
    y,
    recess,
    tilt_x,
    tilt_y,
    lift
});
