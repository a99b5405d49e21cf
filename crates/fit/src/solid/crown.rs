//! The crown of a piston: its flat, a dome on it, and what is cut into it. Leaves out the top land and where
//! the piston stands.
//!
//! Everything is in the piston's own frame: the bore frame moved down so that the flat of the crown is `z =
//! 0`.

use glam::DVec3;

pub use super::cup::Cup;
use super::dome::Dome;
use crate::distance::{Ring, Wave};

/// Part of a crown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum CrownPart {
    /// The flat, the crown datum.
    Flat,
    /// The plateau of a dome, its edge or its side.
    Dome,
    /// Floor of the cut with that number.
    Floor(usize),
    /// Wall of the cut with that number.
    Wall(usize),
    /// Sharp edge of the cut with that number.
    Edge(usize),
}

/// A plane that bears some of the crown's surface.
#[derive(Clone, Copy, Debug)]
pub struct Level {
    /// A point of it.
    pub origin: DVec3,
    /// Unit vector to the open.
    pub normal: DVec3,
    /// What it bears: flat, plateau or a floor.
    pub part: CrownPart,
}

impl Level {
    /// Height of the points of a ring over the plane.
    #[inline]
    pub fn height_along(&self, ring: &Ring) -> Wave {
        Wave {
            mean: self.normal.dot(ring.center - self.origin),
            cos: self.normal.dot(ring.to_cos),
            sin: self.normal.dot(ring.to_sin),
        }
    }

    /// The cut whose floor it is.
    #[inline]
    pub fn own_cup(&self) -> Option<usize> {
        if let CrownPart::Floor(idx) = self.part { Some(idx) } else { None }
    }
}

/// A sharp edge: part of an ellipse, from one angle to another.
#[derive(Clone, Copy, Debug)]
pub struct EdgeArc {
    /// The ellipse, its longer half-axis first.
    pub ring: Ring,
    /// First and last angle, rising.
    pub span: [f64; 2],
    /// Whose edge it is.
    pub part: CrownPart,
}

/// An edge in space, followed along the straight lines of a wall or of the side of a dome.
#[derive(Clone, Copy, Debug)]
pub struct Ridge {
    along: Along,
    /// The cut it is shared with; the side of the dome if none.
    other: Option<usize>,
    /// Which end of the passage through the other.
    leaving: bool,
}

#[derive(Clone, Copy, Debug)]
enum Along {
    Wall(usize),
    Side,
}

impl Ridge {
    /// Whose edge it is.
    pub fn part(&self) -> CrownPart {
        match (self.along, self.other) {
            (Along::Wall(idx), _) | (Along::Side, Some(idx)) => CrownPart::Edge(idx),
            (Along::Side, None) => CrownPart::Dome,
        }
    }
}

/// A crown as one solid without an outer edge: flat and dome, less the cuts.
#[derive(Clone, Debug)]
pub struct Crown {
    cups: Vec<Cup>,
    dome: Option<Dome>,
    levels: Vec<Level>,
    arcs: Vec<EdgeArc>,
    chords: Vec<([DVec3; 2], CrownPart)>,
    ridges: Vec<Ridge>,
}

/// Points nearer to a surface than this count as on it, in metres.
pub const ON_SURFACE_M: f64 = 1e-10;

/// Square of the sine below which two directions are parallel.
pub const PARALLEL: f64 = 1e-18;

/// What a point meets on a straight way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hit {
    /// How far; negative for the way back to the open of a point in the metal.
    pub travel: f64,
    /// What it meets.
    pub part: CrownPart,
}

impl Crown {
    /// A flat crown with a dome and cuts, each if there is one.
    pub fn new(cups: Vec<Cup>, dome: Option<Dome>) -> Self {
        let mut levels = Vec::with_capacity(2 + cups.len());
        levels.push(Level { origin: DVec3::ZERO, normal: DVec3::Z, part: CrownPart::Flat });
        if let Some(dome) = dome {
            levels.push(Level { origin: DVec3::Z * dome.height, normal: DVec3::Z, part: CrownPart::Dome });
        }
        for (idx, cup) in cups.iter().enumerate() {
            levels.push(Level { origin: cup.floor, normal: cup.axis, part: CrownPart::Floor(idx) });
        }
        let mut crown = Self { cups, dome, levels, arcs: Vec::new(), chords: Vec::new(), ridges: Vec::new() };
        crown.find_edges();
        crown.find_ridges();
        crown
    }

    /// The cuts.
    pub fn cups(&self) -> &[Cup] {
        &self.cups
    }

    /// The dome.
    pub fn dome(&self) -> Option<&Dome> {
        self.dome.as_ref()
    }

    /// Whether cuts can cross each other, or a dome.
    pub fn is_compound(&self) -> bool {
        self.cups.len() > 1 || self.dome.is_some()
    }

    /// The planes that bear flat, plateau and floors.
    pub fn levels(&self) -> &[Level] {
        &self.levels
    }

    /// Round sharp edges.
    pub fn arcs(&self) -> &[EdgeArc] {
        &self.arcs
    }

    /// Straight sharp edges, where a leaning floor runs out of a plane.
    pub fn chords(&self) -> &[([DVec3; 2], CrownPart)] {
        &self.chords
    }

    /// Whether a point of a plane belongs to the crown's surface, the cut `but` left out of account.
    pub fn bears(&self, level: &Level, p: DVec3, but: Option<usize>) -> bool {
        let out_sq = p.x * p.x + p.y * p.y;
        let in_place = match (level.part, self.dome) {
            (CrownPart::Flat, Some(dome)) => out_sq >= dome.base_radius * dome.base_radius,
            (CrownPart::Dome, Some(dome)) => out_sq <= dome.top_radius * dome.top_radius,
            (CrownPart::Floor(idx), _) => {
                let cup = &self.cups[idx];
                let reach = cup.radius + ON_SURFACE_M;
                (but == Some(idx) || cup.height_and_radial(p).1.length_squared() <= reach * reach)
                    && self.solid_height(p) <= ON_SURFACE_M
            }
            _ => true,
        };
        let own = level.own_cup();
        in_place
            && self
                .cups
                .iter()
                .enumerate()
                .all(|(idx, cup)| Some(idx) == own || Some(idx) == but || !cup.holds(p))
    }

    /// Whether a point of a wall belongs to the crown's surface.
    pub fn bears_on_wall(&self, cup_idx: usize, p: DVec3) -> bool {
        self.cups[cup_idx].height_and_radial(p).0 >= 0.0
            && self.solid_height(p) <= ON_SURFACE_M
            && self.cups.iter().enumerate().all(|(idx, cup)| idx == cup_idx || !cup.holds(p))
    }

    /// A number that is positive above flat and dome, before anything is cut: their signed distance but near the foot
    /// of the dome.
    #[inline]
    fn solid_height(&self, p: DVec3) -> f64 {
        match &self.dome {
            Some(dome) if p.z > 0.0 => dome.distance(p).min(p.z),
            Some(dome) => p.z.min(dome.distance(p)),
            None => p.z,
        }
    }

    /// Signed distance of a point from the crown, exact in the metal; outside, never more than the distance.
    #[inline]
    pub fn distance_bound(&self, p: DVec3) -> f64 {
        self.cups.iter().fold(self.solid_height(p), |bound, cup| bound.max(cup.room(p)))
    }

    /// Whether a point lies in the open, by more than [`ON_SURFACE_M`].
    #[inline]
    pub fn open_at(&self, p: DVec3) -> bool {
        self.distance_bound(p) > ON_SURFACE_M
    }

    /// How far a point can go along the unit vector `d`, which points down, until it meets metal; for a point in the
    /// metal, minus its way straight back to the open.
    #[inline]
    pub fn travel(&self, p: DVec3, d: DVec3) -> Hit {
        let flat = p.z / -d.z;
        let dome = self.dome.as_ref().and_then(|dome| dome.passage(p, d));
        let in_dome = |t: f64| dome.is_some_and(|[from, to]| from <= t && t <= to);
        let solid = |t: f64| t >= flat || in_dome(t);
        let passage = |idx: usize| self.cups[idx].passage(p, d);
        let cut = (0..self.cups.len()).any(|idx| passage(idx).is_some_and(|[e, l]| e.0 < 0.0 && 0.0 < l.0));
        if solid(0.0) && !cut {
            return self.way_back(flat, dome, passage);
        }
        let mut here = Hit { travel: 0.0, part: CrownPart::Flat };
        // Each round leaves the open above or one cut; a line does either only once.
        for _ in 0..2 * (self.cups.len() + 2) {
            if !solid(here.travel) {
                here = match dome {
                    Some([from, _]) if from > here.travel && from < flat => {
                        Hit { travel: from, part: CrownPart::Dome }
                    }
                    _ => Hit { travel: flat, part: CrownPart::Flat },
                };
            }
            let leave = (0..self.cups.len()).find_map(|idx| {
                let [enter, leave] = passage(idx)?;
                (enter.0 <= here.travel && here.travel < leave.0).then_some((idx, leave))
            });
            let Some((idx, (travel, by_floor))) = leave else { break };
            here = Hit { travel, part: if by_floor { CrownPart::Floor(idx) } else { CrownPart::Wall(idx) } };
            if !travel.is_finite() {
                break;
            }
        }
        here
    }

    /// The way back to the open from a point in the metal.
    fn way_back(
        &self,
        flat: f64,
        dome: Option<[f64; 2]>,
        passage: impl Fn(usize) -> Option<[(f64, bool); 2]>,
    ) -> Hit {
        let mut back = match dome {
            Some([from, to]) if (flat <= 0.0 && from <= flat && flat <= to) || flat > 0.0 => {
                Hit { travel: from, part: CrownPart::Dome }
            }
            _ => Hit { travel: flat, part: CrownPart::Flat },
        };
        for idx in 0..self.cups.len() {
            if let Some([_, (leave, by_floor)]) = passage(idx)
                && back.travel < leave
                && leave <= 0.0
            {
                let part = if by_floor { CrownPart::Floor(idx) } else { CrownPart::Wall(idx) };
                back = Hit { travel: leave, part };
            }
        }
        back
    }

    /// The point of a curved edge at an angle around the cut or dome it runs along; `None` where there is none.
    pub fn on_ridge(&self, ridge: &Ridge, angle: f64) -> Option<DVec3> {
        let [cos, sin] = crate::distance::cos_sin(angle);
        let (from, way, owners) = match ridge.along {
            Along::Wall(idx) => {
                let cup = &self.cups[idx];
                let foot = cup.floor + (cup.across[0] * cos + cup.across[1] * sin) * cup.radius;
                (foot, cup.axis, [Some(idx), ridge.other])
            }
            Along::Side => {
                let dome = self.dome.as_ref()?;
                let out = DVec3::new(cos, sin, 0.0);
                let (foot, top) = (out * dome.base_radius, out * dome.top_radius + DVec3::Z * dome.height);
                (foot, (top - foot).normalize(), [None, ridge.other])
            }
        };
        let at = match ridge.other {
            None => self.dome.as_ref()?.passage(from, way)?[usize::from(ridge.leaving)],
            Some(other) => self.cups[other].passage(from, way)?[usize::from(ridge.leaving)].0,
        };
        let q = from + way * at;
        let on_side = match self.dome {
            Some(dome) => ON_SURFACE_M < q.z && q.z < dome.height - ON_SURFACE_M,
            None => false,
        };
        let in_place = match (ridge.along, ridge.other) {
            (Along::Side, _) => on_side,
            (_, None) => on_side && at > 0.0,
            (_, Some(_)) => at > 0.0 && self.solid_height(q) <= ON_SURFACE_M,
        };
        let clear = |(idx, cup): (usize, &Cup)| owners.contains(&Some(idx)) || !cup.holds(q);
        (at.is_finite() && in_place && self.cups.iter().enumerate().all(clear)).then_some(q)
    }

    /// Edges that are no plane curves: where the walls of two cuts meet, and where a cut meets the side of a dome.
    pub fn ridges(&self) -> &[Ridge] {
        &self.ridges
    }

    fn find_ridges(&mut self) {
        let n = self.cups.len();
        for cup in 0..n {
            let along = Along::Wall(cup);
            if self.dome.is_some() {
                self.ridges.push(Ridge { along, other: None, leaving: true });
            }
            for leaving in [false, true] {
                let other = Some(cup);
                if self.dome.is_some() {
                    self.ridges.push(Ridge { along: Along::Side, other, leaving });
                }
                let others = (0..n).filter(|&other| other != cup);
                self.ridges.extend(others.map(|other| Ridge { along, other: Some(other), leaving }));
            }
        }
    }

    /// All sharp edges that are plane curves.
    fn find_edges(&mut self) {
        let (mut arcs, mut chords) = (Vec::new(), Vec::new());
        for level in &self.levels {
            for idx in 0..self.cups.len() {
                if level.own_cup() != Some(idx) {
                    self.edges_in(level, idx, &mut arcs, &mut chords);
                }
            }
            if let (CrownPart::Dome, Some(dome)) = (level.part, &self.dome) {
                let ring = Ring::level(0.0, 0.0, dome.height, dome.top_radius);
                let all = EdgeArc { ring, span: [0.0, std::f64::consts::TAU], part: CrownPart::Dome };
                self.keep_free(all, None, |p| self.cups.iter().all(|cup| !cup.holds(p)), &mut arcs);
            }
        }
        (self.arcs, self.chords) = (arcs, chords);
    }

    /// Where wall and floor of a cut meet a plane.
    fn edges_in(
        &self,
        level: &Level,
        cup_idx: usize,
        arcs: &mut Vec<EdgeArc>,
        chords: &mut Vec<([DVec3; 2], CrownPart)>,
    ) {
        let cup = &self.cups[cup_idx];
        let facing = cup.axis.dot(level.normal);
        if facing <= 0.0 {
            return;
        }
        let along_axis = |v: DVec3| v - cup.axis * (v.dot(level.normal) / facing);
        let [first, second] = across(cup.axis, level.normal);
        let center = cup.floor + cup.axis * ((level.origin - cup.floor).dot(level.normal) / facing);
        let ring =
            Ring { center, to_cos: along_axis(first) * cup.radius, to_sin: along_axis(second) * cup.radius };
        // Height over the floor along the ellipse is `middle - lean cos t`; only what is over it is an edge.
        let middle = (center - cup.floor).dot(cup.axis);
        let lean = -ring.to_cos.dot(cup.axis);
        if middle <= -lean {
            return;
        }
        let part = CrownPart::Edge(cup_idx);
        let clear = |p: DVec3| self.bears(level, p, Some(cup_idx));
        let turn = std::f64::consts::TAU;
        if middle >= lean {
            self.keep_free(EdgeArc { ring, span: [0.0, turn], part }, Some(cup_idx), clear, arcs);
            return;
        }
        let start = (middle / lean).acos();
        let span = [start, turn - start];
        self.keep_free(EdgeArc { ring, span, part }, Some(cup_idx), clear, arcs);
        let ends = span.map(|angle| ring.point(angle));
        self.keep_free_chord(ends, part, cup_idx, clear, chords);
    }

    /// The stretches of an edge that other cuts leave.
    fn keep_free(
        &self,
        arc: EdgeArc,
        own: Option<usize>,
        clear: impl Fn(DVec3) -> bool,
        arcs: &mut Vec<EdgeArc>,
    ) {
        let [from, to] = arc.span;
        let mut ends = vec![from, to];
        let mut end = |angle: f64| {
            let inside = from + (angle - from).rem_euclid(std::f64::consts::TAU);
            if inside < to {
                ends.push(inside);
            }
        };
        for (idx, cup) in self.cups.iter().enumerate() {
            if Some(idx) != own {
                let (angles, n) = cup.beyond_wall(&arc.ring).zeros();
                angles[..n].iter().for_each(|&angle| end(angle));
                let floor = Level { origin: cup.floor, normal: cup.axis, part: CrownPart::Floor(idx) };
                floor.height_along(&arc.ring).zeros().into_iter().flatten().for_each(&mut end);
            }
        }
        if let Some(dome) = &self.dome {
            for radius in [dome.base_radius, dome.top_radius] {
                let upright = Cup::new(0.0, 0.0, 0.0, radius, [0.0; 2]);
                let (angles, n) = upright.beyond_wall(&arc.ring).zeros();
                angles[..n].iter().for_each(|&angle| end(angle));
            }
        }
        ends.sort_by(f64::total_cmp);
        for pair in ends.windows(2) {
            if pair[1] - pair[0] > SHORTEST_ARC && clear(arc.ring.point(0.5 * (pair[0] + pair[1]))) {
                arcs.push(EdgeArc { span: [pair[0], pair[1]], ..arc });
            }
        }
    }

    /// The stretches of a straight edge that other cuts leave.
    fn keep_free_chord(
        &self,
        [from, to]: [DVec3; 2],
        part: CrownPart,
        own: usize,
        clear: impl Fn(DVec3) -> bool,
        chords: &mut Vec<([DVec3; 2], CrownPart)>,
    ) {
        let length = (to - from).length();
        if length < ON_SURFACE_M {
            return;
        }
        let way = (to - from) / length;
        let mut ends = vec![0.0, length];
        for (idx, cup) in self.cups.iter().enumerate() {
            if idx != own
                && let Some([enter, leave]) = cup.passage(from, way)
            {
                ends.extend([enter.0, leave.0].into_iter().filter(|&t| 0.0 < t && t < length));
            }
        }
        ends.sort_by(f64::total_cmp);
        for pair in ends.windows(2) {
            if pair[1] - pair[0] > ON_SURFACE_M && clear(from + way * (0.5 * (pair[0] + pair[1]))) {
                chords.push(([from + way * pair[0], from + way * pair[1]], part));
            }
        }
    }
}

/// Shorter arcs are taken for rounding, in radians.
const SHORTEST_ARC: f64 = 1e-8;

/// Two unit vectors that complete a frame with `axis`: the first points up from the plane of `normal` as steeply as
/// it can; the second lies in that plane.
pub(super) fn across(axis: DVec3, normal: DVec3) -> [DVec3; 2] {
    let leaning = normal - axis * axis.dot(normal);
    let first = if leaning.length_squared() > PARALLEL {
        leaning.normalize()
    } else {
        DVec3::new(axis.z, 0.0, -axis.x).normalize()
    };
    [first, axis.cross(first)]
}
