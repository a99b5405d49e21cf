//! The trial with a dial indicator, backwards: a valve moved by a known amount is found there again.

mod invented;

use fit::first_contact::sweep;
use fit::offset_from_contact::{OffsetError, offset_from_contact};
use fit::scene::{Param, Scene, Surrounding};

fn contact_m(scene: &Scene) -> Option<f64> {
    let metal = scene.obstacle(Surrounding::Block);
    let found = sweep(&scene.valve(), &metal, Surrounding::Block, scene.travel_m());
    found.first_contact.map(|gap| gap.lift_m)
}

fn scene(tilt_y_deg: f64) -> Scene {
    let cylinder = invented::cylinder(22.0, tilt_y_deg);
    Scene::new(&cylinder, &cylinder.head.valves[0])
}

/// Moves the valve outward and asks where it is; leaning outward it meets the wall, so every offset has its own lift.
fn check(tilt_y_deg: f64, outward_m: f64) {
    let sheet = scene(tilt_y_deg);
    let (x, y) = (sheet.get(Param::X), sheet.get(Param::Y));
    let mut real = sheet.clone();
    real.values[Param::X as usize] = x + outward_m * x / x.hypot(y);
    real.values[Param::Y as usize] = y + outward_m * y / x.hypot(y);
    let contact = contact_m(&real).expect("the moved valve touches");
    let found = offset_from_contact(&sheet, Surrounding::Block, contact).expect("an offset explains it");
    assert!((found.moved_m - outward_m).abs() < 1e-7, "moved {} m, really {outward_m} m", found.moved_m);
    assert!(found.per_lift < 0.0, "further out touches earlier: {}", found.per_lift);
}

#[test]
fn exact_offsets_come_back() {
    for outward_mm in [-0.3, 0.1, 0.25] {
        check(-8.0, outward_mm * 1e-3);
    }
}

#[test]
fn contacts_that_no_offset_explains_are_refused() {
    let sheet = scene(0.0);
    let too_early = offset_from_contact(&sheet, Surrounding::Block, 1e-3);
    assert!(matches!(too_early, Err(OffsetError::NoPosition { .. })), "{too_early:?}");
    let beyond = offset_from_contact(&sheet, Surrounding::Block, 11e-3);
    assert!(matches!(beyond, Err(OffsetError::OutsideTravel { .. })), "{beyond:?}");
}
