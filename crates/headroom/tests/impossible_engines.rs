//! Any sheet that reads gets numbers, however impossible the engine.

use headroom::{CheckOptions, Status, check};
use proptest::prelude::*;

fn sheet(v: &[f64; 14]) -> String {
    let [
        bore,
        stroke,
        gasket,
        opening,
        diameter,
        x,
        y,
        recess,
        tilt_x,
        tilt_y,
        lift,
        chamfer,
        margin,
        spacing,
    ] = v;
    format!(
        "format = 1\nname = \"impossible\"\n[engine]\ncylinders = 3\n\
         [block]\nbore = \"{bore:.3} mm\"\nstroke = \"{stroke:.3} mm\"\nchamfer_width = \"{chamfer:.3} mm\"\n\
         bore_spacing = \"{spacing:.3} mm\"\n\
         [gasket]\nthickness = \"{gasket:.3} mm\"\nopening = \"{opening:.3} mm\"\n\
         [head]\nchamber_volume = \"40 cc\"\nbore_spacing = \"100 mm\"\n\
         [[head.valve]]\nname = \"intake\"\nduty = \"intake\"\nhead_diameter = \"{diameter:.3} mm\"\n\
         x = \"{x:.3} mm\"\ny = \"{y:.3} mm\"\nrecess = \"{recess:.3} mm\"\nmargin = \"{margin:.3} mm\"\n\
         tilt_x = \"{tilt_x:.3} deg\"\ntilt_y = \"{tilt_y:.3} deg\"\n\
         [[head.valve]]\nname = \"exhaust\"\nduty = \"exhaust\"\nhead_diameter = \"30 mm\"\nx = \"-18 mm\"\ny = \"0 mm\"\n\
         [cam.intake]\nvalve_lift = \"{lift:.3} mm\"\n[cam.exhaust]\nvalve_lift = \"9 mm\"\n"
    )
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    #[test]
    fn every_engine_gets_finite_findings(
        bore in 20.0..300.0_f64, stroke in 20.0..300.0_f64, gasket in 0.1..8.0_f64, opening in 20.0..320.0_f64,
        diameter in 8.0..200.0_f64, x in -150.0..150.0_f64, y in -150.0..150.0_f64, recess in -30.0..30.0_f64,
        tilt_x in -59.0..59.0_f64, tilt_y in -59.0..59.0_f64, lift in 0.5..40.0_f64, chamfer in 0.0..5.0_f64,
        margin in 0.1..6.0_f64, spacing in 60.0..200.0_f64,
    ) {
        let text =
            sheet(&[bore, stroke, gasket, opening, diameter, x, y, recess, tilt_x, tilt_y, lift, chamfer, margin, spacing]);
        // Some combinations the reader refuses by a field's own range; what it takes must be answered.
        let Ok(read) = sheet::read_build(&text) else { return Ok(()) };
        let answer = check(&read.build, &CheckOptions { n_samples: 64 });
        prop_assert!(!answer.findings.is_empty());
        for finding in &answer.findings {
            let Some(seen) = &finding.seen else {
                prop_assert_eq!(finding.status, Status::Unmeasured);
                continue;
            };
            for number in [seen.gap.value, seen.tolerance.value, seen.chance_of_hitting, seen.chance_under_limit] {
                prop_assert!(number.is_finite(), "{finding:?}");
            }
            prop_assert_eq!(finding.status == Status::Hits, seen.gap.value <= 0.0);
            prop_assert_eq!(seen.first_contact.is_some(), seen.gap.value <= 0.0 && finding.valve.is_some());
        }
    }
}
