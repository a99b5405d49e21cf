//! How far a valve at some lift and the piston at some height can go toward each other, along the bore and along the
//! valve. Leaves out the straight distance ([`crate::valve_to_piston_distance`]), the way sideways
//! ([`crate::valve_to_pocket`]), when (see [`crate::two_turns`]), and what heat and speed do.

use glam::DVec3;

use crate::distance::{Minimum, Ring, cos_sin, least_in};
use crate::solid::ValveHead;
use crate::solid::crown::{Crown, CrownPart, EdgeArc, Hit, Level, ON_SURFACE_M, PARALLEL};
use crate::solid::cup::Cup;
use crate::valve_to_metal::{point_in_valve, sloped_to_valve};

/// A signed gap to the piston and where it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PistonGap {
    /// In metres; negative when the parts run into each other.
    pub gap_m: f64,
    /// The point of the piston, in the piston's frame, in metres.
    pub point_m: DVec3,
    /// Part of the crown there.
    pub part: CrownPart,
}

impl PistonGap {
    pub(crate) const NONE: Self = Self { gap_m: f64::INFINITY, point_m: DVec3::ZERO, part: CrownPart::Flat };

    #[inline]
    pub(crate) fn see(&mut self, gap_m: f64, point_m: DVec3, part: CrownPart) {
        if gap_m < self.gap_m {
            *self = Self { gap_m, point_m, part };
        }
    }
}

/// Height of the lowest point of a valve, in the piston's frame, over the flat of the crown, in metres. While it is
/// positive and the crown has no dome, no gap is less.
#[inline]
pub fn lowest_point_m(valve_in_piston: &ValveHead) -> f64 {
    valve_in_piston.seated.z - valve_in_piston.head_radius * valve_in_piston.sin_lean()
}

/// How far the piston could still rise along the bore until it touches the valve; `down` as of
/// [`crate::piston_pose::PistonPose::down_in_piston`].
pub fn vertical_gap(valve: &ValveHead, crown: &Crown, down: DVec3) -> PistonGap {
    travel_gap(valve, crown, down)
}

/// How much further the valve could open along its own axis until it touches the piston: what a drop gauge shows,
/// less the lift.
pub fn axial_gap(valve: &ValveHead, crown: &Crown) -> PistonGap {
    travel_gap(valve, crown, -valve.axis)
}

/// Least travel of the valve along the unit vector `d`, which points down, that brings valve and piston
/// together; all in the piston's frame. Past contact it is negative: the way back of the point that has gone
/// farthest.
///
/// The points of a rim are straight above a plane by a wave along the rim. Its lowest point meets the plane
/// first; if metal is missing there, the rim meets the plane first where, seen along `d`, it crosses an edge
/// of the metal. Face against edge is the same the other way round. Walls and the valve's margin are searched
/// for, where they can matter.
pub fn travel_gap(valve: &ValveHead, crown: &Crown, d: DVec3) -> PistonGap {
    let mut best = PistonGap::NONE;
    let rims = [0.0, valve.margin].map(|height| valve.ring(0.0, valve.head_radius, height));
    for ring in &rims {
        for level in crown.levels() {
            rim_to_level(&mut best, valve, ring, crown, level, d);
        }
    }
    for ring in &rims {
        rim_to_walls(&mut best, ring, crown, d);
    }
    if crown.is_compound() || best.gap_m < 0.0 {
        rims_over_all(&mut best, &rims, crown, d);
    }
    for arc in crown.arcs() {
        arc_to_face(&mut best, valve, arc, d);
    }
    for (ends, part) in crown.chords() {
        for &q in ends {
            best.see(travel_from_edge(valve, q, d), q, *part);
        }
    }
    ridges_near(&mut best, crown, |q| travel_from_edge(valve, q, d));
    let across = d.cross(valve.axis).length_squared();
    if across > PARALLEL {
        edges_to_margin(&mut best, valve, crown, d);
    }
    if best.gap_m < 0.0 {
        edges_passed(&mut best, valve, crown, d);
    }
    best
}

/// Edges of the crown that a valve which is past contact has left behind its face, whether or not its back has passed
/// them too. While nothing else touches, a rim below an edge has gone under it, and not through.
fn edges_passed(best: &mut PistonGap, valve: &ValveHead, crown: &Crown, d: DVec3) {
    for arc in crown.arcs() {
        for_each_dip_along::<N_KINKED>(
            &arc.ring,
            arc.span,
            best.gap_m,
            |q| way_to_face(valve, q, d),
            |dip| best.see(dip.value, arc.ring.point(dip.at), arc.part),
        );
    }
    for &(ends, part) in crown.chords() {
        for q in ends {
            best.see(way_to_face(valve, q, d), q, part);
        }
    }
}

/// A rim against a plane of the crown.
#[inline]
fn rim_to_level(
    best: &mut PistonGap,
    valve: &ValveHead,
    ring: &Ring,
    crown: &Crown,
    level: &Level,
    d: DVec3,
) {
    let rate = -level.normal.dot(d);
    if rate <= 0.0 {
        return;
    }
    let height = level.height_along(ring);
    if (height.mean - height.swing()) / rate >= best.gap_m {
        return;
    }
    let lowest = height.lowest();
    let p = ring.center + ring.to_cos * lowest[0] + ring.to_sin * lowest[1];
    let Hit { travel, part } = crown.travel(p, d);
    best.see(travel, p + d * travel, part);
    if crown.bears(level, p + d * (height.at(lowest) / rate), None) {
        return;
    }
    let foot = Ring {
        center: ring.center + d * (height.mean / rate),
        to_cos: ring.to_cos + d * (height.cos / rate),
        to_sin: ring.to_sin + d * (height.sin / rate),
    };
    let mut meet = |angle: f64, cup_idx: Option<usize>, part: CrownPart| {
        let at = cos_sin(angle);
        let travel = height.at(at) / rate;
        let q = foot.center + foot.to_cos * at[0] + foot.to_sin * at[1];
        let on_edge = crown.bears(level, q, cup_idx);
        // Below an edge without touching it, a rim has passed under and not through.
        let met = travel >= 0.0 || !crown.open_at(q - d * travel) || holds(valve, q);
        if on_edge && met {
            best.see(travel, q, part);
        }
    };
    for (cup_idx, cup) in crown.cups().iter().enumerate() {
        let part = CrownPart::Edge(cup_idx);
        if cup.farthest(&foot) > cup.radius {
            let (angles, n) = cup.beyond_wall(&foot).zeros();
            for &angle in &angles[..n] {
                if height_over(cup, &foot, angle) >= -ON_SURFACE_M {
                    meet(angle, Some(cup_idx), part);
                }
            }
        }
        if level.own_cup() != Some(cup_idx) {
            let floor = Level { origin: cup.floor, normal: cup.axis, part: CrownPart::Floor(cup_idx) };
            for angle in floor.height_along(&foot).zeros().into_iter().flatten() {
                let at = cos_sin(angle);
                let q = foot.center + foot.to_cos * at[0] + foot.to_sin * at[1];
                if cup.height_and_radial(q).1.length() <= cup.radius {
                    meet(angle, Some(cup_idx), part);
                }
            }
        } else if level.normal.z < 1.0 {
            // The straight edge where a leaning floor comes up to the flat.
            let flat = Level { origin: DVec3::ZERO, normal: DVec3::Z, part: CrownPart::Flat };
            for angle in flat.height_along(&foot).zeros().into_iter().flatten() {
                meet(angle, None, part);
            }
        }
    }
    if let (CrownPart::Flat | CrownPart::Dome, Some(dome)) = (level.part, crown.dome()) {
        let radius = if level.part == CrownPart::Flat { dome.base_radius } else { dome.top_radius };
        let (angles, n) = Cup::new(0.0, 0.0, 0.0, radius, [0.0; 2]).beyond_wall(&foot).zeros();
        for &angle in &angles[..n] {
            meet(angle, None, CrownPart::Dome);
        }
    }
}

#[inline]
fn height_over(cup: &Cup, ring: &Ring, angle: f64) -> f64 {
    cup.height_and_radial(ring.point(angle)).0
}

/// Looks around a rim or along an edge where nothing straight helps.
///
/// The way to a wall is as smooth as a square wave; a distance from the whole crown has kinks.
const N_SMOOTH: usize = 16;
pub(crate) const N_KINKED: usize = 48;

/// Dips this much above the best are still followed to their bottom, in metres.
const DIP_MARGIN_M: f64 = 5e-4;

/// Finest angle worth finding on a rim or an edge.
const ANGLE_ACCURACY: f64 = 2e-6;

/// Shows `see` the bottom of every dip of a function between two angles, or two shares of a line, that comes near
/// `to_beat` or below. Functions of distance have kinks; a dip narrower than a look's step can be passed over.
pub(crate) fn for_each_dip<const N: usize>(
    [from, to]: [f64; 2],
    to_beat: f64,
    f: impl Fn(f64) -> f64,
    see: impl FnMut(Minimum),
) {
    let step = (to - from) / N as f64;
    let mut values = [0.0; N_KINKED + 1];
    for (idx, value) in values.iter_mut().enumerate().take(N + 1) {
        *value = f(from + idx as f64 * step);
    }
    bottoms::<N>([from, to], &values, to_beat, &f, see);
}

/// The same for a function of the points of a ring, whose looks are turned to by one step again and again.
pub(crate) fn for_each_dip_along<const N: usize>(
    ring: &Ring,
    [from, to]: [f64; 2],
    to_beat: f64,
    f: impl Fn(DVec3) -> f64,
    see: impl FnMut(Minimum),
) {
    let ([mut cos, mut sin], [step_cos, step_sin]) = (cos_sin(from), cos_sin((to - from) / N as f64));
    let mut values = [0.0; N_KINKED + 1];
    for value in values.iter_mut().take(N + 1) {
        *value = f(ring.center + ring.to_cos * cos + ring.to_sin * sin);
        (cos, sin) = (cos * step_cos - sin * step_sin, sin * step_cos + cos * step_sin);
    }
    bottoms::<N>([from, to], &values, to_beat, |angle| f(ring.point(angle)), see);
}

/// The bottoms of the dips among looks at equal steps.
#[inline]
fn bottoms<const N: usize>(
    [from, to]: [f64; 2],
    values: &[f64; N_KINKED + 1],
    to_beat: f64,
    f: impl Fn(f64) -> f64,
    mut see: impl FnMut(Minimum),
) {
    let step = (to - from) / N as f64;
    for idx in 0..=N {
        let (before, here, after) = (values[idx.saturating_sub(1)], values[idx], values[(idx + 1).min(N)]);
        if here <= before && here <= after && here < to_beat + DIP_MARGIN_M {
            let at = from + idx as f64 * step;
            let ends = [(at - step).max(from), (at + step).min(to)];
            see(least_in(&f, ends, Minimum { at, value: here }, ANGLE_ACCURACY));
        }
    }
}

pub(crate) const TURN: [f64; 2] = [0.0, std::f64::consts::TAU];

/// A rim against the walls of cuts, where the way can end at one before `best`, and against the side of a
/// dome.
///
/// The way to a wall without ends is smooth along the rim. Where its least place lies beyond an end of the
/// wall, the rim meets the wall first at that end, which the levels have seen.
fn rim_to_walls(best: &mut PistonGap, ring: &Ring, crown: &Crown, d: DVec3) {
    for (idx, cup) in crown.cups().iter().enumerate() {
        if cup.farthest(ring) > cup.radius {
            through_wall(best, ring, crown, idx, d);
        }
        let drift = (d - cup.axis * d.dot(cup.axis)).length();
        if drift * drift <= PARALLEL || (cup.radius - cup.farthest(ring)) / drift >= best.gap_m {
            continue;
        }
        let to_wall = |p: DVec3| cup.way_to_wall(p, d);
        let mut found = *best;
        for_each_dip_along::<N_SMOOTH>(ring, TURN, best.gap_m + DIP_MARGIN_M / drift, to_wall, |dip| {
            let p = ring.point(dip.at);
            let q = p + d * dip.value;
            if crown.bears_on_wall(idx, q) && (dip.value >= 0.0 || !crown.open_at(p)) {
                found.see(dip.value, q, CrownPart::Wall(idx));
            }
        });
        *best = found;
    }
    if let Some(dome) = crown.dome() {
        let to_side = |p: DVec3| {
            let Hit { travel, part } = crown.travel(p, d);
            let on_side = part == CrownPart::Dome && (p + d * travel).z < dome.height - ON_SURFACE_M;
            if on_side { travel } else { f64::INFINITY }
        };
        for_each_dip_along::<N_KINKED>(ring, TURN, best.gap_m, to_side, |dip| {
            best.see(dip.value, ring.point(dip.at) + d * dip.value, CrownPart::Dome);
        });
    }
}

/// The ridges of the crown, searched for the least of a gap.
pub(crate) fn ridges_near(best: &mut PistonGap, crown: &Crown, gap: impl Fn(DVec3) -> f64) {
    for ridge in crown.ridges() {
        let here = |angle: f64| crown.on_ridge(ridge, angle).map_or(f64::INFINITY, &gap);
        for_each_dip::<N_KINKED>(TURN, best.gap_m, here, |dip| {
            if let Some(q) = crown.on_ridge(ridge, dip.at) {
                best.see(dip.value, q, ridge.part());
            }
        });
    }
}

/// Rims against everything at once, where cuts and dome cross each other and a rim can meet the metal first
/// at the end of any part of any of them.
fn rims_over_all(best: &mut PistonGap, rims: &[Ring; 2], crown: &Crown, d: DVec3) {
    for ring in rims {
        let known = best.gap_m;
        let travel = |p: DVec3| {
            let travel = crown.travel(p, d).travel;
            // Places as good as the best are known.
            if (travel - known).abs() < SAME_M { f64::INFINITY } else { travel }
        };
        for_each_dip_along::<N_KINKED>(ring, TURN, known, travel, |dip| {
            let p = ring.point(dip.at);
            let Hit { travel, part } = crown.travel(p, d);
            best.see(travel, p + d * travel, part);
        });
    }
}

/// Gaps nearer than this are the same.
const SAME_M: f64 = 1e-9;

/// Where a rim goes into a wall: beyond it the way back to the open may be a long one at once.
fn through_wall(best: &mut PistonGap, ring: &Ring, crown: &Crown, cup_idx: usize, d: DVec3) {
    let cup = &crown.cups()[cup_idx];
    let (angles, n) = cup.beyond_wall(ring).zeros();
    for &angle in &angles[..n] {
        let p = ring.point(angle);
        if crown.bears_on_wall(cup_idx, p) {
            let (_, radial) = cup.height_and_radial(p);
            let beyond = p + radial * (JUST_BEYOND_M / cup.radius);
            let Hit { travel, part } = crown.travel(beyond, d);
            best.see(travel, beyond + d * travel, part);
        }
    }
}

/// A step into the metal that changes no gap worth telling, in metres.
const JUST_BEYOND_M: f64 = 1e-9;

/// An edge of the crown against the face of the valve.
#[inline]
fn arc_to_face(best: &mut PistonGap, valve: &ValveHead, arc: &EdgeArc, d: DVec3) {
    let rate = -d.dot(valve.axis);
    if rate <= 0.0 {
        return;
    }
    let face = Level { origin: valve.seated, normal: -valve.axis, part: arc.part };
    let height = face.height_along(&arc.ring);
    if (height.mean - height.swing()) / rate >= best.gap_m {
        return;
    }
    let lowest = height.lowest();
    let [from, to] = arc.span;
    let whole = to - from >= TURN[1];
    let angle = lowest[1].atan2(lowest[0]);
    let inside = from + (angle - from).rem_euclid(TURN[1]);
    if whole || inside <= to {
        let q = arc.ring.point(angle);
        best.see(travel_from_edge(valve, q, d), q, arc.part);
    }
    if !whole {
        for angle in arc.span {
            let q = arc.ring.point(angle);
            best.see(travel_from_edge(valve, q, d), q, arc.part);
        }
    }
}

/// Whether a point lies in the valve or on it.
#[inline]
fn holds(valve: &ValveHead, q: DVec3) -> bool {
    sloped_to_valve(valve, point_in_valve(valve, 0.0, q)).0 <= ON_SURFACE_M
}

/// How far back along `-d` a point of an edge finds the face or the margin of the valve; negative when it is past it,
/// infinite when it misses.
#[inline]
fn travel_from_edge(valve: &ValveHead, q: DVec3, d: DVec3) -> f64 {
    let to_face = way_to_face(valve, q, d);
    if to_face < f64::INFINITY {
        return if to_face >= 0.0 || holds(valve, q) { to_face } else { f64::INFINITY };
    }
    match way_to_margin(valve, q, d) {
        Some((travel, at_height)) if 0.0 <= at_height && at_height <= valve.margin => travel,
        _ => f64::INFINITY,
    }
}

/// How far back along `-d` a point finds the face of the valve; infinite when it misses it.
#[inline]
fn way_to_face(valve: &ValveHead, q: DVec3, d: DVec3) -> f64 {
    let from_face = q - valve.seated;
    let (height, climb) = (from_face.dot(valve.axis), -d.dot(valve.axis));
    let to_face = -height / climb;
    let on_plane = from_face - valve.axis * height - (d + valve.axis * climb) * to_face;
    let hits = on_plane.length_squared() <= valve.head_radius * valve.head_radius;
    if hits { to_face } else { f64::INFINITY }
}

/// Edges of the crown against the margin of a valve that leans from the way it goes. Where the least place
/// lies beyond an end of the margin, a rim meets the edge, which the levels have seen.
fn edges_to_margin(best: &mut PistonGap, valve: &ValveHead, crown: &Crown, d: DVec3) {
    // The less the way leans, the steeper it changes along an edge.
    let drift = d.cross(valve.axis).length();
    let to_beat = best.gap_m + DIP_MARGIN_M / drift;
    let on_margin = |at_height: f64| 0.0 <= at_height && at_height <= valve.margin;
    let to_margin = |q: DVec3| way_to_margin(valve, q, d).map_or(f64::INFINITY, |(travel, _)| travel);
    let mut see = |q: DVec3, part: CrownPart| {
        if let Some((travel, at_height)) = way_to_margin(valve, q, d)
            && on_margin(at_height)
        {
            best.see(travel, q, part);
        }
    };
    for arc in crown.arcs() {
        if (nearest_to_axis(valve, &arc.ring) - valve.head_radius) / drift >= to_beat {
            continue;
        }
        for_each_dip_along::<N_KINKED>(&arc.ring, arc.span, to_beat, to_margin, |dip| {
            see(arc.ring.point(dip.at), arc.part);
        });
    }
    for &([from, to], part) in crown.chords() {
        let travel = |share: f64| to_margin(from + (to - from) * share);
        for_each_dip::<N_KINKED>([0.0, 1.0], to_beat, travel, |dip| see(from + (to - from) * dip.at, part));
    }
}

/// No point of a ring is nearer to the valve's axis than this, where the ring goes round it; else it is not positive.
#[inline]
fn nearest_to_axis(valve: &ValveHead, ring: &Ring) -> f64 {
    let square_to_axis = |v: DVec3| v - valve.axis * v.dot(valve.axis);
    let [center, to_cos, to_sin] = [ring.center - valve.seated, ring.to_cos, ring.to_sin].map(square_to_axis);
    let (cos_sq, sin_sq) = (to_cos.length_squared(), to_sin.length_squared());
    // The shorter half-axis of an ellipse from any two of its conjugate radii.
    let skew = (0.5 * (cos_sq - sin_sq)).hypot(to_cos.dot(to_sin));
    (0.5 * (cos_sq + sin_sq) - skew).max(0.0).sqrt() - center.length()
}

/// How far back along `-d` a point finds the valve's margin carried on without ends, and the height over the
/// face there.
#[inline]
fn way_to_margin(valve: &ValveHead, q: DVec3, d: DVec3) -> Option<(f64, f64)> {
    let from_face = q - valve.seated;
    let (height, climb) = (from_face.dot(valve.axis), -d.dot(valve.axis));
    let (radial, drift) = (from_face - valve.axis * height, -d - valve.axis * climb);
    let (qa, qb) = (drift.length_squared(), radial.dot(drift));
    let under_root = qb * qb - qa * (radial.length_squared() - valve.head_radius * valve.head_radius);
    if qa <= PARALLEL || under_root <= 0.0 {
        return None;
    }
    let travel = (-qb - under_root.sqrt()) / qa;
    Some((travel, height + travel * climb))
}
