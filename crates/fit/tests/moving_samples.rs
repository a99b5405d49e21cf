//! Least gaps over two turns of invented engines: samples against full looks, sensitivities, rock and loft.

use fit::lift_law::{LiftLaw, Lofted};
use fit::piston_pose::rock_limit_rad;
use fit::two_turns::{LeastGap, MovingParts, MovingValve, Pair, Way, gap_m, two_turns};
use fit::two_turns_samples::least_near_m;
use fit::two_turns_scan::find_dips;
use motion::ValveMotion;
use moving::{Layout, Off, wren, wren_motions};
use proptest::prelude::*;
use std::sync::LazyLock;
use units::CrankAngle;

mod moving;

static MOTIONS: LazyLock<[ValveMotion; 2]> = LazyLock::new(wren_motions);

/// Dips that tolerances can make the least: twice the sum of what moves a gap in these engines.
const SPREAD_M: f64 = 1e-3;

/// Distances are resolved to 5 nm, on both sides of the comparison; where a kink lies beside a dip, a parabola that has been
/// taken for its bottom is off by some tens of nanometres, a hundredth of what the trade can use.
const SAMPLE_TOLERANCE_M: f64 = 1e-7;

/// The straight distance runs along kinks, beside which a new dip may come up in one sample in some thousands: what is asked
/// of gaps at all.
const STRAIGHT_TOLERANCE_M: f64 = 2e-6;

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    /// Following the known dips finds what a look at every degree finds.
    #[test]
    fn exact_sampled_least_gap_is_that_of_the_full_look(
        shares in prop::array::uniform24(-1.0..1.0f64),
        layout in prop::sample::select(vec![Layout::Wedge, Layout::WedgeFlat, Layout::PentRoof]),
        rock_rad in prop::sample::select(vec![0.0, 2e-3]),
    ) {
        let rocking = |parts: MovingParts<ValveMotion>| MovingParts { rock_rad, ..parts };
        let known = find_dips(&rocking(wren(&MOTIONS, layout, &Off::default())), SPREAD_M);
        let sample = rocking(wren(&MOTIONS, layout, &Off { shares }));
        let full = two_turns(&sample);
        for of_pair in &known {
            let near = least_near_m(&sample, of_pair);
            let least = full.iter().find(|least| least.pair == of_pair.pair);
            // A margin that stays out of its pocket has no gap to its wall.
            let gap = least.map_or(f64::INFINITY, |least| least.gap_m);
            let straight = matches!(of_pair.pair, Pair::ValveToPiston(_, Way::Distance));
            let tolerance = if straight { STRAIGHT_TOLERANCE_M } else { SAMPLE_TOLERANCE_M };
            prop_assert!(
                near == gap || (near - gap).abs() < tolerance,
                "{:?}: {near} from {:?}", least, of_pair.dips
            );
        }
    }

    /// The found least is not above the gap at any angle.
    #[test]
    fn exact_least_is_least(
        shares in prop::array::uniform24(-1.0..1.0f64),
        layout in prop::sample::select(vec![Layout::Wedge, Layout::WedgeFlat, Layout::PentRoof]),
        rock_rad in prop::sample::select(vec![0.0, 2e-3]),
    ) {
        let parts = MovingParts { rock_rad, ..wren(&MOTIONS, layout, &Off { shares }) };
        for least in two_turns(&parts) {
            for step in 0..240 {
                let gap = gap_m(&parts, least.pair, f64::from(step) * 3.0 + shares[0]);
                prop_assert!(gap >= least.gap_m - SAMPLE_TOLERANCE_M, "{least:?}: {gap} at {step}");
            }
        }
    }
}

fn least_of<L: LiftLaw>(parts: &MovingParts<L>, pair: Pair) -> LeastGap {
    two_turns(parts).into_iter().find(|least| least.pair == pair).expect("that pair")
}

fn with_cam(layout: Layout, advance_deg: f64) -> MovingParts<ValveMotion> {
    let turned = MOTIONS.each_ref().map(|motion| motion.advanced(CrankAngle::from_degrees(advance_deg)));
    wren(&turned, layout, &Off::default())
}

/// Turning the cam moves the least gap by what the piston moves in the same angle at the closest approach: up for one
/// valve, down for the other. In a pocket that stands across the bore, the part of it along the pocket's axis.
#[test]
fn exact_sensitivity_to_the_cam_is_piston_speed() {
    const STEP_DEG: f64 = 0.1;
    for layout in [Layout::Wedge, Layout::WedgeFlat, Layout::PentRoof] {
        let now = wren(&MOTIONS, layout, &Off::default());
        for idx in 0..now.valves.len() {
            let pair = Pair::ValveToPiston(idx, Way::Vertical);
            let at = least_of(&now, pair);
            let gap = |advance: f64| least_of(&with_cam(layout, advance), pair).gap_m;
            let by_cam = (gap(STEP_DEG) - gap(-STEP_DEG)) / (2.0 * STEP_DEG);
            let speed = -now.crank.drop_per_degree(CrankAngle::from_degrees(at.crank_deg)).value;
            assert!((by_cam / speed - 1.0).abs() < 0.01, "{at:?}: {by_cam} m/deg, piston {speed} m/deg");
        }
    }
}

/// The closest approach is some degrees to the side of the top where each valve is open: exhaust before, intake after.
#[test]
fn exact_closest_near_overlap_top() {
    let parts = wren(&MOTIONS, Layout::WedgeFlat, &Off::default());
    let deg = [0, 1].map(|idx| least_of(&parts, Pair::ValveToPiston(idx, Way::Axial)).crank_deg);
    assert!(360.0 < deg[0] && deg[0] < 380.0, "intake {}", deg[0]);
    assert!(340.0 < deg[1] && deg[1] < 360.0, "exhaust {}", deg[1]);
}

/// A piston that leans toward the valve takes about lean times distance from the pin.
#[test]
fn exact_rock_takes_lean_times_distance() {
    let rock_rad = rock_limit_rad(0.08e-3, 45e-3, 0.5e-3, 32e-3);
    assert!((rock_rad - 0.08 / 45.0).abs() < 1e-6);
    let straight = wren(&MOTIONS, Layout::WedgeFlat, &Off::default());
    let rocking = MovingParts { rock_rad, ..straight.clone() };
    for idx in [0, 1] {
        let pair = Pair::ValveToPiston(idx, Way::Vertical);
        let (before, after) = (least_of(&straight, pair), least_of(&rocking, pair));
        let arm = (before.point_m.y - rocking.pin_m[0]).abs();
        let taken = before.gap_m - after.gap_m;
        // At its foot the valve leans too: a tenth for how far the nearest point moves.
        assert!((taken - rock_rad * arm).abs() < 0.1 * rock_rad * arm, "{taken} of {}", rock_rad * arm);
    }
}

/// Loft takes clearance on the closing side only: from the exhaust, not from the intake, and no more than itself.
#[test]
fn exact_loft_takes_from_the_closing_valve() {
    const LOFT_M: f64 = 0.4e-3;
    let straight = wren(&MOTIONS, Layout::WedgeFlat, &Off::default());
    let lofted = MovingParts {
        valves: straight
            .valves
            .iter()
            .map(|valve| MovingValve {
                lift: Lofted { law: valve.lift.clone(), loft_m: LOFT_M },
                head: valve.head.clone(),
                crown: valve.crown.clone(),
                pocket: valve.pocket,
            })
            .collect(),
        crank: straight.crank,
        deck_offset_m: straight.deck_offset_m,
        rock_rad: straight.rock_rad,
        top: straight.top,
        chamber: None,
        pin_m: straight.pin_m,
        head_face_m: straight.head_face_m,
    };
    let taken = [0, 1].map(|idx| {
        let pair = Pair::ValveToPiston(idx, Way::Axial);
        least_of(&straight, pair).gap_m - least_of(&lofted, pair).gap_m
    });
    assert!(taken[0].abs() < 1e-9, "intake {}", taken[0]);
    assert!((taken[1] - LOFT_M).abs() < 1e-8, "exhaust {}", taken[1]);
}
