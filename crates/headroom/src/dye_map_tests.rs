//! The maps of the demos: their worst spots are those of `check`, and a cut takes the contact off.

use sheet::{read_build, read_candidate};
use units::Length;

use super::{DyeAnswer, DyeError, dye_map};
use crate::relief::{ReliefOptions, relief};
use crate::relief_apply::with_reliefs;
use parts::Build;
use parts::limit::Check;

const HERON: &str = include_str!("../../../demos/heron.build.toml");
const BITTERN_HEAD: &str = include_str!("../../../demos/heron-with-bittern-head.swap.toml");
const DUNLIN: &str = include_str!("../../../demos/dunlin.build.toml");
const ROCKERS: &str = include_str!("../../../demos/dunlin-rocker.swap.toml");

fn candidate(base: &str, swap: &str) -> Build {
    read_candidate(base, swap, &mut |_| Err("no other file".into()))
        .unwrap_or_else(|problems| panic!("{problems}"))
        .build
}

fn least_spot(dye: &DyeAnswer, of_block: bool) -> f64 {
    let spots = dye.spots.iter().filter(|spot| (spot.check == Check::ValveToBlock) == of_block);
    spots.map(|spot| spot.gap.value).fold(f64::INFINITY, f64::min)
}

#[test]
fn exact_the_least_of_the_maps_is_the_gap_of_the_worst_spot() {
    for build in [candidate(HERON, BITTERN_HEAD), candidate(DUNLIN, ROCKERS)] {
        let dye = dye_map(&build, None).expect("the worst cylinder");
        let block = dye.wall.least_gap_m().min(dye.deck.least_gap_m()) - least_spot(&dye, true);
        // Half a degree around a bore is 0.4 mm, a row 0.25 mm; a gap changes by no more than the way to the next node.
        assert!((-2e-5..2.5e-4).contains(&block), "{}: off by {block} m on the block", build.name);
        let crown = dye.crown.as_ref().expect("lobes are given").least_gap_m() - least_spot(&dye, false);
        assert!((-2e-5..2e-4).contains(&crown), "{}: off by {crown} m on the crown", build.name);
        assert!(dye.spots.iter().all(|spot| spot.crank.is_some()));
    }
}

#[test]
fn exact_a_cut_takes_the_contact_off_the_map() {
    let build = candidate(HERON, BITTERN_HEAD);
    let before = dye_map(&build, Some(1)).expect("there is a cylinder 1");
    assert!(before.spots[0].gap < Length::default());
    let answer = relief(&build, &ReliefOptions::default());
    let after = dye_map(&with_reliefs(&build, &answer), Some(1)).expect("there is a cylinder 1");
    let limit_m = before.spots[0].limit.value;
    // The corner of the cutter is outside the room it was laid out for.
    assert!(after.wall.least_gap_m() > limit_m - 1e-5, "{}", after.wall.least_gap_m());
    assert!(after.deck.least_gap_m() > limit_m - 1e-5, "{}", after.deck.least_gap_m());
}

#[test]
fn exact_a_cylinder_that_is_not_there_is_wrong() {
    let build = read_build(HERON).unwrap_or_else(|problems| panic!("{problems}")).build;
    let wrong = dye_map(&build, Some(7)).expect_err("the Heron has fewer");
    assert_eq!(wrong, DyeError::NoSuchCylinder { number: 7, n_cylinders: build.cylinders.len() });
}
