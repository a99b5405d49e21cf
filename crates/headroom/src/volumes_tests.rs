//! Volumes and their tolerances on the demos, held against sampling and against what has to be so.

use parts::readings::Visit;
use parts::{Build, Cylinder};
use sheet::{Candidate, read_build, read_candidate};
use units::reading::SDS_IN_TOLERANCE;
use units::volume::cubic_centimeter;
use units::{Basis, Quantity};
use volume::{ClearancePart, static_compression};

use super::{CylinderVolumes, volumes};
use crate::sampling::deviations;
use crate::volumes_change::{CylinderChange, compression_change};
use crate::volumes_propagate::{ReadingEffect, uncertain_readings, without_bystanders};
use crate::volumes_shares::{PhysicalChange, shares};

const HERON: &str = include_str!("../../../demos/heron.build.toml");
const BITTERN_HEAD: &str = include_str!("../../../demos/heron-with-bittern-head.swap.toml");
const KESTREL: &str = include_str!("../../../demos/kestrel.build.toml");
const BIG_VALVES: &str = include_str!("../../../demos/kestrel-big-valves.swap.toml");
const TEAL: &str = include_str!("../../../demos/teal.build.toml");
const SKIMMED: &str = include_str!("../../../demos/teal-skimmed.swap.toml");

fn build(text: &str) -> Build {
    read_build(text).unwrap_or_else(|problems| panic!("{problems}")).build
}

fn candidate(base: &str, swap: &str) -> Candidate {
    read_candidate(base, swap, &mut |_| Err("no other file".into()))
        .unwrap_or_else(|problems| panic!("{problems}"))
}

/// Shares of a gain add up to it within this.
const ADD_UP: f64 = 1e-9;

#[test]
fn exact_mirrored_cylinders_hold_the_same() {
    let answer = volumes(&build(HERON));
    let [heron] = &answer.groups[..] else { panic!("six cylinders alike: {answer:?}") };
    assert_eq!(heron.cylinders, [1, 2, 3, 4, 5, 6]);
    // 82.25 x 77.4 mm; 41.5 chamber, 84.0 x 1.20 gasket, 0.45 deck, 3.2 dish, by hand.
    let cc = |part: ClearancePart| {
        heron
            .parts
            .iter()
            .find(|one| one.part == part)
            .expect("listed")
            .volume
            .value
            .get::<cubic_centimeter>()
    };
    assert!((heron.swept.value.get::<cubic_centimeter>() - 411.247).abs() < 0.001);
    assert!((cc(ClearancePart::Gasket) - 6.650).abs() < 0.001);
    assert!((cc(ClearancePart::Deck) - 2.391).abs() < 0.001);
    assert!((answer.displacement.get::<cubic_centimeter>() - 6.0 * 411.247).abs() < 0.01);
    let sum: f64 = heron.parts.iter().map(|part| part.volume.value.get::<cubic_centimeter>()).sum();
    assert!((sum - heron.clearance.value.get::<cubic_centimeter>()).abs() < ADD_UP);
}

/// The tolerance of a figure is that of many samples of all readings, within what so many samples resolve.
#[test]
fn converges_linear_tolerance_to_sampling() {
    for text in [HERON, KESTREL, TEAL] {
        let build = build(text);
        let answer = volumes(&build);
        for CylinderVolumes { cylinders, compression, .. } in answer.groups {
            let cylinder = &build.cylinders[cylinders[0] - 1];
            let sampled = sampled_half_width(&[cylinder], |[only]| static_compression(only));
            let off = compression.tolerance.si() / sampled - 1.0;
            assert!(off.abs() < 0.02, "cylinder {}: {off} off {sampled}", cylinders[0]);
        }
    }
}

/// The same for the difference between base and candidate, whose common readings vary together.
#[test]
fn converges_paired_tolerance_to_sampling() {
    for (base, swap) in [(HERON, BITTERN_HEAD), (KESTREL, BIG_VALVES), (TEAL, SKIMMED)] {
        let (built, candidate) = (build(base), candidate(base, swap));
        for group in compression_change(&built, &candidate).groups {
            let idx = group.cylinders[0] - 1;
            let pair = [&built.cylinders[idx], &candidate.build.cylinders[idx]];
            let sampled = sampled_half_width(&pair, |[a, b]| static_compression(b) - static_compression(a));
            // Here every reading that has the same path, value and tolerance is of the same piece, but for those of
            // the head and gasket that were replaced, and those are different ones.
            let off = group.difference.tolerance.si() / sampled - 1.0;
            assert!(off.abs() < 0.02, "{swap}: {off} off {sampled}");
            let apart = group.base.tolerance.si().hypot(group.candidate.tolerance.si());
            assert!(group.difference.tolerance.si() < apart, "known better than from two lone answers");
        }
    }
}

/// 95 % half-width over many samples of all readings; equal readings of several cylinders are one and the same.
fn sampled_half_width<const N: usize>(
    cylinders: &[&Cylinder; N],
    figure: impl Fn(&[Cylinder; N]) -> f64,
) -> f64 {
    const N_SAMPLES: u32 = 4096;
    let mut drawn = cylinders.map(without_bystanders);
    let of_each = drawn.each_ref().map(uncertain_readings);
    let mut distinct: Vec<&ReadingEffect> = Vec::new();
    for reading in of_each.iter().flatten() {
        if !distinct.contains(&reading) {
            distinct.push(reading);
        }
    }
    let place = |reading| distinct.iter().position(|one| *one == reading).expect("listed");
    let places = of_each.each_ref().map(|readings| readings.iter().map(place).collect::<Vec<usize>>());
    let mut out = vec![0.0; distinct.len()];
    let (mut sum, mut squares) = (0.0, 0.0);
    for sample_idx in 0..N_SAMPLES {
        deviations(sample_idx, &mut out);
        for (cylinder, places) in drawn.iter_mut().zip(&places) {
            let mut next = places.iter();
            cylinder.visit("", &mut |_, reading| {
                if 0.0 < reading.tolerance_si {
                    let place = *next.next().expect("as many as were listed");
                    *reading.value_si =
                        distinct[place].value_si + out[place] * reading.tolerance_si / SDS_IN_TOLERANCE;
                }
            });
        }
        let figure = figure(&drawn);
        sum += figure;
        squares += figure * figure;
    }
    let n = f64::from(N_SAMPLES);
    (squares / n - (sum / n).powi(2)).sqrt() * SDS_IN_TOLERANCE
}

fn sum_of_shares(group: &CylinderChange) -> f64 {
    group.shares.iter().map(|share| share.share.value.si()).sum()
}

#[test]
fn exact_shares_add_up_to_the_gain() {
    for (base, swap) in [(HERON, BITTERN_HEAD), (KESTREL, BIG_VALVES), (TEAL, SKIMMED)] {
        let built = build(base);
        let change = compression_change(&built, &candidate(base, swap));
        assert!(change.unpaired.is_empty());
        let n_cylinders: usize = change.groups.iter().map(|group| group.cylinders.len()).sum();
        assert_eq!(n_cylinders, built.cylinders.len());
        for group in &change.groups {
            let gain = group.candidate.value.si() - group.base.value.si();
            assert!((group.difference.value.si() - gain).abs() < ADD_UP);
            assert!((sum_of_shares(group) - gain).abs() < ADD_UP);
        }
    }
}

/// Everything changed at once, nine changes.
#[test]
fn exact_shares_of_another_engine_add_up() {
    let change = compression_change(&build(HERON), &candidate(HERON, KESTREL));
    assert_eq!(change.unpaired, [2, 3, 4, 5, 6]);
    let group = &change.groups[0];
    assert!((sum_of_shares(group) - group.difference.value.si()).abs() < ADD_UP);
    assert_eq!(group.shares.len(), 9);
}

/// The definition itself: what each change brings, averaged over all 120 orders of five changes.
#[test]
fn exact_shares_are_means_over_all_orders() {
    let (heron, kestrel) = (build(HERON), build(KESTREL));
    let [from, to] = [&heron, &kestrel].map(|build| without_bystanders(&build.cylinders[0]));
    let changes = &PhysicalChange::ALL[2..7];
    let mut brought = vec![0.0; changes.len()];
    let mut n_orders = 0;
    for_each_order(&mut (0..changes.len()).collect::<Vec<usize>>(), 0, &mut |order| {
        let mut mixed = from.clone();
        for idx in order {
            let before = static_compression(&mixed);
            changes[*idx].make(&mut mixed, &to);
            brought[*idx] += static_compression(&mixed) - before;
        }
        n_orders += 1;
    });
    assert_eq!(n_orders, 120);
    for (share, brought) in shares(changes, &from, &to).into_iter().zip(brought) {
        assert!((share - brought / f64::from(n_orders)).abs() < ADD_UP, "{share}");
    }
}

fn for_each_order(order: &mut Vec<usize>, fixed: usize, see: &mut dyn FnMut(&[usize])) {
    if fixed == order.len() {
        return see(order);
    }
    for idx in fixed..order.len() {
        order.swap(fixed, idx);
        for_each_order(order, fixed + 1, see);
        order.swap(fixed, idx);
    }
}

/// The Bittern's larger chamber costs most, its thicker and wider gasket the rest; each share lies between making the
/// change first and making it last.
#[test]
fn exact_bittern_head_costs_compression_by_chamber_then_gasket() {
    let base = build(HERON);
    let swapped = candidate(HERON, BITTERN_HEAD);
    let change = compression_change(&base, &swapped);
    let [group] = &change.groups[..] else { panic!("six cylinders alike") };
    let names: Vec<PhysicalChange> = group.shares.iter().map(|share| share.change).collect();
    let expected = [PhysicalChange::Chamber, PhysicalChange::GasketOpening, PhysicalChange::GasketThickness];
    assert_eq!(names, expected);
    for share in &group.shares {
        let (from, to) = (&base.cylinders[0], &swapped.build.cylinders[0]);
        let made = |from: &Cylinder, to: &Cylinder| {
            let mut mixed = from.clone();
            share.change.make(&mut mixed, to);
            static_compression(&mixed) - static_compression(from)
        };
        let (first, last) = (made(from, to), -made(to, from));
        let value = share.share.value.si();
        assert!(first.min(last) <= value && value <= first.max(last) && value < 0.0, "{share:?}");
    }
}

#[test]
fn exact_no_change_costs_nothing() {
    let change = compression_change(&build(HERON), &candidate(HERON, HERON));
    let [group] = &change.groups[..] else { panic!("six cylinders alike") };
    assert_eq!((group.difference.value.si(), group.difference.tolerance.si()), (0.0, 0.0));
    assert!(group.shares.is_empty() && group.effects.is_empty());
}

/// A base with nothing but the needed readings says what it assumed, and that this is what makes it uncertain.
#[test]
fn exact_a_sparse_sheet_is_uncertain_by_what_was_assumed() {
    let mut sparse = build(HERON);
    for cylinder in &mut sparse.cylinders {
        cylinder.piston.crown_volume = parts::estimate::crown_volume();
    }
    let [before, after] = [build(HERON), sparse].map(|build| volumes(&build).groups[0].clone());
    assert!(after.compression.tolerance > before.compression.tolerance);
    assert_eq!(after.effects[0].path, "piston.crown_volume");
    assert_eq!(after.compression.basis, Basis::Assumed);
    assert!(after.assumed().any(|reading| reading.path == "piston.crown_volume"));
}
