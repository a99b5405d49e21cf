//! The pocket that gives a valve room in the piston crown, and what it leaves. Leaves out how piston and valve move,
//! which is `moving.rs`.

use fit::lift_law::LiftLaw;
use fit::relief_crown::{crown_left, land_above_groove, to_groove};
use fit::relief_cutter::Room;
use fit::relief_fly_cut::{FlyCut, Meeting, fly_cut};
use fit::relief_limit::{Left, crown_limit};
use parts::limit::Check;
use parts::{Build, Cylinder, Duty, Pocket, Valve};
use units::length::{meter, millimeter};
use units::{Angle, Length, Reading, Volume};

use crate::fallback::{Fallback, Question, fallbacks_to_piston};
use crate::finding::Status;
use crate::motions::Motions;
use crate::moving::Moving;
use crate::relief::{Outcome, ReliefOptions, compression_with, volume_accuracy};
use crate::relief_left::LeftLine;

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
    /// Metal removed from a flat crown.
    pub volume: Volume,
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
    let (radial, axial) = (build.limits.of(Check::PocketRadial).least, build.limits.of(check).least);
    let mut room = Room { radial, axial, float: options.float };
    let mut n_tries = 0;
    loop {
        let cut =
            fly_cut(cylinder, valve, &meetings, room, options.shape).map_err(|error| error.to_string())?;
        let cut = cut.ok_or_else(missing)?;
        let volume = cut.volume(volume_accuracy());
        let changed = with_pocket(cylinder, valve, &cut, volume);
        let after = Moving::new(&changed, motions)?;
        let gap_after = gap_of(&after, check, name).ok_or_else(missing)?;
        let radial_after = gap_of(&after, Check::PocketRadial, name);
        // The cut is laid out for a piston that stands straight; one that leans, or a phaser, takes some more.
        let short = |gap: Length, least: Length| Length::new::<meter>((least - gap).value.max(0.0));
        let more =
            [short(gap_after, axial), radial_after.map_or(Length::default(), |gap| short(gap, radial))];
        n_tries += 1;
        if n_tries < MOST_TRIES && more.iter().any(|more| more.value > 0.0) {
            let hair = Length::new::<meter>(CUT_ACCURACY_M);
            (room.axial, room.radial) = (room.axial + more[0] + hair, room.radial + more[1] + hair);
            continue;
        }
        return Ok(ProposedPocket {
            compression: compression_with(cylinder, volume),
            left: left_of_crown(cylinder, &cut, options),
            cut,
            volume,
            gap_after,
            radial_after: radial_after.map(|gap| [gap, radial]),
        });
    }
}

/// Cuts laid out before the last is taken as it is; each leaves a hundredth of what the one before was short of.
const MOST_TRIES: u32 = 4;

/// Room added so that the next cut is not short by rounding, in metres.
const CUT_ACCURACY_M: f64 = 2e-7;

/// The cylinder with the pocket in its piston, in place of the one the valve had.
pub fn with_pocket(cylinder: &Cylinder, valve: &Valve, cut: &FlyCut, volume: Volume) -> Cylinder {
    let mut changed = cylinder.clone();
    let exact = |value: Length| Reading::measured(value, Length::default());
    let [x, y] = cut.floor_center();
    changed.piston.pockets.retain(|pocket| pocket.valve != valve.name);
    changed.piston.pockets.push(Pocket {
        valve: valve.name.clone(),
        x: exact(x),
        y: exact(y),
        diameter: exact(cut.diameter()),
        depth: exact(cut.floor_depth()),
        tilt_x: Reading::measured(Angle::default(), Angle::default()),
        tilt_y: Reading::measured(Angle::default(), Angle::default()),
        from_valve: [true; 2],
    });
    changed.piston.crown_volume.value += volume;
    changed
}

fn left_of_crown(cylinder: &Cylinder, cut: &FlyCut, options: &ReliefOptions) -> Vec<LeftLine> {
    if cut.is_empty() {
        return Vec::new();
    }
    let piston = &cylinder.piston;
    let crown = crown_left(cut, options.crown_thickness);
    let needed = "thickness of the crown where the pocket goes";
    let mut lines =
        vec![LeftLine::new(Left::Crown, cylinder.number, crown_limit(options.crown_make), crown, needed)];
    if let Some(land) = land_above_groove(cut, piston) {
        let of = Left::LandAboveGroove;
        lines.push(LeftLine::new(of, cylinder.number, of.usual(), Some(land), "piston.top_land_height"));
    }
    let of = Left::Groove;
    let groove = to_groove(cut, piston, options.groove);
    lines.push(LeftLine::new(
        of,
        cylinder.number,
        of.usual(),
        groove,
        "depth and height of the top ring groove",
    ));
    lines
}
