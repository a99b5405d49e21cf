//! The line a cutter draws on the deck or on a piston crown, seen from above. Leaves out what happens below.

use glam::{DVec2, DVec3};

use crate::distance::{Minimum, least_in};
use crate::relief_cutter::Cutter;
use crate::relief_line::{inside_on_line, surface_on_line};
use crate::relief_volume::Metal;

/// A piece of an outline, walked from its first end to its last.
#[derive(Clone, Debug, PartialEq)]
pub enum Piece {
    /// An exact arc of a circle.
    Arc {
        /// Its centre, in metres.
        center: DVec2,
        /// Its radius, in metres.
        radius: f64,
        /// Angle of the first end, in radians from `+x` toward `+y`.
        from_rad: f64,
        /// Angle of the last end; less than `from_rad` when walked clockwise.
        to_rad: f64,
    },
    /// Points on a curve that is no circle, nowhere farther from their chords than the chordal accuracy.
    Points(Vec<DVec2>),
}

/// Closed lines around the metal removed at the level of deck or crown: counter-clockwise around metal, clockwise
/// around what stays in the midst of it. Each piece starts where the one before ends.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outline {
    /// The closed lines.
    pub loops: Vec<Vec<Piece>>,
    /// The point farthest from the bore axis; `None` when nothing is removed at this level.
    pub farthest: Option<DVec2>,
}

impl Piece {
    /// Twice the area between the piece and the origin, positive when walked counter-clockwise.
    fn doubled_area(&self) -> f64 {
        match self {
            Self::Arc { center, radius, from_rad, to_rad } => {
                let ends = [*from_rad, *to_rad].map(|angle| DVec2::from_angle(angle) * *radius);
                radius * radius * (to_rad - from_rad) + center.perp_dot(ends[1] - ends[0])
            }
            Self::Points(points) => points.windows(2).map(|pair| pair[0].perp_dot(pair[1])).sum(),
        }
    }

    /// Points along the piece, none of their chords farther from it than the accuracy.
    pub fn points(&self, chordal_accuracy_m: f64) -> Vec<DVec2> {
        match self {
            Self::Arc { center, radius, from_rad, to_rad } => {
                let step = 2.0 * (1.0 - (chordal_accuracy_m / radius).min(1.0)).acos();
                let n_steps = ((to_rad - from_rad).abs() / step).ceil().max(1.0);
                (0..=n_steps as usize)
                    .map(|idx| {
                        let angle = from_rad + (to_rad - from_rad) * idx as f64 / n_steps;
                        *center + DVec2::from_angle(angle) * *radius
                    })
                    .collect()
            }
            Self::Points(points) => points.clone(),
        }
    }
}

impl Outline {
    /// The enclosed area, in square metres.
    pub fn area_m2(&self) -> f64 {
        0.5 * self.loops.iter().flatten().map(Piece::doubled_area).sum::<f64>()
    }

    /// Every closed line as points; the last is not repeated at the start.
    pub fn polylines(&self, chordal_accuracy_m: f64) -> Vec<Vec<DVec2>> {
        let closed = |pieces: &Vec<Piece>| {
            let mut points: Vec<DVec2> = Vec::new();
            for piece in pieces {
                points.extend(piece.points(chordal_accuracy_m));
            }
            points.dedup_by(|a, b| a.distance(*b) < SAME_POINT_M);
            if points.len() > 1 && points[0].distance(points[points.len() - 1]) < SAME_POINT_M {
                points.pop();
            }
            points
        };
        self.loops.iter().map(closed).collect()
    }
}

/// Points nearer to each other than this are one, in metres.
const SAME_POINT_M: f64 = 1e-10;

/// Angles at which a section is looked at first.
const N_LOOKS: usize = 180;

/// Angles are found to this, in radians: well under a nanometre on any bore.
const ANGLE_ACCURACY_RAD: f64 = 1e-11;

/// Times a stretch of a curve is halved at the most, and at the least.
const MOST_HALVINGS: usize = 16;
const LEAST_HALVINGS: usize = 3;

/// The section of a cutter at the level `z = 0`, a convex curve around a centre.
pub struct Section<'a> {
    cutter: &'a Cutter,
    /// A point inside.
    pub center: DVec2,
    /// More than the distance from the centre to any point of the curve.
    beyond: f64,
}

impl<'a> Section<'a> {
    /// The section; `None` when the cutter does not come down to the level.
    pub fn new(cutter: &'a Cutter) -> Option<Self> {
        let top = cutter.height_clear_of(0.0);
        if top <= 0.0 || cutter.lowest() >= 0.0 {
            return None;
        }
        // Section and cutter are alike on both sides of the upright plane through the axis: the middle of the line in
        // which they meet lies well inside.
        let on_axis = cutter.end - cutter.axis * (cutter.end.z / cutter.axis.z);
        let lean = DVec3::new(cutter.axis.x, cutter.axis.y, 0.0);
        let way = if cutter.is_upright() { DVec3::X } else { lean.normalize() };
        let beyond = 2.0 * (cutter.radius_at(top).unwrap_or(cutter.radius) + top);
        let [from, to] = inside_on_line(cutter, on_axis, way, [-beyond, beyond])?;
        let center = on_axis + way * (0.5 * (from + to));
        Some(Self { cutter, center: DVec2::new(center.x, center.y), beyond: 2.0 * beyond })
    }

    /// The point of the curve in a direction from the centre.
    pub fn point(&self, angle: f64) -> DVec2 {
        let way = DVec2::from_angle(angle);
        let from = self.center.extend(0.0);
        self.center + way * surface_on_line(self.cutter, from, way.extend(0.0), self.beyond, 0.0)
    }

    /// The circle that the curve is, if it is one.
    fn circle_radius(&self) -> Option<f64> {
        if self.cutter.is_upright() { self.cutter.radius_at(-self.cutter.end.z) } else { None }
    }

    /// A stretch of the curve.
    fn piece(&self, from_rad: f64, to_rad: f64, chordal_accuracy_m: f64) -> Piece {
        if let Some(radius) = self.circle_radius() {
            return Piece::Arc { center: self.center, radius, from_rad, to_rad };
        }
        let mut points = vec![self.point(from_rad)];
        self.add_points([from_rad, to_rad], chordal_accuracy_m, 0, &mut points);
        Piece::Points(points)
    }

    fn add_points(&self, [from, to]: [f64; 2], accuracy: f64, n_halvings: usize, points: &mut Vec<DVec2>) {
        let middle = 0.5 * (from + to);
        let (a, b, c) = (points[points.len() - 1], self.point(middle), self.point(to));
        let chord = c - a;
        let off = chord.perp_dot(b - a).abs() / chord.length().max(f64::MIN_POSITIVE);
        let close = n_halvings >= LEAST_HALVINGS && off <= accuracy && a.distance(b) < chord.length();
        if close || n_halvings >= MOST_HALVINGS {
            points.push(c);
            return;
        }
        self.add_points([from, middle], accuracy, n_halvings + 1, points);
        self.add_points([middle, to], accuracy, n_halvings + 1, points);
    }

    /// Stretches of the curve (angles from the centre, ascending) where `inside` is negative; the whole turn as one.
    pub fn stretches(&self, inside: impl Fn(DVec2) -> f64) -> Vec<[f64; 2]> {
        negative_spans(|angle| inside(self.point(angle)), N_LOOKS)
    }
}

/// Spans of a full turn, ascending, in which a function of an angle is negative. Spans that do not touch any of the
/// looks are found when they are the bottom of a valley between looks. A span over the whole turn is `[-pi, pi]`.
pub fn negative_spans(f: impl Fn(f64) -> f64, n_looks: usize) -> Vec<[f64; 2]> {
    let step = std::f64::consts::TAU / n_looks as f64;
    let angle = |idx: usize| -std::f64::consts::PI + step * idx as f64;
    let mut looks: Vec<(f64, f64)> = (0..n_looks).map(|idx| (angle(idx), f(angle(idx)))).collect();
    let valleys: Vec<(f64, f64)> = (0..n_looks)
        .filter_map(|idx| {
            let (before, here, after) =
                (looks[(idx + n_looks - 1) % n_looks].1, looks[idx].1, looks[(idx + 1) % n_looks].1);
            if here < 0.0 || before < here || after < here {
                return None;
            }
            let at = angle(idx);
            let start = Minimum { at, value: here };
            let least = least_in(&f, [at - step, at + step], start, ANGLE_ACCURACY_RAD);
            (least.value < 0.0).then_some((least.at, least.value))
        })
        .collect();
    looks.extend(valleys);
    looks.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    if looks.iter().all(|look| look.1 < 0.0) {
        return vec![[-std::f64::consts::PI, std::f64::consts::PI]];
    }
    let n = looks.len();
    let rising_or_falling = |idx: usize| {
        let (here, mut next) = (looks[idx], looks[(idx + 1) % n]);
        if next.0 < here.0 {
            next.0 += std::f64::consts::TAU;
        }
        ((here.1 < 0.0) != (next.1 < 0.0)).then(|| (here.1 >= 0.0, root(&f, here.0, next.0)))
    };
    let crossings: Vec<(bool, f64)> = (0..n).filter_map(rising_or_falling).collect();
    let Some(first_in) = crossings.iter().position(|crossing| crossing.0) else { return Vec::new() };
    let n_crossings = crossings.len();
    (0..n_crossings / 2)
        .map(|idx| {
            let from = crossings[(first_in + 2 * idx) % n_crossings].1;
            let to = crossings[(first_in + 2 * idx + 1) % n_crossings].1;
            [from, if to < from { to + std::f64::consts::TAU } else { to }]
        })
        .collect()
}

/// Root between two angles of which `f` is negative at exactly one.
fn root(f: &impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    let low_is_negative = f(low) < 0.0;
    while high - low > ANGLE_ACCURACY_RAD {
        let middle = 0.5 * (low + high);
        if (f(middle) < 0.0) == low_is_negative {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// The outline of the metal that a cutter removes at the level `z = 0`.
///
/// Exact arcs where the edge is a circle: that of bore or piston always, that of the cutter when it stands upright.
pub fn outline(cutter: &Cutter, metal: &Metal, chordal_accuracy_m: f64) -> Outline {
    let Some(section) = Section::new(cutter) else { return Outline::default() };
    let edge = metal.top_radius();
    match metal {
        Metal::Block { .. } => outside_bore(&section, edge, chordal_accuracy_m),
        Metal::Piston { .. } => inside_piston(&section, edge, chordal_accuracy_m),
    }
}

fn outside_bore(section: &Section, edge: f64, accuracy: f64) -> Outline {
    let spans = section.stretches(|p| edge - p.length());
    let mut loops = Vec::new();
    for &[from, to] in &spans {
        let cut = section.piece(from, to, accuracy);
        if to - from < WHOLE_TURN_RAD {
            let (first, last) = (section.point(from), section.point(to));
            loops.push(vec![cut, edge_arc(edge, last, first, false)]);
        } else {
            loops.push(vec![cut]);
            if section.cutter.distance(DVec3::ZERO) <= 0.0 {
                let (from_rad, to_rad) = (std::f64::consts::PI, -std::f64::consts::PI);
                loops.push(vec![Piece::Arc { center: DVec2::ZERO, radius: edge, from_rad, to_rad }]);
            }
        }
    }
    Outline { loops, farthest: farthest(section, &spans) }
}

fn inside_piston(section: &Section, edge: f64, accuracy: f64) -> Outline {
    let spans = section.stretches(|p| p.length() - edge);
    let whole = |radius| Piece::Arc {
        center: DVec2::ZERO,
        radius,
        from_rad: -std::f64::consts::PI,
        to_rad: std::f64::consts::PI,
    };
    if spans.is_empty() {
        let covered = section.cutter.distance(DVec3::ZERO) <= 0.0;
        let loops = if covered { vec![vec![whole(edge)]] } else { Vec::new() };
        return Outline { loops, farthest: covered.then_some(DVec2::new(edge, 0.0)) };
    }
    if spans.len() == 1 && spans[0][1] - spans[0][0] >= WHOLE_TURN_RAD {
        let loops = vec![vec![section.piece(spans[0][0], spans[0][1], accuracy)]];
        return Outline { loops, farthest: farthest(section, &spans) };
    }
    let mut pieces = Vec::new();
    for (idx, &[from, to]) in spans.iter().enumerate() {
        pieces.push(section.piece(from, to, accuracy));
        let next = spans[(idx + 1) % spans.len()][0];
        pieces.push(edge_arc(edge, section.point(to), section.point(next), true));
    }
    Outline { loops: vec![pieces], farthest: Some(section.point(spans[0][0])) }
}

/// Spans within rounding of a turn.
const WHOLE_TURN_RAD: f64 = std::f64::consts::TAU - 1e-9;

fn edge_arc(radius: f64, first: DVec2, last: DVec2, counter_clockwise: bool) -> Piece {
    let from_rad = first.to_angle();
    let mut turn = last.to_angle() - from_rad;
    if counter_clockwise && turn < 0.0 {
        turn += std::f64::consts::TAU;
    } else if !counter_clockwise && turn > 0.0 {
        turn -= std::f64::consts::TAU;
    }
    Piece::Arc { center: DVec2::ZERO, radius, from_rad, to_rad: from_rad + turn }
}

/// The point of the curve, within the spans, that is farthest from the bore axis.
fn farthest(section: &Section, spans: &[[f64; 2]]) -> Option<DVec2> {
    let cost = |angle: f64| -section.point(angle).length();
    let best = spans.iter().map(|&span| least_of_span(cost, span, N_LOOKS / 2));
    best.min_by(|a, b| a.value.total_cmp(&b.value)).map(|best| section.point(best.at))
}

/// Least value of a function in a span: the lowest of several looks, then the valley around it. A span of a whole turn
/// has no ends: the function must repeat itself beyond them.
pub fn least_of_span(f: impl Fn(f64) -> f64, [from, to]: [f64; 2], n_looks: usize) -> Minimum {
    let step = (to - from) / n_looks as f64;
    let mut best = Minimum { at: from, value: f(from) };
    for idx in 1..=n_looks {
        let at = from + step * idx as f64;
        let value = f(at);
        if value < best.value {
            best = Minimum { at, value };
        }
    }
    let bracket = [best.at - step, best.at + step];
    let bracket = if to - from < WHOLE_TURN_RAD { bracket.map(|at| at.clamp(from, to)) } else { bracket };
    let found = least_in(&f, bracket, best, ANGLE_ACCURACY_RAD);
    if found.value < best.value { found } else { best }
}
