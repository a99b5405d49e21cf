//! The uncertain readings of a base and a candidate together: which of them are one reading in both, and both builds with
//! a reading moved. Leaves out what that does to torque.

use parts::Build;
use parts::readings::{Kind, ReadingMut, Visit};
use sheet::{Candidate, PartName};
use units::Basis;
use units::reading::SDS_IN_TOLERANCE;

use crate::payoff::Pair;

/// One uncertain reading of a build; a reading that several cylinders share is one.
#[derive(Clone, Debug, PartialEq)]
struct Owned {
    path: String,
    kind: Kind,
    value_si: f64,
    tolerance_si: f64,
    basis: Basis,
    /// Positions of the cylinders that have it, and whether they have it turned by a mirror; none for what is common to the engine.
    cylinders: Vec<(usize, bool)>,
}

/// One uncertain reading of the base, of the candidate, or of both at once.
#[derive(Clone, Debug, PartialEq)]
pub struct PairedReading {
    /// Its path in the sheet.
    pub path: String,
    /// The kind of quantity.
    pub kind: Kind,
    /// Where it comes from.
    pub basis: Basis,
    /// As the candidate has it, or the base where only that has it; SI.
    pub value_si: f64,
    /// 95 % half-width, SI.
    pub tolerance_si: f64,
    /// Whether moving it moves the base.
    pub in_base: bool,
    /// Whether moving it moves the candidate.
    pub in_candidate: bool,
    /// Numbers of the cylinders it belongs to; empty for all.
    pub cylinders: Vec<usize>,
    of: [Option<Owned>; 2],
}

/// Every reading with a tolerance of a pair, the base's in the order of its sheet, then what only the candidate has.
///
/// A reading of a part that both engines share is one random variable in both, and so is a reading that a changed (not
/// replaced) part kept, and what was assumed by the same rule. Readings of another piece vary by themselves.
pub fn paired_readings(pair: &Pair, candidate: &Candidate) -> Vec<PairedReading> {
    let [of_base, of_candidate] = [&pair.base, &pair.candidate].map(owned);
    let another = |path: &str| part_of(path).is_some_and(|part| candidate.is_another_piece(part));
    let common = |a: &Owned, b: &Owned| {
        let both_assumed = a.basis == Basis::Assumed && b.basis == Basis::Assumed;
        a.path == b.path
            && a.cylinders == b.cylinders
            && !another(&a.path)
            && a.basis == b.basis
            && (both_assumed || (a.tolerance_si == b.tolerance_si && a.value_si == b.value_si))
    };
    let n_cylinders = pair.base.cylinders.len();
    let numbers = |owned: &Owned| -> Vec<usize> {
        if owned.cylinders.len() == n_cylinders {
            return Vec::new();
        }
        owned.cylinders.iter().map(|(at, _)| pair.base.cylinders[*at].number).collect()
    };
    let paired = |base: Option<&Owned>, other: Option<&Owned>| -> Option<PairedReading> {
        let said = other.or(base)?;
        Some(PairedReading {
            path: said.path.clone(),
            kind: said.kind,
            basis: said.basis,
            value_si: said.value_si,
            tolerance_si: said.tolerance_si,
            in_base: base.is_some(),
            in_candidate: other.is_some(),
            cylinders: numbers(said),
            of: [base.cloned(), other.cloned()],
        })
    };
    let mut readings: Vec<PairedReading> = of_base
        .iter()
        .filter_map(|base| paired(Some(base), of_candidate.iter().find(|other| common(base, other))))
        .collect();
    let own = of_candidate.iter().filter(|other| !of_base.iter().any(|base| common(base, other)));
    readings.extend(own.filter_map(|other| paired(None, Some(other))));
    readings
}

/// Both builds with each of some readings off by so many standard deviations.
pub fn moved(pair: &Pair, readings: &[PairedReading], deviations: &[f64]) -> Pair {
    let mut moved = pair.clone();
    for (reading, deviation) in readings.iter().zip(deviations) {
        for (build, owned) in [&mut moved.base, &mut moved.candidate].into_iter().zip(&reading.of) {
            if let Some(owned) = owned {
                put(build, owned, deviation * owned.tolerance_si / SDS_IN_TOLERANCE);
            }
        }
    }
    moved
}

/// The uncertain readings of one build.
fn owned(build: &Build) -> Vec<Owned> {
    let mut found: Vec<Owned> = Vec::new();
    let mut see = |at: Option<usize>, path: &str, reading: ReadingMut| {
        if reading.tolerance_si <= 0.0 {
            return;
        }
        let value_si = *reading.value_si;
        let same = |known: &&mut Owned| {
            known.path == path
                && known.value_si.abs() == value_si.abs()
                && known.tolerance_si == reading.tolerance_si
                && known.basis == reading.basis
        };
        if let (Some(at), Some(known)) = (at, found.iter_mut().find(same)) {
            known.cylinders.push((at, known.value_si != value_si));
            return;
        }
        found.push(Owned {
            path: path.to_owned(),
            kind: reading.kind,
            value_si,
            tolerance_si: reading.tolerance_si,
            basis: reading.basis,
            cylinders: at.map(|at| (at, false)).into_iter().collect(),
        });
    };
    for (at, cylinder) in build.cylinders.iter().enumerate() {
        cylinder.clone().visit("", &mut |path, reading| see(Some(at), path, reading));
    }
    build.running.clone().visit("", &mut |path, reading| see(None, path, reading));
    found
}

/// Moves one reading wherever it stands.
fn put(build: &mut Build, owned: &Owned, by_si: f64) {
    let add = |path: &str, reading: ReadingMut, turned: bool| {
        if path == owned.path {
            *reading.value_si += if turned { -by_si } else { by_si };
        }
    };
    for (at, turned) in &owned.cylinders {
        build.cylinders[*at].visit("", &mut |path, reading| add(path, reading, *turned));
    }
    if owned.cylinders.is_empty() {
        build.running.visit("", &mut |path, reading| add(path, reading, false));
    }
}

/// The part a reading belongs to, from the head of its path.
pub(crate) fn part_of(path: &str) -> Option<PartName> {
    let head = path.split('.').next()?;
    PartName::ALL.into_iter().find(|part| part.key() == head)
}
