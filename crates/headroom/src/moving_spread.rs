//! How far each reading may move a least gap. Leaves out the nominal gap, and the chances, which are `moving_chance.rs`.

use std::cell::OnceCell;

use fit::two_turns::{MovingParts, Pair};
use fit::two_turns_scan::Dips;
use parts::readings::Visit;
use parts::{Cylinder, Duty};
use units::Basis;
use units::reading::SDS_IN_TOLERANCE;

use crate::motions::Motions;
use crate::moving_parts::{Lift, moving_parts, pair_gap_m, pair_least_m};

/// A pair's least gap in one cylinder.
pub struct Of<'a> {
    /// The cylinder.
    pub cylinder: &'a Cylinder,
    /// Its motions, phasers where the gap is least.
    pub motions: &'a Motions,
    /// What moves in it.
    pub parts: &'a MovingParts<Lift>,
    /// The pair and where it comes close.
    pub dips: &'a Dips,
    /// Its least nominal gap, in metres.
    pub gap_m: f64,
    /// Where gaps of it are compared, in crank degrees.
    pub crank_deg: f64,
}

impl Of<'_> {
    /// The pair's gap in a cylinder where gaps are compared, in metres; the least one near the known dips where there is none at
    /// that angle, as with a margin that has not reached into its pocket there.
    pub(crate) fn compared_m(&self, parts: &MovingParts<Lift>, cylinder: &Cylinder) -> f64 {
        let steady = pair_gap_m(parts, cylinder, self.dips.pair, self.crank_deg);
        if steady.is_finite() { steady } else { pair_least_m(parts, cylinder, self.dips) }
    }
}

/// A cylinder with each reading off by one standard deviation either way, made once for all pairs.
#[derive(Default)]
pub struct Nudges {
    nudges: OnceCell<Vec<Nudge>>,
}

/// What one standard deviation of a reading does to a gap.
pub struct Change {
    /// Path of the reading below the cylinder.
    pub path: String,
    /// Where it comes from.
    pub basis: Basis,
    /// Its standard deviation in SI.
    pub sd: f64,
    /// What that does to the gap, in metres: half the difference of up and down.
    pub by_m: f64,
    /// What both ways take together, in metres: up and down less twice the nominal gap. A valve that leans from its pocket
    /// either way only ever loses.
    pub bend_m: f64,
}

impl Change {
    /// Variance it gives to the gap, in square metres: of `by z + bend z^2 / 2` for a standard normal z.
    pub fn variance_m2(&self) -> f64 {
        self.by_m * self.by_m + 0.5 * self.bend_m * self.bend_m
    }
}

/// A gap that changes by less than this, in metres, with a whole standard deviation does not depend on that reading.
const IDLE_M: f64 = 1e-10;

/// A cylinder with one reading off; `None` where it then cannot turn.
struct Nudge {
    path: String,
    basis: Basis,
    sd: f64,
    up: Option<(Cylinder, MovingParts<Lift>)>,
    down: Option<(Cylinder, MovingParts<Lift>)>,
}

/// What one standard deviation of each reading does to a pair's least gap. A minimum does not move by moving its crank
/// angle, so the gap at the nominal angle tells.
pub fn changes_m(of: &Of, nudges: &Nudges) -> Vec<Change> {
    let nominal = of.compared_m(of.parts, of.cylinder);
    // A cylinder that cannot turn, or a margin that no longer reaches into its pocket at all, has no gap to compare.
    let gap = |nudged: &Option<(Cylinder, MovingParts<Lift>)>| {
        let found = nudged.as_ref().map(|(cylinder, parts)| of.compared_m(parts, cylinder));
        found.filter(|gap_m| gap_m.is_finite()).unwrap_or(nominal)
    };
    let changes = nudges.of(of).iter().filter(|nudge| concerns(of, &nudge.path)).map(|nudge| {
        let (up, down) = (gap(&nudge.up), gap(&nudge.down));
        let (by_m, bend_m) = (0.5 * (up - down), up + down - 2.0 * nominal);
        Change { path: nudge.path.clone(), basis: nudge.basis, sd: nudge.sd, by_m, bend_m }
    });
    changes.filter(|change| change.by_m.abs() > IDLE_M || change.bend_m.abs() > IDLE_M).collect()
}

impl Nudges {
    fn of(&self, of: &Of) -> &[Nudge] {
        self.nudges.get_or_init(|| {
            let mut readings = Vec::new();
            of.cylinder.clone().visit("", &mut |path, reading| {
                if reading.tolerance_si > 0.0 && may_move(path) {
                    readings.push((path.to_owned(), reading.basis, reading.tolerance_si / SDS_IN_TOLERANCE));
                }
            });
            let off = |path: &str, by: f64| {
                let (cylinder, motions) = off_by(of, &[(path, by)]);
                moving_parts(&cylinder, &motions).ok().map(|parts| (cylinder, parts))
            };
            let nudge = |(path, basis, sd): (String, Basis, f64)| {
                let (up, down) = (off(&path, sd), off(&path, -sd));
                Nudge { path, basis, sd, up, down }
            };
            readings.into_iter().map(nudge).collect()
        })
    }
}

/// Readings that can move any of the pairs.
fn may_move(path: &str) -> bool {
    const IDLE: [&str; 13] = [
        "volume",
        "chamfer",
        "mass",
        "spring.",
        "opening",
        "top_land",
        "slot",
        "block.relief",
        "block.wall",
        "block.hole",
        "crown_thickness",
        "groove",
        "growth",
    ];
    !IDLE.iter().any(|part| path.contains(part))
}

/// Whether a reading can move this pair at all: not another valve, its pocket or its lobe.
fn concerns(of: &Of, path: &str) -> bool {
    let valves = &of.cylinder.head.valves;
    let of_pair = match of.dips.pair {
        Pair::ValveToPiston(idx, _) => [Some(idx), None],
        Pair::ValveToValve(one, two) => [Some(one), Some(two)],
        Pair::PistonToHead | Pair::PistonEdge => [None, None],
    };
    let mut known = of_pair.into_iter().flatten().map(|idx| &valves[idx]);
    let named = |rest: &str| rest.split('.').next().unwrap_or(rest).to_owned();
    if let Some(rest) =
        ["head.valve.", "piston.pocket.", "piston.drop."].iter().find_map(|part| path.strip_prefix(part))
    {
        let name = named(rest);
        return known.any(|valve| valve.name == name);
    }
    if let Some(rest) = ["cam.", "train."].iter().find_map(|part| path.strip_prefix(part)) {
        let duty = if named(rest) == "intake" { Duty::Intake } else { Duty::Exhaust };
        return known.any(|valve| valve.duty == duty);
    }
    true
}

/// The cylinder and its motions with readings off by so much, by their paths.
pub(crate) fn off_by(of: &Of, moved: &[(&str, f64)]) -> (Cylinder, Motions) {
    let mut cylinder = of.cylinder.clone();
    cylinder.visit("", &mut |path, reading| {
        if let Some((_, by)) = moved.iter().find(|(known, _)| *known == path) {
            *reading.value_si += by;
        }
    });
    let mut motions = of.motions.clone();
    for (path, by) in moved.iter().filter(|(path, _)| path.starts_with("cam.") || path.starts_with("train."))
    {
        motions = motions.off_by(of.cylinder, path, *by);
    }
    (cylinder, motions)
}
