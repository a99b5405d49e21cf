//! How close a valve at some lift comes to the block, the gasket or its chamber wall. Leaves out thermal growth and
//! the flex of the stem.

use glam::DVec3;

use crate::distance::{Minimum, Ring, least_on_ring, least_on_ring_near, least_on_segment};
use crate::scene::Surrounding;
use crate::solid::{Obstacle, Plan, ValveHead};

/// Which surface of the metal is nearest to the valve.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Feature {
    /// The cylinder wall below deck and chamfer.
    BoreWall,
    /// The lead-in chamfer or one of its edges; the sharp top edge of the bore where there is no chamfer.
    DeckEdge,
    /// The flat of the deck beside the bore.
    Deck,
    /// The edge of the gasket opening.
    GasketEdge,
    /// The face of the gasket, where the opening is smaller than the chamber.
    GasketFace,
    /// The upright wall of the chamber.
    ChamberWall,
}

/// A gap and where it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// Signed distance, in metres; negative when the parts run into each other.
    pub distance_m: f64,
    /// Lift at which it was taken, in metres.
    pub lift_m: f64,
    /// Where.
    pub place: Place,
}

/// Where a gap is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// The point of the metal, in the bore frame, in metres.
    pub point_m: DVec3,
    /// The surface it lies on.
    pub feature: Feature,
}

/// The curve on which a distance was least, and the angle or share along it.
#[derive(Clone, Copy, Debug)]
enum Curve {
    ValveRing { radius: f64, height: f64, angle: f64 },
    MetalRing { ring_idx: usize, angle: f64 },
    MetalSide { side: [DVec3; 2], share: f64 },
}

/// Signed gap between a valve at a lift and the metal, in metres, exact to a nanometre.
///
/// Apart, it is the distance of the two solids. Run into each other, it is minus the deepest of two: how deep the
/// valve's rims reach into the metal, and how deep the metal's edges reach into the valve, each to the nearest surface.
/// A gasket can thus never be cut deeper than half its thickness. Moving either part by some amount changes the gap by
/// no more than that amount.
///
/// Closed forms, valve upright (no tilt), head radius `r`, centre `e` off the bore axis, bore radius `R`, no chamfer:
/// * rim below the deck, `z < 0` and the whole margin with it: `gap = R - e - r`;
/// * rim at height `z > 0` above the deck with `e + r < R`: `gap = sqrt((R - e - r)^2 + z^2)`.
pub fn gap_m(valve: &ValveHead, metal: &Obstacle, lift_m: f64) -> f64 {
    least(valve, metal, lift_m).0
}

/// As [`gap_m`], with the place. `surrounding` says what the metal is.
pub fn gap_at(valve: &ValveHead, metal: &Obstacle, surrounding: Surrounding, lift_m: f64) -> Gap {
    let (distance_m, curve) = least(valve, metal, lift_m);
    Gap { distance_m, lift_m, place: place(valve, metal, surrounding, lift_m, curve) }
}

#[inline]
fn least(valve: &ValveHead, metal: &Obstacle, lift: f64) -> (f64, Curve) {
    let to_metal = |p: DVec3| metal.signed_distance(p);
    let to_valve = |q: DVec3| {
        let (radius, height) = radius_height(q);
        valve.profile.signed_distance(radius, height)
    };
    let rim = |radius: f64, height: f64| {
        let found = least_on_ring(&valve.ring(lift, radius, height), to_metal);
        (found.value, Curve::ValveRing { radius, height, angle: found.at })
    };
    let mut best = nearer(rim(valve.head_radius, 0.0), rim(valve.head_radius, valve.margin));
    for (ring_idx, ring) in metal.rings.iter().enumerate() {
        let found = least_on_ring(&ring_in_valve(valve, lift, ring), to_valve);
        best = nearer(best, (found.value, Curve::MetalRing { ring_idx, angle: found.at }));
    }
    let along = |side: [DVec3; 2]| {
        let found = least_on_segment(side.map(|end| point_in_valve(valve, lift, end)), to_valve);
        (found.value, Curve::MetalSide { side, share: found.at })
    };
    for &side in &metal.sides {
        if side_may_win(valve, lift, side, best.0) {
            best = nearer(best, along(side));
        }
    }
    if best.0 > 0.0 {
        // A corner of the opening can only be nearest while the parts are apart.
        for &side in &metal.uprights {
            if side_may_win(valve, lift, side, best.0) {
                best = nearer(best, along(side));
            }
        }
    } else {
        // The ring where seat cone and stem meet is a hollow edge: never nearest, but it can be deepest.
        best = nearer(best, rim(valve.stem_ring[0], valve.stem_ring[1]));
    }
    best
}

/// Whether any point of a side can be nearer to the valve than `best`: the side's middle, less half its length, less
/// the ball around the valve head.
fn side_may_win(valve: &ValveHead, lift: f64, [from, to]: [DVec3; 2], best: f64) -> bool {
    let middle = point_in_valve(valve, lift, (from + to) * 0.5);
    let (radius, height) = radius_height(middle);
    valve.profile.signed_distance(radius, height) - 0.5 * (to - from).length() < best
}

#[inline]
fn nearer(a: (f64, Curve), b: (f64, Curve)) -> (f64, Curve) {
    if b.0 < a.0 { b } else { a }
}

#[inline]
fn radius_height(p_in_valve: DVec3) -> (f64, f64) {
    ((p_in_valve.x * p_in_valve.x + p_in_valve.y * p_in_valve.y).sqrt(), p_in_valve.z)
}

#[inline]
fn point_in_valve(valve: &ValveHead, lift: f64, p_in_bore: DVec3) -> DVec3 {
    valve.in_valve(p_in_bore - valve.face_center(lift))
}

#[inline]
fn ring_in_valve(valve: &ValveHead, lift: f64, ring_in_bore: &Ring) -> Ring {
    Ring {
        center: point_in_valve(valve, lift, ring_in_bore.center),
        to_cos: valve.in_valve(ring_in_bore.to_cos),
        to_sin: valve.in_valve(ring_in_bore.to_sin),
    }
}

/// Angles at which the curves of a scene were nearest, to start from in scenes that differ little.
#[derive(Clone, Copy, Debug, Default)]
pub struct Valleys {
    rims: [f64; 2],
    metal_rings: [f64; 2],
}

/// [`gap_m`] with the angles, for [`gap_near_m`].
pub fn valleys(valve: &ValveHead, metal: &Obstacle, lift_m: f64) -> Valleys {
    let to_metal = |p: DVec3| metal.signed_distance(p);
    let to_valve = |q: DVec3| {
        let (radius, height) = radius_height(q);
        valve.profile.signed_distance(radius, height)
    };
    let mut found = Valleys::default();
    for (angle, height) in found.rims.iter_mut().zip([0.0, valve.margin]) {
        *angle = least_on_ring(&valve.ring(lift_m, valve.head_radius, height), to_metal).at;
    }
    for (angle, ring) in found.metal_rings.iter_mut().zip(&metal.rings) {
        *angle = least_on_ring(&ring_in_valve(valve, lift_m, ring), to_valve).at;
    }
    found
}

/// [`gap_m`] in a scene that differs from the one `valleys` came from by no more than tolerances do: looks only into
/// those valleys, and leaves out the hollow edge under the stem, which no small change brings forward.
pub fn gap_near_m(valve: &ValveHead, metal: &Obstacle, lift_m: f64, valleys: &Valleys) -> f64 {
    let to_metal = |p: DVec3| metal.signed_distance(p);
    let to_valve = |q: DVec3| {
        let (radius, height) = radius_height(q);
        valve.profile.signed_distance(radius, height)
    };
    let mut best = f64::INFINITY;
    for (&angle, height) in valleys.rims.iter().zip([0.0, valve.margin]) {
        let found = least_on_ring_near(&valve.ring(lift_m, valve.head_radius, height), angle, to_metal);
        best = best.min(found.value);
    }
    for (&angle, ring) in valleys.metal_rings.iter().zip(&metal.rings) {
        best = best.min(least_on_ring_near(&ring_in_valve(valve, lift_m, ring), angle, to_valve).value);
    }
    for &side in metal.sides.iter().chain(&metal.uprights) {
        if side_may_win(valve, lift_m, side, best) {
            let Minimum { value, .. } =
                least_on_segment(side.map(|end| point_in_valve(valve, lift_m, end)), to_valve);
            best = best.min(value);
        }
    }
    best
}

fn place(valve: &ValveHead, metal: &Obstacle, surrounding: Surrounding, lift: f64, curve: Curve) -> Place {
    match curve {
        Curve::ValveRing { radius, height, angle } => {
            let p = valve.ring(lift, radius, height).point(angle);
            let nearest = metal.profile.nearest(metal.plan.outside(p.x, p.y), p.z);
            let on_plan = metal.plan.nearest(p.x, p.y);
            let [x, y] = beyond_plan(&metal.plan, on_plan, nearest.point[0]);
            let feature = match (surrounding, nearest.edge_idx) {
                (Surrounding::Block, 0) if nearest.at_corner => Feature::DeckEdge,
                (Surrounding::Block, 0) => Feature::BoreWall,
                (Surrounding::Block, 1) if !nearest.at_corner => Feature::Deck,
                (Surrounding::Block, _) => Feature::DeckEdge,
                (Surrounding::Gasket, 1 | 2) if !nearest.at_corner => Feature::GasketFace,
                (Surrounding::Gasket, _) => Feature::GasketEdge,
                (Surrounding::Chamber, _) => Feature::ChamberWall,
            };
            Place { point_m: DVec3::new(x, y, nearest.point[1]), feature }
        }
        Curve::MetalRing { ring_idx, angle } => {
            Place { point_m: metal.rings[ring_idx].point(angle), feature: edge_of(surrounding) }
        }
        Curve::MetalSide { side: [from, to], share } => {
            Place { point_m: from + (to - from) * share, feature: edge_of(surrounding) }
        }
    }
}

fn edge_of(surrounding: Surrounding) -> Feature {
    match surrounding {
        Surrounding::Block => Feature::DeckEdge,
        Surrounding::Gasket => Feature::GasketEdge,
        Surrounding::Chamber => Feature::ChamberWall,
    }
}

/// A point that far outside the plan line, straight out from a point on it.
fn beyond_plan(plan: &Plan, on_plan: [f64; 2], u: f64) -> [f64; 2] {
    match plan {
        Plan::Circle { center, radius } if *radius > 0.0 => {
            let scale = (radius + u) / radius;
            [center[0] + (on_plan[0] - center[0]) * scale, center[1] + (on_plan[1] - center[1]) * scale]
        }
        _ => on_plan,
    }
}
