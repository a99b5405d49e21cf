//! What to cut where a valve has no room, and whether the engine survives it. Leaves out the drawings.

use fit::relief_crown::Groove;
use fit::relief_cut::{ReliefCut, relief_cut};
use fit::relief_cutter::{Room, Shape};
use fit::relief_limit::CrownMake;
use fit::relief_to_holes::Hole;
use fit::ring_land::{Rise, usual_rise};
use fit::scene::{Scene, Surrounding};
use fit::valve_to_relief::least_with_relief_m;
use fit::wall_left::WallReading;
use parts::limit::Check;
use parts::{Build, Cylinder, Valve};
use units::length::{meter, millimeter};
use units::volume::cubic_meter;
use units::{Length, Volume};
use volume::{clearance_volumes, compression_ratio, swept_volume};

use crate::clearance::Clearance;
use crate::contact::with_contacts;
use crate::fallback::{Fallback, Question, fallbacks, with_the_cut};
use crate::finding::Status;
use crate::place::PlaceSeen;
use crate::relief_fly_cut::{PistonRelief, piston_reliefs};
use crate::relief_left::{LeftLine, left_of_block};

/// How a relief is to be made, and what is known of the metal around it.
#[derive(Clone, Debug)]
pub struct ReliefOptions {
    /// The tool.
    pub shape: Shape,
    /// Travel beyond full lift when the valve floats.
    pub float: Length,
    /// Wall thicknesses by sonic tester.
    pub walls: Vec<WallReading>,
    /// Thickness of the deck plate.
    pub deck_thickness: Option<Length>,
    /// Between the edge of the gasket opening and its fire ring or bead.
    pub fire_ring_inset: Option<Length>,
    /// Bolt, oil and water holes in the deck.
    pub holes: Vec<Hole>,
    /// How far the running piston stands higher than by hand.
    pub rise: Rise,
    /// Thickness of the crown where a pocket goes.
    pub crown_thickness: Option<Length>,
    /// How the piston is made.
    pub crown_make: CrownMake,
    /// The top ring's groove.
    pub groove: Option<Groove>,
}

impl Default for ReliefOptions {
    /// A cutter with a corner of 1 mm, so that no sharp inner corner is left (common practice, no source), no float, and
    /// nothing measured.
    fn default() -> Self {
        Self {
            shape: Shape::Cutter { corner_radius: Length::new::<millimeter>(1.0) },
            float: Length::default(),
            walls: Vec::new(),
            deck_thickness: None,
            fire_ring_inset: None,
            holes: Vec::new(),
            rise: usual_rise(),
            crown_thickness: None,
            crown_make: CrownMake::Forged,
            groove: None,
        }
    }
}

/// The answer for one build.
#[derive(Clone, Debug)]
pub struct ReliefAnswer {
    /// The build's name.
    pub name: String,
    /// Number of cylinders.
    pub n_cylinders: usize,
    /// Valves that hit or are tight against block or gasket.
    pub valves: Vec<ValveRelief>,
    /// Valves that hit or are tight against the piston.
    pub pistons: Vec<PistonRelief>,
    /// What could not be judged.
    pub notes: Vec<String>,
}

/// One valve against the block or the gasket, at the cylinder where it comes out worst.
#[derive(Clone, Debug)]
pub struct ValveRelief {
    /// The valve.
    pub valve: String,
    /// [`Check::ValveToBlock`] or [`Check::ValveToGasket`].
    pub check: Check,
    /// The worst cylinder, and those with the same gap.
    pub cylinders: Vec<usize>,
    /// How it stands without a cut.
    pub status: Status,
    /// Its least gap.
    pub gap: Length,
    /// The least it may be.
    pub limit: Length,
    /// Who says so.
    pub limit_source: String,
    /// Lift of first contact.
    pub first_contact: Option<Length>,
    /// Where the gap is least.
    pub place: PlaceSeen,
    /// The cut, or why there is none.
    pub cut: Result<Proposed, String>,
    /// Changes with which a cut is survived that is not survived alone, cheapest first.
    pub with_cut: Vec<Fallback>,
    /// Other ways, cheapest first; empty when nothing sensible does it.
    pub fallbacks: Vec<Fallback>,
}

/// A cut in bore and deck.
#[derive(Clone, Debug)]
pub struct Proposed {
    /// Its geometry.
    pub cut: ReliefCut,
    /// The room it gives.
    pub room: Room,
    /// Metal removed.
    pub volume: Volume,
    /// Least gap of the valve once it is cut; never overstated.
    pub gap_after: Length,
    /// Static compression before and after.
    pub compression: [f64; 2],
    /// What it leaves; of other cylinders that need it too, where theirs leaves less.
    pub left: Vec<LeftLine>,
}

/// How an answer comes out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// No cut is needed.
    ClearsAsItIs,
    /// Everything clears once it is cut, and what is known of the rest survives.
    ClearsAfterCut,
    /// Something does not clear, or does not survive the cut.
    DoesNot,
}

impl ReliefAnswer {
    /// How it comes out.
    pub fn outcome(&self) -> Outcome {
        let outcomes = self.valves.iter().map(ValveRelief::outcome);
        outcomes.chain(self.pistons.iter().map(PistonRelief::outcome)).max().unwrap_or(Outcome::ClearsAsItIs)
    }
}

impl ValveRelief {
    /// How this valve comes out.
    pub fn outcome(&self) -> Outcome {
        match &self.cut {
            Ok(cut) if cut.gives_room(self.limit) && cut.fatal().next().is_none() => Outcome::ClearsAfterCut,
            _ => Outcome::DoesNot,
        }
    }
}

impl Proposed {
    /// Whether the valve then has its room; a hundredth of a millimetre is left to rounding on drawings.
    pub fn gives_room(&self, limit: Length) -> bool {
        self.gap_after >= limit - Length::new::<millimeter>(0.01)
    }

    /// Lines the engine does not survive.
    pub fn fatal(&self) -> impl Iterator<Item = &LeftLine> {
        self.left.iter().filter(|line| line.is_fatal())
    }
}

/// Volumes of cuts are found to this.
pub(crate) fn volume_accuracy() -> Volume {
    Volume::new::<cubic_meter>(1e-12)
}

/// The relief of every valve that hits or is tight, what it leaves, and the ways around it.
pub fn relief(build: &Build, options: &ReliefOptions) -> ReliefAnswer {
    let (build, _) = &with_contacts(build);
    let mut valves = Vec::new();
    for check in [Check::ValveToBlock, Check::ValveToGasket] {
        for valve in &build.cylinders[0].head.valves {
            valves.extend(valve_relief(build, check, &valve.name, options));
        }
    }
    // The worst first, as in `check`.
    valves.sort_by(|a: &ValveRelief, b| {
        let short = |one: &ValveRelief| (one.gap - one.limit).value;
        b.status.cmp(&a.status).then(short(a).total_cmp(&short(b)))
    });
    let (mut pistons, notes) = piston_reliefs(build, options);
    pistons.sort_by(|a, b| {
        let short = |one: &PistonRelief| (one.gap - one.limit).value;
        b.status.cmp(&a.status).then(short(a).total_cmp(&short(b)))
    });
    let (name, n_cylinders) = (build.name.clone(), build.cylinders.len());
    ReliefAnswer { name, n_cylinders, valves, pistons, notes }
}

/// Gaps within this are the same, in metres: a mirrored cylinder's.
const SAME_M: f64 = 1e-7;

fn valve_relief(
    build: &Build,
    check: Check,
    valve_name: &str,
    options: &ReliefOptions,
) -> Option<ValveRelief> {
    let seen: Vec<(&Cylinder, Clearance)> = build
        .cylinders
        .iter()
        .filter_map(|cylinder| {
            Some((cylinder, Clearance::new(check, cylinder, cylinder.valve(valve_name)?)?))
        })
        .collect();
    // Of equal gaps the first cylinder's is told.
    let (cylinder, worst) =
        seen.iter().reduce(
            |worst, other| {
                if other.1.gap().value < worst.1.gap().value - SAME_M { other } else { worst }
            },
        )?;
    let (gap, limit) = (worst.gap(), build.limits.of(check));
    let status = Status::of(gap, limit.least);
    if status == Status::Clear {
        return None;
    }
    let valve = cylinder.valve(valve_name)?;
    let same = |other: &Clearance| (other.gap() - gap).value.abs() < SAME_M;
    let short_too: Vec<&Cylinder> = seen
        .iter()
        .filter(|(other, clearance)| other.number != cylinder.number && clearance.gap() < limit.least)
        .map(|(other, _)| *other)
        .collect();
    let cut = match check {
        Check::ValveToGasket => Err("the gasket is in the way, and no cut in the block moves it".to_owned()),
        _ => proposed(build, cylinder, valve, limit.least, options)
            .map(|cut| with_others(build, cut, &short_too, valve_name, options)),
    };
    let least = &worst.sweep.least;
    let question = Question { check, valve: valve_name.to_owned(), cylinder: cylinder.number };
    let killed = cut.as_ref().is_ok_and(|cut| cut.fatal().next().is_some());
    let with_cut = if killed {
        with_the_cut(build, &question, &|changed| {
            spare_beside_cuts(changed, valve_name, limit.least, options)
        })
    } else {
        Vec::new()
    };
    Some(ValveRelief {
        valve: valve_name.to_owned(),
        check,
        cylinders: seen.iter().filter(|(_, other)| same(other)).map(|(other, _)| other.number).collect(),
        status,
        gap,
        limit: limit.least,
        limit_source: limit.source,
        first_contact: worst.sweep.first_contact.map(|contact| Length::new::<meter>(contact.lift_m)),
        place: PlaceSeen::new(least.place.point_m.to_array(), least.place.feature.into()),
        cut,
        with_cut,
        fallbacks: fallbacks(build, &question),
    })
}

/// The cut that gives a valve its limit as room, all round and below, and what it leaves.
fn proposed(
    build: &Build,
    cylinder: &Cylinder,
    valve: &Valve,
    limit: Length,
    options: &ReliefOptions,
) -> Result<Proposed, String> {
    let room = room(limit, options);
    let cut = relief_cut(cylinder, valve, room, options.shape).map_err(|error| error.to_string())?;
    let scene = Scene::new(cylinder, valve);
    let block = scene.obstacle(Surrounding::Block);
    let travel = scene.travel_m() + options.float.value;
    let [_, gap_after] = least_with_relief_m(&scene.valve(), &block, &cut.cutter, travel);
    let volume = cut.volume(volume_accuracy());
    Ok(Proposed {
        compression: compression_with(cylinder, volume),
        left: left_of_block(build, cylinder, &cut, options),
        gap_after: Length::new::<meter>(gap_after),
        cut,
        room,
        volume,
    })
}

/// The least that the cuts of a valve leave over any limit that counts, over all cylinders; nothing is short where nothing
/// needs cutting.
fn spare_beside_cuts(
    build: &Build,
    valve_name: &str,
    limit: Length,
    options: &ReliefOptions,
) -> Option<Length> {
    let mut least = limit;
    for cylinder in &build.cylinders {
        let valve = cylinder.valve(valve_name)?;
        if Clearance::new(Check::ValveToBlock, cylinder, valve)?.gap() >= limit {
            continue;
        }
        let cut = relief_cut(cylinder, valve, room(limit, options), options.shape).ok()?;
        let lines = left_of_block(build, cylinder, &cut, options);
        let spare =
            lines.iter().filter(|line| line.counts()).filter_map(|line| Some(line.left? - line.limit));
        least = spare.fold(least, |a, b| if b < a { b } else { a });
    }
    Some(least)
}

/// The limit as room, all round and below.
fn room(limit: Length, options: &ReliefOptions) -> Room {
    Room { radial: limit, axial: limit, float: options.float }
}

/// Puts in the lines of the other cylinders that need the cut, where they leave less.
fn with_others(
    build: &Build,
    mut cut: Proposed,
    others: &[&Cylinder],
    valve_name: &str,
    options: &ReliefOptions,
) -> Proposed {
    for cylinder in others {
        let other = cylinder
            .valve(valve_name)
            .and_then(|valve| relief_cut(cylinder, valve, cut.room, options.shape).ok());
        let Some(other) = other else { continue };
        for line in left_of_block(build, cylinder, &other, options) {
            match cut.left.iter_mut().find(|known| known.of == line.of) {
                Some(known)
                    if line.left.is_some_and(|left| {
                        known.left.is_some_and(|least| left.value < least.value - SAME_M)
                    }) =>
                {
                    *known = line;
                }
                Some(_) => {}
                None => cut.left.push(line),
            }
        }
    }
    cut
}

/// Static compression as it is and with so much metal less around the clearance volume.
pub(crate) fn compression_with(cylinder: &Cylinder, removed: Volume) -> [f64; 2] {
    let (swept, clearance) = (swept_volume(&cylinder.block), clearance_volumes(cylinder).total());
    [compression_ratio(swept, clearance), compression_ratio(swept, clearance + removed)]
}

#[cfg(test)]
#[path = "relief_tests.rs"]
mod tests;
