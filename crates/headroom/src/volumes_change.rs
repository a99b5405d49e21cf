//! What a swap does to compression, and which change is to thank or to blame. Leaves out the cc's themselves:
//! `volumes.rs`.

use parts::{Build, Cylinder};
use sheet::{Candidate, PartName};
use units::reading::SDS_IN_TOLERANCE;
use units::{Basis, Quantity, Ratio, Reading};
use volume::static_compression;

use crate::volumes::{figure, largest_first, same_volumes};
use crate::volumes_propagate::{
    Effects, ReadingEffect, central_effects, put, uncertain_readings, without_bystanders,
};
use crate::volumes_shares::shares;
pub use crate::volumes_shares::{Amount, PhysicalChange};

/// What a candidate does to the compression of its base.
#[derive(Clone, Debug, PartialEq)]
pub struct CompressionChange {
    /// Name of the base.
    pub base: String,
    /// Name of the candidate.
    pub candidate: String,
    /// Cylinders with the same change stand together, in the order of their first.
    pub groups: Vec<CylinderChange>,
    /// Cylinders that only one of the two engines has.
    pub unpaired: Vec<usize>,
}

/// What it does to one cylinder, or to several alike.
#[derive(Clone, Debug, PartialEq)]
pub struct CylinderChange {
    /// Their numbers.
    pub cylinders: Vec<usize>,
    /// Compression of the base.
    pub base: Reading<Ratio>,
    /// Compression of the candidate.
    pub candidate: Reading<Ratio>,
    /// Candidate less base. A reading that both share moves both, so this is known better than from two lone answers.
    pub difference: Reading<Ratio>,
    /// What each change brought, largest first; they add up to the difference.
    pub shares: Vec<ChangeShare>,
    /// What each uncertain reading does to the difference, largest first.
    pub effects: Vec<ReadingEffect>,
}

/// What one change brought.
#[derive(Clone, Debug, PartialEq)]
pub struct ChangeShare {
    /// What was changed.
    pub change: PhysicalChange,
    /// As the base has it.
    pub before: Amount,
    /// As the candidate has it.
    pub after: Amount,
    /// Compression gained by it; negative when it costs compression.
    pub share: Reading<Ratio>,
}

/// What a candidate does to the compression of its base, cylinder by cylinder.
///
/// A reading of a part that both engines share is one random variable in both. So is a reading that a changed (not
/// replaced) part kept. Readings of another piece vary by themselves even where they are equal, and so does a reading
/// that was taken anew.
pub fn compression_change(base: &Build, candidate: &Candidate) -> CompressionChange {
    let mut groups: Vec<([Cylinder; 2], CylinderChange)> = Vec::new();
    let mut unpaired = Vec::new();
    for cylinder in &base.cylinders {
        let Some(other) = candidate.build.cylinders.iter().find(|other| other.number == cylinder.number)
        else {
            unpaired.push(cylinder.number);
            continue;
        };
        let pair = [cylinder, other].map(without_bystanders);
        let alike = |group: &&mut ([Cylinder; 2], CylinderChange)| {
            group.0.iter().zip(&pair).all(|(first, here)| same_volumes(first, here))
        };
        match groups.iter_mut().find(alike) {
            Some((_, group)) => group.cylinders.push(cylinder.number),
            None => {
                let change = cylinder_change(&pair, &|part| candidate.is_another_piece(part));
                groups.push((pair, change));
            }
        }
    }
    let in_base = |number: usize| base.cylinders.iter().any(|cylinder| cylinder.number == number);
    unpaired.extend(
        candidate.build.cylinders.iter().map(|other| other.number).filter(|number| !in_base(*number)),
    );
    CompressionChange {
        base: base.name.clone(),
        candidate: candidate.name.clone(),
        groups: groups.into_iter().map(|(_, change)| change).collect(),
        unpaired,
    }
}

/// Figures of a pair: base, candidate, difference, then the share of each change.
const FIGURES_BEFORE_SHARES: usize = 3;

fn cylinder_change(pair: &[Cylinder; 2], another_piece: &dyn Fn(PartName) -> bool) -> CylinderChange {
    let [base, candidate] = pair;
    let changes: Vec<PhysicalChange> = PhysicalChange::ALL
        .into_iter()
        .filter(|change| change.is_in(pair))
        .filter(|change| another_piece(change.part()) || change.differs(base, candidate))
        .collect();
    let figures = |[base, candidate]: &[Cylinder; 2]| {
        let ratios = [base, candidate].map(static_compression);
        let mut figures = vec![ratios[0], ratios[1], ratios[1] - ratios[0]];
        figures.extend(shares(&changes, base, candidate));
        figures
    };
    let values = figures(pair);
    let all = paired_effects(pair, another_piece, &figures);
    let mut shares: Vec<ChangeShare> = changes
        .iter()
        .enumerate()
        .map(|(idx, change)| ChangeShare {
            change: *change,
            before: change.amount(base),
            after: change.amount(candidate),
            share: figure(&values, &all, FIGURES_BEFORE_SHARES + idx),
        })
        .collect();
    shares.sort_by(|a, b| b.share.value.si().abs().total_cmp(&a.share.value.si().abs()));
    CylinderChange {
        cylinders: vec![base.number],
        base: figure(&values, &all, 0),
        candidate: figure(&values, &all, 1),
        difference: figure(&values, &all, 2),
        shares,
        effects: largest_first(all.iter().map(|effects| effects.on_figure(2))),
    }
}

/// An uncertain reading of a pair of cylinders: of the base, of the candidate, or of both at once.
struct PairedReading {
    reading: ReadingEffect,
    in_base: bool,
    in_candidate: Option<f64>,
}

/// What each uncertain reading does to the figures of a pair; common readings move both cylinders.
fn paired_effects(
    pair: &[Cylinder; 2],
    another_piece: &dyn Fn(PartName) -> bool,
    figures: &dyn Fn(&[Cylinder; 2]) -> Vec<f64>,
) -> Vec<Effects> {
    let mut moved = pair.clone();
    paired_readings(pair, another_piece)
        .into_iter()
        .map(|PairedReading { reading, in_base, in_candidate }| {
            let mut shifted = |by: f64| {
                if in_base {
                    put(&mut moved[0], &reading.path, reading.value_si + by);
                }
                if let Some(value) = in_candidate {
                    put(&mut moved[1], &reading.path, value + by);
                }
                figures(&moved)
            };
            let step = reading.tolerance_si / SDS_IN_TOLERANCE;
            let on = central_effects(&shifted(-step), &shifted(step));
            shifted(0.0);
            Effects { reading, on }
        })
        .filter(|effects| effects.on.iter().any(|effect| *effect != 0.0))
        .collect()
}

fn paired_readings(pair: &[Cylinder; 2], another_piece: &dyn Fn(PartName) -> bool) -> Vec<PairedReading> {
    let [in_base, in_candidate] = [&pair[0], &pair[1]].map(uncertain_readings);
    let common = |a: &ReadingEffect, b: &ReadingEffect| {
        let both_assumed = a.basis == Basis::Assumed && b.basis == Basis::Assumed;
        a.path == b.path
            && !part_of(&a.path).is_some_and(another_piece)
            && a.tolerance_si == b.tolerance_si
            && a.basis == b.basis
            && (both_assumed || a.value_si == b.value_si)
    };
    let mut paired: Vec<PairedReading> = in_base
        .iter()
        .map(|reading| {
            let same = in_candidate.iter().find(|other| common(reading, other));
            PairedReading {
                reading: reading.clone(),
                in_base: true,
                in_candidate: same.map(|other| other.value_si),
            }
        })
        .collect();
    let own = in_candidate.iter().filter(|other| !in_base.iter().any(|reading| common(reading, other)));
    paired.extend(own.map(|other| PairedReading {
        reading: other.clone(),
        in_base: false,
        in_candidate: Some(other.value_si),
    }));
    paired
}

/// The part a reading belongs to, from the head of its path.
fn part_of(path: &str) -> Option<PartName> {
    let head = path.split('.').next()?;
    PartName::ALL.into_iter().find(|part| part.key() == head)
}
