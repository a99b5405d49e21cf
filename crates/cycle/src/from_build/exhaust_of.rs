//! The exhaust side as pipes and volumes: ports, primaries, where they meet, silencers, tail pipes.
//!
//! Every layout is one tree: the primaries of a group meet, the groups of a system meet by secondaries, the system goes
//! out through collector, silencer and tail pipe.

use parts::running::{Exhaust, ExhaustLayout};
use parts::{Build, Duty};
use units::Quantity;

use super::pipe_of::{Made, Network, Run, meeting_m3, partners, port_run};
use super::{FromBuildError, si};
use crate::model::{End, Loss, Side};

/// Heat that a manifold or silencer loses by its walls, W/(m2 K) (common practice, no source).
const SHELL_W_PER_M2_K: f64 = 50.0;
/// A collector and a tail pipe are cooler than the primaries by this, K (common practice, no source).
const COLLECTOR_COOLER_K: f64 = 150.0;
const TAIL_COOLER_K: f64 = 300.0;
const COOLEST_K: f64 = 350.0;
/// Share of a siamesed port that both cylinders use (common practice, no source).
const SHARED: f64 = 0.6;
/// Into a pipe out of a silencer or manifold: a sharp edge (I. E. Idelchik, "Handbook of Hydraulic Resistance", section
/// 3; from memory).
const SHARP: f64 = 0.5;

/// An open end that is waiting for what it leads to.
enum Arm {
    /// A primary whose far end is open.
    Primary(usize),
    /// The meeting of a group's primaries.
    Meeting(usize),
}

/// Joins the exhaust side to a source.
pub(super) fn join(network: &mut Network, build: &Build, source: usize) -> Result<(), FromBuildError> {
    let exhaust = &build.running.exhaust;
    let port = &build.running.ports.exhaust;
    let n_cylinders = build.cylinders.len();
    let partner = partners(&port.siamesed, n_cylinders, "port.exhaust.siamesed")?;
    let systems = systems_of(build)?;
    let mut meetings = Vec::new();
    for groups in &systems {
        let mut arms = Vec::new();
        for group in groups {
            arms.push(group_arm(network, build, group, &partner, n_groups_cylinders(groups)));
        }
        let arm = if arms.len() > 1 {
            Arm::Meeting(second_meeting(network, exhaust, arms))
        } else {
            match arms.pop() {
                Some(arm) => arm,
                None => continue,
            }
        };
        if let Arm::Meeting(volume) = arm {
            meetings.push(volume);
        }
        outlet(network, exhaust, arm, source);
    }
    crossover(network, exhaust, &meetings);
    Ok(())
}

fn n_groups_cylinders(groups: &[Vec<usize>]) -> usize {
    groups.iter().map(Vec::len).sum()
}

/// Systems, in each its groups, in each the positions of its cylinders.
fn systems_of(build: &Build) -> Result<Vec<Vec<Vec<usize>>>, FromBuildError> {
    let exhaust = &build.running.exhaust;
    let n_cylinders = build.cylinders.len();
    let n_systems = exhaust.systems.unwrap_or(1).clamp(1, n_cylinders);
    let banks = build.engine.banks.max(1);
    let row = n_cylinders.div_ceil(banks);
    // Cylinders of a system are neighbours: a row, or a stretch of one.
    let system_of = |at: usize| {
        if n_systems == banks { (at / row).min(n_systems - 1) } else { at * n_systems / n_cylinders }
    };
    let mut systems: Vec<Vec<usize>> = vec![Vec::new(); n_systems];
    (0..n_cylinders).for_each(|at| systems[system_of(at)].push(at));
    if let Some(groups) = &exhaust.groups {
        return by_given_groups(groups, &systems, n_cylinders);
    }
    let grouped = systems.into_iter().filter(|system| !system.is_empty()).map(|system| {
        match exhaust.layout {
            Some(ExhaustLayout::Pairs) => opposite_pairs(build, &system),
            // A log for each row.
            Some(ExhaustLayout::Log) | None => {
                let mut rows: Vec<Vec<usize>> = vec![Vec::new(); banks];
                system.iter().for_each(|&at| rows[(at / row).min(banks - 1)].push(at));
                rows.retain(|row| !row.is_empty());
                rows
            }
            Some(ExhaustLayout::Collector | ExhaustLayout::Separate) => vec![system],
        }
    });
    Ok(grouped.collect())
}

/// Groups as given, each in the system of its first cylinder.
fn by_given_groups(
    groups: &[Vec<usize>],
    systems: &[Vec<usize>],
    n_cylinders: usize,
) -> Result<Vec<Vec<Vec<usize>>>, FromBuildError> {
    let mut seen = vec![0; n_cylinders];
    for &number in groups.iter().flatten() {
        if let Some(count) = number.checked_sub(1).and_then(|at| seen.get_mut(at)) {
            *count += 1;
        }
    }
    let named: usize = groups.iter().map(Vec::len).sum();
    if named != n_cylinders || seen.iter().any(|&count| count != 1) || groups.iter().any(Vec::is_empty) {
        let found = groups
            .iter()
            .map(|group| group.iter().map(usize::to_string).collect::<Vec<_>>().join("-"))
            .collect::<Vec<_>>()
            .join(", ");
        return Err(FromBuildError::Grouping {
            place: "exhaust.groups",
            found,
            expected: "every cylinder in one group",
        });
    }
    let mut by_system: Vec<Vec<Vec<usize>>> = vec![Vec::new(); systems.len()];
    for group in groups {
        let at: Vec<usize> = group.iter().map(|number| number - 1).collect();
        let system = systems.iter().position(|system| system.contains(&at[0])).unwrap_or(0);
        by_system[system].push(at);
    }
    by_system.retain(|groups| !groups.is_empty());
    Ok(by_system)
}

/// Pairs of a system that fire farthest apart: the first to fire with the one half the system's sequence later.
fn opposite_pairs(build: &Build, system: &[usize]) -> Vec<Vec<usize>> {
    let order = build.running.firing.order.clone().unwrap_or_default();
    let place = |at: usize| order.iter().position(|&number| number == at + 1).unwrap_or(at);
    let mut sequence = system.to_vec();
    sequence.sort_by_key(|&at| place(at));
    let half = sequence.len().div_ceil(2);
    (0..half).map(|i| sequence.iter().skip(i).step_by(half).copied().collect()).collect()
}

/// The primaries of a group, and where they meet.
fn group_arm(
    network: &mut Network,
    build: &Build,
    group: &[usize],
    partner: &[Option<usize>],
    n_in_system: usize,
) -> Arm {
    let exhaust = &build.running.exhaust;
    let log = exhaust.layout == Some(ExhaustLayout::Log);
    let siamesed = |at: usize| partner[at].filter(|other| group.contains(other));
    let n_primaries = group.iter().filter(|&&at| siamesed(at).is_none_or(|other| at < other)).count();
    let wall_k = si(exhaust.wall_temperature, 800.0);
    let alone = n_primaries == 1 && !log && n_in_system == group.len();
    let meeting = (!alone).then(|| {
        let volume_m3 = if log {
            si(exhaust.log_volume, 1e-3)
        } else {
            let end_m = si(exhaust.primary_end_diameter, 0.04);
            meeting_m3(end_m * (n_primaries as f64).sqrt())
        };
        network.volume(Side::Exhaust, volume_m3, wall_k, if log { SHELL_W_PER_M2_K } else { 0.0 })
    });
    let far = meeting.map_or(End::Closed, |volume| End::Volume(volume, Loss::NONE));
    let port = &build.running.ports.exhaust;
    let mut last = 0;
    for &at in group {
        let n_valves = build.cylinders[at].head.valves.iter().filter(|v| v.duty == Duty::Exhaust).count();
        match siamesed(at) {
            None => {
                let run =
                    primary(port_run(Run::default(), port, n_valves, 0.0, 1.0).turned(), exhaust, wall_k);
                network.pipe(Side::Exhaust, End::Valves(at, Side::Exhaust), far, run);
            }
            Some(other) if other < at => continue,
            Some(other) => {
                let joined_m3 = meeting_m3(si(port.entry_diameter, 0.03));
                let port_k = si(port.wall_temperature, 550.0);
                let joined = network.volume(Side::Exhaust, joined_m3, port_k, 0.0);
                for of in [at, other] {
                    let stub = port_run(Run::default(), port, n_valves, SHARED, 1.0).turned();
                    let into = End::Volume(joined, Loss::NONE);
                    network.pipe(Side::Exhaust, End::Valves(of, Side::Exhaust), into, stub);
                }
                let shared = port_run(Run::default(), port, n_valves, 0.0, SHARED).turned();
                let run = primary(shared, exhaust, wall_k);
                network.pipe(Side::Exhaust, End::Volume(joined, Loss { into: 0.2, ..Loss::NONE }), far, run);
            }
        }
        last = network.pipes.len() - 1;
    }
    meeting.map_or(Arm::Primary(last), Arm::Meeting)
}

fn primary(after: Run, exhaust: &Exhaust, wall_k: f64) -> Run {
    let (from_m, to_m) = (si(exhaust.primary_diameter, 0.04), si(exhaust.primary_end_diameter, 0.04));
    after.then(si(exhaust.primary_length, 0.5), from_m, to_m, wall_k, Made::Pipe)
}

/// Secondaries of all groups, into a second meeting.
fn second_meeting(network: &mut Network, exhaust: &Exhaust, arms: Vec<Arm>) -> usize {
    let wall_k = cooler(exhaust, 0.5 * COLLECTOR_COOLER_K);
    let diameter_m = si(exhaust.secondary_diameter, 0.045);
    let meeting_m = diameter_m * (arms.len() as f64).sqrt();
    let second = network.volume(Side::Exhaust, meeting_m3(meeting_m), wall_k, 0.0);
    for arm in arms {
        match arm {
            Arm::Meeting(first) => {
                let length_m = si(exhaust.secondary_length, 0.4);
                let run = Run::default().then(length_m, diameter_m, diameter_m, wall_k, Made::Pipe);
                let left = End::Volume(first, entry(exhaust));
                network.pipe(Side::Exhaust, left, End::Volume(second, Loss::NONE), run);
            }
            Arm::Primary(pipe) => network.pipes[pipe].right = End::Volume(second, Loss::NONE),
        }
    }
    second
}

/// Into the pipe after a meeting: a merging collector guides the gas, a log does not.
fn entry(exhaust: &Exhaust) -> Loss {
    let into = if exhaust.layout == Some(ExhaustLayout::Log) { SHARP } else { 0.1 };
    Loss { into, ..Loss::NONE }
}

/// From the last meeting, or from a lone primary, to the open air.
fn outlet(network: &mut Network, exhaust: &Exhaust, arm: Arm, source: usize) {
    let open_air = End::Source(source, Loss::NONE);
    let silencer = (exhaust.silenced == Some(true)).then(|| {
        let wall_k = cooler(exhaust, TAIL_COOLER_K);
        network.volume(Side::Exhaust, si(exhaust.silencer_volume, 5e-3), wall_k, SHELL_W_PER_M2_K)
    });
    let next = silencer.map_or(open_air, |volume| End::Volume(volume, Loss::NONE));
    match arm {
        Arm::Primary(pipe) => network.pipes[pipe].right = next,
        Arm::Meeting(meeting) => {
            let (length_m, diameter_m) =
                (si(exhaust.collector_length, 0.9), si(exhaust.collector_diameter, 0.05));
            let wall_k = cooler(exhaust, COLLECTOR_COOLER_K);
            let run = Run::default().then(length_m, diameter_m, diameter_m, wall_k, Made::Pipe);
            network.pipe(Side::Exhaust, End::Volume(meeting, entry(exhaust)), next, run);
        }
    }
    if let Some(silencer) = silencer {
        let tail_m = si(exhaust.tail_diameter, 0.046);
        let outlet = (si(exhaust.silencer_outlet, tail_m) / tail_m).powi(2).min(1.0);
        let wall_k = cooler(exhaust, TAIL_COOLER_K);
        let run = Run::default().then(si(exhaust.tail_length, 1.2), tail_m, tail_m, wall_k, Made::Pipe);
        let left = End::Volume(silencer, Loss { into: SHARP, out: 0.0, open: outlet });
        network.pipe(Side::Exhaust, left, open_air, run);
    }
}

/// A pipe between the first two systems.
fn crossover(network: &mut Network, exhaust: &Exhaust, meetings: &[usize]) {
    let (Some(diameter), [first, second, ..]) = (exhaust.crossover_diameter, meetings) else { return };
    let diameter_m = diameter.value.si();
    let wall_k = cooler(exhaust, COLLECTOR_COOLER_K);
    let length_m = si(exhaust.crossover_length, 0.4);
    let run = Run::default().then(length_m, diameter_m, diameter_m, wall_k, Made::Pipe);
    let sharp = Loss { into: SHARP, ..Loss::NONE };
    network.pipe(Side::Exhaust, End::Volume(*first, sharp), End::Volume(*second, sharp), run);
}

fn cooler(exhaust: &Exhaust, by_k: f64) -> f64 {
    (si(exhaust.wall_temperature, 800.0) - by_k).max(COOLEST_K)
}
