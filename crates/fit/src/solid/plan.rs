//! The line that a profile is swept along, seen from above: a circle or a polygon, and how far outside it a point is.

use parts::{Outline, Shape};

/// A closed line in the x-y plane of the bore frame.
#[derive(Clone, Debug)]
pub enum Plan {
    /// A circle.
    Circle {
        /// Its centre.
        center: [f64; 2],
        /// Its radius.
        radius: f64,
    },
    /// Straight lines from corner to corner.
    Polygon {
        /// Corners, counter-clockwise.
        corners: Vec<[f64; 2]>,
    },
}

impl Plan {
    /// The outline at its place, as it was read.
    pub fn of(outline: &Outline) -> Self {
        let center = [outline.center_x.value.value, outline.center_y.value.value];
        match &outline.shape {
            Shape::Circle { diameter } => Self::Circle { center, radius: diameter.value.value / 2.0 },
            Shape::Polygon { points, growth } => {
                let place =
                    |point: &[units::Length; 2]| [point[0].value + center[0], point[1].value + center[1]];
                Self::polygon(points.iter().map(place).collect(), growth.value.value)
            }
        }
    }

    /// A polygon from corners in either sense of rotation, grown outward all round.
    pub fn polygon(mut corners: Vec<[f64; 2]>, growth: f64) -> Self {
        if doubled_area(&corners) < 0.0 {
            corners.reverse();
        }
        Self::Polygon { corners: grown(&corners, growth) }
    }

    /// How far a point lies outside the line; negative inside.
    pub fn outside(&self, x: f64, y: f64) -> f64 {
        self.sloped_outside(x, y).0
    }

    /// How far a point lies outside the line, negative inside, and which way is out.
    #[inline]
    pub fn sloped_outside(&self, x: f64, y: f64) -> (f64, [f64; 2]) {
        match self {
            Self::Circle { center, radius } => {
                let (dx, dy) = (x - center[0], y - center[1]);
                let distance = (dx * dx + dy * dy).sqrt();
                // At the very centre every way is out.
                let scale = 1.0 / distance.max(f64::MIN_POSITIVE);
                (distance - radius, [dx * scale, dy * scale])
            }
            Self::Polygon { corners } => outside_polygon(corners, x, y),
        }
    }
}

/// Calls `see` with every side.
pub(crate) fn for_each_side(corners: &[[f64; 2]], mut see: impl FnMut([f64; 2], [f64; 2])) {
    let mut from = corners[corners.len() - 1];
    for &to in corners {
        see(from, to);
        from = to;
    }
}

/// Twice the enclosed area; positive when the corners run counter-clockwise.
pub(crate) fn doubled_area(corners: &[[f64; 2]]) -> f64 {
    let mut sum = 0.0;
    for_each_side(corners, |a, b| sum += a[0] * b[1] - b[0] * a[1]);
    sum
}

fn nearest_on_side(from: [f64; 2], to: [f64; 2], x: f64, y: f64) -> [f64; 2] {
    let (sx, sy) = (to[0] - from[0], to[1] - from[1]);
    let length_sq = sx * sx + sy * sy;
    let share = if length_sq > 0.0 { ((x - from[0]) * sx + (y - from[1]) * sy) / length_sq } else { 0.0 };
    let share = share.clamp(0.0, 1.0);
    [from[0] + share * sx, from[1] + share * sy]
}

/// The polygon with every side moved outward, corners mitred. Meant for amounts that are small beside the sides.
fn grown(corners: &[[f64; 2]], amount: f64) -> Vec<[f64; 2]> {
    if amount == 0.0 {
        return corners.to_vec();
    }
    let n = corners.len();
    let normal = |a: [f64; 2], b: [f64; 2]| {
        let (sx, sy) = (b[0] - a[0], b[1] - a[1]);
        let length = sx.hypot(sy);
        if length > 0.0 { [sy / length, -sx / length] } else { [0.0, 0.0] }
    };
    (0..n)
        .map(|idx| {
            let (before, here, after) = (corners[(idx + n - 1) % n], corners[idx], corners[(idx + 1) % n]);
            let (p, q) = (normal(before, here), normal(here, after));
            // A hairpin would throw its mitre to infinity; four times the amount is where it is cut off.
            let share = amount / (1.0 + p[0] * q[0] + p[1] * q[1]).max(0.125);
            [here[0] + share * (p[0] + q[0]), here[1] + share * (p[1] + q[1])]
        })
        .collect()
}

/// Signed distance from a polygon and its gradient: nearest side, with the sign of the even-odd rule.
fn outside_polygon(corners: &[[f64; 2]], x: f64, y: f64) -> (f64, [f64; 2]) {
    let (mut least_sq, mut way, mut side) = (f64::INFINITY, [0.0; 2], [0.0; 2]);
    let mut inside = false;
    for_each_side(corners, |a, b| {
        let nearest = nearest_on_side(a, b, x, y);
        let (dx, dy) = (x - nearest[0], y - nearest[1]);
        if dx * dx + dy * dy < least_sq {
            (least_sq, way, side) = (dx * dx + dy * dy, [dx, dy], [b[0] - a[0], b[1] - a[1]]);
        }
        if (a[1] > y) != (b[1] > y) && x < (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]) + a[0] {
            inside = !inside;
        }
    });
    let distance = if inside { -least_sq.sqrt() } else { least_sq.sqrt() };
    if distance != 0.0 {
        return (distance, [way[0] / distance, way[1] / distance]);
    }
    let length = side[0].hypot(side[1]).max(f64::MIN_POSITIVE);
    (distance, [side[1] / length, -side[0] / length])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_outside_a_square() {
        let square = Plan::Polygon { corners: vec![[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]] };
        assert_eq!(square.outside(0.0, 0.0), -1.0);
        assert_eq!(square.outside(4.0, 5.0), 5.0);
        assert_eq!(square.outside(0.5, -3.0), 2.0);
    }

    #[test]
    fn exact_growth_moves_every_side() {
        let square = [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]];
        assert_eq!(grown(&square, 0.5), vec![[-1.5, -1.5], [1.5, -1.5], [1.5, 1.5], [-1.5, 1.5]]);
    }
}
