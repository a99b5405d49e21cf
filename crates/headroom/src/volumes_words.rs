//! Compression in words: the answer first, then the reason.

use units::{Length, Pressure, Quantity, Ratio, Reading, UnitSystem, Volume, show_decimals};

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

/// Decimals beyond which nobody at a bench reads on: hundredths of a point, of a cc and of a millimetre, thousandths
/// of an inch and of a cubic inch.
fn most_decimals(system: UnitSystem) -> usize {
    match system {
        UnitSystem::Metric => 2,
        UnitSystem::Inch => 3,
    }
}

/// A ratio with the digits it deserves: `8.55 ± 0.09`.
pub fn ratio(reading: &Reading<Ratio>) -> String {
    deserved(reading, UnitSystem::Metric)
}

/// A volume with the digits it deserves: `54.46 cc ± 0.64`.
pub fn volume(reading: &Reading<Volume>, system: UnitSystem) -> String {
    deserved(reading, system)
}

/// A length with the digits it deserves: `1.65 mm ± 0.07`.
pub fn length(reading: &Reading<Length>, system: UnitSystem) -> String {
    deserved(reading, system)
}

/// The value alone, with as many decimals as make sense at a bench.
pub fn plain<Q: Quantity>(value: Q, system: UnitSystem) -> String {
    show_decimals(value, system, most_decimals(system))
}

/// Value and tolerance down to the tolerance's second digit, but no finer than the bench reads. A tolerance that small
/// is written as one step there.
fn deserved<Q: Quantity>(reading: &Reading<Q>, system: UnitSystem) -> String {
    let half_width = system.unit::<Q>().difference_from_si(reading.tolerance.si());
    if !(half_width.is_finite() && 0.0 < half_width) {
        return plain(reading.value, system);
    }
    let second_digit = (1.0 - half_width.log10().floor()).max(0.0) as usize;
    let decimals = second_digit.min(most_decimals(system));
    let step = 10f64.powi(-(decimals as i32));
    let half_width = half_width.max(step);
    format!("{} ± {half_width:.decimals$}", show_decimals(reading.value, system, decimals))
}

/// What a cranking gauge might show, as finely as such a gauge can be trusted.
pub fn gauge([low, high]: [Pressure; 2]) -> String {
    let bar = |pressure: Pressure| pressure.get::<units::pressure::bar>();
    let psi = |pressure: Pressure| (pressure.get::<units::pressure::psi>() / 5.0).round() * 5.0;
    format!("{:.1} to {:.1} bar ({} to {} psi)", bar(low), bar(high), psi(low), psi(high))
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

/// What a swap does to compression: a sentence that answers, and where one engine's cylinders are alike one that says
/// why.
pub fn change_verdict(change: &CompressionChange) -> Vec<String> {
    let n_all =
        change.groups.iter().map(|group| group.cylinders.len()).sum::<usize>() + change.unpaired.len();
    let mut sentences = Vec::new();
    match &change.groups[..] {
        [] => {}
        [alone] => sentences.push(group_verdict(alone, n_all)),
        several => {
            let each: Vec<String> = several
                .iter()
                .map(|group| {
                    let on = cylinders(&group.cylinders, n_all);
                    let ratios =
                        [&group.base, &group.candidate].map(|ratio| plain(ratio.value, UnitSystem::Metric));
                    format!("by {} on {on} ({} to {})", gain(&group.difference), ratios[0], ratios[1])
                })
                .collect();
            sentences.push(format!("Compression changes {}.", each.join(", ")));
        }
    }
    let size = |group: &&CylinderChange| group.difference.value.si().abs();
    sentences.extend(change.groups.iter().max_by(|a, b| size(a).total_cmp(&size(b))).and_then(reason));
    if !change.unpaired.is_empty() {
        let which = cylinders(&change.unpaired, n_all);
        sentences.push(format!("Only one of the two engines has {which}."));
    }
    sentences
}

fn group_verdict(group: &CylinderChange, n_all: usize) -> String {
    let on = cylinders(&group.cylinders, n_all);
    let from_to = format!("from {} to {}", ratio(&group.base), ratio(&group.candidate));
    let gained = group.difference.value.si();
    if gained == 0.0 && group.difference.tolerance.si() == 0.0 {
        return format!("Compression stays at {} on {on}.", ratio(&group.base));
    }
    if within_doubt(&group.difference) {
        let by = gain(&group.difference);
        return format!(
            "Compression on {on} changes by no more than these readings can tell: {by}, {from_to}."
        );
    }
    let verb = if gained < 0.0 { "falls" } else { "rises" };
    let size = Reading { value: group.difference.value.abs(), ..group.difference };
    format!("Compression {verb} by {} on {on}, {from_to}.", ratio(&size))
}

fn within_doubt(difference: &Reading<Ratio>) -> bool {
    difference.value.si().abs() <= difference.tolerance.si()
}

/// The change that made most of a gain or loss, and the largest that works against it; `None` where nothing certain
/// changed.
fn reason(group: &CylinderChange) -> Option<String> {
    let gained = group.difference.value.si();
    if within_doubt(&group.difference) {
        return None;
    }
    let told = |share: &ChangeShare| format!("the {} ({})", share.change.words(), gain(&share.share));
    let made: Vec<&ChangeShare> = group.shares.iter().filter(|share| share.share.value.si() != 0.0).collect();
    let along = |share: &ChangeShare| share.share.value.si() * gained > 0.0;
    let largest = made.iter().find(|share| along(share))?;
    let against = made.iter().find(|share| !along(share) && !within_doubt(&share.share));
    let part = if made.len() == 1 {
        "All of it is"
    } else if largest.share.value.si().abs() > gained.abs() / 2.0 {
        "Most of it is"
    } else {
        "The largest part of it is"
    };
    let but = against.map_or(String::new(), |other| format!("; {} works against it", told(other)));
    Some(format!("{part} {}{but}.", told(largest)))
}

/// The part of the variance that a reading makes, from 0 to 1.
pub fn share_of_variance(effect: &ReadingEffect, all: &[ReadingEffect]) -> f64 {
    let sum: f64 = all.iter().map(|other| other.effect * other.effect).sum();
    if sum > 0.0 { effect.effect * effect.effect / sum } else { 0.0 }
}
