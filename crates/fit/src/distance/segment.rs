//! The least value of a distance along a straight line.

use glam::DVec3;

use super::minimise::{Minimum, least_in};

/// Least `distance` between the ends of a segment; `at` is the share of the way from the first end.
///
/// For a convex solid the distance along a line has a single valley, which is then found from anywhere.
pub fn least_on_segment([from, to]: [DVec3; 2], distance: impl Fn(DVec3) -> f64) -> Minimum {
    let way = to - from;
    let length = way.length();
    let ends = [distance(from), distance(to)];
    let end = if ends[0] <= ends[1] {
        Minimum { at: 0.0, value: ends[0] }
    } else {
        Minimum { at: 1.0, value: ends[1] }
    };
    if length == 0.0 {
        return end;
    }
    let middle = Minimum { at: 0.5, value: distance(from + way * 0.5) };
    let accuracy = 1e-8 / length.max(1e-8);
    let inner = least_in(|share| distance(from + way * share), [0.0, 1.0], middle, accuracy.min(1e-3));
    if inner.value < end.value { inner } else { end }
}
