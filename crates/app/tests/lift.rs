//! `headroom lift` on the demos, as it is typed.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::path::PathBuf;

use assert_cmd::Command;
use serde_json::Value;

const BASES: [&str; 4] = ["heron.build.toml", "kestrel.build.toml", "teal.build.toml", "dunlin.build.toml"];

fn lift(args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_headroom"));
    command.current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/../../demos")).arg("lift").args(args);
    command
}

/// What the command printed, whatever it told the shell.
fn printed(args: &[&str]) -> String {
    String::from_utf8(lift(args).output().unwrap().stdout).unwrap()
}

fn json(args: &[&str]) -> Value {
    let mut args = args.to_vec();
    args.extend(["--format", "json"]);
    serde_json::from_str(&printed(&args)).unwrap()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

/// Writes a changed demo and runs the command on it.
fn changed(demo: &str, name: &str, change: impl Fn(String) -> String) -> std::process::Output {
    let folder = std::env::temp_dir().join(format!("headroom-lift-{name}-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let from = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../demos").join(demo);
    let sheet = folder.join("changed.build.toml");
    std::fs::write(&sheet, change(std::fs::read_to_string(from).unwrap())).unwrap();
    let output = lift(&[&sheet.display().to_string()]).output().unwrap();
    std::fs::remove_dir_all(&folder).unwrap();
    output
}

#[test]
fn exact_the_answer_comes_first() {
    let text = printed(&["heron.build.toml"]);
    let mut lines = text.lines();
    assert_eq!(lines.next(), Some("Heron six, as it runs"));
    assert!(lines.nth(1).unwrap().starts_with("Cam and springs work"), "{text}");
    let alone = printed(&["heron.build.toml", "--quiet"]);
    assert!(alone.starts_with("Cam and springs work") && alone.lines().count() == 1, "{alone}");
}

#[test]
fn exact_lifts_are_those_of_the_sheet() {
    for base in BASES {
        lift(&[base]).assert().success();
        for valve in json(&[base])["valves"].as_array().unwrap() {
            let off = number(&valve["greatest_lift_mm"]) - number(&valve["stated_lift_mm"]);
            assert!(off.abs() < 0.05, "{base}: {valve}");
        }
    }
}

/// Identities of a cam card for events at one lift: duration = opening + closing + 180, centreline = duration/2 - opening
/// (intake), separation = half the sum of centrelines, overlap = intake opening + exhaust closing.
#[test]
fn exact_card_identities_through_the_command() {
    for base in BASES {
        let answer = json(&[base]);
        let valves = answer["valves"].as_array().unwrap();
        let at = |duty: usize, level: &str, key: &str| {
            let events = valves[duty]["events"].as_array().unwrap();
            number(&events.iter().find(|one| one["at"] == level).unwrap()[key])
        };
        let [opens, closes] = ["opens_before_dead_centre_deg", "closes_after_dead_centre_deg"];
        for level in ["tappet_0.050_in", "valve_1_mm", "seat"] {
            for duty in [0, 1] {
                let [open, close] = [at(duty, level, opens), at(duty, level, closes)];
                let duration = at(duty, level, "duration_deg");
                // Printed to a millionth each.
                assert!((duration - (open + close + 180.0)).abs() < 1e-5, "{base} {level}");
                let early = if duty == 0 { open } else { close };
                assert!((at(duty, level, "centreline_deg") - (duration / 2.0 - early)).abs() < 1e-5);
            }
            let overlap =
                answer["overlap"].as_array().unwrap().iter().find(|one| one["at"] == level).unwrap();
            let by_hand = at(0, level, opens) + at(1, level, closes);
            assert!((number(&overlap["overlap_deg"]) - by_hand).abs() < 1e-5, "{base} {level}");
        }
        let centre = |duty| at(duty, "tappet_0.050_in", "centreline_deg");
        assert!((number(&answer["lobe_separation_deg"]) - (centre(0) + centre(1)) / 2.0).abs() < 1e-5);
    }
}

/// The card of the Heron: 222 degrees at 0.050 in on a centreline of 108 opens 3 before top and closes 39 after bottom.
#[test]
fn exact_the_heron_card_comes_back() {
    let answer = json(&["heron.build.toml"]);
    let events = &answer["valves"][0]["events"][0];
    assert_eq!(events["at"], "tappet_0.050_in");
    for (key, degrees) in [
        ("duration_deg", 222.0),
        ("centreline_deg", 108.0),
        ("opens_before_dead_centre_deg", 3.0),
        ("closes_after_dead_centre_deg", 39.0),
    ] {
        assert!((number(&events[key]) - degrees).abs() < 1e-5, "{key}: {events}");
    }
    // By hand: 300 N on the seat and 31 N/mm over 10.2 mm; 42.0 - 27.0 - 10.2 mm to coil bind.
    let springs = &answer["valves"][0]["springs"];
    assert!((number(&springs["nose_n"]) - (300.0 + 31.0 * 10.2)).abs() < 1e-6);
    assert!((number(&springs["coil_bind_mm"]) - 4.8).abs() < 1e-6);
    // 88 + 28 + 68/3 + 38 + (46 + 72)/1.5^2 g.
    let mass = 88.0 + 28.0 + 68.0 / 3.0 + 38.0 + 118.0 / 2.25;
    assert!((number(&springs["effective_mass_g"]) - mass).abs() < 1e-5);
}

#[test]
fn exact_advance_moves_events_one_for_one() {
    let output = changed("heron.build.toml", "advance", |text| {
        text.replace("installed_advance = \"0 deg ± 0.5\"", "installed_advance = \"5 deg ± 0.5\"")
    });
    let text = String::from_utf8(output.stdout).unwrap();
    // 3 and 39 become 8 and 34; 43 and -1 become 48 and -6.
    for events in ["8.0° before top", "34.0° after bottom", "48.0° before bottom", "6.0° before top"] {
        assert!(text.contains(events), "no {events} in\n{text}");
    }
}

#[test]
fn exact_a_swap_of_rockers_changes_the_lift_alone() {
    let base = json(&["dunlin.build.toml"]);
    let swap = json(&["dunlin.build.toml", "--candidate", "dunlin-rocker.swap.toml"]);
    assert_eq!(swap["name"], "Dunlin four, 1.65 rockers");
    for duty in [0, 1] {
        let [before, after] = [&base, &swap].map(|answer| answer["valves"][duty].clone());
        // 0.015 in of lash at the valve either way.
        let gross = |valve: &Value| number(&valve["greatest_lift_mm"]) + 0.381;
        assert!((gross(&after) / gross(&before) - 1.1).abs() < 1e-6);
        assert_eq!(before["events"][0], after["events"][0]);
    }
}

#[test]
fn exact_the_lift_at_top_dead_centre_can_be_pinned() {
    let output = changed("heron.build.toml", "pin", |text| {
        text.replacen("[cam.intake]\n", "[cam.intake]\nlift_at_tdc = \"2.20 mm\"\n", 1)
    });
    let text = String::from_utf8(output.stdout).unwrap();
    let row = text.lines().find(|line| line.trim_start().starts_with("at top dead centre")).unwrap();
    assert!(row.contains("2.20 mm"), "{row}");
}

#[test]
fn exact_revs_beyond_lift_off_do_not_work() {
    lift(&["heron.build.toml", "--revs", "5500 rpm"]).assert().code(1);
    let text = printed(&["heron.build.toml", "--revs", "9000 rpm", "--quiet"]);
    assert!(text.starts_with("It does not work: the intake train comes apart at "), "{text}");
    let answer = json(&["heron.build.toml", "--revs", "9000 rpm"]);
    assert_eq!(answer["troubles"][0]["status"], "hits");
    lift(&["heron.build.toml", "--revs", "9000"]).assert().code(2);
}

#[test]
fn exact_csv_has_a_row_a_degree_and_the_picture_is_one() {
    let folder = std::env::temp_dir().join(format!("headroom-lift-files-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let [csv, svg] = ["curve.csv", "curve.svg"].map(|name| folder.join(name).display().to_string());
    lift(&["teal.build.toml", "--quiet", "--csv", &csv, "--svg", &svg]).assert().success();
    let [csv, svg] = [&csv, &svg].map(|path| std::fs::read_to_string(path).unwrap());
    std::fs::remove_dir_all(&folder).unwrap();
    let rows: Vec<Vec<f64>> =
        csv.lines().skip(1).map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect()).collect();
    assert!(csv.starts_with("crank_deg,intake_lift_mm,intake_velocity_mm_per_deg,"), "{}", &csv[..80]);
    assert_eq!((rows.len(), rows[0].len()), (720, 7));
    // The nose of the intake stands 106 degrees after the overlap.
    assert!((rows[466][1] - 10.16).abs() < 1e-4 && rows[466][2].abs() < 1e-6, "{:?}", rows[466]);
    // Velocity is the slope of the lift, acceleration that of the velocity; differences over two degrees come within a
    // thousandth of the greatest.
    for deg in 1..719 {
        let slope = (rows[deg + 1][1] - rows[deg - 1][1]) / 2.0;
        assert!((slope - rows[deg][2]).abs() < 2e-3, "{deg}: {slope} {}", rows[deg][2]);
    }
    assert!(svg.starts_with("<svg ") && svg.trim_end().ends_with("</svg>"));
    assert_eq!(svg.matches("<polyline").count(), 2 + 3 * 2);
    for word in
        ["lift, mm", "velocity, mm / deg", "acceleration, mm / deg²", "TDC overlap", "prefers-color-scheme"]
    {
        assert!(svg.contains(word), "no {word}");
    }
}

#[test]
fn exact_a_bad_row_of_a_table_is_named() {
    // A lobe of 1 + cos over 240 cam degrees, a row every 2; rows 90 and 91 stand in each other's place.
    let mut rows: Vec<String> = (-90..90)
        .map(|step| {
            let deg = f64::from(step) * 2.0;
            let lift = if deg.abs() < 60.0 { 3.5 * (1.0 + (3.0 * deg).to_radians().cos()) } else { 0.0 };
            format!("[{deg}, {lift:.4}]")
        })
        .collect();
    let table = |rows: &[String]| {
        format!(
            "[cam.intake]\nvalve_lift = \"10.2 mm\"\ncentreline = \"108 deg\"\n[cam.intake.table]\nangles = \"cam\"\n\
             unit = \"mm\"\nrows = [{}]\n",
            rows.join(", ")
        )
    };
    let put = |rows: &[String]| {
        changed("heron.build.toml", "table", |text| {
            let from = text.find("[cam.intake]").unwrap();
            let to = text.find("[cam.exhaust]").unwrap();
            format!("{}{}{}", &text[..from], table(rows), &text[to..])
        })
    };
    let good = put(&rows);
    let text = String::from_utf8(good.stdout).unwrap();
    assert!(text.contains("10.20 mm"), "{text}");
    // A lift misread by 1 mm on the flank, and a table of two halves of a turn.
    rows[70] = "[-40, 2.75]".to_owned();
    let repaired = String::from_utf8(put(&rows).stdout).unwrap();
    assert!(repaired.contains("row 71"), "{repaired}");
    rows[20] = "[500, 0]".to_owned();
    let refused = put(&rows);
    let text = String::from_utf8(refused.stdout).unwrap();
    assert_eq!(refused.status.code(), Some(2), "{text}");
    assert!(text.contains("The intake lobe cannot be used: row"), "{text}");
}

/// Each change spoils one thing; the first sentence names it with what it is held against.
#[test]
fn exact_what_stands_in_the_way_is_named_first() {
    for (name, from, to, said) in [
        // 42.0 - 30.5 - 10.2 mm.
        (
            "bind",
            "\"27.0 mm ± 0.1\"",
            "\"30.5 mm\"",
            "spring to coil bind has 1.30 mm (0.051 in) left, limit 1.52 mm",
        ),
        // 10.0 - 10.2 mm.
        (
            "seal",
            "\"13.0 mm ± 0.2\"",
            "\"10.0 mm\"",
            "It does not work: the intake retainer to its seal has -0.20 mm",
        ),
        // 18.0 mm / 2 / 57.296 a degree.
        ("tappet", "\"25.0 mm\"", "\"18.0 mm\"", "of 0.157 mm (0.00618 in) a cam degree its width allows"),
        ("base", "\"16.0 mm\"", "\"8.0 mm\"", "the intake lobe comes to a point"),
    ] {
        let output = changed("heron.build.toml", name, |text| text.replacen(from, to, 1));
        let text = String::from_utf8(output.stdout).unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(output.status.code(), Some(1), "{name}: {text}");
        assert!(text.contains(said), "{name}: {text}");
    }
}

/// The curve the command writes, read back as a table of valve lifts, gives the same lift and the same events within the
/// smoothing of a fifth of a degree; a table has no lash left to take off.
#[test]
fn exact_a_table_beside_the_sheet_takes_the_lobes_place() {
    let folder = std::env::temp_dir().join(format!("headroom-lift-csv-table-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let [curve, table, bad] =
        ["curve.csv", "table.csv", "bad.csv"].map(|name| folder.join(name).display().to_string());
    lift(&["heron.build.toml", "--quiet", "--csv", &curve]).assert().success();
    let mut rows = String::from("# cold, with the lash of the sheet\ncrank_deg,valve_lift_mm\n");
    for line in std::fs::read_to_string(&curve).unwrap().lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        rows.push_str(&format!("{},{}\n", cells[0], cells[1]));
    }
    std::fs::write(&table, &rows).unwrap();
    std::fs::write(&bad, rows.replace("\n100,", "\nlOO,")).unwrap();
    let by_card = json(&["heron.build.toml"]);
    let by_table = json(&["heron.build.toml", "--intake-table", &table]);
    let wrong = lift(&["heron.build.toml", "--exhaust-table", &bad]).output().unwrap();
    std::fs::remove_dir_all(&folder).unwrap();
    for (key, within) in [("greatest_lift_mm", 0.01), ("centreline_deg", 0.2)] {
        let [card, table] = [&by_card, &by_table].map(|answer| number(&answer["valves"][0][key]));
        assert!((card - table).abs() < within, "{key}: {card} by card, {table} by table");
    }
    let [card, table] =
        [&by_card, &by_table].map(|answer| number(&answer["valves"][0]["events"][1]["duration_deg"]));
    assert!((card - table).abs() < 0.2, "{card} by card, {table} by table");
    assert_eq!(wrong.status.code(), Some(2));
    let said = String::from_utf8(wrong.stderr).unwrap();
    assert!(said.contains("bad.csv:103:1: line 103") && said.contains("\"lOO\""), "{said}");
}

#[test]
fn exact_a_phaser_moves_the_centreline_both_ways() {
    let output = changed("heron.build.toml", "phaser", |text| {
        let phaser = "[cam.intake]\nphase_advance = \"30 deg\"\nphase_retard = \"10 deg\"\n";
        text.replacen("[cam.intake]\n", phaser, 1)
    });
    let text = String::from_utf8(output.stdout).unwrap();
    // 108 less 30 and plus 10.
    for end in ["phaser fully advanced", "phaser fully retarded", " 78.0°, ", " 118.0°, "] {
        assert!(text.contains(end), "no {end} in\n{text}");
    }
}

#[test]
fn exact_the_sheets_own_rev_limit_is_judged() {
    let output = changed("heron.build.toml", "use", |text| {
        text.replacen("[use]\n", "[use]\nrev_limit = \"7000 rpm\"\n", 1)
    });
    let text = String::from_utf8(output.stdout).unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert!(text.contains("comes apart at") && text.contains("asked for 7000 rpm"), "{text}");
}

#[test]
fn exact_a_sheet_without_lobes_says_what_it_wants() {
    let output = changed("heron.build.toml", "bare", |text| {
        let from = text.find("[cam.intake]").unwrap();
        let cams = "[cam.intake]\nvalve_lift = \"10 mm\"\n[cam.exhaust]\nvalve_lift = \"10 mm\"\n";
        format!("{}{cams}", &text[..from])
    });
    let text = String::from_utf8(output.stdout).unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(text.contains("no lobe is described") && text.contains("lobe_lift"), "{text}");
}

#[test]
fn exact_inches_where_asked() {
    let text = printed(&["teal.build.toml", "--units", "inch"]);
    assert!(text.contains("0.400 in") && text.contains("lbf") && text.contains("ksi"), "{text}");
    // Only the name of a level keeps its millimetre.
    assert!(!text.replace("1 mm of the valve", "").contains(" mm"), "{text}");
}
