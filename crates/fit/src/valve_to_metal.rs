//! How close a valve at some lift comes to the block, the gasket or its chamber wall. Leaves out thermal growth and
//! the flex of the stem.

use glam::DVec3;

use crate::distance::{Ring, Sloped, least_on_ring, least_on_ring_near, least_on_segment};
use crate::scene::Surrounding;
use crate::solid::profile::{Border, Near};
use crate::solid::{Obstacle, ValveHead};
use crate::valve_to_relief::{gap_with_cuts, nearest_cut};

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
    /// Wall or floor of a relief.
    Relief,
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

/// Signed gap between a valve at a lift and the metal, in metres, true to [`crate::distance::RESOLUTION_M`].
///
/// Apart, it is the distance of the two solids. Run into each other, it is minus the deepest of two: how deep the
/// valve's rims reach into the metal, and how deep the metal's edges reach into the valve, each to the nearest surface.
/// A gasket can thus never be cut deeper than half its thickness. Moving either part by some amount changes the gap by
/// no more than that amount.
///
/// Closed forms, valve upright (no tilt), head radius `r`, centre `e` off the bore axis, bore radius `R`, no chamfer:
/// * rim below the deck, `z < 0` and the whole margin with it: `gap = R - e - r`;
/// * rim at height `z > 0` above the deck with `e + r < R`: `gap = sqrt((R - e - r)^2 + z^2)`.
///
/// Where something was cut out of the metal the gap is that of [`gap_with_cuts`].
pub fn gap_m(valve: &ValveHead, metal: &Obstacle, lift_m: f64) -> f64 {
    if metal.cuts.is_empty() {
        uncut_gap_m(valve, metal, lift_m)
    } else {
        gap_with_cuts(valve, metal, lift_m).gap_m
    }
}

/// The same to the metal before anything was cut out of it.
pub fn uncut_gap_m(valve: &ValveHead, metal: &Obstacle, lift_m: f64) -> f64 {
    least(valve, metal, lift_m).0
}

/// As [`gap_m`], with the place. `surrounding` says what the metal is.
pub fn gap_at(valve: &ValveHead, metal: &Obstacle, surrounding: Surrounding, lift_m: f64) -> Gap {
    if !metal.cuts.is_empty() {
        return cut_gap_at(valve, metal, surrounding, lift_m);
    }
    let (distance_m, curve) = least(valve, metal, lift_m);
    Gap { distance_m, lift_m, place: place(valve, metal, surrounding, lift_m, curve) }
}

#[inline]
fn least(valve: &ValveHead, metal: &Obstacle, lift: f64) -> (f64, Curve) {
    let to_metal = |p: DVec3| metal.sloped_distance(p);
    let to_valve = |q: DVec3| sloped_to_valve(valve, q);
    let rim = |radius: f64, height: f64, to_beat: f64| {
        let found = least_on_ring(
            &valve.ring(lift, radius, height),
            metal.bend(radius, valve.sin_lean()),
            to_beat,
            to_metal,
        );
        (found.value, Curve::ValveRing { radius, height, angle: found.at })
    };
    let mut best = rim(valve.head_radius, 0.0, f64::INFINITY);
    best = nearer(best, rim(valve.head_radius, valve.margin, best.0));
    for (ring_idx, ring) in metal.rings.iter().enumerate() {
        let bend = ring.to_cos.x;
        let ring = ring_in_valve(valve, lift, ring);
        let found = least_on_ring(&ring, bend, best.0, to_valve);
        best = nearer(best, (found.value, Curve::MetalRing { ring_idx, angle: found.at }));
        if stem_may_win(valve, &ring, best.0) {
            let by_stem = least_on_ring(&ring, 2.0 * bend, f64::INFINITY, sloped_to_axis).at;
            let found = least_on_ring_near(&ring, by_stem, to_valve);
            best = nearer(best, (found.value, Curve::MetalRing { ring_idx, angle: found.at }));
        }
    }
    for &side in metal.sides.iter().chain(&metal.uprights) {
        if side_may_win(valve, lift, side, best.0) {
            let (value, share) = least_along(valve, lift, side);
            best = nearer(best, (value, Curve::MetalSide { side, share }));
        }
    }
    if best.0 <= 0.0 {
        // The ring where seat cone and stem meet is a hollow edge: never nearest, but it can be deepest.
        best = nearer(best, rim(valve.stem_ring[0], valve.stem_ring[1], best.0));
    }
    best
}

/// Signed distance of a point of the valve's own frame from the valve, and its gradient.
#[inline]
pub(crate) fn sloped_to_valve(valve: &ValveHead, q: DVec3) -> Sloped {
    let (radius, out) = sloped_to_axis(q);
    let Near { distance, gradient: [by_radius, by_height], .. } = valve.profile.near(radius, q.z);
    (distance, out * by_radius + DVec3::Z * by_height)
}

/// Distance of a point of the valve's own frame from the valve's axis, and its gradient.
#[inline]
pub(crate) fn sloped_to_axis(q: DVec3) -> Sloped {
    let radius = (q.x * q.x + q.y * q.y).sqrt();
    let scale = 1.0 / radius.max(f64::MIN_POSITIVE);
    (radius, DVec3::new(q.x * scale, q.y * scale, 0.0))
}

fn least_along(valve: &ValveHead, lift: f64, side: [DVec3; 2]) -> (f64, f64) {
    let ends = side.map(|end| point_in_valve(valve, lift, end));
    let found = least_on_segment(ends, |q| sloped_to_valve(valve, q).0);
    (found.value, found.at)
}

/// Whether the stem can come nearer to a ring around it than `best`. Seen along the stem the ring is an ellipse; its
/// smaller half-axis, less the distance of its centre, is the least that it can be away from the axis. The stem is thin,
/// so a look around the ring may step over it.
fn stem_may_win(valve: &ValveHead, ring_in_valve: &Ring, best: f64) -> bool {
    let radius = ring_in_valve.to_cos.length();
    let facing = ring_in_valve.to_cos.cross(ring_in_valve.to_sin).z.abs() / (radius * radius);
    radius * facing - radius_height(ring_in_valve.center).0 - valve.stem_ring[0] < best
}

/// Whether any point of a side can be nearer to the valve than `best`: the side's middle, less half its length, less
/// the ball around the valve head.
fn side_may_win(valve: &ValveHead, lift: f64, [from, to]: [DVec3; 2], best: f64) -> bool {
    let middle = point_in_valve(valve, lift, (from + to) * 0.5);
    let (radius, height) = radius_height(middle);
    valve.profile.near(radius, height).distance - 0.5 * (to - from).length() < best
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
pub(crate) fn point_in_valve(valve: &ValveHead, lift: f64, p_in_bore: DVec3) -> DVec3 {
    valve.in_valve(p_in_bore - valve.face_center(lift))
}

#[inline]
pub(crate) fn ring_in_valve(valve: &ValveHead, lift: f64, ring_in_bore: &Ring) -> Ring {
    Ring {
        center: point_in_valve(valve, lift, ring_in_bore.center),
        to_cos: valve.in_valve(ring_in_bore.to_cos),
        to_sin: valve.in_valve(ring_in_bore.to_sin),
    }
}

fn place(valve: &ValveHead, metal: &Obstacle, surrounding: Surrounding, lift: f64, curve: Curve) -> Place {
    match curve {
        Curve::ValveRing { radius, height, angle } => {
            place_by(metal, surrounding, valve.ring(lift, radius, height).point(angle))
        }
        Curve::MetalRing { ring_idx, angle } => {
            Place { point_m: metal.rings[ring_idx].point(angle), feature: edge_of(surrounding) }
        }
        Curve::MetalSide { side: [from, to], share } => {
            Place { point_m: from + (to - from) * share, feature: edge_of(surrounding) }
        }
    }
}

/// The place of the uncut metal that is nearest to a point.
fn place_by(metal: &Obstacle, surrounding: Surrounding, p: DVec3) -> Place {
    let (u, out) = metal.plan.sloped_outside(p.x, p.y);
    let near = metal.profile.near(u, p.z);
    let [by_u, by_z] = near.gradient;
    let way = near.distance * DVec3::new(by_u * out[0], by_u * out[1], by_z);
    let feature = match (surrounding, near.border) {
        (Surrounding::Block, Border::Wall) => Feature::BoreWall,
        (Surrounding::Block, Border::Flat) => Feature::Deck,
        (Surrounding::Block, _) => Feature::DeckEdge,
        (Surrounding::Gasket, Border::Flat) => Feature::GasketFace,
        (Surrounding::Gasket, _) => Feature::GasketEdge,
        (Surrounding::Chamber, _) => Feature::ChamberWall,
    };
    Place { point_m: p - way, feature }
}

fn cut_gap_at(valve: &ValveHead, metal: &Obstacle, surrounding: Surrounding, lift_m: f64) -> Gap {
    let found = gap_with_cuts(valve, metal, lift_m);
    let place = match nearest_cut(metal, found.point_m) {
        Some(cutter) => {
            let (distance, gradient) = cutter.sloped_distance(found.point_m);
            Place { point_m: found.point_m - gradient * distance, feature: Feature::Relief }
        }
        None => place_by(metal, surrounding, found.point_m),
    };
    Gap { distance_m: found.gap_m, lift_m, place }
}

fn edge_of(surrounding: Surrounding) -> Feature {
    match surrounding {
        Surrounding::Block => Feature::DeckEdge,
        Surrounding::Gasket => Feature::GasketEdge,
        Surrounding::Chamber => Feature::ChamberWall,
    }
}
