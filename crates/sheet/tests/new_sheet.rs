//! A new sheet reads once its gaps are filled, and until then names exactly the gaps.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use sheet::{AnswerError, Answers, new_sheet, read_build};

/// Answers to everything that has no estimate, for each valve too.
const NEEDED: [(&str, &str); 5] = [
    ("block.bore", "82.0 mm"),
    ("block.stroke", "76.5 mm"),
    ("head.chamber_volume", "42 cc"),
    ("cam.intake.valve_lift", "10 mm"),
    ("cam.exhaust.valve_lift", "0.400 in"),
];

#[test]
fn exact_a_new_sheet_with_the_needed_readings_reads() {
    let mut answers = Answers::new("a \"quoted\" name", 4, 1, 3, 2);
    NEEDED.iter().for_each(|(path, text)| answers.give(path, text).unwrap());
    for name in ["intake_front", "intake_2", "intake_rear", "exhaust_front", "exhaust_rear"] {
        answers.give(&format!("head.valve.{name}.head_diameter"), "26 mm ± 0.1").unwrap();
        answers.give(&format!("head.valve.{name}.x"), "12 mm").unwrap();
        answers.give(&format!("head.valve.{name}.y"), "15 mm").unwrap();
    }
    let text = new_sheet(&answers);
    let sheet = read_build(&text).unwrap_or_else(|problems| panic!("{problems}\n{text}"));
    assert_eq!(sheet.build.name, "a \"quoted\" name");
    assert_eq!(sheet.build.cylinders.len(), 4);
    assert_eq!(sheet.build.cylinders[3].head.valves.len(), 5);
}

#[test]
fn exact_a_new_sheet_without_answers_names_every_gap() {
    let text = new_sheet(&Answers::new("empty", 1, 1, 1, 1));
    let problems = read_build(&text).unwrap_err();
    let paths: Vec<&str> = problems.list().iter().map(|problem| problem.path.as_str()).collect();
    let valve = |name: &str| ["head_diameter", "x", "y"].map(|key| format!("head.valve.{name}.{key}"));
    let mut expected: Vec<String> =
        ["block.bore", "block.stroke", "head.chamber_volume"].map(str::to_owned).to_vec();
    expected.extend(valve("intake").into_iter().chain(valve("exhaust")));
    expected.extend(["cam.intake.valve_lift", "cam.exhaust.valve_lift"].map(str::to_owned));
    assert_eq!(paths, expected, "{problems}");
}

#[test]
fn exact_answers_that_cannot_be_taken_say_why() {
    let mut answers = Answers::new("x", 1, 1, 1, 1);
    assert_eq!(
        answers.give("block.boer", "82 mm"),
        Err(AnswerError::UnknownPath { path: "block.boer".into(), nearest: Some("block.bore".into()) })
    );
    assert_eq!(
        answers.give("block.bore", "82 cc").unwrap_err().to_string(),
        "block.bore: found the unit cc of a volume, expected a length (mm, in, thou, cm, m)"
    );
}

/// Taking the comment signs away from a table that was left out, and from what a lobe needs, makes a sheet that reads.
#[test]
fn exact_tables_left_out_can_be_taken_in_line_by_line() {
    let mut answers = Answers::new("x", 1, 1, 1, 1);
    NEEDED.iter().for_each(|(path, text)| answers.give(path, text).unwrap());
    for name in ["intake", "exhaust"] {
        for (key, text) in [("head_diameter", "26 mm"), ("x", "12 mm"), ("y", "15 mm")] {
            answers.give(&format!("head.valve.{name}.{key}"), text).unwrap();
        }
    }
    let wanted = [
        "lobe_lift =",
        "centreline =",
        "[[cam.intake.duration]]",
        "at =",
        "lasts =",
        "[train.intake]",
        "follower =",
        "face_diameter =",
        "[spring.intake]",
        "installed_height =",
        "seat_load =",
        "rate =",
        "coil_bind_height =",
    ];
    let mut taken = vec![false; wanted.len()];
    let mut in_train = false;
    let whole = new_sheet(&answers);
    let lines = whole.lines().map(|line| {
        let Some(said) = line.strip_prefix("# ") else { return line.to_owned() };
        in_train = in_train && !said.starts_with('[') || said == "[train.intake]";
        // The ratio of the train, not that of a stated lift.
        let ratio = in_train && said.starts_with("ratio =");
        match wanted.iter().position(|start| said.starts_with(start)) {
            // The first of its kind: those of the events and of the inner spring follow.
            Some(idx) if !taken[idx] => {
                taken[idx] = true;
                said.to_owned()
            }
            _ if ratio => said.to_owned(),
            _ => line.to_owned(),
        }
    });
    let text = lines.collect::<Vec<_>>().join("\n");
    let sheet = read_build(&text).unwrap_or_else(|problems| panic!("{problems}\n{text}"));
    let gear = sheet.build.cylinders[0].gear.intake.clone().unwrap();
    assert!(gear.springs.is_some());
}
