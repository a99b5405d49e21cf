//! The pocket in a piston crown that gives a valve room: its floor, outline and volume. Leaves out the dish, dome or
//! pocket that is there already: the crown is taken as flat at its datum plane.

use glam::DVec2;
use parts::{Cylinder, Valve};
use units::{Area, Length, Volume};

use crate::relief_cut::{cubic_metres, metres, outline_accuracy};
use crate::relief_cutter::{Cutter, CutterError, Room, Shape};
use crate::relief_extent::{Extent, extent};
use crate::relief_line::surface_on_line;
use crate::relief_outline::{Outline, outline};
use crate::relief_volume::{Metal, removed_volume_m3};
use crate::scene::Scene;
use crate::solid::ValveHead;

/// Where valve and piston are at one crank angle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Meeting {
    /// Lift of the valve.
    pub lift: Length,
    /// Crown datum plane above the deck; negative below.
    pub crown: Length,
}

/// A pocket in a piston crown, in the bore frame with its origin moved to the crown datum plane.
#[derive(Clone, Debug, PartialEq)]
pub struct FlyCut {
    /// The tool.
    pub cutter: Cutter,
    /// The piston it goes into.
    pub metal: Metal,
    /// Its line on the crown, inside the top land.
    pub outline: Outline,
    /// How far it reaches; `None` when the cutter stays above the crown.
    pub extent: Option<Extent>,
}

/// The pocket that gives a valve its room at the crank angle that asks for the deepest one.
///
/// The cutter stands on the valve's axis; a valve that leans also drifts sideways between crank angles, which is the
/// business of the radial clearance and is checked by the gap of the finished pocket, not here. `None` when
/// `meetings` is empty.
pub fn fly_cut(
    cylinder: &Cylinder,
    valve: &Valve,
    meetings: &[Meeting],
    room: Room,
    shape: Shape,
) -> Result<Option<FlyCut>, CutterError> {
    let head = Scene::new(cylinder, valve).valve();
    let Some(closest) = closest_meeting(&head, meetings) else { return Ok(None) };
    let cutter = Cutter::around(&head, closest.lift.value, room, shape)?.lowered_by(closest.crown.value);
    let radius = cylinder.block.bore.value.value / 2.0 - cylinder.piston.land_clearance.value.value;
    Ok(Some(FlyCut::new(cutter, Metal::Piston { radius })))
}

/// The meeting at which the valve's face centre is lowest against the crown.
pub fn closest_meeting(valve: &ValveHead, meetings: &[Meeting]) -> Option<Meeting> {
    let above = |meeting: &Meeting| valve.face_center(meeting.lift.value).z - meeting.crown.value;
    meetings.iter().copied().min_by(|a, b| above(a).total_cmp(&above(b)))
}

impl FlyCut {
    /// The pocket of a cutter in a flat crown at `z = 0`.
    pub fn new(cutter: Cutter, metal: Metal) -> Self {
        let outline = outline(&cutter, &metal, outline_accuracy().value);
        Self { cutter, metal, outline, extent: extent(&cutter, &metal) }
    }

    /// Whether nothing is cut.
    pub fn is_empty(&self) -> bool {
        self.extent.is_none()
    }

    /// Floor below the crown datum plane, along the cutter's axis at its centre, as a pocket is measured; negative
    /// when the centre stays above the crown.
    pub fn floor_depth(&self) -> Length {
        metres(-self.cutter.end.z / self.cutter.axis.z)
    }

    /// Lowest point of the pocket below the crown datum plane; 0 when nothing is cut.
    pub fn depth(&self) -> Length {
        metres(self.extent.as_ref().map_or(0.0, |extent| -extent.lowest.z))
    }

    /// Centre of the floor, along the crank and across the engine.
    pub fn floor_center(&self) -> [Length; 2] {
        [metres(self.cutter.end.x), metres(self.cutter.end.y)]
    }

    /// Diameter of the cutter.
    pub fn diameter(&self) -> Length {
        metres(2.0 * self.cutter.radius)
    }

    /// Whether the pocket comes out of the side of the piston.
    pub fn breaks_edge(&self) -> bool {
        self.extent.as_ref().is_some_and(|extent| !extent.azimuths.is_empty())
    }

    /// Volume of the metal removed from a flat crown, to an absolute accuracy. It adds to the crown volume.
    pub fn volume(&self, accuracy: Volume) -> Volume {
        cubic_metres(removed_volume_m3(&self.cutter, &self.metal, accuracy.value))
    }

    /// Area of the pocket's opening in the crown.
    pub fn crown_area(&self) -> Area {
        Area::new::<units::area::square_meter>(self.outline.area_m2())
    }

    /// The point of the opening farthest from the bore axis.
    pub fn farthest_at_crown(&self) -> Option<DVec2> {
        self.outline.farthest
    }

    /// Distance in the plane of the crown from a point inside the outline to the outline, in metres.
    pub fn outline_reach(&self, from: DVec2, way: DVec2) -> f64 {
        let radius = self.metal.top_radius();
        let along = from.dot(way);
        let to_side = (along * along + radius * radius - from.length_squared()).max(0.0).sqrt() - along;
        let far = 4.0 * (radius + self.cutter.radius) + 2.0 * self.cutter.height_clear_of(0.0);
        surface_on_line(&self.cutter, from.extend(0.0), way.extend(0.0), far, 0.0).min(to_side)
    }
}
