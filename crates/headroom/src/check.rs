//! Does one build clear? Every check at every cylinder, the worst of each first.

use parts::gear::Gear;
use parts::limit::Check;
use parts::{Build, Cylinder, Duty, Valve};
use units::Length;

use crate::assumed::{Assumed, assumed};
use crate::clearance::Clearance;
use crate::contact::{Explained, with_contacts};
use crate::finding::{Finding, Status};
use crate::gasket_cover;
use crate::motions::Motions;
use crate::moving::Moving;
use crate::running_quench::{RunningQuench, running_quench};
use crate::spring_room::{Room, room};

/// How thoroughly to look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CheckOptions {
    /// Tolerance samples for each chance that is neither certain nor impossible.
    pub n_samples: u32,
}

impl Default for CheckOptions {
    /// 1024 samples: evenly spread, they settle a chance to about one in a hundred.
    fn default() -> Self {
        Self { n_samples: 1024 }
    }
}

/// The answer for one build.
#[derive(Clone, Debug)]
pub struct CheckAnswer {
    /// The build's name.
    pub name: String,
    /// Worst first: by status, then by how far short of the limit.
    pub findings: Vec<Finding>,
    /// Readings that nobody gave.
    pub assumed: Vec<Assumed>,
    /// What measured first contacts say about where valves sit.
    pub contacts: Vec<Explained>,
    /// What there is to say about the fits of lobes and about crowns.
    pub notes: Vec<String>,
    /// The gap between crown and head at speed.
    pub running_quench: RunningQuench,
}

impl CheckAnswer {
    /// The worst status among the findings; clear when there are none.
    pub fn status(&self) -> Status {
        self.findings.iter().map(|finding| finding.status).max().unwrap_or(Status::Clear)
    }

    /// The findings with that status.
    pub fn with_status(&self, status: Status) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(move |finding| finding.status == status)
    }
}

/// Runs every check on every cylinder.
pub fn check(build: &Build, options: &CheckOptions) -> CheckAnswer {
    check_watched(build, options, &mut |_| true).expect("nobody stops it")
}

/// The same, telling `go_on` between checks what share of them is done, from 0 to 1; `None` when that returns false.
pub fn check_watched(
    build: &Build,
    options: &CheckOptions,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Option<CheckAnswer> {
    let (build, contacts) = &with_contacts(build);
    let groups = alike(build);
    let (moving, notes) = moving(build, &groups);
    let mut findings = Vec::new();
    for (idx, kind) in Check::ALL.into_iter().enumerate() {
        if !go_on(idx as f64 / Check::ALL.len() as f64) {
            return None;
        }
        match kind {
            Check::ValveToBlock | Check::ValveToGasket | Check::ValveToChamber => {
                for valve in &build.cylinders[0].head.valves {
                    findings.push(valve_finding(kind, &valve.name, build, &groups, options));
                }
            }
            Check::IntakeToPiston
            | Check::ExhaustToPiston
            | Check::PocketRadial
            | Check::ValveToValve
            | Check::PistonToHead
            | Check::PistonEdge => {
                findings.extend(moving_findings(kind, build, &groups, &moving, options));
            }
            Check::RetainerToSeal | Check::CoilBind | Check::RockerSlot | Check::PushrodHole => {
                findings.extend(room_findings(kind, build, &groups));
            }
            Check::GasketOverBore | Check::GasketOverChamber => {
                findings.push(gasket_finding(kind, build, &groups));
            }
        }
    }
    findings.sort_by(|a, b| {
        let short = |finding: &Finding| finding.gap().map_or(0.0, |gap| (gap - finding.limit).value);
        b.status.cmp(&a.status).then(short(a).total_cmp(&short(b)))
    });
    let (name, assumed) = (build.name.clone(), assumed(build));
    Some(CheckAnswer {
        name,
        findings,
        assumed,
        contacts: contacts.clone(),
        notes,
        running_quench: running_quench(build),
    })
}

/// Every group through two turns of the crank, and what there is to say about cams and crowns.
fn moving(build: &Build, groups: &[Vec<usize>]) -> (Vec<Option<Moving>>, Vec<String>) {
    let mut fitted: Vec<(&Gear, Motions)> = Vec::new();
    let mut notes: Vec<String> = Vec::new();
    let mut note = |text: String| {
        if !notes.contains(&text) {
            notes.push(text);
        }
    };
    let mut solved = Vec::new();
    for group in groups {
        let cylinder = &build.cylinders[group[0]];
        let known = fitted.iter().position(|(gear, _)| **gear == cylinder.gear);
        let at = known.unwrap_or_else(|| {
            fitted.push((&cylinder.gear, Motions::new(&cylinder.gear)));
            fitted.len() - 1
        });
        let motions = &fitted[at].1;
        motions.notes.iter().cloned().for_each(&mut note);
        if !cylinder.gear.is_empty() {
            let failed = [Duty::Intake, Duty::Exhaust].map(|duty| motions.of(duty).err().map(str::to_owned));
            failed.into_iter().flatten().for_each(&mut note);
            if cylinder.piston.dome.is_none() && cylinder.piston.crown_volume.value.value < -DOMED_M3 {
                note("the crown is domed by its volume, but valves to piston are reckoned from its flat: give [piston.dome], or measure the drop from the seated valve to the piston".to_owned());
            }
        }
        match Moving::new(cylinder, motions) {
            Ok(moving) => solved.push(Some(moving)),
            Err(reason) => {
                note(format!("crank and piston: {reason}"));
                solved.push(None);
            }
        }
    }
    (solved, notes)
}

/// A crown that takes away more than this, in cubic metres, has a dome that a flat does not stand for.
const DOMED_M3: f64 = 1e-6;

fn moving_findings(
    kind: Check,
    build: &Build,
    groups: &[Vec<usize>],
    moving: &[Option<Moving>],
    options: &CheckOptions,
) -> Vec<Finding> {
    let Some(first) = moving.iter().flatten().next() else { return Vec::new() };
    let asked: Vec<Option<String>> = first
        .gaps()
        .filter(|(check, ..)| *check == kind)
        .map(|(_, valve, _)| valve.map(str::to_owned))
        .collect();
    if asked.is_empty() && kind == Check::PistonEdge {
        return vec![Finding::unmeasured(kind, None, build.limits.of(kind), "head.chamber_diameter")];
    }
    if asked.is_empty() && matches!(kind, Check::IntakeToPiston | Check::ExhaustToPiston) {
        let (duty, needed) = match kind {
            Check::IntakeToPiston => (Duty::Intake, "cam.intake"),
            _ => (Duty::Exhaust, "cam.exhaust"),
        };
        let valve = build.cylinders[0].head.valves.iter().find(|valve| valve.duty == duty);
        let unknown = |valve: &Valve| {
            Finding::unmeasured(kind, Some(valve.name.clone()), build.limits.of(kind), needed)
        };
        return valve.map(unknown).into_iter().collect();
    }
    asked
        .iter()
        .filter_map(|valve| {
            let gap_of = |moving: &Moving| {
                let mut gaps = moving.gaps();
                gaps.find(|(check, name, _)| *check == kind && *name == valve.as_deref()).map(|found| found.2)
            };
            let seen: Vec<(usize, Length)> = moving
                .iter()
                .enumerate()
                .filter_map(|(idx, moving)| Some((idx, gap_of(moving.as_ref()?)?)))
                .collect();
            let (worst, others) = worst_first(seen, |gap| *gap);
            let moving = moving[worst.0].as_ref()?;
            let mut finding = moving.finding(kind, valve.as_deref(), &build.limits, options.n_samples)?;
            finding.cylinders = numbers(build, &groups[worst.0]);
            finding.others =
                same_gap_together(others.into_iter().map(|(idx, gap)| (numbers(build, &groups[idx]), gap)));
            Some(finding)
        })
        .collect()
}

/// Room for springs, rockers and pushrods: one valve of each duty stands for all that share its gear.
fn room_findings(kind: Check, build: &Build, groups: &[Vec<usize>]) -> Vec<Finding> {
    [Duty::Intake, Duty::Exhaust]
        .into_iter()
        .filter_map(|duty| {
            let of_duty = |idx: usize| {
                build.cylinders[groups[idx][0]].head.valves.iter().find(|valve| valve.duty == duty)
            };
            let seen: Vec<(usize, Room)> = (0..groups.len())
                .filter_map(|idx| Some((idx, room(kind, &build.cylinders[groups[idx][0]], of_duty(idx)?)?)))
                .collect();
            if seen.is_empty() {
                return None;
            }
            let (worst, others) = worst_first(seen, |room| room.gap);
            let mut finding =
                worst.1.finding(kind, &build.cylinders[groups[worst.0][0]], of_duty(worst.0)?, &build.limits);
            finding.cylinders = numbers(build, &groups[worst.0]);
            let others = others.into_iter().map(|(idx, room)| (numbers(build, &groups[idx]), room.gap));
            finding.others = same_gap_together(others);
            Some(finding)
        })
        .collect()
}

/// Cylinders that are the same but for their number, as positions in the build.
fn alike(build: &Build) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (idx, cylinder) in build.cylinders.iter().enumerate() {
        let same = |other: &Cylinder| Cylinder { number: other.number, ..cylinder.clone() } == *other;
        match groups.iter_mut().find(|group| same(&build.cylinders[group[0]])) {
            Some(group) => group.push(idx),
            None => groups.push(vec![idx]),
        }
    }
    groups
}

fn numbers(build: &Build, group: &[usize]) -> Vec<usize> {
    group.iter().map(|idx| build.cylinders[*idx].number).collect()
}

fn valve_finding(
    kind: Check,
    valve_name: &str,
    build: &Build,
    groups: &[Vec<usize>],
    options: &CheckOptions,
) -> Finding {
    if !is_measured(kind, &build.cylinders[0]) {
        let needed = "head.chamber_diameter";
        return Finding::unmeasured(kind, Some(valve_name.to_owned()), build.limits.of(kind), needed);
    }
    let seen: Vec<(usize, Clearance)> = groups
        .iter()
        .enumerate()
        .filter_map(|(group_idx, group)| {
            let cylinder = &build.cylinders[group[0]];
            Some((group_idx, Clearance::new(kind, cylinder, cylinder.valve(valve_name)?)?))
        })
        .collect();
    let (worst, others) = worst_first(seen, |clearance| clearance.gap());
    let cylinder = &build.cylinders[groups[worst.0][0]];
    let valve = cylinder.valve(valve_name).expect("the clearance was made from this valve");
    let mut finding = worst.1.finding(&build.limits, valve, options.n_samples);
    finding.cylinders = numbers(build, &groups[worst.0]);
    let others = others.into_iter().map(|(idx, other)| (numbers(build, &groups[idx]), other.gap()));
    finding.others = same_gap_together(others);
    finding
}

fn gasket_finding(kind: Check, build: &Build, groups: &[Vec<usize>]) -> Finding {
    if !is_measured(kind, &build.cylinders[0]) {
        let chamber_known = !fit::gasket_edge::is_assumed(&build.cylinders[0].head.chamber);
        let over_bore = kind == Check::GasketOverBore;
        let needed = if over_bore || chamber_known { "gasket.opening" } else { "head.chamber_diameter" };
        return Finding::unmeasured(kind, None, build.limits.of(kind), needed);
    }
    let seen: Vec<(usize, Length)> = groups
        .iter()
        .enumerate()
        .map(|(group_idx, group)| {
            let margin = gasket_cover::margin(kind, &build.cylinders[group[0]]);
            (group_idx, Length::new::<units::length::meter>(margin.distance_m))
        })
        .collect();
    let (worst, others) = worst_first(seen, |gap| *gap);
    let mut finding = gasket_cover::finding(kind, &build.cylinders[groups[worst.0][0]], &build.limits);
    finding.cylinders = numbers(build, &groups[worst.0]);
    let others = others.into_iter().map(|(idx, gap)| (numbers(build, &groups[idx]), gap));
    finding.others = same_gap_together(others);
    finding
}

/// Mirrored cylinders have the same gap on the other side; they are told together.
fn same_gap_together(others: impl Iterator<Item = (Vec<usize>, Length)>) -> Vec<(Vec<usize>, Length)> {
    const SAME_M: f64 = 1e-7;
    let mut together: Vec<(Vec<usize>, Length)> = Vec::new();
    for (numbers, gap) in others {
        match together.iter_mut().find(|(_, known)| (*known - gap).value.abs() < SAME_M) {
            Some((known, _)) => known.extend(numbers),
            None => together.push((numbers, gap)),
        }
    }
    together.iter_mut().for_each(|(numbers, _)| numbers.sort_unstable());
    together
}

/// Groups with the least gap first; the first of them apart.
fn worst_first<T>(mut seen: Vec<(usize, T)>, gap: impl Fn(&T) -> Length) -> ((usize, T), Vec<(usize, T)>) {
    seen.sort_by(|a, b| gap(&a.1).value.total_cmp(&gap(&b.1).value));
    let mut ordered = seen.into_iter();
    let worst = ordered.next().expect("a build has at least one cylinder, and each has every valve");
    (worst, ordered.collect())
}

/// Whether the check says anything: an outline that nobody traced is no outline to measure against.
fn is_measured(kind: Check, cylinder: &Cylinder) -> bool {
    let chamber = !fit::gasket_edge::is_assumed(&cylinder.head.chamber);
    let opening = !fit::gasket_edge::is_assumed(&cylinder.gasket.opening);
    match kind {
        Check::ValveToChamber => chamber,
        Check::GasketOverChamber => chamber && opening,
        Check::GasketOverBore => opening,
        _ => true,
    }
}
