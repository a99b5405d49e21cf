//! The model of a build: what a geometry-only sheet gives, and that every number of a build reaches it.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::f64::consts::PI;

use cycle::fidelity::Fidelity;
use cycle::from_build::{FromBuildError, LobeFits, Taken, model, model_with};
use cycle::model::{End, Model, Side};
use cycle::network_plan::NetworkPlan;
use parts::running::{BenchRow, BenchTable, ExhaustLayout, FlowMeasure, InductionLayout, ReferenceArea};
use parts::{Build, Duty};
use units::{CrankAngle, Length, Pressure, Quantity, Ratio, Reading, VolumeRate};

fn demo(name: &str) -> Build {
    let path = format!("{}/../../demos/{name}.build.toml", env!("CARGO_MANIFEST_DIR"));
    sheet::read_build(&std::fs::read_to_string(path).unwrap()).unwrap().build
}

/// A four of geometry alone, the numbers from a workshop manual's page.
fn bare() -> Build {
    let text = r#"
format = 1
name = "bare four"
[engine]
cylinders = 4
[block]
bore = "86 mm"
stroke = "86 mm"
[head]
chamber_volume = "48 cc"
[[head.valve]]
name = "intake"
duty = "intake"
head_diameter = "43 mm"
x = "18 mm"
y = "0 mm"
lift = "10 mm"
[[head.valve]]
name = "exhaust"
duty = "exhaust"
head_diameter = "36 mm"
x = "-20 mm"
y = "0 mm"
lift = "10 mm"
"#;
    sheet::read_build(text).unwrap().build
}

/// Every pipe end leads somewhere that exists, every volume has a way in and out, the network can be planned.
fn check_sound(model: &Model) {
    NetworkPlan::new(model, &Fidelity::Screen.settings()).unwrap();
    for volume in 0..model.volumes.len() {
        let ends = model.pipes.iter().flat_map(|pipe| [pipe.left, pipe.right]);
        let n = ends.filter(|end| matches!(end, End::Volume(v, _) if *v == volume)).count();
        assert!(n >= 2, "volume {volume} has {n} pipes");
    }
    for pipe in &model.pipes {
        assert!(pipe.left != End::Closed && pipe.right != End::Closed);
        assert!(pipe.bore_m.windows(2).all(|pair| pair[0].0 < pair[1].0), "{:?}", pipe.bore_m);
        assert!(pipe.bore_m.iter().all(|&(_, d)| 0.005 < d && d < 0.5), "{:?}", pipe.bore_m);
    }
    for cylinder in &model.cylinders {
        for flow in [&cylinder.intake, &cylinder.exhaust] {
            let open = flow.into_m2.iter().filter(|area| **area > 0.0).count();
            assert!((180..400).contains(&open), "open for {open} degrees");
            let most = flow.into_m2.iter().copied().fold(0.0, f64::max) / flow.head_area_m2;
            assert!(0.3 < most && most < 0.75, "effective area over head area {most}");
        }
    }
}

#[test]
fn exact_every_demo_becomes_a_sound_model() {
    for name in ["heron", "kestrel", "teal", "dunlin"] {
        let build = demo(name);
        let (model, _) = model(&build).unwrap();
        check_sound(&model);
        for (cylinder, from) in model.cylinders.iter().zip(&build.cylinders) {
            let swept = 0.25 * PI * cylinder.bore_m.powi(2) * cylinder.stroke_m;
            let bore_m2 = volume::bore_area(&from.block).si();
            assert!((swept / (bore_m2 * from.block.stroke.value.si()) - 1.0).abs() < 1e-12);
            let clearance = volume::clearance_volumes(from).total().si();
            assert!(((cylinder.clearance_m3 + cylinder.crevice_m3) / clearance - 1.0).abs() < 1e-12);
        }
    }
}

#[test]
fn exact_geometry_alone_is_enough_and_says_what_is_assumed() {
    let (model, assumed) = model(&bare()).unwrap();
    check_sound(&model);
    let swept = 0.25 * PI * 0.086f64.powi(3);
    let of_first = 0.25 * PI * model.cylinders[0].bore_m.powi(2) * model.cylinders[0].stroke_m;
    assert!((4.0 * of_first / (4.0 * swept) - 1.0).abs() < 1e-12);
    for path in [
        "engine.firing_order",
        "induction.runner_length",
        "exhaust.layout",
        "flow.intake",
        "fuel.kind",
        "spark.timing",
        "cam.intake.lobe_lift",
        "friction.main_diameter",
    ] {
        let found = assumed.iter().find(|assumed| assumed.path == path);
        let found = found.unwrap_or_else(|| panic!("{path} is not listed"));
        assert!(!found.rule.is_empty() && !found.shown(units::UnitSystem::Metric).is_empty());
    }
    // Every reading has a real rule, and the list says each thing once.
    for (at, one) in assumed.iter().enumerate() {
        assert!(assumed[..at].iter().all(|other| other.path != one.path), "{} twice", one.path);
        if let Taken::Reading { value_si, tolerance_si, .. } = one.taken {
            assert!(value_si.is_finite() && tolerance_si >= 0.0, "{}", one.path);
        }
    }
}

#[test]
fn exact_what_is_given_is_not_assumed() {
    let mut build = bare();
    let before = model(&build).unwrap();
    let length = Reading::measured(Length::from_si(0.31), Length::from_si(0.002));
    build.running.induction.runner_length = Some(length);
    let (after, assumed) = model(&build).unwrap();
    assert!(assumed.iter().all(|one| one.path != "induction.runner_length"));
    let runner = |model: &Model| {
        let to_first = |pipe: &&cycle::model::Pipe| pipe.right == End::Valves(0, Side::Intake);
        model.pipes.iter().find(to_first).unwrap().length_m()
    };
    let port = 1.15 * 0.086;
    assert!((runner(&after) - (0.31 + port)).abs() < 1e-12);
    assert!((runner(&before.0) - runner(&after)).abs() > 1e-3);
}

#[test]
fn exact_a_bench_table_gives_its_area_at_its_lift() {
    let inh2o = 249.089;
    let cfm = 0.3048f64.powi(3) / 60.0;
    let mut build = bare();
    let row =
        |mm: f64, flow: f64| BenchRow::flow(Length::from_si(mm * 1e-3), VolumeRate::from_si(flow * cfm));
    let table = BenchTable {
        measure: FlowMeasure::Flow {
            test_pressure: Reading::measured(Pressure::from_si(28.0 * inh2o), Pressure::default()),
        },
        rows: vec![row(2.5, 60.0), row(5.0, 118.0), row(7.5, 150.0), row(10.0, 165.0)],
        factor: Reading::measured(Ratio::from_si(1.0), Ratio::from_si(0.02)),
    };
    build.running.flow.intake = Some(table);
    let (model, assumed) = model(&build).unwrap();
    assert!(assumed.iter().all(|one| !one.path.starts_with("flow.intake")));
    let most = model.cylinders[0].intake.into_m2.iter().copied().fold(0.0, f64::max);
    // 165 cfm over 146.9 cfm a square inch and the compressible factor 0.963 at 28 inH2O, both rounded to three
    // figures; the nose lies within half a degree of an entry.
    let expected = 165.0 / 146.9 / 0.963 * 0.0254 * 0.0254;
    assert!((most / expected - 1.0).abs() < 3e-3, "{most} {expected}");
}

#[test]
fn exact_coefficients_on_three_areas_agree_where_the_areas_do() {
    // At a lift of a quarter of the head the curtain equals the head's circle.
    let most = |area: ReferenceArea| {
        let mut build = bare();
        build.running.ports.intake.throat_diameter =
            Some(Reading::measured(Length::from_si(0.043f64.hypot(0.2 * 0.043)), Length::default()));
        build.running.flow.intake = Some(BenchTable {
            measure: FlowMeasure::Coefficient(area),
            rows: vec![BenchRow { lift: Length::from_si(0.25 * 0.043), value_si: 0.55 }],
            factor: Reading::measured(Ratio::from_si(1.0), Ratio::default()),
        });
        let (model, _) = model(&build).unwrap();
        model.cylinders[0].intake.into_m2.iter().copied().fold(0.0, f64::max)
    };
    let curtain = most(ReferenceArea::Curtain);
    assert!((most(ReferenceArea::Head) / curtain - 1.0).abs() < 1e-12);
    assert!((most(ReferenceArea::Throat) / curtain - 1.0).abs() < 1e-12);
}

#[test]
fn exact_every_layout_is_a_sound_network_for_any_number_of_cylinders() {
    for n_cylinders in [1, 2, 3, 4, 5, 6, 8, 10, 12, 16] {
        for banks in [1, 2] {
            if n_cylinders % banks != 0 {
                continue;
            }
            let mut build = bare();
            let one = build.cylinders[0].clone();
            build.cylinders =
                (1..=n_cylinders).map(|number| parts::Cylinder { number, ..one.clone() }).collect();
            build.engine.banks = banks;
            for induction in [InductionLayout::Plenum, InductionLayout::Individual] {
                for exhaust in [
                    ExhaustLayout::Separate,
                    ExhaustLayout::Log,
                    ExhaustLayout::Collector,
                    ExhaustLayout::Pairs,
                ] {
                    for silenced in [false, true] {
                        build.running.induction.layout = Some(induction);
                        build.running.exhaust.layout = Some(exhaust);
                        build.running.exhaust.silenced = Some(silenced);
                        check_sound(&model(&build).unwrap().0);
                    }
                }
            }
        }
    }
}

#[test]
fn exact_a_four_two_one_pairs_cylinders_that_fire_a_turn_apart() {
    let mut build = bare();
    build.running.exhaust.layout = Some(ExhaustLayout::Pairs);
    let (model, _) = model(&build).unwrap();
    let leads_to = |cylinder: usize| {
        model.pipes.iter().find(|pipe| pipe.left == End::Valves(cylinder, Side::Exhaust)).unwrap().right
    };
    assert_eq!(leads_to(0), leads_to(3));
    assert_eq!(leads_to(1), leads_to(2));
    assert_ne!(leads_to(0), leads_to(1));
    let turn = (model.cylinders[0].fires_at_deg - model.cylinders[3].fires_at_deg).abs();
    assert!((turn - 360.0).abs() < 1e-9);
}

#[test]
fn exact_siamesed_ports_share_runner_and_primary() {
    let mut build = bare();
    build.running.ports.intake.siamesed = vec![[1, 2], [3, 4]];
    build.running.ports.exhaust.siamesed = vec![[2, 3]];
    build.running.induction.layout = Some(InductionLayout::Individual);
    build.running.exhaust.layout = Some(ExhaustLayout::Collector);
    let (model, _) = model(&build).unwrap();
    check_sound(&model);
    let from_air =
        |pipe: &&cycle::model::Pipe| pipe.side == Side::Intake && matches!(pipe.left, End::Source(..));
    assert_eq!(model.pipes.iter().filter(from_air).count(), 2);
    // 1 and 4 on their own, 2 and 3 together: three primaries, a collector, a tail pipe, two stubs.
    assert_eq!(model.pipes.iter().filter(|pipe| pipe.side == Side::Exhaust).count(), 7);
}

#[test]
fn exact_uneven_firing_reaches_the_model() {
    let mut build = bare();
    build.cylinders.truncate(2);
    build.running.firing.intervals = Some([310.0, 410.0].map(CrankAngle::from_degrees).to_vec());
    let (model, _) = model(&build).unwrap();
    assert!((model.cylinders[1].fires_at_deg - 310.0).abs() < 1e-9);
}

#[test]
fn exact_a_build_that_cannot_run_says_why() {
    let mut build = bare();
    build.running.firing.order = Some(vec![1, 2, 2, 4]);
    assert_eq!(
        model(&build).unwrap_err().to_string(),
        "firing order 1-2-2-4, expected each of 4 cylinders once"
    );
    let mut build = bare();
    for cylinder in &mut build.cylinders {
        cylinder.head.chamber_volume.value *= 0.0;
    }
    let no_room = model(&build);
    // Gasket and deck still leave a little room.
    assert!(no_room.is_ok());
    for cylinder in &mut build.cylinders {
        cylinder.piston.deck_offset.value = Length::from_si(0.05);
    }
    assert!(matches!(model(&build), Err(FromBuildError::NoClearance { cylinder: 1, .. })));
    let mut build = bare();
    build.cylinders[2].head.valves.retain(|valve| valve.duty == Duty::Exhaust);
    assert!(matches!(model(&build), Err(FromBuildError::NoValve { cylinder: 3, duty: Duty::Intake })));
    let mut build = bare();
    build.running.exhaust.layout = Some(ExhaustLayout::Collector);
    build.running.exhaust.groups = Some(vec![vec![1, 2], vec![3, 3]]);
    assert!(matches!(model(&build), Err(FromBuildError::Grouping { place: "exhaust.groups", .. })));
}

#[test]
fn exact_shrouding_takes_area_only_when_asked_for() {
    let mut build = bare();
    for cylinder in &mut build.cylinders {
        // Its rim now stands 1 mm from the wall on the outside.
        cylinder.head.valves[0].x.value = Length::from_si(0.0205);
    }
    let (open, _) = model(&build).unwrap();
    build.running.flow.shrouding = Some(Reading::assumed(Ratio::from_si(0.5), Ratio::from_si(0.2)));
    let (shrouded, _) = model(&build).unwrap();
    let most = |model: &Model| model.cylinders[0].intake.into_m2.iter().copied().fold(0.0, f64::max);
    let lost = 1.0 - most(&shrouded) / most(&open);
    assert!(0.05 < lost && lost < 0.3, "{lost}");
}

/// Variants of ratio, lash and advance share their lobes' fits and come out as they do alone.
#[test]
fn exact_shared_fits_change_nothing() {
    let mut fits = LobeFits::default();
    let base = demo("dunlin");
    for step in 0..4 {
        let mut build = base.clone();
        for gear in build.cylinders.iter_mut().filter_map(|cylinder| cylinder.gear.intake.as_mut()) {
            gear.train.ratio.value *= 1.0 + 0.02 * f64::from(step);
            gear.lobe.timing.installed_advance.value = CrankAngle::from_degrees(f64::from(2 * step));
        }
        let (shared, _) = model_with(&build, &mut fits).unwrap();
        let (alone, _) = model(&build).unwrap();
        assert_eq!(shared, alone);
        // The table follows the cam: the nose comes earlier by the advance.
        let (before, _) = model(&base).unwrap();
        let nose = |model: &Model| {
            let areas = &model.cylinders[0].intake.into_m2;
            let at = |share: f64| {
                let most = areas.iter().copied().fold(0.0, f64::max);
                areas.iter().position(|area| *area > share * most).unwrap()
            };
            at(0.02)
        };
        assert!(step == 0 || nose(&shared) < nose(&before));
    }
    assert_eq!(fits.len(), 2);
}

/// Nothing is assumed of what an engine does not have, and what somebody guessed himself is told as given.
#[test]
fn exact_only_what_is_there_is_assumed() {
    let (_, assumed) = model(&demo("kestrel")).unwrap();
    for absent in ["exhaust.secondary_length", "exhaust.collector_diameter", "exhaust.tail_length"] {
        assert!(assumed.iter().all(|one| one.path != absent), "{absent}");
    }
    assert!(assumed.iter().all(|one| !one.path.starts_with("induction.air_cleaner")));
    let rule = |path: &str| assumed.iter().find(|one| one.path == path).map(|one| one.rule);
    assert_eq!(rule("fuel.vapour_share"), Some("given as assumed"));
    assert_eq!(rule("walls.factor"), Some("as published"));
}
