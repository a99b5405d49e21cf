//! Whether a gasket opening lets bore and chamber through, and by how much. Leaves out beads, fire rings and coolant
//! holes.

use glam::DVec3;
use parts::{Cylinder, Outline, Shape};

use crate::distance::{RESOLUTION_M, Ring, least_on_ring};
use crate::solid::Plan;
use crate::solid::plan::for_each_side;

/// How far an opening reaches beyond a line inside it, at the place where it does so least.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margin {
    /// Positive all round; negative where the line stands over the gasket.
    pub distance_m: f64,
    /// The place on the inner line, in the bore frame.
    pub point_m: [f64; 2],
}

/// How far the gasket opening reaches beyond the bore, chamfer not counted. For round openings it is
/// `opening radius - bore radius - distance of their centres`.
pub fn opening_over_bore(cylinder: &Cylinder) -> Margin {
    let bore = Plan::Circle { center: [0.0, 0.0], radius: cylinder.block.bore.value.value / 2.0 };
    margin(&Plan::of(&cylinder.gasket.opening), &bore)
}

/// How far the gasket opening reaches beyond the chamber's edge at the head face, the head shifted and turned as the
/// cylinder says.
pub fn opening_over_chamber(cylinder: &Cylinder) -> Margin {
    let head = &cylinder.head;
    let (sin, cos) = head.twist.value.value.sin_cos();
    let moved = |[x, y]: [f64; 2]| {
        [cos * x - sin * y + head.shift_x.value.value, sin * x + cos * y + head.shift_y.value.value]
    };
    let chamber = match Plan::of(&head.chamber) {
        Plan::Circle { center, radius } => Plan::Circle { center: moved(center), radius },
        Plan::Polygon { corners } => Plan::Polygon { corners: corners.into_iter().map(moved).collect() },
    };
    margin(&Plan::of(&cylinder.gasket.opening), &chamber)
}

/// Whether the line was given at all, or is an estimate through and through.
pub fn is_assumed(outline: &Outline) -> bool {
    match &outline.shape {
        Shape::Circle { diameter } => diameter.basis == units::Basis::Assumed,
        Shape::Polygon { .. } => false,
    }
}

/// Least distance from a line to the opening around it.
pub fn margin(opening: &Plan, inner: &Plan) -> Margin {
    let inside = |x: f64, y: f64| -opening.outside(x, y);
    match inner {
        Plan::Circle { center, radius } => {
            let ring = Ring::level(center[0], center[1], 0.0, *radius);
            let found = least_on_ring(&ring, f64::INFINITY, f64::INFINITY, |p| {
                let (outside, [by_x, by_y]) = opening.sloped_outside(p.x, p.y);
                (-outside, DVec3::new(-by_x, -by_y, 0.0))
            });
            let point = ring.point(found.at);
            Margin { distance_m: found.value, point_m: [point.x, point.y] }
        }
        Plan::Polygon { corners } => {
            let mut least = Margin { distance_m: f64::INFINITY, point_m: corners[0] };
            for_each_side(corners, |from, to| least_on_side(from, to, &inside, &mut least));
            least
        }
    }
}

/// Lowers `least` to the smallest value on a side. A distance cannot fall faster than the place moves, so a stretch whose
/// ends are higher than half its length is left alone.
fn least_on_side(from: [f64; 2], to: [f64; 2], inside: &impl Fn(f64, f64) -> f64, least: &mut Margin) {
    let mut open = vec![(from, to)];
    while let Some((a, b)) = open.pop() {
        let ends = [inside(a[0], a[1]), inside(b[0], b[1])];
        for (value, point) in ends.into_iter().zip([a, b]) {
            if value < least.distance_m {
                *least = Margin { distance_m: value, point_m: point };
            }
        }
        let length = (b[0] - a[0]).hypot(b[1] - a[1]);
        if 0.5 * (ends[0] + ends[1] - length) < least.distance_m - RESOLUTION_M && length > RESOLUTION_M {
            let middle = [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])];
            open.push((a, middle));
            open.push((middle, b));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn circle(x: f64, y: f64, radius: f64) -> Plan {
        Plan::Circle { center: [x, y], radius }
    }

    fn check(opening: &Plan, inner: &Plan, expected_m: f64) {
        let found = margin(opening, inner).distance_m;
        assert!((found - expected_m).abs() < 1e-8, "{found} m, expected {expected_m} m");
    }

    #[test]
    fn exact_round_openings() {
        check(&circle(0.0, 0.0, 0.046), &circle(0.0, 0.0, 0.045), 0.001);
        check(&circle(0.0003, 0.0004, 0.046), &circle(0.0, 0.0, 0.045), 0.0005);
        check(&circle(0.0, 0.0, 0.045), &circle(0.0, 0.002, 0.0445), -0.0015);
    }

    #[test]
    fn exact_square_openings() {
        let square = |half: f64| Plan::Polygon {
            corners: vec![[-half, -half], [half, -half], [half, half], [-half, half]],
        };
        check(&square(0.046), &circle(0.0, 0.0, 0.045), 0.001);
        check(&circle(0.0, 0.0, 0.05), &square(0.03), 0.05 - 0.03 * 2.0_f64.sqrt());
        check(&square(0.04), &square(0.041), -(0.001 * 2.0_f64.sqrt()));
    }

    /// A round opening too small for its bore: published example, a 4.100 in gasket on a 4.155 in bore stands in by
    /// 0.0275 in all round (parts-supplier press article on mismatched head gaskets).
    #[test]
    fn val_press_gasket_smaller_than_bore() {
        let inch = 0.0254;
        check(&circle(0.0, 0.0, 2.05 * inch), &circle(0.0, 0.0, 2.0775 * inch), -0.0275 * inch);
    }
}
