//! What to cut where a valve has no room, and whether the engine survives it. Leaves out the drawings.

use fit::relief_cut::{ReliefCut, relief_cut};
use fit::relief_cutter::{Room, Shape};
use fit::relief_of_block::cut_of;
use parts::limit::Check;
use parts::{Build, Cylinder, Relief, Valve};
use units::length::{meter, millimeter};
use units::volume::cubic_meter;
use units::{Length, Reading, Volume};
use volume::static_compression;

use crate::clearance::Clearance;
use crate::contact::with_contacts;
use crate::fallback::{Fallback, Question, fallbacks, with_the_cut};
use crate::finding::Status;
use crate::place::PlaceSeen;
use crate::relief_apply::{put_relief, relief_to_cut, with_relief};
use crate::relief_fly_cut::{PistonRelief, piston_reliefs};
use crate::relief_left::{LeftLine, left_of_block};
use crate::relief_left_chance::with_chances_of_block;
use crate::relief_standing::{StandingCut, standing_cuts};

/// How a relief is to be made.
#[derive(Clone, Copy, Debug)]
pub struct ReliefOptions {
    /// The tool.
    pub shape: Shape,
    /// Travel beyond full lift when the valve floats.
    pub float: Length,
    /// Thickness of the deck plate, in the place of the sheet's.
    pub deck_thickness: Option<Length>,
    /// Thickness of the crown where a pocket goes, in the place of the sheet's.
    pub crown_thickness: Option<Length>,
}

impl Default for ReliefOptions {
    /// A cutter with a corner of 1 mm, so that no sharp inner corner is left (common practice, no source), and no float.
    fn default() -> Self {
        let corner_radius = Length::new::<millimeter>(1.0);
        Self {
            shape: Shape::Cutter { corner_radius },
            float: Length::default(),
            deck_thickness: None,
            crown_thickness: None,
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
    /// Cuts that the build already carries and that stay as they are.
    pub standing: Vec<StandingCut>,
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
    /// What is cut on each cylinder that needs it, the worst first.
    pub reliefs: Vec<(usize, Relief)>,
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
    let (mut build, _) = with_contacts(build);
    put_thicknesses(&mut build, options);
    let build = &build;
    let mut valves: Vec<ValveRelief> = Vec::new();
    for check in [Check::ValveToBlock, Check::ValveToGasket] {
        for valve in &build.cylinders[0].head.valves {
            valves.extend(valve_relief(build, check, &valve.name, options));
        }
    }
    // What one cut leaves is looked at with all of them made.
    let cuts = valves.iter().filter_map(|relief| relief.cut.as_ref().ok());
    let cut = cuts.fold(build.clone(), |build, cut| with_relief(&build, cut));
    for relief in &mut valves {
        if let Ok(proposed) = &mut relief.cut {
            proposed.left = left_of_all(&cut, &proposed.reliefs, &relief.valve);
        }
        if relief.cut.as_ref().is_ok_and(|cut| cut.fatal().next().is_some()) {
            let (valve, limit) = (relief.valve.as_str(), relief.limit);
            let question =
                Question { check: relief.check, valve: valve.to_owned(), cylinder: relief.cylinders[0] };
            let spare = |changed: &Build| spare_beside_cuts(changed, valve, limit, options);
            relief.with_cut = with_the_cut(build, &question, &spare);
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
    let replaced = |cut: &StandingCut| {
        let by_block = valves.iter().any(|one| one.valve == cut.valve && one.cut.is_ok());
        let by_pocket = pistons.iter().any(|one| one.valve == cut.valve && one.cut.is_ok());
        if cut.in_crown { by_pocket } else { by_block }
    };
    let standing = standing_cuts(build).into_iter().filter(|cut| !replaced(cut)).collect();
    ReliefAnswer { name, n_cylinders, valves, pistons, standing, notes }
}

fn put_thicknesses(build: &mut Build, options: &ReliefOptions) {
    let exact = |length: Length| Reading::measured(length, Length::default());
    for cylinder in &mut build.cylinders {
        let (block, piston) = (&mut cylinder.block.metal, &mut cylinder.piston.metal);
        block.deck_thickness = options.deck_thickness.map(exact).or(block.deck_thickness);
        piston.crown_thickness = options.crown_thickness.map(exact).or(piston.crown_thickness);
    }
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
        _ => proposed(cylinder, &short_too, valve, limit.least, options),
    };
    let least = &worst.sweep.least;
    let question = Question { check, valve: valve_name.to_owned(), cylinder: cylinder.number };
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
        with_cut: Vec::new(),
        fallbacks: fallbacks(build, &question),
    })
}

/// The cut that gives a valve its limit as room, all round and below, on its worst cylinder and the others that are short.
fn proposed(
    cylinder: &Cylinder,
    short_too: &[&Cylinder],
    valve: &Valve,
    limit: Length,
    options: &ReliefOptions,
) -> Result<Proposed, String> {
    let room = room(limit, options);
    let cut = relief_cut(cylinder, valve, room, options.shape).map_err(|error| error.to_string())?;
    let mut reliefs = vec![(cylinder.number, relief_to_cut(&valve.name, &cut.cutter))];
    for other in short_too {
        let Some(valve) = other.valve(&valve.name) else { continue };
        let cut = relief_cut(other, valve, room, options.shape).map_err(|error| error.to_string())?;
        reliefs.push((other.number, relief_to_cut(&valve.name, &cut.cutter)));
    }
    let mut changed = cylinder.clone();
    put_relief(&mut changed, reliefs[0].1.clone());
    let after = Clearance::new(Check::ValveToBlock, &changed, valve);
    Ok(Proposed {
        compression: [cylinder, &changed].map(static_compression),
        left: Vec::new(),
        gap_after: after.map_or(Length::default(), |after| after.gap()),
        volume: cut.volume(volume_accuracy()),
        cut,
        room,
        reliefs,
    })
}

/// What the cuts of a valve leave over all cylinders that get one; of each thing the line that leaves least over its limit.
/// `build` has every cut in it.
pub(crate) fn left_of_all(build: &Build, reliefs: &[(usize, Relief)], valve: &str) -> Vec<LeftLine> {
    let mut worst: Vec<LeftLine> = Vec::new();
    for (number, relief) in reliefs {
        let cylinder = build.cylinders.iter().find(|cylinder| cylinder.number == *number);
        let Some(cylinder) = cylinder else { continue };
        let Some(cut) = cut_of(&cylinder.block, relief) else { continue };
        for line in left_of_block(build, cylinder, &cut) {
            match worst.iter_mut().find(|known| known.of == line.of) {
                Some(known) if leaves_less(&line, known) => *known = line,
                Some(_) => {}
                None => worst.push(line),
            }
        }
    }
    for (number, _) in reliefs {
        if let Some(cylinder) = build.cylinders.iter().find(|cylinder| cylinder.number == *number) {
            let mut of_this: Vec<&mut LeftLine> =
                worst.iter_mut().filter(|line| line.cylinder == *number).collect();
            let mut lines: Vec<LeftLine> = of_this.iter().map(|line| (**line).clone()).collect();
            if !lines.is_empty() {
                with_chances_of_block(&mut lines, build, cylinder, valve);
                for (line, sure) in of_this.iter_mut().zip(lines) {
                    **line = sure;
                }
            }
        }
    }
    worst
}

/// Whether a line of another cylinder leaves less, or is not even measured.
pub(crate) fn leaves_less(line: &LeftLine, known: &LeftLine) -> bool {
    match (line.left, known.left) {
        (Some(left), Some(least)) => left.value < least.value - SAME_M,
        (None, Some(_)) => true,
        _ => false,
    }
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
        let lines = left_of_block(build, cylinder, &cut);
        let spare =
            lines.iter().filter(|line| line.counts()).filter_map(|line| Some(line.left? - line.limit));
        least = spare.fold(least, |a, b| if b < a { b } else { a });
    }
    Some(least)
}

/// The limit as room, all round and below, and a hair more: four times what gaps are resolved to, so that a finished cut
/// is not a hair short.
fn room(limit: Length, options: &ReliefOptions) -> Room {
    let room = limit + Length::new::<meter>(4.0 * fit::distance::RESOLUTION_M);
    Room { radial: room, axial: room, float: options.float }
}

#[cfg(test)]
#[path = "relief_tests.rs"]
mod tests;
