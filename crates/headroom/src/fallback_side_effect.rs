//! Which other checks a change newly brings under their limits. Leaves out springs and tolerances: a way that
//! was chosen is put into the sheet and checked whole.

use fit::gasket_edge::is_assumed;
use parts::limit::Check;
use parts::{Build, Cylinder};
use units::Length;

use crate::clearance::Clearance;
use crate::gasket_cover;
use crate::moving::Moving;

/// Checks at or over their limits before, and under them after, cylinder by cylinder; each told once.
pub fn newly_short(before: &Build, after: &Build) -> Vec<(Check, Option<String>)> {
    let mut found = Vec::new();
    for (old, new) in before.cylinders.iter().zip(&after.cylinders) {
        for ((check, valve, gap_before), (.., gap_after)) in gaps_m(old).into_iter().zip(gaps_m(new)) {
            let least = before.limits.of(check).least.value;
            let known = (check, valve);
            if gap_after < least - ROUNDING_M && gap_before >= least && !found.contains(&known) {
                found.push(known);
            }
        }
    }
    found
}

/// The same of everything that moves over one piston.
pub fn newly_short_moving(build: &Build, before: &Moving, after: &Moving) -> Vec<(Check, Option<String>)> {
    let known: Vec<_> = before.gaps().collect();
    let newly = |(check, valve, gap): (Check, Option<&str>, Length)| {
        let least = build.limits.of(check).least.value;
        let was_enough =
            known.iter().any(|(kind, name, old)| *kind == check && *name == valve && old.value >= least);
        (gap.value < least - ROUNDING_M && was_enough).then(|| (check, valve.map(str::to_owned)))
    };
    after.gaps().filter_map(newly).collect()
}

/// Gaps this little under their limits are on them, in metres.
const ROUNDING_M: f64 = 5e-6;

/// Every gap that does not ask where the crank stands.
pub(crate) fn gaps_m(cylinder: &Cylinder) -> Vec<(Check, Option<String>, f64)> {
    let (head, gasket) = (&cylinder.head, &cylinder.gasket);
    let (chamber, opening) = (!is_assumed(&head.chamber), !is_assumed(&gasket.opening));
    let mut gaps = Vec::new();
    for (check, known) in
        [(Check::ValveToBlock, true), (Check::ValveToGasket, true), (Check::ValveToChamber, chamber)]
    {
        for valve in head.valves.iter().filter(|_| known) {
            if let Some(clearance) = Clearance::new(check, cylinder, valve) {
                gaps.push((check, Some(valve.name.clone()), clearance.gap().value));
            }
        }
    }
    for (check, known) in [(Check::GasketOverBore, opening), (Check::GasketOverChamber, opening && chamber)] {
        if known {
            gaps.push((check, None, gasket_cover::margin(check, cylinder).distance_m));
        }
    }
    gaps
}
