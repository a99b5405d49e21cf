//! `headroom slack` on the demo that clears everything until its rockers are changed.

use std::path::PathBuf;

use serde_json::Value;

fn slack(args: &[&str]) -> (Option<i32>, Value) {
    let demo = |name: &str| {
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../demos").join(name).display().to_string()
    };
    let mut command = assert_cmd::Command::cargo_bin("headroom").expect("the command was built");
    let args: Vec<String> =
        args.iter().map(|arg| if arg.ends_with(".toml") { demo(arg) } else { (*arg).to_owned() }).collect();
    let output = command.arg("slack").args(&args).args(["--format", "json"]).output().expect("it ran");
    let answer = serde_json::from_slice(&output.stdout);
    (output.status.code(), answer.expect("JSON"))
}

fn way<'a>(answer: &'a Value, adjustment: &str, way_idx: usize) -> &'a Value {
    let all = answer["adjustments"].as_array().expect("a list");
    let found = all.iter().find(|one| one["adjustment"] == adjustment).expect("the adjustment is followed");
    &found["ways"][way_idx]
}

/// The rockers of `dunlin-rocker.swap.toml` add 0.15 of ratio, far more than the slack.
#[test]
fn the_dunlin_has_less_rocker_slack_than_the_new_rockers_take() {
    let (exit, answer) = slack(&["dunlin.build.toml"]);
    assert_eq!(exit, Some(0));
    let first = &way(&answer, "intake rocker ratio", 0)["first"];
    assert_eq!(first["check"], "intake_to_piston");
    let at = first["at"].as_f64().expect("a ratio");
    assert!(0.0 < at && at < 0.15, "{at}");
    let (exit, answer) = slack(&["dunlin.build.toml", "--candidate", "dunlin-rocker.swap.toml"]);
    assert_eq!(exit, Some(1));
    let short = &way(&answer, "intake rocker ratio", 0)["short_already"];
    assert!(short.as_array().expect("a list").contains(&"intake_to_piston".into()), "{short}");
}

/// Upright valves over a flat floor: every thickness between them counts one to one, whichever part it comes off.
#[test]
fn skim_deck_and_gasket_have_the_same_slack() {
    let (_, answer) = slack(&["dunlin.build.toml"]);
    let at = |adjustment: &str, idx: usize| {
        way(&answer, adjustment, idx)["first"]["at"].as_f64().expect("a length")
    };
    let skim = at("head face", 0);
    // Stops are found to half a micrometre and told to a tenth of one.
    assert!((skim - at("block deck", 0)).abs() < 1.2e-3, "{skim}");
    assert!((skim - at("gasket", 1)).abs() < 1.2e-3, "{skim}");
}

#[test]
fn first_stops_come_before_second_ones() {
    let (_, answer) = slack(&["heron.build.toml"]);
    for adjustment in answer["adjustments"].as_array().expect("a list") {
        for way in adjustment["ways"].as_array().expect("two ways") {
            if let (Some(first), Some(second)) = (way["first"]["at"].as_f64(), way["second"]["at"].as_f64()) {
                assert!(first <= second, "{adjustment}");
            }
        }
    }
}
