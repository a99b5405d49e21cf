//! The least gap of every moving pair of one cylinder over 720 degrees of the crank, and where the crank then stands.
//! Leaves out limits, and readings: everything comes in as numbers.

use glam::DVec3;
use motion::SliderCrank;
use units::CrankAngle;

use crate::lift_law::{CYCLE_DEG, LiftLaw};
use crate::piston_edge_to_chamber::{PistonTop, piston_edge_to_chamber};
use crate::piston_pose::PistonPose;
use crate::solid::{Crown, CrownPart, Obstacle, ValveHead};
use crate::two_turns_scan::find_dips;
use crate::valve_to_piston::{PistonGap, axial_gap, vertical_gap};
use crate::valve_to_piston_distance::distance_gap;
use crate::valve_to_pocket::radial_gap;
use crate::valve_to_valve::valve_to_valve;

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
    /// Edge of its crown, and what stands up from it.
    pub top: PistonTop,
    /// The pin's y and its depth below the crown's flat, in metres.
    pub pin_m: [f64; 2],
    /// Height of the head's face over the deck, in metres.
    pub head_face_m: f64,
    /// The wall of the chamber, where its outline is known.
    pub chamber: Option<Obstacle>,
    /// The valves.
    pub valves: Vec<MovingValve<L>>,
}

impl<L> MovingParts<L> {
    /// Height of the crown's flat over the deck at a crank angle, in metres.
    pub fn crown_m(&self, crank_deg: f64) -> f64 {
        self.deck_offset_m - self.crank.drop(CrankAngle::from_degrees(crank_deg)).value
    }

    /// The piston at a crank angle, leaning its whole way to one side: -1, 0 or 1.
    pub fn pose(&self, crank_deg: f64, lean: f64) -> PistonPose {
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
    /// Edge of the crown, and of a dome, against the edge and wall of the chamber, leaning to the worse side.
    PistonEdge,
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
/// against valve, piston to head, its edge to the chamber's.
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
    if parts.chamber.is_some() {
        all.push(Pair::PistonEdge);
    }
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
        Pair::PistonEdge => edge_gap(parts, crank_deg).0,
    }
}

/// The gap of a pair with the piston leaning to one side only; for a pair that does not know the piston, its gap.
pub(crate) fn gap_leaning_m<L: LiftLaw>(
    parts: &MovingParts<L>,
    pair: Pair,
    crank_deg: f64,
    lean: f64,
) -> f64 {
    match pair {
        Pair::ValveToPiston(idx, way) => {
            let valve = &parts.valves[idx];
            to_piston_leaning(parts, valve, way, crank_deg, valve.lift.lift_m(crank_deg), lean).0.gap_m
        }
        _ => gap_m(parts, pair, crank_deg),
    }
}

/// Ways a piston leans: not at all if it cannot, else to either side.
fn leans<L>(parts: &MovingParts<L>) -> &'static [f64] {
    if parts.rock_rad == 0.0 { &[0.0] } else { &[-1.0, 1.0] }
}

/// The gap of the crown's edge and its point in the bore frame; infinite where no chamber is known.
fn edge_gap<L>(parts: &MovingParts<L>, crank_deg: f64) -> (f64, DVec3) {
    let mut least = (f64::INFINITY, DVec3::ZERO);
    let Some(chamber) = &parts.chamber else { return least };
    for &lean in leans(parts) {
        let gap = piston_edge_to_chamber(&parts.top, &parts.pose(crank_deg, lean), chamber);
        if gap.gap_m < least.0 {
            least = (gap.gap_m, gap.point_m);
        }
    }
    least
}

/// A valve's gap to the piston and the pose that has it: the worse lean, if it leans.
pub(crate) fn to_piston<L>(
    parts: &MovingParts<L>,
    valve: &MovingValve<L>,
    way: Way,
    crank_deg: f64,
    lift_m: f64,
) -> (PistonGap, PistonPose) {
    let at = |lean: f64| to_piston_leaning(parts, valve, way, crank_deg, lift_m, lean);
    if parts.rock_rad == 0.0 {
        return at(0.0);
    }
    let (one, other) = (at(-1.0), at(1.0));
    if other.0.gap_m < one.0.gap_m { other } else { one }
}

/// The same with the piston leaning its whole way to one side: -1, 0 or 1.
pub(crate) fn to_piston_leaning<L>(
    parts: &MovingParts<L>,
    valve: &MovingValve<L>,
    way: Way,
    crank_deg: f64,
    lift_m: f64,
    lean: f64,
) -> (PistonGap, PistonPose) {
    let pose = parts.pose(crank_deg, lean);
    let head = pose.valve_in_piston(&valve.head, lift_m);
    let gap = match way {
        Way::Vertical => vertical_gap(&head, &valve.crown, pose.down_in_piston()),
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
        Pair::PistonEdge => {
            let (gap_m, point_m) = edge_gap(parts, crank_deg);
            LeastGap { gap_m, point_m, part: Some(CrownPart::Flat), ..none }
        }
    }
}

/// Least gaps of all pairs over two turns. A pocket that no margin ever enters has no radial gap.
pub fn two_turns<L: LiftLaw>(parts: &MovingParts<L>) -> Vec<LeastGap> {
    let dips = find_dips(parts, 0.0);
    dips.iter().map(|of_pair| gap_at(parts, of_pair.pair, of_pair.dips[0].at)).collect()
}
