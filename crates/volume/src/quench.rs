//! How close the flat of the crown comes to the head's gasket face: the quench or squish distance, cold and at rest.
//! Leaves out rod stretch, bearing clearance, rock and growth.

use parts::Cylinder;
use units::Length;

/// Gasket thickness less deck offset; negative when the flat would hit the head.
pub fn quench(cylinder: &Cylinder) -> Length {
    cylinder.gasket.thickness.value - cylinder.piston.deck_offset.value
}
