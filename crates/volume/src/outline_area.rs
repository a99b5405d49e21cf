//! The area inside an outline seen from above: a gasket opening or a chamber edge.

use std::f64::consts::FRAC_PI_4;

use parts::{Outline, Shape};
use units::area::square_meter;
use units::length::meter;
use units::{Area, Length};

/// Area inside an outline. Where it lies does not matter.
///
/// A circle has `pi/4 d^2`. A polygon has half the sum of the cross products of neighbouring corners (the shoelace
/// formula, any geometry text), in either sense of rotation. Growing it by `g` all round with mitred corners adds a
/// strip along the sides and a kite at every corner:
///
/// ```text
/// area = A + g P + g^2 sum tan(turn/2)        P perimeter, turn = change of direction at a corner
/// ```
/// Exact while no side shrinks to nothing; growth is meant for amounts that are small beside the sides.
pub fn outline_area(outline: &Outline) -> Area {
    match &outline.shape {
        Shape::Circle { diameter } => FRAC_PI_4 * diameter.value * diameter.value,
        Shape::Polygon { points, growth } => {
            Area::new::<square_meter>(polygon_area_m2(points, growth.value.get::<meter>()))
        }
    }
}

fn polygon_area_m2(points: &[[Length; 2]], growth_m: f64) -> f64 {
    let n = points.len();
    let corner = |idx: usize| points[idx % n].map(|length| length.get::<meter>());
    let (mut doubled, mut perimeter, mut half_turns) = (0.0, 0.0, 0.0);
    for idx in 0..n {
        let (a, b, c) = (corner(idx), corner(idx + 1), corner(idx + 2));
        doubled += cross(a, b);
        let (side, next) = ([b[0] - a[0], b[1] - a[1]], [c[0] - b[0], c[1] - b[1]]);
        let length = side[0].hypot(side[1]);
        perimeter += length;
        half_turns += tan_half_turn(side, next, length * next[0].hypot(next[1]));
    }
    // Walked clockwise, area and turns both change their sign.
    let sense = if doubled < 0.0 { -1.0 } else { 1.0 };
    sense * (doubled / 2.0 + growth_m * growth_m * half_turns) + growth_m * perimeter
}

fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

/// Tangent of half the angle between two directions whose lengths multiply to `lengths`. A hairpin is cut off where
/// its mitre reaches three times the growth, instead of running to infinity.
fn tan_half_turn(side: [f64; 2], next: [f64; 2], lengths: f64) -> f64 {
    const LONGEST_MITRE: f64 = 3.0;
    let along = lengths + side[0] * next[0] + side[1] * next[1];
    if along > 0.0 { (cross(side, next) / along).clamp(-LONGEST_MITRE, LONGEST_MITRE) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::length::millimeter;
    use units::{Basis, Reading};

    fn polygon(corners_mm: &[[f64; 2]], growth_mm: f64) -> Outline {
        let mm = |value: f64| Length::new::<millimeter>(value);
        let zero = Reading { value: mm(0.0), tolerance: mm(0.0), basis: Basis::Assumed };
        let points = corners_mm.iter().map(|corner| corner.map(mm)).collect();
        let growth = Reading::assumed(mm(growth_mm), mm(0.0));
        Outline { center_x: zero, center_y: zero, shape: Shape::Polygon { points, growth } }
    }

    #[track_caller]
    fn check(corners_mm: &[[f64; 2]], growth_mm: f64, expected_mm2: f64) {
        let reversed: Vec<_> = corners_mm.iter().rev().copied().collect();
        for corners in [corners_mm, &reversed] {
            let area_mm2 = outline_area(&polygon(corners, growth_mm)).get::<square_meter>() * 1e6;
            // Rounding of a sum of a few products.
            assert!((area_mm2 - expected_mm2).abs() < 1e-9, "{area_mm2} mm2, expected {expected_mm2}");
        }
    }

    #[test]
    fn exact_rectangle_and_its_growth() {
        let rectangle = [[-40.0, -30.0], [40.0, -30.0], [40.0, 30.0], [-40.0, 30.0]];
        check(&rectangle, 0.0, 4800.0);
        check(&rectangle, 0.5, 81.0 * 61.0);
        check(&rectangle, -0.5, 79.0 * 59.0);
    }

    /// An L of three unit squares; grown by 0.1 it stays an L: 2.2 x 2.2 less the notch of 1 x 1.
    #[test]
    fn exact_an_inner_corner_grows_too() {
        let l = [[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [1.0, 1.0], [1.0, 2.0], [0.0, 2.0]];
        check(&l, 0.0, 3.0);
        check(&l, 0.1, 2.2 * 2.2 - 1.0);
    }

    #[test]
    fn exact_many_corners_make_a_circle() {
        const CORNERS: usize = 720;
        let turn = std::f64::consts::TAU / CORNERS as f64;
        let round: Vec<[f64; 2]> = (0..CORNERS)
            .map(|idx| [43.0 * (idx as f64 * turn).cos(), 43.0 * (idx as f64 * turn).sin()])
            .collect();
        check(&round, 0.0, CORNERS as f64 / 2.0 * 43.0 * 43.0 * turn.sin());
    }
}
