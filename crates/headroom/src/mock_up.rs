//! One cylinder as it stands at a crank angle, with a few readings turned by hand: every gap at that moment. Leaves out
//! tolerances, and what the least of each gap is over two turns; that is `check.rs`.

use fit::drop_table::DropTable;
use fit::first_contact::sweep;
use fit::lift_law::{CYCLE_DEG, LiftLaw};
use fit::two_turns::{MovingParts, MovingValve, Pair, Way};
use fit::{Scene, Surrounding};
use parts::limit::{Check, Limits};
use parts::{Build, Cylinder, Duty};
use units::length::meter;
use units::{CrankAngle, Length};

use crate::contact::with_contacts;
use crate::finding::Status;
use crate::lift::duty_word;
use crate::motions::Motions;
use crate::moving_parts::{Lift, asked, drop_table, moving_parts, surface};
use crate::place::{PlaceSeen, Surface};

/// A build made ready to be turned by hand: valves where measured contacts say they sit, lobes fitted.
#[derive(Clone, Debug)]
pub struct MockUp {
    cylinders: Vec<(Cylinder, Motions)>,
    /// Positions of the cylinders that are not exactly like one before them.
    distinct: Vec<usize>,
    limits: Limits,
}

/// Drops are measured near the top between exhaust and intake strokes; so far from it they say something, in degrees, as
/// `fit::drop_table` has it.
const DROPS_REACH_DEG: f64 = 90.0;

/// That top, in degrees of the cycle.
const OVERLAP_TOP_DEG: f64 = 360.0;

/// What is turned by hand. Nothing moved is the engine as its sheet has it.
#[derive(Clone, Debug, PartialEq)]
pub struct Hands {
    /// Where the crank stands.
    pub crank: CrankAngle,
    /// Lifts held with a checking spring, by the name of the valve or its duty; the cam lifts the others.
    pub lifts: Vec<(String, Length)>,
    /// How much earlier the intake cam is turned.
    pub intake_advance: CrankAngle,
    /// How much earlier the exhaust cam is turned.
    pub exhaust_advance: CrankAngle,
    /// How far the head is pushed to the front and to the left of where the sheet has it.
    pub head_shift: [Length; 2],
    /// Head diameters in place of the sheet's, by the name of the valve or its duty.
    pub diameters: Vec<(String, Length)>,
    /// Compressed thickness of the gasket in place of the sheet's.
    pub gasket: Option<Length>,
}

impl Default for Hands {
    /// Nothing is turned, and the crank stands at the top of the firing stroke.
    fn default() -> Self {
        let zero = CrankAngle::from_degrees(0.0);
        Self {
            crank: zero,
            lifts: Vec::new(),
            intake_advance: zero,
            exhaust_advance: zero,
            head_shift: [Length::default(); 2],
            diameters: Vec::new(),
            gasket: None,
        }
    }
}

/// How one cylinder stands.
#[derive(Clone, Debug)]
pub struct Stand {
    /// Its number.
    pub cylinder: usize,
    /// Height of the crown's flat over the deck; `None` where crank and rod do not turn.
    pub crown: Option<Length>,
    /// The valves.
    pub valves: Vec<ValveStands>,
    /// Every gap that can be taken at this moment.
    pub gaps: Vec<GapNow>,
    /// Why something is missing.
    pub notes: Vec<String>,
}

/// How one valve stands.
#[derive(Clone, Debug)]
pub struct ValveStands {
    /// Its name.
    pub name: String,
    /// How far it is open.
    pub lift: Length,
    /// Its face centre in the bore frame.
    pub face_center: [Length; 3],
}

/// One gap at this moment.
#[derive(Clone, Debug)]
pub struct GapNow {
    /// Which check it belongs to.
    pub check: Check,
    /// The valve, where it is one's.
    pub valve: Option<String>,
    /// The other, where it is between two.
    pub other_valve: Option<String>,
    /// Signed; negative for interference.
    pub gap: Length,
    /// The limit in force.
    pub limit: Length,
    /// How the gap stands against its limit at this moment.
    pub status: Status,
    /// Where it is.
    pub place: PlaceSeen,
    /// The same place in the bore frame.
    pub point: [Length; 3],
}

/// A valve held at a lift.
#[derive(Clone, Copy, Debug)]
struct Held(f64);

impl LiftLaw for Held {
    fn lift_m(&self, _crank_deg: f64) -> f64 {
        self.0
    }

    fn nose_deg(&self) -> f64 {
        0.0
    }
}

impl MockUp {
    /// Makes a build ready. Dear beside everything else here: lobes are fitted.
    pub fn new(build: &Build) -> Self {
        let (build, _) = with_contacts(build);
        let mut cylinders: Vec<(Cylinder, Motions)> = Vec::new();
        for cylinder in build.cylinders {
            let known = cylinders.iter().find(|(other, _)| other.gear == cylinder.gear);
            let motions = known.map_or_else(|| Motions::new(&cylinder.gear), |(_, motions)| motions.clone());
            cylinders.push((cylinder, motions));
        }
        let alike =
            |one: &Cylinder, other: &Cylinder| Cylinder { number: one.number, ..other.clone() } == *one;
        let distinct = (0..cylinders.len())
            .filter(|idx| !cylinders[..*idx].iter().any(|(other, _)| alike(&cylinders[*idx].0, other)))
            .collect();
        Self { cylinders, distinct, limits: build.limits }
    }

    /// Cylinders as they are reckoned with.
    pub fn cylinders(&self) -> impl Iterator<Item = &Cylinder> {
        self.cylinders.iter().map(|(cylinder, _)| cylinder)
    }

    /// The motion of the valves of a duty in a cylinder, or why it is not known.
    pub fn motions(&self, number: usize) -> Option<&Motions> {
        let of = |(cylinder, _): &&(Cylinder, Motions)| cylinder.number == number;
        self.cylinders.iter().find(of).map(|(_, motions)| motions)
    }

    /// The cylinder of that number, turned by hand; `None` when there is no such cylinder.
    pub fn stand(&self, number: usize, hands: &Hands) -> Option<Stand> {
        let (cylinder, motions) = self.cylinders.iter().find(|(cylinder, _)| cylinder.number == number)?;
        Some(gaps(&turned(cylinder, hands), motions, &self.limits, hands))
    }

    /// The lift at which each valve of that cylinder touches block, gasket or chamber first on its whole travel, in the order
    /// of the valves; `None` for one that never does. Every lift is looked at, so it takes a hundred times as long as the
    /// gaps of one moment; crank and cams have no say in it.
    pub fn first_contacts(&self, number: usize, hands: &Hands) -> Option<Vec<Option<Length>>> {
        let (cylinder, _) = self.cylinders.iter().find(|(cylinder, _)| cylinder.number == number)?;
        Some(first_contacts(&turned(cylinder, hands)))
    }

    /// The cylinder of that number with the readings that are turned by hand, and how its valves then move.
    pub(crate) fn turned(&self, number: usize, hands: &Hands) -> Option<(Cylinder, Motions)> {
        let (cylinder, motions) = self.cylinders.iter().find(|(cylinder, _)| cylinder.number == number)?;
        let motions = motions
            .with(Duty::Intake, |motion| motion.advanced(hands.intake_advance))
            .with(Duty::Exhaust, |motion| motion.advanced(hands.exhaust_advance));
        Some((turned(cylinder, hands), motions))
    }

    /// The limits in force.
    pub(crate) fn limits(&self) -> &Limits {
        &self.limits
    }

    /// The gap that is least clear of its limit over all cylinders, with the number of its cylinder.
    pub fn worst(&self, hands: &Hands) -> Option<(usize, GapNow)> {
        let distinct = self.distinct.iter().map(|idx| &self.cylinders[*idx]);
        let gaps = distinct.flat_map(|(cylinder, motions)| {
            let gaps = gaps(&turned(cylinder, hands), motions, &self.limits, hands).gaps;
            gaps.into_iter().map(|gap| (cylinder.number, gap))
        });
        let spare = |gap: &GapNow| (gap.gap - gap.limit).value;
        gaps.min_by(|a, b| spare(&a.1).total_cmp(&spare(&b.1)))
    }
}

/// A cylinder with the readings that are turned by hand.
fn turned(cylinder: &Cylinder, hands: &Hands) -> Cylinder {
    let mut cylinder = cylinder.clone();
    cylinder.head.shift_x.value += hands.head_shift[0];
    cylinder.head.shift_y.value += hands.head_shift[1];
    if let Some(thickness) = hands.gasket {
        cylinder.gasket.thickness.value = thickness;
    }
    for valve in &mut cylinder.head.valves {
        if let Some(diameter) = said_of(&hands.diameters, &valve.name, valve.duty) {
            valve.head_diameter.value = diameter;
        }
    }
    cylinder
}

/// What is said of a valve by its name, or else of all of its duty.
fn said_of(said: &[(String, Length)], name: &str, duty: Duty) -> Option<Length> {
    let of = |wanted: &str| said.iter().find(|(named, _)| named == wanted).map(|(_, value)| *value);
    of(name).or_else(|| of(duty_word(duty)))
}

/// The first contact of each valve with block, gasket or chamber on its whole travel.
fn first_contacts(cylinder: &Cylinder) -> Vec<Option<Length>> {
    let of = |valve| {
        let scene = Scene::new(cylinder, valve);
        let contacts = surroundings(cylinder).filter_map(|(_, surrounding)| {
            let metal = scene.obstacle(surrounding);
            sweep(&scene.valve(), &metal, surrounding, scene.travel_m()).first_contact
        });
        let first = contacts.map(|contact| contact.lift_m).min_by(f64::total_cmp);
        first.map(Length::new::<meter>)
    };
    cylinder.head.valves.iter().map(of).collect()
}

/// How a turned cylinder stands.
fn gaps(cylinder: &Cylinder, motions: &Motions, limits: &Limits, hands: &Hands) -> Stand {
    let mut notes = Vec::new();
    let moving = moving_parts(cylinder, motions).map_err(|reason| notes.push(reason)).ok();
    let lifts: Vec<f64> = lifts_m(cylinder, motions, moving.as_ref(), hands, &mut notes);
    let mut valves = Vec::with_capacity(lifts.len());
    let mut gaps = Vec::new();
    for (valve, lift) in cylinder.head.valves.iter().zip(&lifts) {
        let scene = Scene::new(cylinder, valve);
        let head = scene.valve();
        valves.push(ValveStands {
            name: valve.name.clone(),
            lift: Length::new::<meter>(*lift),
            face_center: metres(head.face_center(*lift).to_array()),
        });
        for (check, surrounding) in surroundings(cylinder) {
            let gap = fit::gap_at(&head, &scene.obstacle(surrounding), surrounding, *lift);
            let (point, on) = (gap.place.point_m.to_array(), gap.place.feature.into());
            gaps.push(now(check, [Some(valve.name.as_str()), None], gap.distance_m, point, on, limits));
        }
    }
    let crank_deg = hands.crank.degrees();
    let crown = moving.as_ref().map(|moving| Length::new::<meter>(moving.crown_m(crank_deg)));
    if let Some(moving) = moving {
        let drops = drop_tables(&moving, cylinder, &mut notes);
        gaps.extend(moving_gaps(cylinder, &held(moving, &lifts), &drops, crank_deg, limits));
    }
    Stand { cylinder: cylinder.number, crown, valves, gaps, notes }
}

/// Checks of one valve that mean something here: an outline that nobody traced is no outline to measure against.
fn surroundings(cylinder: &Cylinder) -> impl Iterator<Item = (Check, Surrounding)> {
    let traced = !fit::gasket_edge::is_assumed(&cylinder.head.chamber);
    let all = [
        (Check::ValveToBlock, Surrounding::Block),
        (Check::ValveToGasket, Surrounding::Gasket),
        (Check::ValveToChamber, Surrounding::Chamber),
    ];
    all.into_iter().filter(move |(check, _)| *check != Check::ValveToChamber || traced)
}

/// The lift of every valve, in metres: as held, else as the cam has it; seated where neither is known.
fn lifts_m(
    cylinder: &Cylinder,
    motions: &Motions,
    moving: Option<&MovingParts<Lift>>,
    hands: &Hands,
    notes: &mut Vec<String>,
) -> Vec<f64> {
    let mut of = |(idx, valve): (usize, &parts::Valve)| {
        if let Some(lift) = said_of(&hands.lifts, &valve.name, valve.duty) {
            return lift.value.max(0.0);
        }
        let advance = match valve.duty {
            Duty::Intake => hands.intake_advance,
            Duty::Exhaust => hands.exhaust_advance,
        };
        // A cam turned to open earlier is where it else would be so much later.
        let at_deg = hands.crank.degrees() + advance.degrees();
        let with_loft =
            moving.and_then(|moving| moving.valves.get(idx)).map(|valve| valve.lift.lift_m(at_deg));
        let of_cam = || motions.of(valve.duty).map(|motion| motion.lift_m(at_deg));
        match with_loft.map_or_else(of_cam, Ok) {
            Ok(lift_m) => lift_m.max(0.0),
            Err(reason) => {
                notes.push(format!("{} valve shown seated: {reason}", valve.name));
                0.0
            }
        }
    };
    cylinder.head.valves.iter().enumerate().map(&mut of).collect()
}

/// The measured drops of each valve, which stand for the crown where there are some.
fn drop_tables(
    moving: &MovingParts<Lift>,
    cylinder: &Cylinder,
    notes: &mut Vec<String>,
) -> Vec<Option<DropTable>> {
    let mut of = |idx: usize| {
        let table = drop_table(moving, cylinder, Pair::ValveToPiston(idx, Way::Axial));
        table.map_err(|reason| notes.push(reason)).ok().flatten().map(|(table, _)| table)
    };
    (0..moving.valves.len()).map(&mut of).collect()
}

/// The same parts with every valve held where it stands.
fn held<L>(moving: MovingParts<L>, lifts_m: &[f64]) -> MovingParts<Held> {
    let MovingParts { crank, deck_offset_m, rock_rad, top, pin_m, head_face_m, chamber, valves } = moving;
    let hold = |(valve, lift): (MovingValve<L>, &f64)| MovingValve {
        head: valve.head,
        lift: Held(*lift),
        crown: valve.crown,
        pocket: valve.pocket,
    };
    let valves = valves.into_iter().zip(lifts_m).map(hold).collect();
    MovingParts { crank, deck_offset_m, rock_rad, top, pin_m, head_face_m, chamber, valves }
}

fn moving_gaps(
    cylinder: &Cylinder,
    parts: &MovingParts<Held>,
    drops: &[Option<DropTable>],
    crank_deg: f64,
    limits: &Limits,
) -> Vec<GapNow> {
    let name = |idx: usize| cylinder.head.valves[idx].name.as_str();
    let cycle_deg = crank_deg.rem_euclid(CYCLE_DEG);
    let near_overlap = (cycle_deg - OVERLAP_TOP_DEG).abs() <= DROPS_REACH_DEG;
    let mut gaps = Vec::new();
    for pair in fit::two_turns::pairs(parts) {
        let Some((check, valve, other_valve)) = asked(pair, cylinder) else { continue };
        let gap = fit::two_turns::gap_at(parts, pair, crank_deg);
        let gap_m = match pair {
            Pair::ValveToPiston(idx, Way::Axial) => match &drops[idx] {
                Some(table) if near_overlap => table.gap_m(&parts.valves[idx].lift, cycle_deg),
                _ => gap.gap_m,
            },
            _ => gap.gap_m,
        };
        // A rim that is in no pocket has no gap to its wall.
        if !gap_m.is_finite() {
            continue;
        }
        let valves = [valve.map(name), other_valve.map(name)];
        gaps.push(now(check, valves, gap_m, gap.point_m.to_array(), surface(&gap), limits));
    }
    gaps
}

fn now(
    check: Check,
    [valve, other_valve]: [Option<&str>; 2],
    gap_m: f64,
    point_m: [f64; 3],
    on: Surface,
    limits: &Limits,
) -> GapNow {
    let (gap, limit) = (Length::new::<meter>(gap_m), limits.of(check).least);
    GapNow {
        check,
        valve: valve.map(str::to_owned),
        other_valve: other_valve.map(str::to_owned),
        gap,
        limit,
        status: Status::of(gap, limit),
        place: PlaceSeen::new(point_m, on),
        point: metres(point_m),
    }
}

fn metres(point_m: [f64; 3]) -> [Length; 3] {
    point_m.map(Length::new::<meter>)
}
