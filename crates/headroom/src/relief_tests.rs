//! Reliefs and ways around them on the demos: put back into the build, they do what they said.

use parts::Build;
use parts::limit::Check;
use sheet::{read_build, read_candidate};
use units::Length;
use units::length::millimeter;

use super::{Outcome, ReliefOptions, relief};
use crate::check::{CheckOptions, check};
use crate::clearance::Clearance;
use crate::fallback::Fallback;
use crate::fallback_change::Change;
use crate::finding::Status;
use crate::relief_apply::with_reliefs;
use crate::relief_fly_cut::ProposedPocket;
use crate::volumes::{VolumesAnswer, volumes};

const HERON: &str = include_str!("../../../demos/heron.build.toml");
const BITTERN_HEAD: &str = include_str!("../../../demos/heron-with-bittern-head.swap.toml");
const KESTREL: &str = include_str!("../../../demos/kestrel.build.toml");
const BIG_VALVES: &str = include_str!("../../../demos/kestrel-big-valves.swap.toml");
const DUNLIN: &str = include_str!("../../../demos/dunlin.build.toml");
const ROCKERS: &str = include_str!("../../../demos/dunlin-rocker.swap.toml");
const FLY_CUT: &str = include_str!("../../../demos/dunlin-fly-cut.swap.toml");
const TEAL: &str = include_str!("../../../demos/teal.build.toml");

fn build(text: &str) -> Build {
    read_build(text).unwrap_or_else(|problems| panic!("{problems}")).build
}

fn candidate(base: &str, swap: &str) -> Build {
    read_candidate(base, swap, &mut |_| Err("no other file".into()))
        .unwrap_or_else(|problems| panic!("{problems}"))
        .build
}

fn in_trouble() -> [Build; 2] {
    [candidate(HERON, BITTERN_HEAD), candidate(KESTREL, BIG_VALVES)]
}

/// Every fallback's gap sits on its limit.
fn on_limit(fallback: &Fallback, limit: Length) {
    let off = (fallback.gap - limit).get::<millimeter>();
    // Solved to a millionth of a range of a few millimetres.
    assert!(off.abs() < 0.005, "{:?} is off its limit by {off} mm", fallback.changes);
}

fn gap_by_check(build: &Build, kind: Check, valve: &str) -> Length {
    let answer = check(build, &CheckOptions { n_samples: 1 });
    let mut findings = answer.findings.iter();
    let finding = findings.find(|finding| finding.check == kind && finding.valve.as_deref() == Some(valve));
    finding.and_then(|finding| finding.gap()).expect("a gap")
}

#[test]
fn exact_builds_that_clear_need_no_cut() {
    for text in [HERON, KESTREL, TEAL] {
        assert_eq!(relief(&build(text), &ReliefOptions::default()).outcome(), Outcome::ClearsAsItIs);
    }
}

#[test]
fn exact_fallbacks_sit_on_their_limits() {
    let mut n_seen = 0;
    for build in in_trouble() {
        let answer = relief(&build, &ReliefOptions::default());
        for one in &answer.valves {
            one.fallbacks.iter().for_each(|fallback| on_limit(fallback, one.limit));
            one.with_cut.iter().for_each(|fallback| on_limit(fallback, Length::default()));
            n_seen += one.fallbacks.len() + one.with_cut.len();
        }
        for one in &answer.pistons {
            one.fallbacks.iter().for_each(|fallback| on_limit(fallback, one.limit));
            n_seen += one.fallbacks.len();
        }
    }
    assert!(n_seen > 20, "{n_seen}");
}

#[test]
fn exact_fallbacks_put_into_the_build_are_on_the_limit() {
    // Independent of how they were solved: the changed readings on every cylinder, and the gap as `check` takes it.
    for build in in_trouble() {
        for one in relief(&build, &ReliefOptions::default()).valves {
            for fallback in one.fallbacks {
                let mut changed = build.clone();
                let worst =
                    build.cylinders.iter().find(|c| c.number == one.cylinders[0]).expect("it is there");
                let (x, y) = {
                    let valve = worst.valve(&one.valve).expect("it is there");
                    (valve.x.value + worst.head.shift_x.value, valve.y.value + worst.head.shift_y.value)
                };
                let inward = [-x.value / x.value.hypot(y.value), -y.value / x.value.hypot(y.value)];
                for part in &fallback.changes {
                    for cylinder in &mut changed.cylinders {
                        part.change.apply(cylinder, &one.valve, part.by_si, inward);
                    }
                }
                let gaps = changed.cylinders.iter().filter_map(|cylinder| {
                    Some(Clearance::new(one.check, cylinder, cylinder.valve(&one.valve)?)?.gap())
                });
                let gap = gaps.reduce(|a, b| if b < a { b } else { a }).expect("a gap");
                let off = (gap - one.limit).get::<millimeter>();
                assert!(off.abs() < 0.005, "{:?} is off by {off} mm", fallback.changes);
            }
        }
    }
}

#[test]
fn exact_ways_over_the_piston_put_into_the_build_are_on_the_limit() {
    // Independent of how they were solved: the changed readings on every cylinder, lobes fitted anew, the gap as `check`
    // takes it.
    let mut kinds: Vec<Change> = Vec::new();
    for build in [candidate(KESTREL, BIG_VALVES), candidate(DUNLIN, ROCKERS)] {
        for one in relief(&build, &ReliefOptions::default()).pistons {
            for fallback in one.fallbacks {
                let mut changed = build.clone();
                for part in &fallback.changes {
                    for cylinder in &mut changed.cylinders {
                        part.change.apply(cylinder, &one.valve, part.by_si, [0.0; 2]);
                    }
                    kinds.push(part.change);
                }
                let off = (gap_by_check(&changed, one.check, &one.valve) - one.limit).get::<millimeter>();
                assert!(off.abs() < 0.005, "{}: {:?} is off by {off} mm", build.name, fallback.changes);
                assert!(!fallback.newly_short.iter().any(|(check, _)| *check == one.check));
            }
        }
    }
    for wanted in [Change::LessLift, Change::LessRatio, Change::LaterLobe, Change::EarlierLobe] {
        assert!(kinds.contains(&wanted), "no way with {wanted:?}");
    }
}

#[test]
fn exact_cuts_leave_no_contact_and_their_room() {
    for build in in_trouble() {
        let answer = relief(&build, &ReliefOptions::default());
        assert!(!answer.valves.is_empty());
        for one in &answer.valves {
            let cut = one.cut.as_ref().expect("a cut");
            assert!(cut.gap_after >= one.limit - Length::new::<millimeter>(0.01), "{:?}", cut.gap_after);
            assert!(cut.compression[1] < cut.compression[0]);
        }
    }
}

/// Every build of the demos in which something hits or is tight for want of a cut.
fn all_in_trouble() -> [Build; 3] {
    let [heron, kestrel] = in_trouble();
    [heron, kestrel, candidate(DUNLIN, ROCKERS)]
}

#[test]
fn exact_a_build_with_its_cuts_made_clears_by_check() {
    for build in all_in_trouble() {
        let answer = relief(&build, &ReliefOptions::default());
        assert!(!answer.valves.is_empty() || !answer.pistons.is_empty());
        let cut = with_reliefs(&build, &answer);
        let told = answer.valves.iter().map(|one| (one.check, one.valve.clone(), one.limit));
        let pistons = answer.pistons.iter().map(|one| (one.check, one.valve.clone(), one.limit));
        for (kind, valve, limit) in told.chain(pistons) {
            let gap = gap_by_check(&cut, kind, &valve);
            assert!(gap >= limit - Length::new::<millimeter>(0.01), "{}: {valve} {gap:?}", build.name);
        }
        let after = check(&cut, &CheckOptions { n_samples: 1 });
        assert_ne!(after.status(), Status::Hits, "{}", build.name);
        assert_eq!(
            relief(&cut, &ReliefOptions::default()).outcome(),
            Outcome::ClearsAsItIs,
            "{}",
            build.name
        );
    }
}

#[test]
fn exact_a_cut_that_is_there_leaves_what_was_foretold() {
    let build = candidate(HERON, BITTERN_HEAD);
    let answer = relief(&build, &ReliefOptions::default());
    assert!(answer.standing.is_empty());
    let after = relief(&with_reliefs(&build, &answer), &ReliefOptions::default());
    assert_eq!(after.standing.len(), answer.valves.iter().filter(|one| one.cut.is_ok()).count());
    for cut in &after.standing {
        let foretold = answer.valves.iter().find(|one| one.valve == cut.valve).expect("it was cut");
        let foretold = &foretold.cut.as_ref().expect("a cut").left;
        assert_eq!(cut.left.len(), foretold.len());
        for (line, before) in cut.left.iter().zip(foretold) {
            assert_eq!(line.of, before.of);
            let off = line.left.zip(before.left).map_or(0.0, |(one, other)| (one - other).value.abs());
            // The nearest places of two curves are searched to a tenth of a micrometre.
            assert!(off < 1e-7 && line.is_fatal() == before.is_fatal(), "{:?}: off by {off} m", line.of);
        }
    }
    let said = crate::relief_words::verdict(&after).join(" ");
    assert!(said.contains("The relief that is there for the exhaust valve already leaves"), "{said}");
    // In a crown as well.
    let cut = relief(&candidate(DUNLIN, FLY_CUT), &ReliefOptions::default());
    let rockers = candidate(DUNLIN, ROCKERS);
    let after = relief(
        &with_reliefs(&rockers, &relief(&rockers, &ReliefOptions::default())),
        &ReliefOptions::default(),
    );
    assert!(after.standing.iter().any(|cut| cut.in_crown));
    // The pocket that is proposed takes the place of the one that hits.
    assert!(cut.standing.iter().all(|one| one.valve != "intake"));
}

#[test]
fn exact_a_fly_cut_deep_enough_hits_on_its_side() {
    let limit = |kind: Check| kind.usual().least;
    let build = candidate(DUNLIN, FLY_CUT);
    assert!(gap_by_check(&build, Check::PocketRadial, "intake") < Length::default());
    // The same floor under a cutter of the size and place it should have had clears below and beside.
    let mut wider = build.clone();
    for cylinder in &mut wider.cylinders {
        let x = cylinder.valve("intake").expect("it is there").x.value;
        let cut = &mut cylinder.piston.fly_cuts[0];
        cut.x.value = x;
        cut.diameter.value = Length::new::<millimeter>(44.0);
    }
    for kind in [Check::IntakeToPiston, Check::PocketRadial] {
        let gap = gap_by_check(&wider, kind, "intake");
        assert!(gap >= limit(kind), "{}: {gap:?}", kind.key());
    }
    // And that is what is proposed.
    let answer = relief(&build, &ReliefOptions::default());
    let pocket = answer.pistons.iter().find(|one| one.valve == "intake").expect("it hits");
    assert_eq!(pocket.outcome(), Outcome::ClearsAfterCut);
    assert!(
        pocket
            .cut
            .as_ref()
            .is_ok_and(|cut| cut.cut.diameter() > build.cylinders[0].piston.fly_cuts[0].diameter.value)
    );
}

/// What two upright pockets that deepen two older ones take both: the lens of their circles, below the older floors. Leaning
/// ones of the demos do not go below the older floors at their centres, and meet nowhere.
/// Weisstein, "Circle-Circle Intersection", MathWorld, equation 14 (from memory).
fn shared_m3(one: &ProposedPocket, other: &ProposedPocket, before: &Build) -> f64 {
    let [a, b] = [one, other].map(|cut| &cut.fly_cuts[0].1);
    let [r, s] = [a, b].map(|pocket| 0.5 * pocket.diameter.value.value);
    let apart = (a.x.value - b.x.value).value.hypot((a.y.value - b.y.value).value);
    let half = |near: f64, far: f64| {
        near * near * ((apart * apart + near * near - far * far) / (2.0 * apart * near)).acos()
    };
    let kite = (r + s - apart) * (apart + r - s) * (apart - r + s) * (apart + r + s);
    let older = before.cylinders[0].piston.pockets.iter().map(|pocket| pocket.depth.value.value);
    let below = (a.depth.value.min(b.depth.value).value - older.fold(0.0, f64::max)).max(0.0);
    if kite > 0.0 { (half(r, s) + half(s, r) - 0.5 * kite.sqrt()) * below } else { 0.0 }
}

#[test]
fn exact_cuts_lower_compression_by_what_they_remove() {
    for build in all_in_trouble() {
        let answer = relief(&build, &ReliefOptions::default());
        let (before, after) = (volumes(&build), volumes(&with_reliefs(&build, &answer)));
        let pockets: Vec<_> = answer.pistons.iter().filter_map(|one| one.cut.as_ref().ok()).collect();
        let alone: f64 = pockets.iter().map(|cut| cut.volume.value).sum();
        let removed = alone - pockets.windows(2).map(|two| shared_m3(two[0], two[1], &build)).sum::<f64>();
        let of_block = |number: usize| -> f64 {
            let cuts = answer.valves.iter().filter_map(|one| one.cut.as_ref().ok());
            cuts.filter(|cut| cut.reliefs.iter().any(|(cylinder, _)| *cylinder == number)).count() as f64
        };
        for cylinder in &build.cylinders {
            let clearance = |answer: &VolumesAnswer| {
                let group = answer.groups.iter().find(|group| group.cylinders.contains(&cylinder.number));
                group.expect("every cylinder is told").clearance.value.value
            };
            let more = clearance(&after) - clearance(&before);
            if of_block(cylinder.number) == 0.0 {
                // Each cut's volume is found to a tenth of a cubic millimetre.
                assert!((more - removed).abs() < 3e-10, "{more} m3, expected {removed} m3");
            } else {
                assert!(more > removed + 1e-10, "{more} m3 with cuts in the block");
            }
        }
    }
}

#[test]
fn exact_a_longer_land_survives_and_a_short_one_is_killed_by_the_ring() {
    let short = candidate(HERON, BITTERN_HEAD);
    let answer = relief(&short, &ReliefOptions::default());
    assert_eq!(answer.outcome(), Outcome::DoesNot);
    let exhaust = answer.valves.iter().find(|one| one.valve == "exhaust").expect("it hits");
    assert_eq!(exhaust.status, Status::Hits);
    let cut = exhaust.cut.as_ref().expect("a cut");
    let fatal: Vec<&str> = cut.fatal().map(|line| line.of.key()).collect();
    assert_eq!(fatal, ["cut_to_top_ring"]);
    // By hand: lift 10.2 less seat 4.0 and gasket 1.3 goes 4.9 below the deck, and the room 1.524 more; the ring is at
    // 0.45 + 7.0 below, rises by 0.030 in, and by the skirt's clearance of 0.08 where it rocks on a skirt of half a bore.
    let left = cut.fatal().next().and_then(|line| line.left).expect("a distance").get::<millimeter>();
    let by_hand = (0.45 + 7.0 - 0.030 * 25.4 - 0.08) - (10.2 - 4.0 - 1.3 + 0.060 * 25.4);
    // The cut is a hair deeper than its limit.
    assert!((left - by_hand).abs() < 3e-5, "{left}, by hand {by_hand}");
    let mut long = short;
    for cylinder in &mut long.cylinders {
        cylinder.piston.top_land_height.value = Length::new::<millimeter>(8.0);
    }
    assert_eq!(relief(&long, &ReliefOptions::default()).outcome(), Outcome::ClearsAfterCut);
}

#[test]
fn exact_a_piston_that_stands_higher_elsewhere_counts() {
    let mut build = candidate(HERON, BITTERN_HEAD);
    for cylinder in &mut build.cylinders {
        cylinder.piston.top_land_height.value = Length::new::<millimeter>(9.0);
    }
    // Cylinder 4 is not the one with the least gap.
    build.cylinders[3].piston.deck_offset.value = Length::new::<millimeter>(1.0);
    let answer = relief(&build, &ReliefOptions::default());
    let exhaust = answer.valves.iter().find(|one| one.valve == "exhaust").expect("it hits");
    assert_ne!(exhaust.cylinders[0], 4);
    let fatal: Vec<(&str, usize)> =
        exhaust.cut.as_ref().expect("a cut").fatal().map(|line| (line.of.key(), line.cylinder)).collect();
    assert_eq!(fatal, [("cut_to_top_ring", 4)]);
}
