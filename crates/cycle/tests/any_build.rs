//! Random builds become models of finite, positive numbers, or say why not.

use cycle::fidelity::Fidelity;
use cycle::from_build::model;
use cycle::from_layout::{Layout, from_layout};
use cycle::network_plan::NetworkPlan;
use parts::Build;
use parts::estimate_running::{ValveLayout, filled};
use parts::readings::Visit;
use parts::running::{ExhaustLayout, InductionLayout};
use proptest::prelude::*;

fn any_build() -> impl Strategy<Value = Build> {
    let valves =
        prop_oneof![Just(ValveLayout::Parallel), Just(ValveLayout::Inclined), Just(ValveLayout::Multi)];
    let induction = prop_oneof![Just(InductionLayout::Plenum), Just(InductionLayout::Individual)];
    let exhaust = prop_oneof![
        Just(ExhaustLayout::Separate),
        Just(ExhaustLayout::Log),
        Just(ExhaustLayout::Collector),
        Just(ExhaustLayout::Pairs),
    ];
    let year = prop_oneof![Just(None), (1920..2025_u32).prop_map(Some)];
    let numbers = (year, 1..=16_usize, 1..=2_usize, 0.03..0.15, 0.5..1.6, 5.0..15.0, 10.0..25.0_f64);
    (numbers, valves, induction, exhaust, any::<bool>()).prop_map(
        |(
            (year, n_cylinders, banks, bore_m, over_bore, compression, piston_speed),
            valves,
            induction,
            exhaust,
            silenced,
        )| {
            let stroke_m = bore_m * over_bore;
            let mut build = from_layout(&Layout {
                name: "any".to_owned(),
                n_cylinders,
                banks: banks.min(n_cylinders),
                bore_m,
                stroke_m,
                compression,
                valves,
                rated_rpm: Some(30.0 * piston_speed / stroke_m),
                year,
            });
            build.running.induction.layout = Some(induction);
            build.running.exhaust.layout = Some(exhaust);
            build.running.exhaust.silenced = Some(silenced);
            build
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// A whole engine of sensible size always becomes a model that can be planned. The estimates change nothing when
    /// they are asked twice.
    #[test]
    fn exact_sensible_builds_become_models(mut build in any_build()) {
        let (made, assumed) = match model(&build) {
            Ok(made) => made,
            Err(why) => {
                // Small, flat engines of high compression have no room left beside gasket and deck.
                prop_assert!(why.to_string().contains("clearance volume"), "{}", why);
                return Ok(());
            }
        };
        prop_assert!(!assumed.is_empty());
        NetworkPlan::new(&made, &Fidelity::Screen.settings()).map_err(|why| TestCaseError::fail(why.to_string()))?;
        for pipe in &made.pipes {
            prop_assert!(pipe.length_m() > 0.0 && pipe.wall_k > 250.0 && pipe.wall_factor >= 1.0);
            prop_assert!(pipe.bore_m.iter().all(|&(x, d)| x >= 0.0 && d > 0.0 && d < 1.0), "{:?}", pipe);
        }
        let once = filled(&build);
        build.running = once.running.clone();
        let twice = filled(&build);
        prop_assert_eq!(&twice.running, &once.running);
        prop_assert!(twice.choices.is_empty());
        // And what is filled in is listed: every reading that is there has a rule.
        build.running.visit("", &mut |path, _| {
            assert!(parts::estimate_running::rule(path).is_some(), "{path} has no rule");
        });
    }

    /// Readings scaled by anything give a model or a reason, never a panic or a number that is none.
    #[test]
    fn exact_wild_readings_never_panic(mut build in any_build(), scales in prop::collection::vec(0.0..4.0_f64, 40)) {
        build.running = filled(&build).running;
        let mut at = 0;
        build.running.visit("", &mut |_, reading| {
            *reading.value_si *= scales[at % scales.len()];
            at += 1;
        });
        if let Ok((made, _)) = model(&build) {
            for cylinder in &made.cylinders {
                let areas = cylinder.intake.into_m2.iter().chain(&cylinder.exhaust.out_m2);
                prop_assert!(areas.clone().all(|area| area.is_finite() && *area >= 0.0));
                prop_assert!(cylinder.clearance_m3 > 0.0 && cylinder.flame_travel >= 0.5);
            }
            // What the physics is not defined for is refused with a reason.
            let _ = NetworkPlan::new(&made, &Fidelity::Screen.settings());
        }
    }
}
