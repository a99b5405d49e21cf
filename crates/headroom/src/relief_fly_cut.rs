//! The pocket that gives a valve room in the piston crown, and what it leaves. Leaves out how piston and valve move,
//! which is `moving.rs`.

use fit::Scene;
use fit::lift_law::LiftLaw;
use fit::relief_crown::{Groove, crown_left, land_above_groove, to_groove};
use fit::relief_cutter::Room;
use fit::relief_fly_cut::{FlyCut, Meeting, fly_cut};
use fit::relief_limit::{Left, crown_limit};
use parts::limit::Check;
use parts::{Build, CrownMake, Cylinder, Duty, Pocket, Valve};
use units::length::{meter, millimeter};
use units::{Length, Volume};
use volume::{clearance_volumes, static_compression};

use crate::fallback::{Fallback, Question, fallbacks_to_piston};
use crate::finding::Status;
use crate::motions::Motions;
use crate::moving::Moving;
use crate::relief::{Outcome, ReliefOptions};
use crate::relief_apply::{fly_cut_to_cut, put_fly_cut};
use crate::relief_left::{LeftLine, LeftOf};
use crate::relief_left_chance::with_chances_of_crown;

/// One valve against the piston, at the cylinder where it comes out worst.
#[derive(Clone, Debug)]
pub struct PistonRelief {
    /// The valve.
    pub valve: String,
    /// [`Check::IntakeToPiston`] or [`Check::ExhaustToPiston`].
    pub check: Check,
    /// The worst cylinder.
    pub cylinder: usize,
    /// How it stands without a cut.
    pub status: Status,
    /// Its least gap, along the valve.
    pub gap: Length,
    /// The least it may be.
    pub limit: Length,
    /// Who says so.
    pub limit_source: String,
    /// The pocket, or why there is none.
    pub cut: Result<ProposedPocket, String>,
    /// Other ways, cheapest first; empty when nothing sensible does it.
    pub fallbacks: Vec<Fallback>,
}

/// A pocket in the crown.
#[derive(Clone, Debug)]
pub struct ProposedPocket {
    /// Its geometry.
    pub cut: FlyCut,
    /// What it adds to the space above the crown: the metal it takes from a flat one, less an older pocket's.
    pub volume: Volume,
    /// What is cut on each cylinder.
    pub fly_cuts: Vec<(usize, Pocket)>,
    /// Least gap along the valve once it is cut, by the check of the changed build.
    pub gap_after: Length,
    /// Least gap to the pocket's wall, and its limit; `None` where the valve never goes into the pocket.
    pub radial_after: Option<[Length; 2]>,
    /// Static compression before and after.
    pub compression: [f64; 2],
    /// What it leaves.
    pub left: Vec<LeftLine>,
}

impl PistonRelief {
    /// How this valve comes out.
    pub fn outcome(&self) -> Outcome {
        match &self.cut {
            Ok(cut) if cut.gives_room(self.limit) && cut.fatal().next().is_none() => Outcome::ClearsAfterCut,
            _ => Outcome::DoesNot,
        }
    }
}

impl ProposedPocket {
    /// Whether the valve then has its room below and beside it, to a hundredth of a millimetre.
    pub fn gives_room(&self, limit: Length) -> bool {
        self.gap_after >= limit - rounding() && self.has_room_beside()
    }

    /// Whether the valve then has its room beside it.
    pub fn has_room_beside(&self) -> bool {
        self.radial_after.is_none_or(|[gap, limit]| gap >= limit - rounding())
    }

    /// Lines the piston does not survive.
    pub fn fatal(&self) -> impl Iterator<Item = &LeftLine> {
        self.left.iter().filter(|line| line.is_fatal())
    }
}

fn rounding() -> Length {
    Length::new::<millimeter>(0.01)
}

/// Pockets for every valve that hits or is tight against the piston, and what could not be judged.
pub fn piston_reliefs(build: &Build, options: &ReliefOptions) -> (Vec<PistonRelief>, Vec<String>) {
    if build.cylinders.iter().all(|cylinder| cylinder.gear.is_empty()) {
        return (Vec::new(), vec!["valve to piston is not judged: the sheet describes no lobes".to_owned()]);
    }
    let mut notes: Vec<String> = Vec::new();
    let mut solved: Vec<(&Cylinder, Motions, Moving)> = Vec::new();
    for cylinder in &build.cylinders {
        let same = |(other, ..): &&(&Cylinder, Motions, Moving)| {
            Cylinder { number: cylinder.number, ..(*other).clone() } == *cylinder
        };
        if solved.iter().any(|known| same(&known)) {
            continue;
        }
        let known = solved.iter().find(|(other, ..)| other.gear == cylinder.gear);
        let motions = known.map_or_else(|| Motions::new(&cylinder.gear), |(_, motions, _)| motions.clone());
        match Moving::new(cylinder, &motions) {
            Ok(moving) => solved.push((cylinder, motions, moving)),
            Err(reason) => {
                let note = format!("valve to piston is not judged on cylinder {}: {reason}", cylinder.number);
                notes.push(note);
            }
        }
    }
    let mut reliefs = Vec::new();
    for valve in &build.cylinders[0].head.valves {
        let check = match valve.duty {
            Duty::Intake => Check::IntakeToPiston,
            Duty::Exhaust => Check::ExhaustToPiston,
        };
        let seen = solved.iter().filter_map(|(cylinder, motions, moving)| {
            Some((gap_of(moving, check, &valve.name)?, *cylinder, motions, moving))
        });
        if let Some((gap, cylinder, motions, moving)) = seen.min_by(|a, b| a.0.value.total_cmp(&b.0.value)) {
            let limit = build.limits.of(check);
            let status = Status::of(gap, limit.least);
            if status != Status::Clear {
                let question = Question { check, valve: valve.name.clone(), cylinder: cylinder.number };
                reliefs.push(PistonRelief {
                    valve: valve.name.clone(),
                    check,
                    cylinder: cylinder.number,
                    status,
                    gap,
                    limit: limit.least,
                    limit_source: limit.source,
                    cut: pocket(build, cylinder, motions, moving, &valve.name, check, options),
                    fallbacks: fallbacks_to_piston(build, &question, motions),
                });
            }
        }
    }
    (reliefs, notes)
}

/// Gap of one check of one valve.
pub(crate) fn gap_of(moving: &Moving, check: Check, valve: &str) -> Option<Length> {
    let mut gaps = moving.gaps();
    gaps.find(|(kind, name, _)| *kind == check && *name == Some(valve)).map(|found| found.2)
}

/// Crank angles at which valve and piston are looked at: every quarter of a degree. Between two the valve moves by less
/// than a hundredth of a millimetre beside the piston, and near its least not at all.
const N_MEETINGS: u32 = 2880;

fn pocket(
    build: &Build,
    cylinder: &Cylinder,
    motions: &Motions,
    moving: &Moving,
    name: &str,
    check: Check,
    options: &ReliefOptions,
) -> Result<ProposedPocket, String> {
    let missing = || "the valve's motion is not known".to_owned();
    let idx = cylinder.head.valves.iter().position(|valve| valve.name == name).ok_or_else(missing)?;
    let valve = &cylinder.head.valves[idx];
    let law = &moving.parts().valves.get(idx).ok_or_else(missing)?.lift;
    let meetings: Vec<Meeting> = (0..N_MEETINGS)
        .map(|step| 0.25 * f64::from(step))
        .map(|crank_deg| Meeting {
            lift: Length::new::<meter>(law.lift_m(crank_deg)),
            crown: Length::new::<meter>(moving.parts().crown_m(crank_deg)),
        })
        .filter(|meeting| meeting.lift.value > 0.0)
        .collect();
    let [radial, limit] = [Check::PocketRadial, check].map(|check| build.limits.of(check).least);
    let made = |room: Room| -> Result<(FlyCut, Cylinder, Moving), String> {
        let cut =
            fly_cut(cylinder, valve, &meetings, room, options.shape).map_err(|error| error.to_string())?;
        let cut = cut.ok_or_else(missing)?;
        let mut changed = cylinder.clone();
        put_fly_cut(&mut changed, fly_cut_to_cut(name, &cut.cutter));
        let after = Moving::new(&changed, motions)?;
        Ok((cut, changed, after))
    };
    let (mut room, mut n_tries) = (Room { radial, axial: limit, float: options.float }, 0);
    let (cut, changed, gap_after, radial_after) = loop {
        let (cut, changed, after) = made(room)?;
        let gap_after = gap_of(&after, check, name).ok_or_else(missing)?;
        let radial_after = gap_of(&after, Check::PocketRadial, name);
        // The cut is laid out for a piston that stands straight; one that leans, or a phaser, takes some more.
        let short = |gap: Length, least: Length| Length::new::<meter>((least - gap).value.max(0.0));
        let more =
            [short(gap_after, limit), radial_after.map_or(Length::default(), |gap| short(gap, radial))];
        n_tries += 1;
        if n_tries == MOST_TRIES || more.iter().all(|more| more.value == 0.0) {
            break (cut, changed, gap_after, radial_after.map(|gap| [gap, radial]));
        }
        let hair = Length::new::<meter>(CUT_ACCURACY_M);
        (room.axial, room.radial) = (room.axial + more[0] + hair, room.radial + more[1] + hair);
    };
    let fly_cuts = on_every_cylinder(build, cylinder, valve, &cut);
    let added = [cylinder, &changed].map(|cylinder| clearance_volumes(cylinder).fly_cut);
    let mut left = left_of_crown(cylinder, &cut);
    with_chances_of_crown(&mut left, &changed, name);
    Ok(ProposedPocket {
        compression: [cylinder, &changed].map(static_compression),
        left,
        volume: added[1] - added[0],
        cut,
        fly_cuts,
        gap_after,
        radial_after,
    })
}

/// Cuts laid out before the last is taken as it is; each leaves a hundredth of what the one before was short of.
const MOST_TRIES: u32 = 4;

/// Room added so that the next cut is not short by rounding, in metres.
const CUT_ACCURACY_M: f64 = 2e-7;

/// The pocket on every cylinder, each on its own valve: its floor as far down the valve's axis as on the worst, and as deep.
fn on_every_cylinder(build: &Build, worst: &Cylinder, valve: &Valve, cut: &FlyCut) -> Vec<(usize, Pocket)> {
    let seated = |cylinder: &Cylinder, valve: &Valve| Scene::new(cylinder, valve).valve().seated;
    let (from, axis) = (seated(worst, valve), cut.cutter.axis);
    let lean_sq = axis.x * axis.x + axis.y * axis.y;
    // How far down its axis the floor lies; sideways that only shows where the axis leans.
    let aside = (from - cut.cutter.end).truncate();
    let down = if cut.cutter.is_upright() { 0.0 } else { aside.dot(axis.truncate()) / lean_sq };
    let pocket = |cylinder: &Cylinder| {
        let own = cylinder.valve(&valve.name)?;
        let (head, mut cutter) = (Scene::new(cylinder, own).valve(), cut.cutter);
        let place = head.seated.truncate() - head.axis.truncate() * down;
        cutter.end = place.extend(cutter.end.z);
        (cutter.axis, cutter.across) = (head.axis, head.across);
        Some((cylinder.number, fly_cut_to_cut(&own.name, &cutter)))
    };
    build.cylinders.iter().filter_map(pocket).collect()
}

pub(crate) fn left_of_crown(cylinder: &Cylinder, cut: &FlyCut) -> Vec<LeftLine> {
    let make = cylinder.piston.metal.make.unwrap_or(CrownMake::Forged);
    let line = |(of, found, needed): LeftOf| {
        let limit = if of == Left::Crown { crown_limit(make) } else { of.usual() };
        LeftLine::new(of, cylinder.number, limit, found, needed)
    };
    crown_margins(cylinder, cut).into_iter().map(line).collect()
}

/// What a pocket leaves of the piston.
pub(crate) fn crown_margins(cylinder: &Cylinder, cut: &FlyCut) -> Vec<LeftOf> {
    if cut.is_empty() {
        return Vec::new();
    }
    let (piston, metal) = (&cylinder.piston, &cylinder.piston.metal);
    let crown = crown_left(cut, metal.crown_thickness.map(|thickness| thickness.value));
    let mut lines: Vec<LeftOf> = vec![(Left::Crown, crown, "piston.crown_thickness where the pocket goes")];
    if let Some(land) = land_above_groove(cut, piston) {
        lines.push((Left::LandAboveGroove, Some(land), "piston.top_land_height"));
    }
    let groove = metal.groove_depth.zip(metal.groove_height);
    let groove = groove.map(|(depth, height)| Groove { depth: depth.value, height: height.value });
    lines.push((Left::Groove, to_groove(cut, piston, groove), "piston.groove_depth and groove_height"));
    lines
}
