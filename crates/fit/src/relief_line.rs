//! Where a straight line runs inside a cutter. Leaves out what else lies on the line.

use glam::DVec3;

use crate::relief_cutter::Cutter;

/// Halvings that exhaust the digits of a bracket.
const N_HALVINGS: usize = 52;

/// Newton steps; on a convex function from outside each at least halves what is left, and most do far better.
const N_NEWTON: usize = 60;

/// Ends of a line inside a cutter are found to this, in metres.
const END_ACCURACY_M: f64 = 1e-12;

/// The deepest point of a line between two shares of the way `from + t way`: `(t, signed distance)`.
///
/// The distance from a convex body is convex along a line, so the sign of its slope is enough to halve the bracket.
pub fn deepest_on_line(
    cutter: &Cutter,
    from: DVec3,
    way: DVec3,
    [mut low, mut high]: [f64; 2],
) -> (f64, f64) {
    for _ in 0..N_HALVINGS {
        let middle = 0.5 * (low + high);
        let (_, gradient) = cutter.sloped_distance(from + way * middle);
        if gradient.dot(way) > 0.0 {
            high = middle;
        } else {
            low = middle;
        }
    }
    let at = 0.5 * (low + high);
    (at, cutter.distance(from + way * at))
}

/// The part of a line between two shares that is inside the cutter, or `None`.
pub fn inside_on_line(cutter: &Cutter, from: DVec3, way: DVec3, range: [f64; 2]) -> Option<[f64; 2]> {
    let inside = some_inside_on_line(cutter, from, way, range)?;
    let end = |outermost: f64| {
        if cutter.distance(from + way * outermost) <= 0.0 {
            outermost
        } else {
            surface_on_line(cutter, from, way, outermost, inside)
        }
    };
    Some([end(range[0]), end(range[1])])
}

/// Some point of a line between two shares that is not outside the cutter, or `None`.
///
/// The bracket is halved toward the deepest point until a middle is inside, or until one is so far outside that the bracket
/// does not reach the surface: no distance changes by more than the way gone.
fn some_inside_on_line(
    cutter: &Cutter,
    from: DVec3,
    way: DVec3,
    [mut low, mut high]: [f64; 2],
) -> Option<f64> {
    let length = way.length();
    for _ in 0..N_HALVINGS {
        let middle = 0.5 * (low + high);
        let (distance, gradient) = cutter.sloped_distance(from + way * middle);
        if distance <= 0.0 {
            return Some(middle);
        }
        if distance > 0.5 * (high - low) * length {
            return None;
        }
        if gradient.dot(way) > 0.0 {
            high = middle;
        } else {
            low = middle;
        }
    }
    None
}

/// Where a line that is outside at one share and inside at another enters, from the outside by Newton's steps.
///
/// The distance is convex, so its tangent at an outer point never reaches past the surface.
pub fn surface_on_line(cutter: &Cutter, from: DVec3, way: DVec3, outside: f64, inside: f64) -> f64 {
    let accuracy = END_ACCURACY_M / way.length();
    let mut at = outside;
    for _ in 0..N_NEWTON {
        let (distance, gradient) = cutter.sloped_distance(from + way * at);
        let slope = gradient.dot(way);
        let step = -distance / slope;
        if distance <= 0.0 || slope == 0.0 || !step.is_finite() || step.abs() <= accuracy {
            break;
        }
        at += step;
        if (inside - outside) * (inside - at) <= 0.0 {
            return inside;
        }
    }
    at
}
