//! Everything that moves over one piston through two turns of the crank: the findings. Leaves out springs, which are
//! `spring_room.rs`, and how readings come to moving parts, which is `moving_parts.rs`.

use fit::two_turns::{LeastGap, MovingParts, Pair, Way, gap_at};
use fit::two_turns_scan::{Dips, find_dips_of, valve_pair_floors_m};
use parts::limit::{Check, Limits};
use parts::{Cylinder, Duty};
use units::length::meter;
use units::reading::SDS_IN_TOLERANCE;
use units::{CrankAngle, Length};

use crate::finding::{Cure, Finding, Seen, Status, Weakest};
use crate::motions::Motions;
use crate::moving_chance::Chances;
use crate::moving_parts::{Lift, asked, drop_table, moving_parts, surface};
use crate::moving_spread::{Change, Nudges, Of, changes_m};
use crate::phasing::{Phase, phases};
use crate::place::PlaceSeen;

/// The moving pairs of one cylinder, solved for its nominal readings.
pub struct Moving {
    cylinder: Cylinder,
    settings: Vec<Setting>,
    pairs: Vec<Solved>,
}

/// The cylinder with its phasers at one place.
struct Setting {
    phase: Phase,
    motions: Motions,
    parts: MovingParts<Lift>,
    /// Where each valve is nearest to the piston, in crank degrees.
    deepest_deg: Vec<Option<f64>>,
    nudges: Nudges,
}

/// The pair that answers one check of one valve.
struct Solved {
    check: Check,
    valve: Option<usize>,
    other_valve: Option<usize>,
    dips: Dips,
    least: LeastGap,
    setting_idx: usize,
}

/// Dips of a gap that come this close to its least, in metres, may become the least within tolerances.
const NEAR_LEAST_M: f64 = 5e-4;

impl Moving {
    /// Follows the cylinder through two turns, with its phasers wherever they may stand; what is missing is said where it
    /// cannot be done.
    pub fn new(cylinder: &Cylinder, motions: &Motions) -> Result<Self, String> {
        let mut solved = Self { cylinder: cylinder.clone(), settings: Vec::new(), pairs: Vec::new() };
        for phase in phases(cylinder) {
            solved.solve(phase, motions)?;
        }
        Ok(solved)
    }

    /// The pairs that a place of the phasers moves; of each check the worst place is kept.
    fn solve(&mut self, phase: Phase, motions: &Motions) -> Result<(), String> {
        let cylinder = &self.cylinder;
        let motions = [Duty::Intake, Duty::Exhaust]
            .into_iter()
            .filter(|duty| !phase.is_installed(*duty))
            .fold(motions.clone(), |motions, duty| {
                motions.with(duty, |motion| motion.advanced(phase.of(duty)))
            });
        let parts = moving_parts(cylinder, &motions)?;
        let mut deepest_deg = vec![None; parts.valves.len()];
        let moved = |pair: Pair| asked(pair, cylinder).is_some() && is_moved(pair, phase, cylinder);
        let one_by_one = |pair: Pair| matches!(pair, Pair::ValveToValve(..));
        let mut found = find_dips_of(&parts, NEAR_LEAST_M, |pair| moved(pair) && !one_by_one(pair));
        // Of several pairs of valves the nearest is the one to tell; those that cannot be it are not followed.
        let mut nearest_m = f64::INFINITY;
        for (floor_m, pair) in valve_pair_floors_m(&parts) {
            if floor_m < nearest_m && moved(pair) {
                for dips in find_dips_of(&parts, NEAR_LEAST_M, |other| other == pair) {
                    nearest_m = nearest_m.min(dips.dips[0].value);
                    found.push(dips);
                }
            }
        }
        for dips in found {
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
            if let Pair::ValveToPiston(idx, Way::Axial) = dips.pair {
                deepest_deg[idx] = Some(least.crank_deg);
            }
            let same = |known: &&mut Solved| {
                known.check == check && (check == Check::ValveToValve || known.valve == valve)
            };
            let setting_idx = self.settings.len();
            let solved = Solved { check, valve, other_valve, dips, least, setting_idx };
            match self.pairs.iter_mut().find(same) {
                Some(known) if least.gap_m < known.least.gap_m => *known = solved,
                Some(_) => {}
                None => self.pairs.push(solved),
            }
        }
        self.settings.push(Setting { phase, motions, parts, deepest_deg, nudges: Nudges::default() });
        Ok(())
    }

    /// The checks it answers: which, of which valve, with the nominal gap.
    pub fn gaps(&self) -> impl Iterator<Item = (Check, Option<&str>, Length)> {
        self.pairs.iter().map(|pair| {
            let valve = pair.valve.map(|idx| self.cylinder.head.valves[idx].name.as_str());
            let valve = if pair.check == Check::ValveToValve { None } else { valve };
            (pair.check, valve, Length::new::<meter>(pair.least.gap_m))
        })
    }

    /// Where the gap of each check of [`Self::gaps`] that is one valve's is least.
    pub fn spots(&self) -> Vec<(Check, &str, &LeastGap)> {
        let spot = |pair| {
            let Solved { check, valve, least, .. }: &Solved = pair;
            valve.map(|idx| (*check, self.cylinder.head.valves[idx].name.as_str(), least))
        };
        self.pairs.iter().filter_map(spot).collect()
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
        let setting = &self.settings[pair.setting_idx];
        let limit = limits.of(check);
        let gap = Length::new::<meter>(pair.least.gap_m);
        let of = Of {
            cylinder: &self.cylinder,
            motions: &setting.motions,
            parts: &setting.parts,
            dips: &pair.dips,
            gap_m: pair.least.gap_m,
            crank_deg: steady_deg(setting, pair),
        };
        let changes = changes_m(&of, &setting.nudges);
        let variance: f64 = changes.iter().map(Change::variance_m2).sum();
        let chances = Chances::new(&of, &changes);
        let weakest = changes.iter().max_by(|a, b| a.variance_m2().total_cmp(&b.variance_m2()));
        let moves = pair.valve.is_some();
        let phaser =
            [Duty::Intake, Duty::Exhaust].into_iter().filter(|duty| !setting.phase.is_installed(*duty));
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
                tolerance: Length::new::<meter>(chances.sd_m() * SDS_IN_TOLERANCE),
                place: PlaceSeen::new(pair.least.point_m.to_array(), surface(&pair.least)),
                lift: moves.then(|| Length::new::<meter>(pair.least.lifts_m[0])),
                crank: Some(CrankAngle::from_degrees(pair.least.crank_deg)),
                phaser: phaser.map(|duty| (duty, setting.phase.of(duty))).collect(),
                first_contact: None,
                chance_of_hitting: chances.under(0.0, n_samples),
                chance_under_limit: chances.under(limit.least.value, n_samples),
                weakest: weakest.filter(|_| variance > 0.0).map(|change| Weakest {
                    path: change.path.clone(),
                    basis: change.basis,
                    share: change.variance_m2() / variance,
                }),
            }),
            limit: limit.least,
            limit_source: limit.source,
        })
    }

    /// Head face, crank and valves as they move with the phasers as installed, for whoever wants to look further.
    pub fn parts(&self) -> &MovingParts<Lift> {
        &self.settings[0].parts
    }
}

/// Whether a pair has to be looked at with the phasers at a place. A valve's gap to the piston does not know the other
/// lobe, valves of one duty move together, and the piston knows no phaser.
fn is_moved(pair: Pair, phase: Phase, cylinder: &Cylinder) -> bool {
    let duty = |idx: usize| cylinder.head.valves[idx].duty;
    let others_installed = |of: Duty| {
        [Duty::Intake, Duty::Exhaust].into_iter().all(|duty| duty == of || phase.is_installed(duty))
    };
    match pair {
        Pair::ValveToPiston(idx, _) => others_installed(duty(idx)),
        Pair::ValveToValve(one, two) if duty(one) != duty(two) => true,
        _ => phase == Phase::installed(),
    }
}

/// The crank angle at which a pair's gap is compared. A rim is least clear of its pocket's wall just where it enters,
/// and a little off it has not entered yet; where it is deepest it is in the pocket for certain.
fn steady_deg(setting: &Setting, pair: &Solved) -> f64 {
    let deepest = || pair.valve.and_then(|idx| setting.deepest_deg[idx]);
    match pair.check {
        Check::PocketRadial => deepest().unwrap_or(pair.least.crank_deg),
        _ => pair.least.crank_deg,
    }
}

fn cures(check: Check, gap: Length, limit: Length, gasket: Length) -> Vec<Cure> {
    let short = limit - gap;
    if short.value <= 0.0 {
        return Vec::new();
    }
    match check {
        Check::IntakeToPiston | Check::ExhaustToPiston => vec![Cure::PocketDeeperBy(short)],
        Check::PistonToHead | Check::PistonEdge => vec![Cure::GasketNoThinnerThan(gasket + short)],
        Check::PocketRadial => vec![Cure::PocketLargerBy(short * 2.0)],
        _ => Vec::new(),
    }
}
