//! What a fly-cut leaves of the piston: crown under it, land above the groove, metal to the groove. Leaves out the
//! underside's shape: the crown's thickness is what was measured where the pocket goes.

use glam::{DVec2, DVec3};
use parts::Piston;
use units::Length;

use crate::relief_fly_cut::FlyCut;
use crate::relief_line::{deepest_on_line, inside_on_line};
use crate::relief_margin::Margin;
use crate::relief_outline::least_of_span;

/// The top ring groove.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Groove {
    /// From the land's surface inward to the back of the groove.
    pub depth: Length,
    /// Between its faces.
    pub height: Length,
}

/// Looks around the piston.
const N_LOOKS: usize = 180;

/// Crown left below the pocket's lowest point, measured straight down. `None` (unmeasured) without a thickness, and
/// for an empty cut.
///
/// Limit: [`crate::relief_limit::Left::Crown`], [`crate::relief_limit::crown_limit`].
pub fn crown_left(cut: &FlyCut, crown_thickness: Option<Length>) -> Option<Margin> {
    let lowest = cut.extent.as_ref()?.lowest;
    crown_thickness.map(|thickness| Margin::new(thickness.value + lowest.z, lowest))
}

/// Top land left between the pocket and the groove's upper face where the pocket comes out of the piston's side;
/// negative when it opens the groove. `None` when it does not come out.
///
/// Limit: [`crate::relief_limit::Left::LandAboveGroove`].
pub fn land_above_groove(cut: &FlyCut, piston: &Piston) -> Option<Margin> {
    let (extent, radius) = (cut.extent.as_ref()?, cut.metal.top_radius());
    let land = piston.top_land_height.value.value;
    let below = cut.cutter.lowest() - cut.cutter.radius;
    let lowest_at = |azimuth: f64| {
        let from = (DVec2::from_angle(azimuth) * radius).extend(below);
        let inside = inside_on_line(&cut.cutter, from, DVec3::Z, [0.0, -below]);
        from + DVec3::Z * inside.map_or(-below, |[low, _]| low)
    };
    let lowest = |span: &[f64; 2]| {
        let found = least_of_span(|azimuth| lowest_at(azimuth).z, *span, N_LOOKS);
        Margin::new(land + found.value, lowest_at(found.at))
    };
    extent.azimuths.iter().map(lowest).reduce(Margin::lesser)
}

/// Least metal between the pocket and the ring groove, in any direction; negative when it breaks in. `None`
/// (unmeasured) without a groove, and for an empty cut.
///
/// The groove is met on its upper face or on its back; the distance from the cutter is convex along straight lines on
/// both, so that it is found by halving on each azimuth. Where the cutter leaves the crown above, the distance is to
/// its surface carried on, which is never farther.
///
/// Limit: [`crate::relief_limit::Left::Groove`].
pub fn to_groove(cut: &FlyCut, piston: &Piston, groove: Option<Groove>) -> Option<Margin> {
    cut.extent.as_ref()?;
    let groove = groove?;
    let (radius, top) = (cut.metal.top_radius(), -piston.top_land_height.value.value);
    let (depth, height) = (groove.depth.value, groove.height.value);
    let nearest = |azimuth: f64| {
        let out = DVec2::from_angle(azimuth);
        let back = (out * (radius - depth)).extend(top);
        let lines = [(back, out.extend(0.0) * depth), (back, -DVec3::Z * height)];
        let [by_face, by_back] = lines.map(|(from, way)| {
            let (at, distance) = deepest_on_line(&cut.cutter, from, way, [0.0, 1.0]);
            (from + way * at, distance)
        });
        if by_back.1 < by_face.1 { by_back } else { by_face }
    };
    let turn = [-std::f64::consts::PI, std::f64::consts::PI];
    let found = least_of_span(|azimuth| nearest(azimuth).1, turn, N_LOOKS);
    Some(Margin::new(found.value, nearest(found.at).0))
}
