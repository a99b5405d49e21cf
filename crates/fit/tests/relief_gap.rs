//! The valve in the relieved block: clear by the room asked for, and never claimed clearer than sampled metal shows.

use fit::relief_cut::ReliefCut;
use fit::relief_cutter::{Cutter, Room, Shape};
use fit::relief_gap::{gap_after_cut_m, least_gap_after_cut_m};
use fit::relief_volume::Metal;
use fit::solid::{Obstacle, ValveHead};
use fit::valve_to_metal::gap_m;
use glam::{DVec2, DVec3};
use proptest::prelude::*;
use units::Length;
use units::length::millimeter;

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

fn valve(x: f64, tilt_deg: f64) -> ValveHead {
    let seated = DVec3::new(x * 1e-3, 0.0, 4e-3);
    let tilt = [tilt_deg.to_radians(), 0.0];
    ValveHead::new(27e-3, 1.2e-3, 45_f64.to_radians(), 4e-3, seated, tilt)
}

fn room(radial: f64, axial: f64, float: f64) -> Room {
    Room { radial: mm(radial), axial: mm(axial), float: mm(float) }
}

#[test]
fn exact_room_asked_for_is_there_after_the_cut() {
    let (bore, block) = (50.8e-3, Obstacle::block(50.8e-3, 0.0, 0.0));
    let valve = valve(24.5, 0.0);
    let travel = 11e-3;
    assert!(gap_m(&valve, &block, travel) < 0.0, "the uncut block is hit");
    let square = Shape::Cutter { corner_radius: mm(0.0) };
    let cutter = Cutter::around(&valve, travel, room(1.5, 1.0, 0.8), square).expect("a possible cutter");
    assert!(!ReliefCut::new(cutter, Metal::block(bore, 0.0, 0.0)).is_empty());
    let least = least_gap_after_cut_m(&valve, &block, &cutter, travel);
    assert!((least.value - 1.5e-3).abs() < 1e-9, "{least:?}");
    // A rounded corner keeps metal: from its centre, 2 mm up and 2 mm in, the rim is 0.5 mm out and 0.2 mm down.
    let rounded = Shape::Cutter { corner_radius: mm(2.0) };
    let cutter = Cutter::around(&valve, travel, room(1.5, 1.0, 0.8), rounded).expect("a possible cutter");
    let least = least_gap_after_cut_m(&valve, &block, &cutter, travel).value;
    let expected = 2e-3 - 0.5e-3_f64.hypot(0.2e-3);
    assert!((least - expected).abs() < 1e-9, "{least}, expected {expected}");
}

/// Metal of a relieved block around a valve: points of deck, chamfer and wall that the cutter leaves, and of the
/// cutter's surface in the block.
fn sampled_metal(cutter: &Cutter, metal: &Metal) -> Vec<DVec3> {
    let mut points = Vec::new();
    for around in 0..720 {
        let out = DVec2::from_angle(f64::from(around).to_radians() / 2.0);
        for step in 0..60 {
            let z = -0.25e-3 * f64::from(step);
            points.push((out * metal.border_radius(z)).extend(z));
            points.push((out * (metal.top_radius() + 0.25e-3 * f64::from(step))).extend(0.0));
        }
    }
    points.retain(|p| cutter.distance(*p) >= 0.0);
    for around in 0..720 {
        for step in 0..120 {
            let height = 0.15e-3 * f64::from(step);
            let radius = cutter.radius_at(height).expect("above the end");
            points.push(cutter.point(f64::from(around).to_radians() / 2.0, radius, height));
        }
        for step in 0..60 {
            let radius = cutter.flat * (f64::from(step) / 60.0);
            points.push(cutter.point(f64::from(around).to_radians() / 2.0, radius, 0.0));
        }
    }
    points.retain(|p| metal.holds(*p) || (p.truncate().length() - metal.border_radius(p.z)).abs() < 1e-9);
    points
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    /// For cuts made for another lift and place of the valve, so that neither the cut nor the bore alone clears it.
    #[test]
    fn exact_never_more_than_to_sampled_metal(
        x in 20.0..25.5_f64,
        made_for in 20.0..25.5_f64,
        tilt in -12.0..12.0_f64,
        travel in 5e-3..12e-3_f64,
        cut_travel in 5e-3..12e-3_f64,
        corner in 0.0..2.0_f64,
    ) {
        let metal = Metal::block(50.8e-3, 0.6e-3, 0.8e-3);
        let block = Obstacle::block(50.8e-3, 0.6e-3, 0.8e-3);
        let shape = Shape::Cutter { corner_radius: mm(corner) };
        let cutter = Cutter::around(&valve(made_for, tilt), cut_travel, room(1.0, 1.0, 0.0), shape).expect("possible");
        let valve = valve(x, tilt);
        let found = gap_after_cut_m(&valve, &block, &cutter, travel);
        let to_valve = |p: &DVec3| {
            let q = valve.in_valve(*p - valve.face_center(travel));
            valve.profile.near(q.truncate().length(), q.z).distance
        };
        let sampled = sampled_metal(&cutter, &metal).iter().map(to_valve).fold(f64::INFINITY, f64::min);
        // Apart, no sample may be nearer than the gap; inside each other the depth is counted from the other side.
        if sampled > 0.0 {
            prop_assert!(found <= sampled + 1e-9, "gap {found}, metal at {sampled}");
            // Between a surface and a new edge it may be too small, but not by much.
            prop_assert!(found > 0.5 * sampled - 0.2e-3, "gap {found}, metal at {sampled}");
        } else {
            prop_assert!(found < 0.1e-3, "gap {found}, metal at {sampled}");
        }
    }
}
