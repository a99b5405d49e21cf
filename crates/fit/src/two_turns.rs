//! The least gap of every moving pair of one cylinder over 720 degrees of the crank, and where the crank then stands.
//! Leaves out limits, and readings: everything comes in as numbers.

use glam::DVec3;
use motion::{SliderCrank, ValveMotion};
use units::CrankAngle;

use crate::distance::{Minimum, least_in};
use crate::piston_pose::PistonPose;
use crate::solid::{Crown, CrownPart, ValveHead};
use crate::valve_to_piston::{PistonGap, axial_gap, lowest_point_m, vertical_gap};
use crate::valve_to_piston_distance::distance_gap;
use crate::valve_to_pocket::radial_gap;
use crate::valve_to_valve::valve_to_valve;

/// Degrees of a cycle, and looks at it: one a degree.
pub const CYCLE_DEG: f64 = 720.0;
const N_LOOKS: usize = 720;

/// How far a valve is open at a crank angle.
pub trait LiftLaw {
    /// Lift in metres; crank angle in degrees, 0 at the top of the firing stroke.
    fn lift_m(&self, crank_deg: f64) -> f64;

    /// Crank angle of the greatest lift, in degrees.
    fn nose_deg(&self) -> f64;
}

impl LiftLaw for ValveMotion {
    fn lift_m(&self, crank_deg: f64) -> f64 {
        self.lift_at(CrankAngle::from_degrees(crank_deg)).value
    }

    fn nose_deg(&self) -> f64 {
        self.nose().degrees()
    }
}

/// A valve that does not quite follow its cam down: an allowance for loft and float.
///
/// From the nose on it stands farther open by `loft_m`, which grows in the first [`LOFT_GROWS_DEG`] after the
/// nose and goes again with the last of the lift, so that a seated valve is seated. An allowance, not a model
/// of float; usual limits hold some already (common practice, no source).
#[derive(Clone, Copy, Debug)]
pub struct Lofted<L> {
    /// What it should do.
    pub law: L,
    /// How much farther it is open.
    pub loft_m: f64,
}

/// Crank degrees from the nose in which loft grows to its full amount.
pub const LOFT_GROWS_DEG: f64 = 20.0;

impl<L: LiftLaw> LiftLaw for Lofted<L> {
    fn lift_m(&self, crank_deg: f64) -> f64 {
        let lift = self.law.lift_m(crank_deg);
        let past_nose =
            (crank_deg - self.law.nose_deg() + 0.5 * CYCLE_DEG).rem_euclid(CYCLE_DEG) - 0.5 * CYCLE_DEG;
        if self.loft_m <= 0.0 || past_nose <= 0.0 || lift <= 0.0 {
            return lift;
        }
        lift + self.loft_m.min(lift) * (past_nose / LOFT_GROWS_DEG).min(1.0)
    }

    fn nose_deg(&self) -> f64 {
        self.law.nose_deg()
    }
}

/// A valve with its motion, and the crown as it meets it.
#[derive(Clone, Debug)]
pub struct MovingValve<L> {
    /// The valve at its seat, in the bore frame.
    pub head: ValveHead,
    /// Its lift.
    pub lift: L,
    /// The crown with this valve's own pocket, and a dish or dome. Another valve's pocket only ever takes
    /// metal away; left out, no gap is overstated.
    pub crown: Crown,
    /// Which cut of the crown is the pocket.
    pub pocket: Option<usize>,
}

/// Everything that moves over one piston.
#[derive(Clone, Debug)]
pub struct MovingParts<L> {
    /// Crank and rod.
    pub crank: SliderCrank,
    /// Crown's flat over the deck at the top, in metres.
    pub deck_offset_m: f64,
    /// How far the piston may lean either way about its pin, in radians; 0 to leave it straight.
    pub rock_rad: f64,
    /// The pin's y and its depth below the crown's flat, in metres.
    pub pin_m: [f64; 2],
    /// Height of the head's face over the deck, in metres.
    pub head_face_m: f64,
    /// The valves.
    pub valves: Vec<MovingValve<L>>,
}

impl<L> MovingParts<L> {
    /// Height of the crown's flat over the deck at a crank angle, in metres.
    pub fn crown_m(&self, crank_deg: f64) -> f64 {
        self.deck_offset_m - self.crank.drop(CrankAngle::from_degrees(crank_deg)).value
    }

    /// The piston at a crank angle, leaning its whole way to one side: -1, 0 or 1.
    fn pose(&self, crank_deg: f64, lean: f64) -> PistonPose {
        PistonPose { crown_m: self.crown_m(crank_deg), rock_rad: self.rock_rad * lean, pin_m: self.pin_m }
    }
}

/// Which way a valve's gap to the piston is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Way {
    /// Along the bore: what the piston could still rise.
    Vertical,
    /// Along the valve: what it could still open.
    Axial,
    /// In the straight.
    Distance,
    /// Sideways in the pocket.
    Radial,
}

/// Two parts that may meet, valves by their numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Pair {
    /// A valve and the piston.
    ValveToPiston(usize, Way),
    /// Two valves.
    ValveToValve(usize, usize),
    /// Crown and head face; a dome is left to the chamber that takes it.
    PistonToHead,
}

/// The least gap of a pair and where it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeastGap {
    /// Which parts.
    pub pair: Pair,
    /// In metres; negative when they run into each other.
    pub gap_m: f64,
    /// Where the crank then stands, in degrees of the cycle.
    pub crank_deg: f64,
    /// How far the valves of the pair are then open, in metres; 0 for what is no valve.
    pub lifts_m: [f64; 2],
    /// The point, in the bore frame, in metres.
    pub point_m: DVec3,
    /// Part of the crown there, for pairs with the piston.
    pub part: Option<CrownPart>,
}

/// Every pair of a cylinder, in a fixed order: each valve against the piston all ways that apply, valve
/// against valve, piston to head.
pub fn pairs<L>(parts: &MovingParts<L>) -> Vec<Pair> {
    let n = parts.valves.len();
    let mut all = Vec::with_capacity(5 * n + n * n / 2 + 1);
    for (idx, valve) in parts.valves.iter().enumerate() {
        all.extend([Way::Vertical, Way::Axial, Way::Distance].map(|way| Pair::ValveToPiston(idx, way)));
        if valve.pocket.is_some() {
            all.push(Pair::ValveToPiston(idx, Way::Radial));
        }
    }
    for one in 0..n {
        all.extend((one + 1..n).map(|two| Pair::ValveToValve(one, two)));
    }
    all.push(Pair::PistonToHead);
    all
}

/// The gap of a pair at a crank angle, in metres; infinite for a radial gap while no margin is in its pocket.
pub fn gap_m<L: LiftLaw>(parts: &MovingParts<L>, pair: Pair, crank_deg: f64) -> f64 {
    match pair {
        Pair::ValveToPiston(idx, way) => {
            let valve = &parts.valves[idx];
            to_piston(parts, valve, way, crank_deg, valve.lift.lift_m(crank_deg)).0.gap_m
        }
        Pair::ValveToValve(one, two) => {
            let (one, two) = (&parts.valves[one], &parts.valves[two]);
            valve_to_valve(&one.head, one.lift.lift_m(crank_deg), &two.head, two.lift.lift_m(crank_deg)).gap_m
        }
        Pair::PistonToHead => parts.head_face_m - parts.crown_m(crank_deg),
    }
}

/// A valve's gap to the piston and the pose that has it: the worse lean, if it leans.
fn to_piston<L>(
    parts: &MovingParts<L>,
    valve: &MovingValve<L>,
    way: Way,
    crank_deg: f64,
    lift_m: f64,
) -> (PistonGap, PistonPose) {
    let at = |lean: f64| {
        let pose = parts.pose(crank_deg, lean);
        let head = pose.valve_in_piston(&valve.head, lift_m);
        let vertical = || vertical_gap(&head, &valve.crown, pose.down_in_piston());
        let gap = match way {
            Way::Vertical => vertical(),
            Way::Axial => axial_gap(&head, &valve.crown),
            Way::Distance => {
                let axial = axial_gap(&head, &valve.crown).gap_m;
                distance_gap(&head, &valve.crown, axial)
            }
            Way::Radial => valve
                .pocket
                .and_then(|idx| radial_gap(&head, &valve.crown, idx))
                .unwrap_or(PistonGap { gap_m: f64::INFINITY, point_m: DVec3::ZERO, part: CrownPart::Flat }),
        };
        (gap, pose)
    };
    if parts.rock_rad == 0.0 {
        return at(0.0);
    }
    let (one, other) = (at(-1.0), at(1.0));
    if other.0.gap_m < one.0.gap_m { other } else { one }
}

/// The gap of a pair at a crank angle with its place.
pub fn gap_at<L: LiftLaw>(parts: &MovingParts<L>, pair: Pair, crank_deg: f64) -> LeastGap {
    let none = LeastGap {
        pair,
        gap_m: f64::INFINITY,
        crank_deg: crank_deg.rem_euclid(CYCLE_DEG),
        lifts_m: [0.0; 2],
        point_m: DVec3::ZERO,
        part: None,
    };
    match pair {
        Pair::ValveToPiston(idx, way) => {
            let valve = &parts.valves[idx];
            let lift = valve.lift.lift_m(crank_deg);
            let (gap, pose) = to_piston(parts, valve, way, crank_deg, lift);
            LeastGap {
                gap_m: gap.gap_m,
                lifts_m: [lift, 0.0],
                point_m: pose.in_bore(gap.point_m),
                part: Some(gap.part),
                ..none
            }
        }
        Pair::ValveToValve(one, two) => {
            let (one, two) = (&parts.valves[one], &parts.valves[two]);
            let lifts_m = [one.lift.lift_m(crank_deg), two.lift.lift_m(crank_deg)];
            let gap = valve_to_valve(&one.head, lifts_m[0], &two.head, lifts_m[1]);
            LeastGap { gap_m: gap.gap_m, lifts_m, point_m: gap.point_m, ..none }
        }
        Pair::PistonToHead => {
            let gap_m = gap_m(parts, pair, crank_deg);
            LeastGap { gap_m, point_m: DVec3::Z * parts.head_face_m, part: Some(CrownPart::Flat), ..none }
        }
    }
}

/// Least gaps of all pairs over two turns. A pocket that no margin ever enters has no radial gap.
pub fn two_turns<L: LiftLaw>(parts: &MovingParts<L>) -> Vec<LeastGap> {
    let dips = find_dips(parts, 0.0);
    dips.iter().map(|of_pair| gap_at(parts, of_pair.pair, of_pair.dips[0].at)).collect()
}

/// The crank angles where a pair comes close.
#[derive(Clone, Debug)]
pub struct Dips {
    /// Which parts.
    pub pair: Pair,
    /// Angles in degrees and gaps in metres, least first; never empty.
    pub dips: Vec<Minimum>,
}

/// Every pair's least gap, and its other dips that come within `spread_m` of it, to start from where readings
/// differ by their tolerances. After them come places where a margin nearly reaches into its pocket and may with
/// other readings: their gap is infinite as yet. A margin that never reaches in has no radial gap.
pub fn find_dips<L: LiftLaw>(parts: &MovingParts<L>, spread_m: f64) -> Vec<Dips> {
    find_dips_of(parts, spread_m, |_| true)
}

/// [`find_dips`] of those pairs only that are asked for.
pub fn find_dips_of<L: LiftLaw>(
    parts: &MovingParts<L>,
    spread_m: f64,
    asked: impl Fn(Pair) -> bool,
) -> Vec<Dips> {
    let scan = Scan::new(parts);
    pairs(parts)
        .into_iter()
        .filter(|pair| asked(*pair))
        .map(|pair| Dips { pair, dips: scan.dips(pair, spread_m) })
        .filter(|of_pair| of_pair.dips.first().is_some_and(|least| least.value < f64::INFINITY))
        .collect()
}

/// Angles are resolved to this where a minimum is wanted for itself, and for a sample of the tolerances.
const ANGLE_ACCURACY_DEG: f64 = 1e-3;
const SAMPLE_ACCURACY_DEG: f64 = 0.02;

/// A dip between two looks can be deeper than either by this, in metres.
const BETWEEN_LOOKS_M: f64 = 1e-4;

/// A gap changes by less than this from one degree to the next, in metres: valves lift by up to a quarter of a
/// millimetre a degree, pistons drop by about as much where they are near.
const WITHIN_A_DEGREE_M: f64 = 6e-4;

/// Gaps that differ by less are the same: twice what distances are resolved to.
const LEVEL_M: f64 = 2.0 * crate::distance::RESOLUTION_M;

/// Motion looked up once a degree.
struct Scan<'a, L> {
    parts: &'a MovingParts<L>,
    crowns_m: Vec<f64>,
    lifts_m: Vec<Vec<f64>>,
}

impl<'a, L: LiftLaw> Scan<'a, L> {
    fn new(parts: &'a MovingParts<L>) -> Self {
        let degrees = || (0..N_LOOKS).map(|idx| idx as f64);
        Self {
            parts,
            crowns_m: degrees().map(|deg| parts.crown_m(deg)).collect(),
            lifts_m: parts
                .valves
                .iter()
                .map(|valve| degrees().map(|deg| valve.lift.lift_m(deg)).collect())
                .collect(),
        }
    }

    fn dips(&self, pair: Pair, spread_m: f64) -> Vec<Minimum> {
        let values = match pair {
            Pair::ValveToPiston(idx, way) => self.look_to_piston(idx, way, spread_m),
            Pair::ValveToValve(one, two) => self.look_between_valves(one, two, spread_m),
            // The true top is where drops are counted from.
            Pair::PistonToHead => return vec![Minimum { at: 0.0, value: gap_m(self.parts, pair, 0.0) }],
        };
        let mut dips = polish(&values, spread_m, |deg| gap_m(self.parts, pair, deg));
        if let (Pair::ValveToPiston(idx, Way::Radial), true) = (pair, spread_m > 0.0) {
            dips.extend(self.almost_in_pocket(idx, spread_m));
        }
        if let (Pair::ValveToValve(one, two), true) = (pair, spread_m > 0.0) {
            // Two valves that move alike keep their gap; what tips it then shows most where they are widest open.
            let limit = dips.first().map_or(0.0, |least| least.value + spread_m);
            for idx in [one, two] {
                let at = self.parts.valves[idx].lift.nose_deg();
                let value = gap_m(self.parts, pair, at);
                if value <= limit && dips.iter().all(|dip| (dip.at - at).abs() > STRIDE_DEG) {
                    dips.push(Minimum { at, value });
                }
            }
        }
        dips
    }

    /// Gaps a degree apart where they can be among the least, infinite elsewhere: a gap is never less than
    /// the height of the valve's lowest point over the crown's highest, while that is positive.
    fn look_to_piston(&self, idx: usize, way: Way, spread_m: f64) -> Vec<f64> {
        let valve = &self.parts.valves[idx];
        let lowest = lowest_point_m(&valve.head) - valve.crown.dome().map_or(0.0, |dome| dome.height);
        // A leaning piston rises by the lean at the far side of its crown; the valve is always within this of
        // the axis.
        let rock_m = self.parts.rock_rad * (valve.head.seated.length() + 2.0 * valve.head.head_radius);
        let bound =
            |deg: usize| lowest - self.lifts_m[idx][deg] * valve.head.axis.z - self.crowns_m[deg] - rock_m;
        let nearest =
            (0..N_LOOKS).min_by(|&a, &b| bound(a).total_cmp(&bound(b))).expect("there are 720 degrees");
        let gap = |deg: usize| to_piston(self.parts, valve, way, deg as f64, self.lifts_m[idx][deg]).0.gap_m;
        let mut values = vec![f64::INFINITY; N_LOOKS];
        values[nearest] = gap(nearest);
        let mut least = values[nearest];
        let mut look = |values: &mut Vec<f64>, deg: usize| {
            // Sideways gaps count while the margin is below the flat.
            let beyond = if way == Way::Radial { 0.0 } else { (least + spread_m + BETWEEN_LOOKS_M).max(0.0) };
            if values[deg] == f64::INFINITY && bound(deg) <= beyond {
                values[deg] = gap(deg);
                least = least.min(values[deg]);
            }
        };
        for deg in (0..N_LOOKS).step_by(2) {
            look(&mut values, deg);
        }
        let near = values.iter().copied().fold(f64::INFINITY, f64::min) + spread_m + WITHIN_A_DEGREE_M;
        for deg in (1..N_LOOKS).step_by(2) {
            if way == Way::Radial || values[deg - 1].min(values[(deg + 1) % N_LOOKS]) <= near {
                look(&mut values, deg);
            }
        }
        values
    }

    /// Angles where a margin comes lowest without reaching into its pocket by less than `spread_m`: it may with other
    /// readings. Their gap is infinite as yet.
    fn almost_in_pocket(&self, idx: usize, spread_m: f64) -> impl Iterator<Item = Minimum> {
        let valve = &self.parts.valves[idx];
        let lowest = lowest_point_m(&valve.head);
        let over_flat =
            move |deg: usize| lowest - self.lifts_m[idx][deg] * valve.head.axis.z - self.crowns_m[deg];
        (0..N_LOOKS).filter_map(move |deg| {
            let (before, here, after) =
                (over_flat((deg + N_LOOKS - 1) % N_LOOKS), over_flat(deg), over_flat((deg + 1) % N_LOOKS));
            let almost = 0.0 < here && here < spread_m && here < before && here <= after;
            almost.then_some(Minimum { at: deg as f64, value: f64::INFINITY })
        })
    }

    /// The same for two valves: their gap changes by no more than the two lifts together.
    fn look_between_valves(&self, one: usize, two: usize, spread_m: f64) -> Vec<f64> {
        const STRIDES: [usize; 3] = [16, 4, 1];
        let (heads, lifts) = (
            [&self.parts.valves[one].head, &self.parts.valves[two].head],
            [&self.lifts_m[one], &self.lifts_m[two]],
        );
        let mut values = vec![f64::INFINITY; N_LOOKS];
        let mut least = f64::INFINITY;
        let mut seated = None;
        for (level, stride) in STRIDES.into_iter().enumerate() {
            for deg in (0..N_LOOKS).step_by(stride) {
                if values[deg] < f64::INFINITY {
                    continue;
                }
                if level > 0 {
                    let wider = STRIDES[level - 1];
                    let before = deg - deg % wider;
                    let far = [before, (before + wider) % N_LOOKS].into_iter().any(|known| {
                        let moved = |idx: usize| (lifts[idx][deg] - lifts[idx][known]).abs();
                        values[known] < f64::INFINITY
                            && values[known] - moved(0) - moved(1) > least + spread_m + BETWEEN_LOOKS_M
                    });
                    if far {
                        continue;
                    }
                }
                let (lift_one, lift_two) = (lifts[0][deg], lifts[1][deg]);
                let gap = || valve_to_valve(heads[0], lift_one, heads[1], lift_two).gap_m;
                let both_seated = lift_one == 0.0 && lift_two == 0.0;
                values[deg] = if both_seated { *seated.get_or_insert_with(gap) } else { gap() };
                least = least.min(values[deg]);
            }
        }
        values
    }
}

/// The bottoms of the dips in a table of gaps a degree apart that are among the least, least first.
fn polish(values: &[f64], spread_m: f64, gap: impl Fn(f64) -> f64) -> Vec<Minimum> {
    let n = values.len();
    let Some(lowest) =
        (0..n).filter(|&idx| values[idx] < f64::INFINITY).min_by(|&a, &b| values[a].total_cmp(&values[b]))
    else {
        return Vec::new();
    };
    let mut dips = Vec::new();
    for idx in 0..n {
        let (before, here, after) = (values[(idx + n - 1) % n], values[idx], values[(idx + 1) % n]);
        let near = here < f64::INFINITY && here <= values[lowest] + spread_m + BETWEEN_LOOKS_M;
        // Of a level stretch only its first look counts, and the lowest; rounding makes no dips.
        let bottom = here < before - LEVEL_M && here <= after + LEVEL_M;
        if near && (bottom || idx == lowest) {
            let at = idx as f64;
            let bracket = [at - 1.0, at + 1.0];
            dips.push(least_in(&gap, bracket, Minimum { at, value: here }, ANGLE_ACCURACY_DEG));
        }
    }
    dips.sort_by(|a, b| a.value.total_cmp(&b.value));
    let limit = dips[0].value + spread_m;
    dips.retain(|dip| dip.value <= limit);
    dips
}

/// First stride and farthest way of a sample's dip from the known one, in degrees.
const STRIDE_DEG: f64 = 1.0;
const FARTHEST_DEG: f64 = 24.0;

/// The least gap of a pair for readings that differ from known ones by tolerances: the known dips, followed to where
/// they have moved. True to 0.02 degrees, some nanometres of gap. Equal to the least of [`two_turns`] as long as no
/// new dip outside the spread of [`find_dips`] has become the lowest.
pub fn least_near_m<L: LiftLaw>(parts: &MovingParts<L>, known: &Dips) -> f64 {
    let gap = |deg: f64| gap_m(parts, known.pair, deg);
    if known.pair == Pair::PistonToHead {
        return gap(0.0);
    }
    // The ways along bore and valve run smoothly where they are least; rims past rims and walls have kinks.
    let is_smooth = matches!(known.pair, Pair::ValveToPiston(_, Way::Vertical | Way::Axial));
    let n_parabolas = if is_smooth { MAX_PARABOLAS } else { 0 };
    known.dips.iter().map(|dip| follow(gap, dip.at, n_parabolas)).fold(f64::INFINITY, f64::min)
}

/// The bottom of the dip around `start`: downhill in growing strides, then between the last three.
fn follow(gap: impl Fn(f64) -> f64, start: f64, n_parabolas: usize) -> f64 {
    let mut middle = Minimum { at: start, value: gap(start) };
    let mut stride = STRIDE_DEG;
    let mut right = Minimum { at: start + stride, value: gap(start + stride) };
    let mut left = Minimum { at: start - stride, value: gap(start - stride) };
    while (left.value < middle.value || right.value < middle.value)
        && (middle.at - start).abs() < FARTHEST_DEG
    {
        stride *= 1.6;
        if left.value < right.value {
            (right, middle) = (middle, left);
            left.at -= stride;
            left.value = gap(left.at);
        } else {
            (left, middle) = (middle, right);
            right.at += stride;
            right.value = gap(right.at);
        }
    }
    if left.value == middle.value && right.value == middle.value {
        // Nothing moves.
        return middle.value;
    }
    for _ in 0..n_parabolas {
        let Some(bottom) = parabola_bottom(left, middle, right) else { break };
        let is_narrow = right.at - left.at < NARROW_DEG;
        if is_narrow && middle.value - bottom.value < LEVEL_M {
            return middle.value;
        }
        let here = Minimum { at: bottom.at, value: gap(bottom.at) };
        if is_narrow && (here.value - bottom.value).abs() < LEVEL_M {
            return here.value.min(middle.value);
        }
        // Keep the lowest in the middle.
        (left, middle, right) = match (here.value < middle.value, here.at < middle.at) {
            (true, true) => (left, here, middle),
            (true, false) => (middle, here, right),
            (false, true) => (here, middle, right),
            (false, false) => (left, middle, here),
        };
    }
    least_in(gap, [left.at, right.at], middle, SAMPLE_ACCURACY_DEG).value
}

/// Three places tell the course between them only when they are near each other.
const NARROW_DEG: f64 = 2.1 * STRIDE_DEG;

/// Parabolas that are tried before golden sections take over; a smooth gap needs two or three.
const MAX_PARABOLAS: usize = 5;

/// The bottom of the parabola through three places, the middle one lowest; `None` where they lie on none.
#[inline]
fn parabola_bottom(left: Minimum, middle: Minimum, right: Minimum) -> Option<Minimum> {
    let (a, b) = (left.at - middle.at, right.at - middle.at);
    let (up_left, up_right) = (left.value - middle.value, right.value - middle.value);
    let bend = (up_left / a - up_right / b) / (a - b);
    let slope = up_right / b - bend * b;
    if up_left <= LEVEL_M && up_right <= LEVEL_M {
        return Some(middle);
    }
    let step = -0.5 * slope / bend;
    let within = bend.is_finite() && bend > 0.0 && a < step && step < b;
    within.then(|| Minimum { at: middle.at + step, value: middle.value - 0.25 * slope * slope / bend })
}
