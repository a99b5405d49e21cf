//! The maps of the demos: their worst spots are those of `check`, and a cut takes the contact off.

use sheet::{read_build, read_candidate};
use units::Length;

use super::{DyeAnswer, DyeError, DyeGrain, dye_map, dye_map_by_hand};
use crate::mock_up::{Hands, MockUp};
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

#[test]
fn exact_the_screen_sees_what_the_paper_sees() {
    for build in [candidate(HERON, BITTERN_HEAD), candidate(DUNLIN, ROCKERS)] {
        let paper = dye_map(&build, None).expect("the worst cylinder");
        let mock_up = MockUp::new(&build);
        let hands = Hands::default();
        let screen = dye_map_by_hand(&mock_up, &build.name, paper.cylinder, &hands, DyeGrain::Screen)
            .expect("the same cylinder");
        // The worst spots do not come from the grid.
        assert_eq!(paper.spots.len(), screen.spots.len());
        for (one, other) in paper.spots.iter().zip(&screen.spots) {
            assert_eq!((one.gap, one.point_m), (other.gap, other.point_m));
        }
        // Two degrees around a bore is 1.6 mm, a row half a millimetre: half the way to the next node, and a gap changes by no
        // more than that way.
        let (fine, coarse) = (paper.wall.least_gap_m(), screen.wall.least_gap_m());
        assert!(fine <= coarse + 1e-9 && coarse < fine + 8e-4, "{fine} {coarse}");
        let [fine, coarse] =
            [&paper, &screen].map(|dye| dye.crown.as_ref().expect("lobes are given").least_gap_m());
        assert!(fine <= coarse + 1e-9 && coarse < fine + 8e-4, "{fine} {coarse}");
    }
}

#[test]
fn exact_a_head_pushed_away_by_hand_leaves_the_wall() {
    let mock_up = MockUp::new(&candidate(HERON, BITTERN_HEAD));
    let dye = |head_shift: [Length; 2]| {
        let hands = Hands { head_shift, ..Hands::default() };
        dye_map_by_hand(&mock_up, "Heron", 1, &hands, DyeGrain::Screen).expect("there is a cylinder 1")
    };
    let before = dye([Length::default(); 2]);
    let [x, y, _] = before.spots[0].point_m;
    let away = [x, y].map(|along| Length::new::<units::length::meter>(-4e-4 * along / x.hypot(y)));
    let after = dye(away);
    // No gap changes by more than the way, and one that is nearly straight outward by most of it.
    let by = least_spot(&after, true) - least_spot(&before, true);
    assert!(1e-4 < by && by <= 4e-4 + 1e-9, "the worst spot by {by}");
    let on_map = |dye: &DyeAnswer| dye.wall.least_gap_m().min(dye.deck.least_gap_m());
    assert!(on_map(&after) > on_map(&before) + 1e-4, "{} {}", on_map(&before), on_map(&after));
}
