//! Every demo, asked as a user would: what the shell is told, what the first sentence says, and that JSON and text agree.

use std::path::PathBuf;
use std::process::Output;

use serde_json::Value;

fn demo(name: &str) -> String {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../demos").join(name).display().to_string()
}

fn headroom(args: &[&str]) -> Output {
    assert_cmd::Command::cargo_bin("headroom")
        .expect("the command was built")
        .args(args)
        .output()
        .expect("it ran")
}

fn text(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("answers are UTF-8")
}

/// Asks `swap` in text and JSON and compares what both say with what is expected.
fn check_swap(base: &str, candidate: &str, exit: i32, status: &str, first_words: &str) -> Value {
    let answer = check_swap_with(&[], base, candidate, exit, status, first_words);
    let pays = answer[0]["verdict"][1].as_str().expect("a second sentence");
    assert_payoff(&answer[0]["payoff"], pays);
    answer
}

/// The same with further arguments, the payoff left unlooked at.
fn check_swap_with(
    more: &[&str],
    base: &str,
    candidate: &str,
    exit: i32,
    status: &str,
    first_words: &str,
) -> Value {
    let (base, candidate) = (demo(base), demo(candidate));
    // The payoff takes long; one test looks at it in text.
    let people = headroom(&["swap", &base, &candidate, "--no-payoff"]);
    assert_eq!(people.status.code(), Some(exit), "{}", String::from_utf8_lossy(&people.stderr));
    let json = headroom(&[&["swap", &base, &candidate, "--format", "json"][..], more].concat());
    assert_eq!(json.status.code(), Some(exit));
    let answer: Value = serde_json::from_slice(&json.stdout).expect("JSON");
    assert_eq!(answer[0]["fit"]["status"], status);
    let sentence = answer[0]["verdict"][0].as_str().expect("a verdict");
    assert!(sentence.starts_with(first_words), "{sentence}");
    let flowing = text(&people).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flowing.contains(sentence), "the text does not say: {sentence}\n{flowing}");
    answer
}

/// The second sentence is the payoff's first, its shares add up, and its chances are of one.
fn assert_payoff(payoff: &Value, pays: &str) {
    assert_eq!(payoff["verdict"][0], pays);
    let number = |value: &Value| value.as_f64().unwrap_or_else(|| panic!("{value} is no number"));
    let shares = payoff["shares"].as_array().expect("shares");
    let sum: f64 = shares.iter().map(|share| number(&share["torque_n_m"])).sum();
    let [base, candidate] = ["base", "candidate"].map(|of| number(&payoff[of]["mean_torque_n_m"]));
    assert!((sum - (candidate - base)).abs() < 1e-9, "{sum} N m of {candidate} less {base}");
    for chance in ["chance_better", "chance_shows_better", "chance_shows_worse"] {
        assert!((0.0..=1.0).contains(&number(&payoff[chance])), "{chance}");
    }
}

#[test]
fn the_bittern_head_hits_the_heron_block() {
    let answer = check_swap(
        "heron.build.toml",
        "heron-with-bittern-head.swap.toml",
        1,
        "hits",
        "It does not clear: the exhaust",
    );
    // The cut is not survived, and the big chamber costs more than the flow gives: the two sentences say leave it.
    let pays = answer[0]["verdict"][1].as_str().expect("a second sentence");
    assert!(
        pays.starts_with("Do not build it like this: the cut for the exhaust valve does not survive"),
        "{pays}"
    );
    assert!(pays.contains("less torque from 3400 to 6000 rpm") && pays.contains("nothing is lost"), "{pays}");
    assert_eq!(answer[0]["payoff"]["shares"][0]["name"], "chamber volume");
    let worst = &answer[0]["fit"]["findings"][0];
    assert_eq!(worst["check"], "valve_to_block");
    // By hand: seated 4.0 mm up in the head, 1.3 mm of gasket; upright, so it meets the deck at the sum.
    let contact = worst["first_contact"]["lift_mm"].as_f64().expect("a lift");
    assert!((contact - 5.3).abs() < 0.01, "{contact} mm");
    // By hand, at the wall on the cylinder where the spacing takes it furthest out, exhaust at x = -23.6 - 0.3:
    // hypot(23.9, 0.5) + 18.5 - 41.125.
    let overlap = 23.9_f64.hypot(0.5) + 18.5 - 41.125;
    let gap = worst["gap_mm"].as_f64().expect("a gap");
    assert!((gap + overlap).abs() < 0.001, "{gap} mm, by hand {overlap} mm");
}

#[test]
fn the_big_kestrel_valves_are_tight() {
    check_swap(
        "kestrel.build.toml",
        "kestrel-big-valves.swap.toml",
        1,
        "tight",
        "It clears, but under its limit",
    );
}

#[test]
fn the_skimmed_teal_clears_and_gains_compression() {
    let answer = check_swap("teal.build.toml", "teal-skimmed.swap.toml", 0, "clear", "It clears");
    for cylinder in answer[0]["compression"].as_array().expect("cylinders") {
        let gain = cylinder["difference"].as_f64().expect("a number");
        assert!(gain > 0.5, "{gain}");
        let shares = cylinder["shares"].as_array().expect("shares");
        let sum: f64 = shares.iter().map(|share| share["share"].as_f64().expect("a number")).sum();
        assert!((sum - gain).abs() < 1e-9, "shares add up to {sum}, not {gain}");
    }
}

#[test]
fn the_dunlin_clears_until_its_rockers_are_changed() {
    let base = headroom(&["check", &demo("dunlin.build.toml"), "--format", "json"]);
    assert_eq!(base.status.code(), Some(0), "{}", String::from_utf8_lossy(&base.stderr));
    let base: Value = serde_json::from_slice(&base.stdout).expect("JSON");
    let answer = check_swap_with(
        &["--no-payoff"],
        "dunlin.build.toml",
        "dunlin-rocker.swap.toml",
        1,
        "tight",
        "It clears, but under its limit: the intake valve comes to",
    );
    for check in ["intake_to_piston", "exhaust_to_piston"] {
        let of = |fit: &Value| {
            let findings = fit["findings"].as_array().expect("findings");
            findings.iter().find(|one| one["check"] == check).expect(check).clone()
        };
        let (before, after) = (of(&base), of(&answer[0]["fit"]));
        assert_eq!((&before["status"], &after["status"]), (&"clear".into(), &"tight".into()), "{check}");
        // By hand: from 1.50 to 1.65 every lift grows by a tenth of itself and of the 0.381 mm of lash.
        let mm = |finding: &Value, key: &str| finding[key].as_f64().expect("a number");
        let grown = 0.1 * (mm(&before, "lift_mm") + 0.381);
        let lost = mm(&before, "gap_mm") - mm(&after, "gap_mm");
        assert!((lost - grown).abs() < 0.05 * grown, "{check}: {lost} mm, by hand {grown} mm");
    }
}

#[test]
fn every_base_clears_by_itself() {
    for base in ["heron.build.toml", "kestrel.build.toml", "teal.build.toml", "dunlin.build.toml"] {
        let output = headroom(&["check", &demo(base)]);
        assert_eq!(output.status.code(), Some(0), "{base}: {}", text(&output));
        assert!(text(&output).contains("verify by trial assembly"), "{base} says no cautions");
    }
}

#[test]
fn inch_answers_are_in_inches() {
    let output = headroom(&["check", &demo("kestrel.build.toml"), "--units", "inch"]);
    let text = text(&output);
    assert!(text.contains(" in ") && !text.contains(" mm"), "{text}");
}

#[test]
fn quiet_is_the_first_sentence() {
    let output = headroom(&["check", &demo("heron.build.toml"), "--quiet"]);
    assert!(text(&output).starts_with("It clears") && text(&output).len() < 300, "{}", text(&output));
}

#[test]
fn nothing_is_coloured_where_nobody_sees_it() {
    let (base, candidate) = (demo("heron.build.toml"), demo("heron-with-bittern-head.swap.toml"));
    let output = headroom(&["swap", &base, &candidate, "--no-payoff"]);
    assert!(!output.stdout.contains(&0x1b));
}

#[test]
fn answers_are_the_same_every_time_and_in_text() {
    let (base, candidate) = (demo("kestrel.build.toml"), demo("kestrel-big-valves.swap.toml"));
    let ask = || text(&headroom(&["swap", &base, &candidate]));
    let first = ask();
    assert_eq!(first, ask());
    let json = headroom(&["swap", &base, &candidate, "--format", "json"]);
    let answer: Value = serde_json::from_slice(&json.stdout).expect("JSON");
    let flowing = first.split_whitespace().collect::<Vec<_>>().join(" ");
    for sentence in answer[0]["payoff"]["verdict"].as_array().expect("sentences") {
        let sentence = sentence.as_str().expect("a text");
        assert!(flowing.contains(sentence), "the text does not say: {sentence}\n{flowing}");
    }
}

#[test]
fn a_wrong_sheet_is_told_with_place_and_expectation() {
    let folder = std::env::temp_dir().join(format!("headroom-wrong-sheet-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the sheet");
    let sheet = std::fs::read_to_string(demo("heron.build.toml")).expect("the demo");
    let wrong = folder.join("wrong.build.toml");
    std::fs::write(&wrong, sheet.replace("bore = \"82.25 mm ± 0.01\"", "bore = \"82,25 mm\""))
        .expect("written");
    let output = headroom(&["check", &wrong.display().to_string()]);
    std::fs::remove_dir_all(&folder).expect("removed");
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).expect("UTF-8");
    for part in ["wrong.build.toml:", "block.bore", "found:", "expected:", "82.25"] {
        assert!(said.contains(part), "no {part} in: {said}");
    }
}

#[test]
fn a_missing_file_is_wrong_input() {
    let output = headroom(&["check", "no-such.build.toml"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("no-such.build.toml cannot be read"));
}

#[test]
fn a_new_sheet_of_fifteen_readings_can_be_checked() {
    let readings = [
        "block.bore=84 mm",
        "block.stroke=80 mm",
        "gasket.thickness=1.1 mm",
        "gasket.opening=85.5 mm",
        "head.chamber_volume=46 cc",
        "head.valve.intake.head_diameter=42 mm",
        "head.valve.intake.x=19 mm",
        "head.valve.intake.y=0 mm",
        "head.valve.exhaust.head_diameter=35 mm",
        "head.valve.exhaust.x=-21 mm",
        "head.valve.exhaust.y=0 mm",
        "piston.deck_offset=-0.4 mm",
        "piston.crown_volume=2 cc",
        "cam.intake.valve_lift=10 mm",
        "cam.exhaust.valve_lift=10 mm",
    ];
    let mut args = vec!["new", "Siskin four", "--cylinders", "4"];
    for reading in &readings {
        args.extend(["--set", reading]);
    }
    let output = headroom(&args);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    let folder = std::env::temp_dir().join(format!("headroom-new-sheet-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the sheet");
    let sheet = folder.join("siskin.build.toml");
    std::fs::write(&sheet, output.stdout).expect("written");
    let checked = headroom(&["check", &sheet.display().to_string()]);
    std::fs::remove_dir_all(&folder).expect("removed");
    assert_ne!(checked.status.code(), Some(2), "{}", String::from_utf8_lossy(&checked.stderr));
    assert!(text(&checked).contains("Assumed, because nobody gave it"), "{}", text(&checked));
}

#[test]
fn the_schema_is_json_for_editors() {
    for args in [&["schema"][..], &["schema", "--swap"]] {
        let schema: Value = serde_json::from_slice(&headroom(args).stdout).expect("JSON");
        assert!(schema["$schema"].as_str().expect("a dialect").contains("2020-12"));
    }
}
