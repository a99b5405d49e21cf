//! Every demo reads, and holds what its story says.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use sheet::{Candidate, PartName, Sheet, read_build, read_candidate};
use units::length::{inch, millimeter};
use units::volume::cubic_centimeter;

const HERON: &str = include_str!("../../../demos/heron.build.toml");
const BITTERN_HEAD: &str = include_str!("../../../demos/heron-with-bittern-head.swap.toml");
const KESTREL: &str = include_str!("../../../demos/kestrel.build.toml");
const BIG_VALVES: &str = include_str!("../../../demos/kestrel-big-valves.swap.toml");
const TEAL: &str = include_str!("../../../demos/teal.build.toml");
const SKIMMED: &str = include_str!("../../../demos/teal-skimmed.swap.toml");
const DUNLIN: &str = include_str!("../../../demos/dunlin.build.toml");
const ROCKERS: &str = include_str!("../../../demos/dunlin-rocker.swap.toml");

fn build(text: &str) -> Sheet {
    read_build(text).unwrap_or_else(|problems| panic!("{problems}"))
}

fn swap(base: &str, candidate: &str) -> Candidate {
    read_candidate(base, candidate, &mut |_| Err("no other file".into()))
        .unwrap_or_else(|problems| panic!("{problems}"))
}

#[test]
fn exact_heron_has_mirrored_cylinders_and_the_bittern_head_is_moved_to_its_bores() {
    let heron = build(HERON).build;
    assert_eq!(heron.cylinders.len(), 6);
    let x = |number: usize| heron.cylinders[number - 1].valve("exhaust").unwrap().x.value.get::<millimeter>();
    assert!((x(1) + 21.6).abs() < 1e-9 && (x(2) - 21.6).abs() < 1e-9);

    let candidate = swap(HERON, BITTERN_HEAD);
    let parts = [PartName::Gasket, PartName::Head, PartName::Port, PartName::Flow];
    assert_eq!(candidate.parts_replaced, parts);
    let x = |number: usize| candidate.build.cylinders[number - 1].valve("exhaust").unwrap().x.value;
    // Spacing 0.2 mm wider than the block's: cylinder 1 lies 2.5 steps from the middle of the row.
    assert!((x(1).get::<millimeter>() - (-23.6 + 0.5)).abs() < 1e-9);
    assert!((x(2).get::<millimeter>() - (23.6 + 0.3)).abs() < 1e-9);
    assert!(candidate.notes.iter().any(|note| note.contains("97.20 mm")), "{:?}", candidate.notes);
}

#[test]
fn exact_parts_alone_make_the_builds_in_between() {
    let base = build(HERON).build;
    let candidate = swap(HERON, BITTERN_HEAD);
    let gasket_only = candidate.with_only(&[PartName::Gasket]).unwrap();
    assert_eq!(gasket_only.cylinders[0].gasket, candidate.build.cylinders[0].gasket);
    assert_eq!(gasket_only.cylinders[0].head, base.cylinders[0].head);
    assert_eq!(candidate.with_only(&[]).unwrap().cylinders, base.cylinders);
    assert_eq!(candidate.with_only(&PartName::ALL).unwrap(), candidate.build);
}

#[test]
fn exact_a_skimmed_head_stays_the_same_piece() {
    // Of the parts that fit and not only run.
    let another = |candidate: Candidate| {
        let fit = PartName::ALL.into_iter().filter(|part| !part.only_runs());
        fit.map(|part| candidate.is_another_piece(part)).collect::<Vec<_>>()
    };
    assert_eq!(another(swap(TEAL, SKIMMED)), [false; 7]);
    assert_eq!(another(swap(HERON, BITTERN_HEAD)), [false, true, true, false, false, false, false]);
}

#[test]
fn exact_kestrel_gets_bigger_valves_and_more_lift() {
    let kestrel = build(KESTREL).build;
    let candidate = swap(KESTREL, BIG_VALVES);
    let parts = [PartName::Head, PartName::Cam, PartName::Train, PartName::Port, PartName::Flow];
    assert_eq!(candidate.parts_replaced, parts);
    for valve in &candidate.build.cylinders[0].head.valves {
        let before = kestrel.cylinders[0].valve(&valve.name).unwrap();
        assert!(
            before.head_diameter.value < valve.head_diameter.value && before.lift.value < valve.lift.value
        );
    }
}

#[test]
fn exact_teal_has_its_own_readings_in_the_rear_and_a_deck_from_heights_in_front() {
    let teal = build(TEAL).build;
    let deck = |number: usize| teal.cylinders[number - 1].piston.deck_offset.value.get::<inch>();
    // 3.700 / 2 + 7.250 + 1.600 - 10.720
    assert!((deck(1) + 0.020).abs() < 1e-12 && (deck(2) + 0.024).abs() < 1e-12);
    let candidate = swap(TEAL, SKIMMED);
    let chamber = |number: usize| candidate.build.cylinders[number - 1].head.chamber_volume.value;
    assert!((chamber(1).get::<cubic_centimeter>() - 72.4).abs() < 1e-9);
    assert!((chamber(2).get::<cubic_centimeter>() - 73.1).abs() < 1e-9);
    // The change drops the rear cylinder's old readings, and says so.
    assert_eq!(
        candidate.notes.iter().filter(|note| note.contains("cylinder 2")).count(),
        2,
        "{:?}",
        candidate.notes
    );
}

#[test]
fn exact_the_dunlin_rockers_change_lift_and_leave_the_lobes() {
    let dunlin = build(DUNLIN).build;
    let candidate = swap(DUNLIN, ROCKERS);
    assert_eq!(candidate.parts_replaced, [PartName::Cam, PartName::Train]);
    let gear = |build: &parts::Build| build.cylinders[0].gear.intake.clone().unwrap();
    let (before, after) = (gear(&dunlin), gear(&candidate.build));
    assert_eq!(before.lobe, after.lobe);
    // 0.280 in of lobe; the lash of 0.015 in is not in it.
    assert!((after.full_lift().value.get::<inch>() - 0.280 * 1.65).abs() < 1e-12);
    assert!(
        (candidate.build.cylinders[0].valve("intake").unwrap().lift.value.get::<inch>() - 0.447).abs()
            < 1e-12
    );
}

#[test]
fn exact_every_demo_carries_the_gear_of_both_duties() {
    for text in [HERON, KESTREL, TEAL, DUNLIN] {
        let build = build(text).build;
        for duty in [parts::Duty::Intake, parts::Duty::Exhaust] {
            let gear = build.cylinders[0].gear.of(duty).unwrap();
            let springs = gear.springs.as_ref().unwrap();
            assert!(springs.retainer_to_seal.is_some() && springs.outer.coil_bind_height.is_some());
            // The stated lift is the lobe's through its rocker, less the lash at the valve or the cam.
            let valve = build.cylinders[0].head.valves.iter().find(|valve| valve.duty == duty).unwrap();
            let lash = match gear.train.lash {
                parts::train::Lash::Solid { cold, .. } => cold.value,
                parts::train::Lash::Hydraulic { .. } => units::Length::default(),
            };
            let off = gear.full_lift().value - lash - valve.lift.value;
            assert!(off.get::<millimeter>().abs() < 0.06, "{}: {off:?}", build.name);
        }
    }
}
