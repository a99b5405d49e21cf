//! The edge of a gasket opening or chamber: a circle, a polygon, or the estimate when neither is given.

use parts::{Outline, Shape, estimate};
use units::{Length, Quantity, Reading};

use crate::check::{join, number, unit_of};
use crate::layers::{Layer, Layers, Log, reading};
use crate::tree::{Node, Value};
use crate::vocabulary::outline::{CORNERS, GROWTH, POINTS, UNIT};
use crate::vocabulary::{Field, Section};

/// The keys of one outline.
pub(crate) struct OutlineKeys {
    pub diameter: &'static Field<Length>,
    pub polygon: &'static Section,
    pub x: &'static Field<Length>,
    pub y: &'static Field<Length>,
}

/// The outline, and whether its form was given; `None` for the form where it was given and refused.
pub(crate) fn read_outline(
    log: &mut Log,
    layers: &Layers,
    keys: &OutlineKeys,
    estimated: Reading<Length>,
) -> (Outline, Option<Given>) {
    let center_x = layers.get(keys.x).unwrap_or_else(estimate::outline_center);
    let center_y = layers.get(keys.y).unwrap_or_else(estimate::outline_center);
    let outline = |shape| Outline { center_x, center_y, shape };
    let by_estimate = Shape::Circle { diameter: estimated };
    let own = layers.own.and_then(|layer| form_in(log, layers, layer, keys, false));
    let form =
        own.or_else(|| layers.common.and_then(|layer| form_in(log, layers, layer, keys, layers.mirrored)));
    match form {
        Some(Some(shape)) => (outline(shape), Some(Given)),
        Some(None) | None => (outline(by_estimate), None),
    }
}

/// Marks an outline that somebody measured.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Given;

/// The form in one layer: `None` when it has none, `Some(None)` when that was refused.
fn form_in(
    log: &mut Log,
    layers: &Layers,
    layer: Layer,
    keys: &OutlineKeys,
    mirrored: bool,
) -> Option<Option<Shape>> {
    let (round_key, polygon_key) = (keys.diameter.key(), keys.polygon.key);
    match (layer.table.item(round_key), layer.table.item(polygon_key)) {
        (Some(_), Some(second)) => {
            let found = format!("both {round_key} and {polygon_key}");
            let path = join(&layers.path, polygon_key);
            log.wrong(second.key_place, &path, found, "one of the two");
            Some(None)
        }
        (Some(round), None) => {
            let diameter = reading(&round.node, keys.diameter, false);
            Some(diameter.map(|diameter| Shape::Circle { diameter }))
        }
        (None, Some(polygon)) => {
            Some(read_polygon(log, &polygon.node, &join(&layers.path, polygon_key), mirrored))
        }
        (None, None) => None,
    }
}

fn read_polygon(log: &mut Log, node: &Node, path: &str, mirrored: bool) -> Option<Shape> {
    let layer = Layer::of(node)?;
    let alone =
        Layers { own: None, common: Some(layer), mirrored: false, path: path.to_owned(), top: node.place };
    alone.require(log, &UNIT);
    alone.require(log, &POINTS);
    let unit_si = layer.table.text(UNIT.words.key).and_then(unit_of)?;
    let corners = layer.table.list(POINTS.words.key);
    if !CORNERS.contains(&corners.len()) {
        return None;
    }
    let turn = if mirrored { -1.0 } else { 1.0 };
    let mut points = Vec::with_capacity(corners.len());
    for corner in corners {
        let Value::List(pair) = &corner.value else { return None };
        let [x, y] = pair.as_slice() else { return None };
        points.push([turn * number(x)? * unit_si, number(y)? * unit_si]);
    }
    check_polygon(log, corners, &points, &join(path, POINTS.words.key))?;
    let growth = alone.get(&GROWTH).unwrap_or_else(estimate::outline_growth);
    let points = points.iter().map(|point| point.map(Length::from_si)).collect();
    Some(Shape::Polygon { points, growth })
}

/// Corners that make a closed line which does not touch itself and lies within ten metres.
fn check_polygon(log: &mut Log, corners: &[Node], points: &[[f64; 2]], path: &str) -> Option<()> {
    let n_points = points.len();
    for (idx, point) in points.iter().enumerate() {
        if point.iter().any(|m| m.abs() >= 10.0) {
            let found = "a corner ten metres or more from the bore axis";
            log.wrong(corners[idx].place, path, found, "corners in the unit given");
            return None;
        }
        if *point == points[(idx + 1) % n_points] {
            let next = (idx + 1) % n_points;
            let found = format!("corners {} and {} in the same place", idx + 1, next + 1);
            log.wrong(
                corners[next].place,
                path,
                found,
                "each corner once; the last joins the first by itself",
            );
            return None;
        }
    }
    let side = |idx: usize| (points[idx], points[(idx + 1) % n_points]);
    for first in 0..n_points {
        for (second, corner) in corners.iter().enumerate().skip(first + 1) {
            let neighbours = second == first + 1 || (first == 0 && second == n_points - 1);
            let meet = if neighbours {
                fold_back(side(first), side(second))
            } else {
                cross(side(first), side(second))
            };
            if meet {
                let name = |idx: usize| format!("{} to {}", idx + 1, (idx + 1) % n_points + 1);
                let found = format!(
                    "the side from corner {} meets the side from corner {}",
                    name(first),
                    name(second)
                );
                log.wrong(
                    corner.place,
                    path,
                    found,
                    "corners in order round an edge that does not cross itself",
                );
                return None;
            }
        }
    }
    Some(())
}

type Side = ([f64; 2], [f64; 2]);

/// Twice the area of the triangle, positive when `c` lies to the left of `a` to `b`.
fn turn_m2(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// Whether two sides that share no corner have a point in common.
fn cross((a, b): Side, (c, d): Side) -> bool {
    let (c_side, d_side) = (turn_m2(a, b, c), turn_m2(a, b, d));
    let (a_side, b_side) = (turn_m2(c, d, a), turn_m2(c, d, b));
    if c_side == 0.0 && d_side == 0.0 {
        let overlap = |axis: usize| {
            let (low, high) = (a[axis].min(b[axis]), a[axis].max(b[axis]));
            c[axis].min(d[axis]) <= high && low <= c[axis].max(d[axis])
        };
        return overlap(0) && overlap(1);
    }
    c_side * d_side <= 0.0 && a_side * b_side <= 0.0
}

/// Whether a side goes straight back along the one before it.
fn fold_back((a, b): Side, (c, d): Side) -> bool {
    // The shared corner is b = c, or for the last and first side of the line a = d.
    let (from, corner, to) = if b == c { (a, b, d) } else { (b, a, c) };
    let along = (from[0] - corner[0]) * (to[0] - corner[0]) + (from[1] - corner[1]) * (to[1] - corner[1]);
    turn_m2(from, corner, to) == 0.0 && along > 0.0
}

/// Area inside an outline, in square metres: of a circle, or of a polygon (shoelace formula) grown all round by
/// `g`, area + perimeter g + pi g^2, which is exact for a convex one.
pub(crate) fn area_m2(shape: &Shape) -> f64 {
    match shape {
        Shape::Circle { diameter } => circle_m2(diameter.value.si()),
        Shape::Polygon { points, growth } => {
            let n_points = points.len();
            let (mut twice_m2, mut perimeter_m) = (0.0, 0.0);
            for idx in 0..n_points {
                let [ax, ay] = points[idx].map(Quantity::si);
                let [bx, by] = points[(idx + 1) % n_points].map(Quantity::si);
                twice_m2 += ax * by - bx * ay;
                perimeter_m += (bx - ax).hypot(by - ay);
            }
            let growth_m = growth.value.si();
            twice_m2.abs() / 2.0 + perimeter_m * growth_m + std::f64::consts::PI * growth_m * growth_m
        }
    }
}

/// Area of a circle, in square metres.
pub(crate) fn circle_m2(diameter_m: f64) -> f64 {
    std::f64::consts::PI / 4.0 * diameter_m * diameter_m
}
