//! First contact of an opening valve, straight from its front: no walk along the lift. Quick enough for a sample of
//! millions; [`crate::first_contact`] is the slower way to the same lift, and also finds least gaps.
//!
//! A valve moves along its own axis, so margin, seat cone and stem only ever enter space that its face has already swept.
//! What touches first is the face or its rim. For every point of the rim the lift at which it enters the metal has a
//! closed form; the least of those around the rim, or the highest point of a metal edge inside it, is the first contact.

use glam::DVec3;

use crate::distance::{Minimum, Ring, least_in};
use crate::solid::profile::Profile;
use crate::solid::{Obstacle, Plan, ValveHead};

/// Places looked at around the rim.
const N_LOOK: usize = 24;

/// Halvings that shrink a bracket of one look to a hundred-millionth of a radian.
const N_HALVINGS: usize = 26;

/// Lift of first contact with the metal, for a valve that starts free of it or with its face already inside (then 0);
/// infinite when it never enters. True to a hundredth of a micrometre where it meets the metal head on.
///
/// Takes the face alone: a seated valve whose stem or cone already stands in the metal is not noticed.
pub fn first_contact_m(valve: &ValveHead, metal: &Obstacle) -> f64 {
    let rim = valve.ring(0.0, valve.head_radius, 0.0);
    let down = -valve.axis;
    let entry = |angle: f64| entry_lift(rim.point(angle), down, metal);
    let mut least = metal.rings.iter().map(|ring| face_on_edge(valve, ring)).fold(f64::INFINITY, f64::min);
    for side in &metal.sides {
        least = least.min(face_on_side(valve, *side));
    }
    let step = std::f64::consts::TAU / N_LOOK as f64;
    let lifts: [f64; N_LOOK] = std::array::from_fn(|idx| entry(idx as f64 * step));
    for idx in 0..N_LOOK {
        let (before, after) = (lifts[(idx + N_LOOK - 1) % N_LOOK], lifts[(idx + 1) % N_LOOK]);
        if lifts[idx].is_infinite() {
            continue;
        }
        least = least.min(lifts[idx]);
        let at = idx as f64 * step;
        let in_valley = lifts[idx] <= before && lifts[idx] <= after;
        for (side, lift) in [(-step, before), (step, after)] {
            if in_valley || lift.is_infinite() {
                least = least.min(lowest_toward(entry, at, at + side));
            }
        }
    }
    // Where the rim passes a corner of the metal's border the entry has a kink, often the lowest place of all.
    for corner in corners(metal) {
        let over = |angle: f64| overlap(rim.point(angle), down, metal, corner);
        let overs: [f64; N_LOOK] = std::array::from_fn(|idx| over(idx as f64 * step));
        for idx in 0..N_LOOK {
            let (before, here) = (overs[(idx + N_LOOK - 1) % N_LOOK], overs[idx]);
            let after = overs[(idx + 1) % N_LOOK];
            let at = idx as f64 * step;
            for (side, other) in [(-step, before), (step, after)] {
                if here >= 0.0 && other < 0.0 {
                    least = least.min(entry(last_over(over, at, at + side)));
                }
            }
            if here < 0.0 && here >= before && here >= after {
                // Between two looks it may just reach over.
                let most = most_over(over, at - step, at + step);
                if over(most) >= 0.0 {
                    least = least.min(lowest_toward(entry, most, last_over(over, most, at - step)));
                    least = least.min(lowest_toward(entry, most, last_over(over, most, at + step)));
                }
            }
        }
    }
    least
}

/// The last angle on the way from a place over a corner to one that is not, where the rim is still over it: regula falsi
/// with the Illinois weights (Dowell and Jarratt 1971, BIT 11, 168-174), always ending on the inner side.
fn last_over(over: impl Fn(f64) -> f64, inside: f64, outside: f64) -> f64 {
    let (mut inner, mut outer) = (inside, outside);
    let (mut value_inner, mut value_outer) = (over(inner), over(outer));
    let mut side = 0_i32;
    for _ in 0..N_HALVINGS {
        if (outer - inner).abs() < ANGLE_ACCURACY || value_inner < OVER_ACCURACY_M {
            break;
        }
        let middle = inner + (outer - inner) * value_inner / (value_inner - value_outer);
        let value = over(middle);
        if value >= 0.0 {
            (inner, value_inner) = (middle, value);
            if side > 0 {
                value_outer *= 0.5;
            }
            side = 1;
        } else {
            (outer, value_outer) = (middle, value);
            if side < 0 {
                value_inner *= 0.5;
            }
            side = -1;
        }
    }
    inner
}

/// Angles are resolved to this: a tenth of a micrometre on any rim, and far less in what is a minimum.
const ANGLE_ACCURACY: f64 = 1e-7;

/// An overlap of less is the corner itself, in metres.
const OVER_ACCURACY_M: f64 = 1e-10;

/// Lowest entry between an angle where it is finite and another; no further than it stays finite.
fn lowest_toward(entry: impl Fn(f64) -> f64, finite: f64, other: f64) -> f64 {
    let end = if entry(other).is_finite() { other } else { last_finite(&entry, finite, other) };
    lowest_between(entry, finite, end)
}

/// Lift at which a point moving along `down` enters the metal; 0 when it starts inside, infinite when it never does.
fn entry_lift(point: DVec3, down: DVec3, metal: &Obstacle) -> f64 {
    match metal.profile {
        Profile::Block { width, depth } => entry_block(point, down, metal, width, depth),
        Profile::Plate { z_low, z_high } => entry_plate(point, down, metal, z_low, z_high),
        Profile::Valve { .. } => f64::INFINITY,
    }
}

fn entry_block(point: DVec3, down: DVec3, metal: &Obstacle, width: f64, depth: f64) -> f64 {
    let radius = match metal.plan {
        Plan::Circle { radius, .. } => radius,
        Plan::Polygon { .. } => return f64::INFINITY,
    };
    let at_deck = (point.z / -down.z).max(0.0);
    let on_deck = point + down * at_deck;
    let out = on_deck.truncate().length() - radius;
    if out >= width {
        return at_deck;
    }
    let at_foot = ((point.z + depth) / -down.z).max(0.0);
    if at_foot > at_deck {
        // On the chamfer's height. It is the cone  rho = radius + slope (z + depth).
        let slope = width / depth;
        let base = radius + slope * (point.z + depth);
        let grows = slope * down.z;
        if (point + down * at_deck).truncate().length() >= base + grows * at_deck {
            return at_deck;
        }
        if let Some(lift) = first_root(point, down, base, grows, at_deck, at_foot) {
            return lift;
        }
        return first_root(point, down, radius, 0.0, at_foot, f64::INFINITY).unwrap_or(f64::INFINITY);
    }
    if out >= 0.0 {
        return at_deck;
    }
    first_root(point, down, radius, 0.0, at_deck, f64::INFINITY).unwrap_or(f64::INFINITY)
}

/// First lift between two at which the moving point's distance from the bore axis grows to `base + grows * lift`.
fn first_root(point: DVec3, down: DVec3, base: f64, grows: f64, from: f64, to: f64) -> Option<f64> {
    let a = down.x * down.x + down.y * down.y - grows * grows;
    let b = point.x * down.x + point.y * down.y - base * grows;
    let c = point.x * point.x + point.y * point.y - base * base;
    let within = |lift: f64| from <= lift && lift <= to;
    if a.abs() < f64::EPSILON {
        return Some(-c / (2.0 * b)).filter(|lift| within(*lift));
    }
    let under_root = b * b - a * c;
    if under_root < 0.0 {
        return None;
    }
    let root = under_root.sqrt();
    let q = if b >= 0.0 { -(b + root) } else { root - b };
    let (first, second) = (q / a, c / q);
    let (low, high) = if first < second { (first, second) } else { (second, first) };
    [low, high].into_iter().find(|lift| within(*lift))
}

fn entry_plate(point: DVec3, down: DVec3, metal: &Obstacle, z_low: f64, z_high: f64) -> f64 {
    if point.z <= z_low {
        return f64::INFINITY;
    }
    let at_top = ((point.z - z_high) / -down.z).max(0.0);
    let at_bottom = (point.z - z_low) / -down.z;
    let out = |lift: f64| {
        let p = point + down * lift;
        metal.plan.outside(p.x, p.y)
    };
    if out(at_top) >= 0.0 {
        return at_top;
    }
    if let Plan::Circle { center, radius } = metal.plan {
        let about = point - DVec3::new(center[0], center[1], 0.0);
        return first_root(about, down, radius, 0.0, at_top, at_bottom).unwrap_or(f64::INFINITY);
    }
    if out(at_bottom) < 0.0 {
        return f64::INFINITY;
    }
    let (mut free, mut touching) = (at_top, at_bottom);
    for _ in 0..N_HALVINGS {
        let middle = 0.5 * (free + touching);
        if out(middle) < 0.0 { free = middle } else { touching = middle }
    }
    touching
}

/// The corners of a metal's border: height, and how far outside the plan line. Between them the border is straight and the
/// distance of a falling point from the bore axis convex, so a point that passes both free passes free.
fn corners(metal: &Obstacle) -> [(f64, f64); 2] {
    match metal.profile {
        Profile::Block { width, depth } => [(-depth, 0.0), (0.0, width)],
        Profile::Plate { z_low, z_high } => [(z_low, 0.0), (z_high, 0.0)],
        Profile::Valve { .. } => [(0.0, f64::INFINITY); 2],
    }
}

/// How far over a corner of the metal's border a point is when it comes down to its height.
fn overlap(point: DVec3, down: DVec3, metal: &Obstacle, (z, border): (f64, f64)) -> f64 {
    let p = point + down * ((point.z - z) / -down.z).max(0.0);
    metal.plan.outside(p.x, p.y) - border
}

/// Lift at which the face comes down on the highest point of a round edge, if that point lies inside the rim.
fn face_on_edge(valve: &ValveHead, edge: &Ring) -> f64 {
    // Height above the face along the axis is  h + p cos t + q sin t; highest where (cos, sin) points along (p, q).
    let height = (edge.center - valve.seated).dot(valve.axis);
    let (p, q) = (edge.to_cos.dot(valve.axis), edge.to_sin.dot(valve.axis));
    let most = p.hypot(q);
    if most == 0.0 {
        // Every point is as high as the others; the rim's own entries find it.
        return f64::INFINITY;
    }
    let point = edge.center + edge.to_cos * (p / most) + edge.to_sin * (q / most);
    lift_to_point(valve, point, height + most)
}

/// Lift at which the face comes down on the higher end of a straight edge, if that end lies inside the rim.
fn face_on_side(valve: &ValveHead, side: [DVec3; 2]) -> f64 {
    side.into_iter()
        .map(|end| lift_to_point(valve, end, (end - valve.seated).dot(valve.axis)))
        .fold(f64::INFINITY, f64::min)
}

fn lift_to_point(valve: &ValveHead, point: DVec3, height_over_face: f64) -> f64 {
    let way = point - valve.seated;
    let across = (way - valve.axis * way.dot(valve.axis)).length();
    if across <= valve.head_radius && height_over_face <= 0.0 { -height_over_face } else { f64::INFINITY }
}

/// The last angle on the way from a finite place to an infinite one where the lift is finite.
fn last_finite(lift: impl Fn(f64) -> f64, finite: f64, infinite: f64) -> f64 {
    let (mut inner, mut outer) = (finite, infinite);
    for _ in 0..N_HALVINGS {
        let middle = 0.5 * (inner + outer);
        if lift(middle).is_finite() { inner = middle } else { outer = middle }
    }
    inner
}

/// Lowest value between two angles, one valley assumed; the ends count.
fn lowest_between(lift: impl Fn(f64) -> f64, from: f64, to: f64) -> f64 {
    let ends = lift(from).min(lift(to));
    let bracket = if from < to { [from, to] } else { [to, from] };
    let at = 0.5 * (from + to);
    let middle = Minimum { at, value: lift(at) };
    ends.min(least_in(lift, bracket, middle, VALLEY_ACCURACY).value)
}

/// Where a valley or a hill is flat, a hundred-thousandth of a radian is worth less than a nanometre.
const VALLEY_ACCURACY: f64 = 1e-5;

/// The angle of the highest overlap between two, one hill assumed.
fn most_over(over: impl Fn(f64) -> f64, from: f64, to: f64) -> f64 {
    let at = 0.5 * (from + to);
    let middle = Minimum { at, value: -over(at) };
    least_in(|angle| -over(angle), [from, to], middle, VALLEY_ACCURACY).at
}
