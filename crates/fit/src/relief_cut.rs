//! The cut in bore and deck that gives a valve room: its outline, how far it reaches and what it removes. Leaves out
//! what the engine makes of it.

use parts::{Cylinder, Valve};
use units::length::micrometer;
use units::{Angle, Area, Length, Volume};

use crate::relief_cutter::{Cutter, CutterError, Room, Shape};
use crate::relief_extent::{Extent, extent};
use crate::relief_outline::{Outline, outline};
use crate::relief_volume::{Metal, removed_volume_m3};
use crate::scene::{Param, Scene};

/// A relief in bore and deck for one valve, in the bore frame.
#[derive(Clone, Debug, PartialEq)]
pub struct ReliefCut {
    /// The tool.
    pub cutter: Cutter,
    /// The block it goes into.
    pub metal: Metal,
    /// Its line on the deck, outside bore and chamfer.
    pub outline: Outline,
    /// How far it reaches; `None` when the cutter does not touch the block.
    pub extent: Option<Extent>,
}

/// Points of an outline that is no circle lie this close to their chords.
pub fn outline_accuracy() -> Length {
    Length::new::<micrometer>(1.0)
}

/// The relief that gives a valve its room at full travel, head position and gasket thickness as in the cylinder.
///
/// A cutter that does not reach the block makes an empty cut. An impossible cutter is an error.
pub fn relief_cut(
    cylinder: &Cylinder,
    valve: &Valve,
    room: Room,
    shape: Shape,
) -> Result<ReliefCut, CutterError> {
    let scene = Scene::new(cylinder, valve);
    let metal = Metal::block(
        scene.get(Param::Bore) / 2.0,
        scene.get(Param::ChamferWidth),
        scene.get(Param::ChamferDepth),
    );
    let cutter = Cutter::around(&scene.valve(), scene.travel_m(), room, shape)?;
    Ok(ReliefCut::new(cutter, metal))
}

impl ReliefCut {
    /// The cut of a cutter in a block.
    pub fn new(cutter: Cutter, metal: Metal) -> Self {
        let outline = outline(&cutter, &metal, outline_accuracy().value);
        Self { cutter, metal, outline, extent: extent(&cutter, &metal) }
    }

    /// Whether nothing is cut.
    pub fn is_empty(&self) -> bool {
        self.extent.is_none()
    }

    /// How far the cut reaches beyond the bore, measured from the bore's own radius, at whatever depth it reaches
    /// farthest; 0 when nothing is cut.
    ///
    /// Upright: offset of the valve plus radius of the cutter less radius of the bore.
    pub fn overhang(&self) -> Length {
        let farthest = self.extent.as_ref().map(|extent| extent.farthest.truncate().length());
        metres(farthest.map_or(0.0, |radius| radius - self.bore_radius_m()))
    }

    /// The same at the level of the deck; 0 when the deck is not cut. A cut that leans outward on its way down
    /// reaches farther below.
    pub fn overhang_at_deck(&self) -> Length {
        metres(self.outline.farthest.map_or(0.0, |p| p.length() - self.bore_radius_m()))
    }

    /// Straight across the opening in the bore wall, from end to end of the widest; 0 when nothing is cut.
    ///
    /// `2 R sin(a / 2)` with `a` the azimuths opened; `2 R` from half a turn on.
    pub fn chord(&self) -> Length {
        let spans = self.extent.iter().flat_map(|extent| &extent.azimuths);
        let widest = spans.map(|[from, to]| to - from).fold(0.0, f64::max);
        metres(2.0 * self.bore_radius_m() * (0.5 * widest).min(std::f64::consts::FRAC_PI_2).sin())
    }

    /// How far below the deck the lowest point of the cut lies; 0 when nothing is cut.
    pub fn depth(&self) -> Length {
        metres(self.extent.as_ref().map_or(0.0, |extent| -extent.lowest.z))
    }

    /// Azimuths between which bore wall or chamfer are opened, from `+x` toward `+y`; more than one only where a
    /// leaning cutter nearly as large as the bore comes out on both sides.
    pub fn azimuths(&self) -> Vec<[Angle; 2]> {
        let spans = self.extent.iter().flat_map(|extent| &extent.azimuths);
        spans.map(|span| span.map(angle)).collect()
    }

    /// Azimuth of the point farthest beyond the bore.
    pub fn azimuth(&self) -> Option<Angle> {
        self.extent.as_ref().map(|extent| angle(extent.farthest.truncate().to_angle()))
    }

    /// Area of the deck that is removed, outside bore and chamfer.
    pub fn deck_area(&self) -> Area {
        Area::new::<units::area::square_meter>(self.outline.area_m2())
    }

    /// Volume of the metal removed, to an absolute accuracy.
    pub fn volume(&self, accuracy: Volume) -> Volume {
        cubic_metres(removed_volume_m3(&self.cutter, &self.metal, accuracy.value))
    }

    /// Radius of the bore, in metres.
    pub fn bore_radius_m(&self) -> f64 {
        match self.metal {
            Metal::Block { bore_radius, .. } => bore_radius,
            Metal::Piston { radius } => radius,
        }
    }
}

pub(crate) fn metres(value: f64) -> Length {
    Length::new::<units::length::meter>(value)
}

pub(crate) fn cubic_metres(value: f64) -> Volume {
    Volume::new::<units::volume::cubic_meter>(value)
}

fn angle(value: f64) -> Angle {
    Angle::new::<units::angle::radian>(value)
}
