//! Compression in words: the answer first, then the reason.

use units::{Quantity, Ratio, Reading, UnitSystem, show_with_tolerance};

use crate::volumes::{CylinderVolumes, VolumesAnswer};
use crate::volumes_change::{ChangeShare, CompressionChange, CylinderChange};
use crate::volumes_propagate::ReadingEffect;
use crate::words::cylinders;

/// What goes with every answer about volumes.
pub const CAUTION: &str = "Calculated from entered readings; check one assembled cylinder with a burette. Compression \
                           is geometry: what fuel and spark it bears, the running engine decides.";

/// What goes with cranking pressures.
pub const CRANKING_CAUTION: &str = "An indicator for comparing cylinders and camshafts: a real gauge also shows starter \
                                    speed, leakage, oil and its own dead volume, about 0.7 bar (10 psi) either way.";

/// A ratio with the digits it deserves: `8.65 ± 0.12`.
pub fn ratio(reading: &Reading<Ratio>) -> String {
    show_with_tolerance(reading.value, reading.tolerance, UnitSystem::Metric)
}

/// A gain or loss of compression with its sign: `+0.35 ± 0.04`.
pub fn gain(reading: &Reading<Ratio>) -> String {
    let text = ratio(reading);
    if text.starts_with('-') { text } else { format!("+{text}") }
}

/// The compression of a build, in one sentence that answers, and a second where something stands in the way.
pub fn verdict(answer: &VolumesAnswer) -> Vec<String> {
    let n_all = answer.groups.iter().map(|group| group.cylinders.len()).sum();
    let on = |group: &CylinderVolumes| {
        format!("{} on {}", ratio(&group.compression), cylinders(&group.cylinders, n_all))
    };
    let mut sentences = Vec::new();
    match answer.extremes() {
        None => {}
        Some([only, _]) if answer.groups.len() == 1 => sentences.push(format!("Compression {}.", on(only))),
        Some([least, greatest]) => {
            sentences.push(format!("Compression from {} to {}.", on(least), on(greatest)));
        }
    }
    for group in &answer.groups {
        let which = cylinders(&group.cylinders, n_all);
        sentences.extend(group.notes.iter().map(|note| format!("On {which} {note}.")));
    }
    sentences
}

/// What a swap does to compression, in one sentence that answers and one that says why.
pub fn change_verdict(change: &CompressionChange) -> Vec<String> {
    let n_all =
        change.groups.iter().map(|group| group.cylinders.len()).sum::<usize>() + change.unpaired.len();
    let mut sentences: Vec<String> =
        change.groups.iter().flat_map(|group| group_verdict(group, n_all)).collect();
    if !change.unpaired.is_empty() {
        let which = cylinders(&change.unpaired, n_all);
        sentences.push(format!("Only one of the two engines has {which}."));
    }
    sentences
}

fn group_verdict(group: &CylinderChange, n_all: usize) -> Vec<String> {
    let on = cylinders(&group.cylinders, n_all);
    let (gained, tolerance) = (group.difference.value.si(), group.difference.tolerance.si());
    let from_to = format!("from {} to {}", ratio(&group.base), ratio(&group.candidate));
    if gained == 0.0 && tolerance == 0.0 {
        return vec![format!("Compression stays at {} on {on}.", ratio(&group.base))];
    }
    if gained.abs() <= tolerance {
        return vec![format!(
            "Compression on {on} changes by no more than these readings can tell: {}, {from_to}.",
            gain(&group.difference)
        )];
    }
    let verb = if gained < 0.0 { "falls" } else { "rises" };
    let size = Reading { value: group.difference.value.abs(), ..group.difference };
    let mut sentences = vec![format!("Compression {verb} by {} on {on}, {from_to}.", ratio(&size))];
    sentences.extend(reason(&group.shares));
    sentences
}

/// The largest share, and what works against it.
fn reason(shares: &[ChangeShare]) -> Option<String> {
    let largest = shares.first().filter(|share| share.share.value.si() != 0.0)?;
    let lead = |share: &ChangeShare| format!("the {} ({})", share.change.words(), gain(&share.share));
    let against = |share: &&ChangeShare| {
        share.share.value.si() * largest.share.value.si() < 0.0
            && share.share.value.si().abs() > share.share.tolerance.si()
    };
    Some(match shares.iter().find(against) {
        Some(other) => format!("Most of it is {}; {} works against it.", lead(largest), lead(other)),
        None if shares.iter().filter(|share| share.share.value.si() != 0.0).count() == 1 => {
            format!("All of it is {}.", lead(largest))
        }
        None => format!("Most of it is {}.", lead(largest)),
    })
}

/// The part of the variance that a reading makes, from 0 to 1.
pub fn share_of_variance(effect: &ReadingEffect, all: &[ReadingEffect]) -> f64 {
    let sum: f64 = all.iter().map(|other| other.effect * other.effect).sum();
    if sum > 0.0 { effect.effect * effect.effect / sum } else { 0.0 }
}
