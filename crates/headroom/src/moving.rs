//! Everything that moves over one piston through two turns of the crank: the findings. Leaves out springs, which are
//! `spring_room.rs`.

use std::cell::OnceCell;

use fit::Scene;
use fit::drop_table::{Drop, DropTable};
use fit::solid::crown::{Crown, CrownPart, Cup};
use fit::two_turns::{
    Dips, LeastGap, MovingParts, MovingValve, Pair, Way, find_dips_of, gap_at, gap_m, least_near_m,
};
use motion::{SliderCrank, ValveMotion};
use parts::limit::{Check, Limits};
use parts::readings::Visit;
use parts::{Cylinder, Duty};
use units::length::meter;
use units::reading::SDS_IN_TOLERANCE;
use units::{Basis, CrankAngle, Length};

use crate::clearance::SAMPLES_SAVED;
use crate::finding::{Cure, Finding, Seen, Status, Weakest};
use crate::motions::Motions;
use crate::place::{PlaceSeen, Surface};
use crate::sampling::{chance_below, deviations};

/// The moving pairs of one cylinder, solved for its nominal readings.
pub struct Moving {
    cylinder: Cylinder,
    motions: Motions,
    parts: MovingParts<ValveMotion>,
    pairs: Vec<Solved>,
    nudges: OnceCell<Vec<Nudge>>,
}

/// The pair that answers one check of one valve.
struct Solved {
    check: Check,
    valve: Option<usize>,
    other_valve: Option<usize>,
    dips: Dips,
    least: LeastGap,
}

/// Dips of a gap that come this close to its least, in metres, may become the least within tolerances.
const NEAR_LEAST_M: f64 = 5e-4;

/// Chances below this, or above 1 less this, are not worth drawing samples for.
const CERTAIN: f64 = 1e-4;

impl Moving {
    /// Follows the cylinder through two turns; what is missing is said where it cannot be done.
    pub fn new(cylinder: &Cylinder, motions: &Motions) -> Result<Self, String> {
        let parts = moving_parts(cylinder, motions)?;
        let mut pairs: Vec<Solved> = Vec::new();
        for dips in find_dips_of(&parts, NEAR_LEAST_M, |pair| asked(pair, cylinder).is_some()) {
            let Some((check, valve, other_valve)) = asked(dips.pair, cylinder) else { continue };
            let by_drops = drop_table(&parts, cylinder, dips.pair)?;
            let mut least = gap_at(&parts, dips.pair, dips.dips[0].at);
            if let Some((table, idx)) = &by_drops {
                let found = table.least(&parts.valves[*idx].lift);
                least = LeastGap {
                    gap_m: found.gap_m,
                    crank_deg: found.crank_deg,
                    lifts_m: [found.lift_m, 0.0],
                    ..gap_at(&parts, dips.pair, found.crank_deg)
                };
            }
            let same =
                |known: &&mut Solved| known.check == check && (valve.is_none() || known.valve == valve);
            let solved = Solved { check, valve, other_valve, dips, least };
            // Of several pairs of valves the nearest is the one to tell.
            match pairs.iter_mut().find(|known| check == Check::ValveToValve && same(known)) {
                Some(known) if least.gap_m < known.least.gap_m => *known = solved,
                Some(_) => {}
                None => pairs.push(solved),
            }
        }
        Ok(Self {
            cylinder: cylinder.clone(),
            motions: motions.clone(),
            parts,
            pairs,
            nudges: OnceCell::new(),
        })
    }

    /// The checks it answers: which, of which valve, with the nominal gap.
    pub fn gaps(&self) -> impl Iterator<Item = (Check, Option<&str>, Length)> {
        self.pairs.iter().map(|pair| {
            let valve = pair.valve.map(|idx| self.cylinder.head.valves[idx].name.as_str());
            let valve = if pair.check == Check::ValveToValve { None } else { valve };
            (pair.check, valve, Length::new::<meter>(pair.least.gap_m))
        })
    }

    /// The finding of a check of [`Self::gaps`].
    pub fn finding(
        &self,
        check: Check,
        valve: Option<&str>,
        limits: &Limits,
        n_samples: u32,
    ) -> Option<Finding> {
        let name = |idx: Option<usize>| idx.map(|idx| self.cylinder.head.valves[idx].name.clone());
        let pair = self.pairs.iter().find(|pair| {
            pair.check == check && (check == Check::ValveToValve || name(pair.valve).as_deref() == valve)
        })?;
        let limit = limits.of(check);
        let gap = Length::new::<meter>(pair.least.gap_m);
        let changes = self.changes_m(pair);
        let variance: f64 = changes.iter().map(|change| change.by_m * change.by_m).sum();
        let sd = variance.sqrt();
        let chance = |below_m: f64| {
            let by_normal = chance_below(below_m, pair.least.gap_m, sd);
            if by_normal < CERTAIN || 1.0 - by_normal < CERTAIN {
                by_normal
            } else {
                self.chance_put_right(pair, &changes, below_m, by_normal, n_samples)
            }
        };
        let weakest = changes.iter().max_by(|a, b| a.by_m.abs().total_cmp(&b.by_m.abs()));
        let moves = pair.valve.is_some();
        Some(Finding {
            check,
            valve: name(pair.valve),
            other_valve: name(pair.other_valve),
            cylinders: Vec::new(),
            others: Vec::new(),
            status: Status::of(gap, limit.least),
            cures: cures(check, gap, limit.least, self.cylinder.gasket.thickness.value),
            seen: Some(Seen {
                gap,
                tolerance: Length::new::<meter>(sd * SDS_IN_TOLERANCE),
                place: PlaceSeen::new(pair.least.point_m.to_array(), surface(&pair.least)),
                lift: moves.then(|| Length::new::<meter>(pair.least.lifts_m[0])),
                crank: Some(CrankAngle::from_degrees(pair.least.crank_deg)),
                first_contact: None,
                chance_of_hitting: chance(0.0),
                chance_under_limit: chance(limit.least.value),
                weakest: weakest.filter(|_| variance > 0.0).map(|change| Weakest {
                    path: change.path.clone(),
                    basis: change.basis,
                    share: change.by_m * change.by_m / variance,
                }),
            }),
            limit: limit.least,
            limit_source: limit.source,
        })
    }

    /// What one standard deviation of each reading does to a pair's least gap. A minimum does not move by moving its crank
    /// angle, so the gap at the nominal angle tells.
    fn changes_m(&self, pair: &Solved) -> Vec<Change> {
        let crank_deg = self.steady_deg(pair);
        let gap = |nudged: &Option<(Cylinder, MovingParts<ValveMotion>)>| match nudged {
            Some((cylinder, parts)) => pair_gap_m(parts, cylinder, pair.dips.pair, crank_deg),
            None => pair.least.gap_m,
        };
        let changes = self.nudges().iter().map(|nudge| {
            let by_m = 0.5 * (gap(&nudge.up) - gap(&nudge.down));
            Change { path: nudge.path.clone(), basis: nudge.basis, sd: nudge.sd, by_m }
        });
        changes.filter(|change| change.by_m.abs() > IDLE_M).collect()
    }

    /// The cylinder with each reading off by one standard deviation either way, made once for all pairs.
    fn nudges(&self) -> &[Nudge] {
        self.nudges.get_or_init(|| {
            let mut readings = Vec::new();
            self.cylinder.clone().visit("", &mut |path, reading| {
                if reading.tolerance_si > 0.0 && may_move(path) {
                    readings.push((path.to_owned(), reading.basis, reading.tolerance_si / SDS_IN_TOLERANCE));
                }
            });
            let off_by = |path: &str, by: f64| {
                let (cylinder, motions) = self.off_by(&[(path, by)]);
                moving_parts(&cylinder, &motions).ok().map(|parts| (cylinder, parts))
            };
            let nudge = |(path, basis, sd): (String, Basis, f64)| {
                let (up, down) = (off_by(&path, sd), off_by(&path, -sd));
                Nudge { path, basis, sd, up, down }
            };
            readings.into_iter().map(nudge).collect()
        })
    }

    /// The crank angle at which a pair's gap is compared. A rim is least clear of its pocket's wall just where it enters,
    /// and a little off it has not entered yet; where it is deepest it is in the pocket for certain.
    fn steady_deg(&self, pair: &Solved) -> f64 {
        let deepest = |other: &&Solved| {
            other.valve == pair.valve && matches!(other.check, Check::IntakeToPiston | Check::ExhaustToPiston)
        };
        match pair.check {
            Check::PocketRadial => {
                self.pairs.iter().find(deepest).map_or(pair.least.crank_deg, |found| found.least.crank_deg)
            }
            _ => pair.least.crank_deg,
        }
    }

    fn off_by(&self, moved: &[(&str, f64)]) -> (Cylinder, Motions) {
        let mut cylinder = self.cylinder.clone();
        cylinder.visit("", &mut |path, reading| {
            if let Some((_, by)) = moved.iter().find(|(known, _)| *known == path) {
                *reading.value_si += by;
            }
        });
        let mut motions = self.motions.clone();
        for (path, by) in
            moved.iter().filter(|(path, _)| path.starts_with("cam.") || path.starts_with("train."))
        {
            motions = motions.off_by(&self.cylinder, path, *by);
        }
        (cylinder, motions)
    }

    /// Chance that the least gap is below a limit: the normal chance of the gap as its changes have it, put right by samples
    /// in which the whole cylinder was followed. The two agree in most samples, so few are enough.
    fn chance_put_right(
        &self,
        pair: &Solved,
        changes: &[Change],
        below_m: f64,
        by_normal: f64,
        n_samples: u32,
    ) -> f64 {
        let n_samples = n_samples.div_ceil(SAMPLES_SAVED);
        let mut off = vec![0.0; changes.len()];
        let mut more_below = 0_i32;
        for sample_idx in 0..n_samples {
            deviations(sample_idx, &mut off);
            let moved: Vec<(&str, f64)> = changes
                .iter()
                .zip(&off)
                .map(|(change, off)| (change.path.as_str(), change.sd * off))
                .collect();
            let by_changes: f64 = changes.iter().zip(&off).map(|(change, off)| change.by_m * off).sum();
            let (cylinder, motions) = self.off_by(&moved);
            let Ok(parts) = moving_parts(&cylinder, &motions) else { continue };
            let followed = pair_least_m(&parts, &cylinder, &pair.dips);
            more_below += i32::from(followed < below_m) - i32::from(pair.least.gap_m + by_changes < below_m);
        }
        (by_normal + f64::from(more_below) / f64::from(n_samples.max(1))).clamp(0.0, 1.0)
    }

    /// Head face, crank and valves as they move, for whoever wants to look further.
    pub fn parts(&self) -> &MovingParts<ValveMotion> {
        &self.parts
    }
}

/// A gap that changes by less than this, in metres, with a whole standard deviation does not depend on that reading.
const IDLE_M: f64 = 1e-10;

/// A cylinder with one reading off; `None` where it then cannot turn.
struct Nudge {
    path: String,
    basis: Basis,
    sd: f64,
    up: Option<(Cylinder, MovingParts<ValveMotion>)>,
    down: Option<(Cylinder, MovingParts<ValveMotion>)>,
}

struct Change {
    path: String,
    basis: Basis,
    sd: f64,
    by_m: f64,
}

/// Readings that can move any of the pairs.
fn may_move(path: &str) -> bool {
    const IDLE: [&str; 7] = ["volume", "chamfer", "mass", "spring.", "opening", "chamber", "land"];
    !IDLE.iter().any(|part| path.contains(part))
}

/// Everything that moves over the piston of a cylinder; no valves where the motion of one is not known.
pub fn moving_parts(cylinder: &Cylinder, motions: &Motions) -> Result<MovingParts<ValveMotion>, String> {
    let Cylinder { block, piston, head, .. } = cylinder;
    let crank = SliderCrank::new(block.stroke.value, block.rod_length.value, block.pin_offset.value)
        .map_err(|error| error.to_string())?;
    let cup = |pocket: &parts::Pocket| {
        Cup::new(
            pocket.x.value.value,
            pocket.y.value.value,
            pocket.depth.value.value,
            pocket.diameter.value.value / 2.0,
            [pocket.tilt_x.value.value, pocket.tilt_y.value.value],
        )
    };
    let known = head.valves.iter().all(|valve| motions.of(valve.duty).is_ok());
    let valves = head.valves.iter().filter(|_| known).map(|valve| {
        let cups: Vec<Cup> =
            piston.pockets.iter().filter(|pocket| pocket.valve == valve.name).map(cup).collect();
        Ok(MovingValve {
            head: Scene::new(cylinder, valve).valve(),
            lift: motions.of(valve.duty)?.clone(),
            pocket: (!cups.is_empty()).then_some(0),
            crown: Crown::new(cups, None),
        })
    });
    Ok(MovingParts {
        crank,
        deck_offset_m: piston.deck_offset.value.value,
        rock_rad: 0.0,
        pin_m: [0.0, 0.0],
        head_face_m: cylinder.head_face_height().value,
        valves: valves.collect::<Result<_, String>>()?,
    })
}

/// The measured drops of the valve of a pair, where it has some, and the valve's number. They are taken along the valve, so
/// they stand for that way of its gap alone.
fn drop_table(
    parts: &MovingParts<ValveMotion>,
    cylinder: &Cylinder,
    pair: Pair,
) -> Result<Option<(DropTable, usize)>, String> {
    let Pair::ValveToPiston(idx, Way::Axial) = pair else { return Ok(None) };
    let name = &cylinder.head.valves[idx].name;
    let rows: Vec<Drop> = cylinder
        .piston
        .drops
        .iter()
        .filter(|drop| drop.valve == *name)
        .map(|drop| Drop { from_top_deg: drop.after_tdc.value.degrees(), drop_m: drop.drop.value.value })
        .collect();
    if rows.is_empty() {
        return Ok(None);
    }
    let table = DropTable::new(parts.crank, rows);
    table.map(|table| Some((table, idx))).map_err(|error| format!("drops of the {name} valve: {error}"))
}

/// The gap of a pair at a crank angle, from measured drops where there are some. Drops that no table can be made of after a
/// tolerance moved them leave the pair to the crown.
fn pair_gap_m(parts: &MovingParts<ValveMotion>, cylinder: &Cylinder, pair: Pair, crank_deg: f64) -> f64 {
    match drop_table(parts, cylinder, pair) {
        Ok(Some((table, idx))) => table.gap_m(&parts.valves[idx].lift, crank_deg),
        _ => gap_m(parts, pair, crank_deg),
    }
}

fn pair_least_m(parts: &MovingParts<ValveMotion>, cylinder: &Cylinder, dips: &Dips) -> f64 {
    match drop_table(parts, cylinder, dips.pair) {
        Ok(Some((table, idx))) => table.least(&parts.valves[idx].lift).gap_m,
        _ => least_near_m(parts, dips),
    }
}

/// The check a pair answers, with its valves; `None` for other ways to take the same gap.
fn asked(pair: Pair, cylinder: &Cylinder) -> Option<(Check, Option<usize>, Option<usize>)> {
    let duty = |idx: usize| cylinder.head.valves[idx].duty;
    match pair {
        // Along the valve is how the trade measures it: pushed open from its lift until it meets the piston.
        Pair::ValveToPiston(idx, Way::Axial) => {
            let check = match duty(idx) {
                Duty::Intake => Check::IntakeToPiston,
                Duty::Exhaust => Check::ExhaustToPiston,
            };
            Some((check, Some(idx), None))
        }
        Pair::ValveToPiston(idx, Way::Radial) => Some((Check::PocketRadial, Some(idx), None)),
        Pair::ValveToPiston(_, Way::Vertical | Way::Distance) => None,
        Pair::ValveToValve(one, two) => Some((Check::ValveToValve, Some(one), Some(two))),
        Pair::PistonToHead => Some((Check::PistonToHead, None, None)),
    }
}

fn surface(least: &LeastGap) -> Surface {
    match (least.pair, least.part) {
        (Pair::ValveToValve(..), _) => Surface::OtherValve,
        (Pair::PistonToHead, _) => Surface::HeadFace,
        (_, Some(CrownPart::Flat) | None) => Surface::Crown,
        (Pair::ValveToPiston(_, Way::Radial), _) => Surface::Pocket,
        (_, Some(_)) => Surface::Pocket,
    }
}

fn cures(check: Check, gap: Length, limit: Length, gasket: Length) -> Vec<Cure> {
    let short = limit - gap;
    if short.value <= 0.0 {
        return Vec::new();
    }
    match check {
        Check::IntakeToPiston | Check::ExhaustToPiston => vec![Cure::PocketDeeperBy(short)],
        Check::PistonToHead => vec![Cure::GasketNoThinnerThan(gasket + short)],
        Check::PocketRadial => vec![Cure::PocketLargerBy(short * 2.0)],
        _ => Vec::new(),
    }
}
