//! What moves over the piston, asked through whole sheets: phasers, loft, pistons that lean, domes and dishes.

use headroom::{CheckOptions, Finding, check};
use parts::limit::Check;
use parts::{Build, Duty};
use units::length::millimeter;

const HERON: &str = include_str!("../../../demos/heron.build.toml");
const TEAL: &str = include_str!("../../../demos/teal.build.toml");
const DUNLIN: &str = include_str!("../../../demos/dunlin.build.toml");

fn build(text: &str) -> Build {
    sheet::read_build(text).unwrap_or_else(|problems| panic!("{problems}")).build
}

/// The sheet with `lines` put right below the header of a table.
fn with(text: &str, header: &str, lines: &str) -> Build {
    assert!(text.contains(header), "{header}");
    build(&text.replacen(header, &format!("{header}\n{lines}"), 1))
}

fn finding(build: &Build, kind: Check) -> Finding {
    let answer = check(build, &CheckOptions::default());
    answer.findings.into_iter().find(|finding| finding.check == kind).expect("that check")
}

fn gap_mm(build: &Build, kind: Check) -> f64 {
    finding(build, kind).gap().expect("a gap").get::<millimeter>()
}

/// A margin that just reaches into its pocket leaves it with some readings a little off: the gap to the pocket's wall has a
/// doubt that is a number all the same.
#[test]
fn regress_pocket_walls_that_are_just_reached_have_a_finite_doubt() {
    let read = |name: &str| {
        let path = format!("{}/../../demos/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"))
    };
    for (base, swap) in [
        ("heron", "heron-with-bittern-head"),
        ("kestrel", "kestrel-big-valves"),
        ("teal", "teal-skimmed"),
        ("dunlin", "dunlin-rocker"),
        ("dunlin", "dunlin-fly-cut"),
    ] {
        let base = read(&format!("{base}.build"));
        let swapped = sheet::read_candidate(&base, &read(&format!("{swap}.swap")), &mut |name| {
            Ok(read(name.trim_end_matches(".toml")))
        });
        for build in [build(&base), swapped.unwrap_or_else(|problems| panic!("{problems}")).build] {
            for finding in check(&build, &CheckOptions::default()).findings {
                let Some(seen) = &finding.seen else { continue };
                let numbers = [seen.tolerance.value, seen.chance_of_hitting, seen.chance_under_limit];
                assert!(numbers.iter().all(|number| number.is_finite()), "{}: {finding:?}", build.name);
                if finding.check == Check::PocketRadial {
                    assert!(seen.tolerance.value > 0.0, "{}: {finding:?}", build.name);
                }
            }
        }
    }
}

/// The check finds what the cam installed at the phaser's worst end would show, and says where the phaser stands.
#[test]
fn exact_phasers_are_checked_at_their_worst() {
    let phaser = with(HERON, "[cam.intake]", "phase_advance = \"25 deg\"\nphase_retard = \"10 deg\"");
    let earlier = |by: f64| {
        let mut turned = build(HERON);
        for cylinder in &mut turned.cylinders {
            let gear = cylinder.gear.intake.as_mut().expect("an intake lobe");
            let advance = &mut gear.lobe.timing.installed_advance.value;
            *advance = units::CrankAngle::from_degrees(advance.degrees() + by);
        }
        turned
    };
    for kind in [Check::IntakeToPiston, Check::ValveToValve] {
        let phased = gap_mm(&phaser, kind);
        let installed = gap_mm(&earlier(25.0), kind);
        assert!((phased - installed).abs() < 1e-6, "{kind:?}: {phased} {installed}");
        assert!(phased < gap_mm(&build(HERON), kind) + 1e-9);
        assert!(phased <= gap_mm(&earlier(-10.0), kind) + 1e-6);
    }
    let seen = finding(&phaser, Check::IntakeToPiston).seen.expect("a gap");
    assert_eq!(seen.phaser.len(), 1);
    assert_eq!(seen.phaser[0].0, Duty::Intake);
    assert!((seen.phaser[0].1.degrees() - 25.0).abs() < 1e-9);
    // The exhaust knows nothing of it.
    let exhaust = [&phaser, &build(HERON)].map(|build| gap_mm(build, Check::ExhaustToPiston));
    assert_eq!(exhaust[0], exhaust[1]);
}

/// Both phasers toward each other: valve to valve is worst with the intake earliest and the exhaust latest.
#[test]
fn exact_two_phasers_meet_in_the_overlap() {
    let intake = TEAL.replacen("[cam.intake]", "[cam.intake]\nphase_advance = \"20 deg\"", 1);
    let both = with(&intake, "[cam.exhaust]", "phase_retard = \"15 deg\"");
    let seen = finding(&both, Check::ValveToValve).seen.expect("a gap");
    let by = |duty: Duty| {
        let of_duty = seen.phaser.iter().find(|(known, _)| *known == duty);
        of_duty.expect("it has moved").1.degrees()
    };
    assert!((by(Duty::Intake) - 20.0).abs() < 1e-9 && (by(Duty::Exhaust) + 15.0).abs() < 1e-9);
}

/// A valve that lofts closes later: the exhaust loses what it lofts over the piston, the intake next to nothing, and both
/// lose it where full lift counts.
#[test]
fn exact_loft_is_taken_off() {
    let lofted = with(HERON, "[train.exhaust]", "loft = \"0.40 mm ± 0.05\"");
    let taken = |kind: Check| {
        let of = |build: &Build| {
            let findings = check(build, &CheckOptions::default()).findings;
            let valve = if kind == Check::IntakeToPiston { "intake" } else { "exhaust" };
            let asked = |finding: &&Finding| finding.check == kind && finding.valve.as_deref() == Some(valve);
            findings.iter().find(asked).expect("that check").gap().expect("a gap").get::<millimeter>()
        };
        of(&build(HERON)) - of(&lofted)
    };
    assert!((taken(Check::ExhaustToPiston) - 0.4).abs() < 1e-4, "{}", taken(Check::ExhaustToPiston));
    assert!(taken(Check::IntakeToPiston).abs() < 1e-9);
    for kind in [Check::RetainerToSeal, Check::CoilBind] {
        assert!((taken(kind) - 0.4).abs() < 1e-9, "{kind:?} {}", taken(kind));
    }
}

/// The edge of a piston rises by its radius times the sine of the lean, and its middle sinks by what turning about the pin
/// makes of the height over it.
#[test]
fn exact_a_piston_that_leans_brings_its_edge_nearer() {
    let straight = build(&DUNLIN.replacen("0.0025 in +/- 0.0005", "0 in +/- 0.0005", 1));
    let leaning = build(DUNLIN);
    let taken = gap_mm(&straight, Check::PistonEdge) - gap_mm(&leaning, Check::PistonEdge);
    let lean = (0.0025_f64 / 1.90).atan();
    let radius_mm = (3.2 / 2.0 - 0.016) * 25.4;
    let expected = radius_mm * lean.sin() - 1.545 * 25.4 * (1.0 - lean.cos());
    assert!((taken - expected).abs() < 1e-5, "{taken} {expected}");
    // The middle of the crown is where it was.
    assert_eq!(gap_mm(&straight, Check::PistonToHead), gap_mm(&leaning, Check::PistonToHead));
    assert!(gap_mm(&leaning, Check::IntakeToPiston) < gap_mm(&straight, Check::IntakeToPiston) - 0.01);
}

/// Upright valves over the plateau of a dome lose its height, over the floor of a dish they win its depth.
#[test]
fn exact_dome_and_dish_count_under_the_valves() {
    let straight = HERON.replacen("[piston]", "[piston]\nskirt_clearance = \"0 mm\"", 1);
    let flat = build(&straight);
    let dome = "[piston.dome]\nbase_diameter = \"80 mm\"\ntop_diameter = \"79 mm\"\nheight = \"0.6 mm\"\n";
    let dish = "[piston.dish]\ndiameter = \"81 mm\"\ndepth = \"1.5 mm\"\nx = \"0 mm\"\ny = \"0 mm\"\n";
    let put = |table: &str| build(&straight.replacen("[head]", &format!("{table}\n[head]"), 1));
    for (table, by_mm) in [(dome, -0.6), (dish, 1.5)] {
        let changed = put(table);
        for kind in [Check::IntakeToPiston, Check::ExhaustToPiston] {
            let won = gap_mm(&changed, kind) - gap_mm(&flat, kind);
            // Where the closest approach falls differs a little with the height.
            assert!((won - by_mm).abs() < 0.02, "{kind:?} {table}: {won}");
        }
    }
}

/// A dome that stands up beside the chamber's wall is nearer to it than the crown's edge to its edge.
#[test]
fn exact_dome_to_the_wall_of_the_chamber() {
    let text = DUNLIN.replacen("0.0025 in +/- 0.0005", "0 in +/- 0.0005", 1);
    let dome =
        "[piston.dome]\nbase_diameter = \"3.14 in\"\ntop_diameter = \"3.10 in\"\nheight = \"0.10 in\"\n";
    let domed = build(&text.replacen("[cam.intake]", &format!("{dome}\n[cam.intake]"), 1));
    let gap = gap_mm(&domed, Check::PistonEdge);
    // Chamber 3.160 in across, its lower edge 0.045 in over the crown's flat; the side falls 0.02 in over 0.10 in.
    let slope = 0.2_f64;
    let expected = 25.4 * (0.010 + slope * 0.045) / slope.hypot(1.0);
    assert!((gap - expected).abs() < 1e-4, "{gap} {expected}");
}
