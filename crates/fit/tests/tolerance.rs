//! The quick way to a first contact against the full sweep, on scenes off by tolerances; and changes by reading against
//! whole least gaps.

mod invented;

use fit::first_contact::sweep;
use fit::scene::{Scene, Surrounding};
use fit::tolerance::Spread;
use proptest::prelude::*;

/// Both ways resolve the lift to 0.01 micrometres; where the valve slides in at a flat angle that grows.
const CLOSE_M: f64 = 1e-6;

fn check(y_mm: f64, tilt_y_deg: f64, surrounding: Surrounding, deviations: &[f64]) {
    let cylinder = invented::cylinder(y_mm, tilt_y_deg);
    let spread = Spread::new(&Scene::new(&cylinder, &cylinder.head.valves[0]), surrounding);
    let deviations = &deviations[..spread.params.len()];
    let quick = spread.first_contact_m(deviations);
    let scene = spread.sampled(deviations);
    let full = sweep(&scene.valve(), &scene.obstacle(surrounding), surrounding, scene.travel_m());
    match (quick, full.first_contact.map(|gap| gap.lift_m)) {
        (Some(quick), Some(full)) => {
            assert!((quick - full).abs() < CLOSE_M, "contact {quick} m, full {full} m");
        }
        // A graze may go either way.
        (quick, contact) => {
            let agree = quick.is_some() == contact.is_some() || full.least.distance_m.abs() < CLOSE_M;
            assert!(agree, "{quick:?}, full {contact:?}, least gap {:?}", full.least);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(2000) })]

    #[test]
    fn quick_contacts_agree_with_the_full_sweep(
        y_mm in 18.0..28.0_f64,
        tilt in -12.0..12.0_f64,
        deviations in prop::collection::vec(-3.0..3.0_f64, 24),
    ) {
        check(y_mm, tilt, Surrounding::Block, &deviations);
        check(y_mm, tilt, Surrounding::Gasket, &deviations);
    }

    #[test]
    fn changes_add_up_to_the_change_of_the_least_gap(
        y_mm in 17.0..20.0_f64,
        tilt in -6.0..6.0_f64,
        deviations in prop::collection::vec(-0.3..0.3_f64, 24),
    ) {
        let cylinder = invented::cylinder(y_mm, tilt);
        let scene = Scene::new(&cylinder, &cylinder.head.valves[0]);
        let spread = Spread::new(&scene, Surrounding::Block);
        let least = |scene: &Scene| {
            let metal = scene.obstacle(Surrounding::Block);
            sweep(&scene.valve(), &metal, Surrounding::Block, scene.travel_m()).least
        };
        let nominal = least(&scene);
        let changes = spread.changes_m(nominal.lift_m);
        let expected: f64 = changes.iter().zip(&deviations).map(|((_, change), by)| change * by).sum();
        let found = least(&spread.sampled(&deviations[..changes.len()])).distance_m - nominal.distance_m;
        // Second order in a third of a standard deviation: a few micrometres.
        prop_assert!((found - expected).abs() < 1e-5, "{found} m, by the changes {expected} m");
    }
}
