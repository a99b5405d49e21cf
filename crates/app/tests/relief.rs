//! Cuts for the demos, asked as a user would.

use std::path::PathBuf;
use std::process::Output;

use serde_json::Value;

fn demo(name: &str) -> String {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../demos").join(name).display().to_string()
}

fn relief(args: &[&str]) -> Output {
    let mut all = vec!["relief"];
    all.extend(args);
    assert_cmd::Command::cargo_bin("headroom")
        .expect("the command was built")
        .args(all)
        .output()
        .expect("it ran")
}

fn flowing(output: &Output) -> String {
    let text = String::from_utf8(output.stdout.clone()).expect("answers are UTF-8");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn json(args: &[&str]) -> Value {
    let mut all = args.to_vec();
    all.extend(["--format", "json"]);
    serde_json::from_slice(&relief(&all).stdout).expect("JSON")
}

#[test]
fn bases_clear_as_they_are() {
    for base in ["heron.build.toml", "kestrel.build.toml", "teal.build.toml"] {
        let output = relief(&[&demo(base)]);
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
        assert!(flowing(&output).contains("It clears as it is"), "{}", flowing(&output));
    }
}

#[test]
fn the_cut_for_the_bittern_head_is_killed_by_the_top_ring() {
    let (base, swap) = (demo("heron.build.toml"), demo("heron-with-bittern-head.swap.toml"));
    let output = relief(&[&base, "--candidate", &swap]);
    assert_eq!(output.status.code(), Some(1));
    let text = flowing(&output);
    for said in [
        "The cut for the exhaust valve does not survive, because it leaves 0.18 mm (0.007 in) to the top ring",
        "The cut for the exhaust valve would survive with",
        "wall thickness there by sonic tester",
        "Sonic-check before boring or notching, confirm the water jacket, pressure-test after.",
        "verify by trial assembly with checking springs and clay",
        "A notch or fly-cut weakens the part",
    ] {
        assert!(text.contains(said), "no \"{said}\" in: {text}");
    }
    let answer = json(&[&base, "--candidate", &swap]);
    assert_eq!(answer["outcome"], "does_not_survive");
    let reliefs = answer["reliefs"].as_array().expect("reliefs");
    let exhaust = reliefs.iter().find(|one| one["valve"] == "exhaust").expect("the exhaust");
    // By hand: offset 23.9 with 0.5 aside, head radius 18.5, room 1.524, bore radius 41.125.
    let overhang = 23.9_f64.hypot(0.5) + 18.5 + 1.524 - 41.125;
    let told = exhaust["cut"]["overhang_mm"].as_f64().expect("a number");
    assert!((told - overhang).abs() < 0.001, "{told} mm, by hand {overhang} mm");
    for way in exhaust["cut_survives_with"].as_array().expect("ways") {
        assert!(way["gap_mm"].as_f64().expect("a number").abs() < 0.005);
    }
}

#[test]
fn the_big_kestrel_valves_clear_after_cuts() {
    let (base, swap) = (demo("kestrel.build.toml"), demo("kestrel-big-valves.swap.toml"));
    let answer = json(&[&base, "--candidate", &swap, "--crown-thickness", "8 mm"]);
    assert_eq!(answer["outcome"], "clears_after_cut");
    for one in answer["reliefs"].as_array().expect("reliefs") {
        let cut = if one["cut"].is_null() { &one["pocket"] } else { &one["cut"] };
        let gap = cut["gap_after_mm"].as_f64().expect("a gap");
        assert!(gap >= one["limit_mm"].as_f64().expect("a limit") - 0.01, "{one}");
        let limit = one["limit_mm"].as_f64().expect("a limit");
        for way in one["fallbacks"].as_array().expect("ways") {
            assert!((way["gap_mm"].as_f64().expect("a number") - limit).abs() < 0.005, "{way}");
        }
    }
}

#[test]
fn a_thin_crown_kills_the_pocket() {
    let (base, swap) = (demo("kestrel.build.toml"), demo("kestrel-big-valves.swap.toml"));
    let output = relief(&[&base, "--candidate", &swap, "--crown-thickness", "0.2 in", "--quiet"]);
    assert!(flowing(&output).contains("of crown (limit 5.08 mm (0.200 in))"), "{}", flowing(&output));
}

#[test]
fn a_hand_blended_cut_reaches_farther() {
    let (base, swap) = (demo("heron.build.toml"), demo("heron-with-bittern-head.swap.toml"));
    let overhang = |shape: &str| {
        let answer = json(&[&base, "--candidate", &swap, "--shape", shape]);
        answer["reliefs"][0]["cut"]["overhang_mm"].as_f64().expect("a number")
    };
    assert!(overhang("layback") > overhang("cutter") + 1.0);
}

#[test]
fn a_wrong_quantity_is_wrong_input() {
    let output = relief(&[&demo("heron.build.toml"), "--corner", "1"]);
    assert_eq!(output.status.code(), Some(2));
}

#[test]
fn a_sheet_with_the_cuts_made_no_longer_hits() {
    // What the Heron's cuts leave to the top ring stays too little, and the relief that is there is told so.
    let demos = [
        ("heron.build.toml", "heron-with-bittern-head.swap.toml", 1),
        ("kestrel.build.toml", "kestrel-big-valves.swap.toml", 0),
        ("dunlin.build.toml", "dunlin-rocker.swap.toml", 0),
    ];
    for (base, swap, status) in demos {
        let out = std::env::temp_dir().join(format!("headroom-apply-{}-{swap}", std::process::id()));
        let (base, out) = (demo(base), out.display().to_string());
        assert_eq!(relief(&[&base, "--candidate", &demo(swap), "--apply", &out]).status.code(), Some(1));
        let after = relief(&[&base, "--candidate", &out]);
        let sheet = std::fs::read_to_string(&out).expect("the sheet");
        std::fs::remove_file(&out).expect("removed");
        let said = flowing(&after);
        let errors = String::from_utf8_lossy(&after.stderr);
        assert_eq!(after.status.code(), Some(status), "{swap}: {said}{errors}");
        assert!(said.contains("It clears as it is: no valve needs a cut."), "{swap}: {said}");
        assert!(sheet.contains("# Sonic-check before boring or notching"), "{sheet}");
    }
}

#[test]
fn a_candidate_with_a_cut_of_its_own_is_not_written_over() {
    let out = std::env::temp_dir().join(format!("headroom-own-cut-{}.toml", std::process::id()));
    let (base, swap) = (demo("dunlin.build.toml"), demo("dunlin-fly-cut.swap.toml"));
    let output = relief(&[&base, "--candidate", &swap, "--apply", &out.display().to_string()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(!out.exists());
}

#[test]
fn drawings_are_written_for_every_cut() {
    let folder = std::env::temp_dir().join(format!("headroom-relief-{}", std::process::id()));
    let (base, swap) = (demo("heron.build.toml"), demo("heron-with-bittern-head.swap.toml"));
    let output = relief(&[&base, "--candidate", &swap, "--out", &folder.display().to_string()]);
    assert_eq!(output.status.code(), Some(1), "{}", String::from_utf8_lossy(&output.stderr));
    let mut names: Vec<String> = std::fs::read_dir(&folder)
        .expect("the folder")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    let svg = std::fs::read_to_string(folder.join("exhaust-block-cylinder-2-does-not-survive-a4.svg"))
        .expect("the template");
    std::fs::remove_dir_all(&folder).expect("removed");
    assert!(names.iter().any(|name| name == "dye-map-cylinder-2.svg"), "{names:?}");
    names.retain(|name| name.starts_with("exhaust-block-cylinder-2"));
    names.sort();
    let endings = ["-a4.pdf", "-a4.svg", "-letter.pdf", "-letter.svg", ".dxf", ".png", ".stl"];
    assert_eq!(names, endings.map(|ending| format!("exhaust-block-cylinder-2-does-not-survive{ending}")));
    assert!(svg.contains("Sonic-check before boring or notching"));
    assert!(
        svg.contains("DOES NOT SURVIVE") && svg.contains("Does not survive, do not cut: it leaves 0.18 mm"),
        "{svg}"
    );
}

#[test]
fn a_dye_map_is_written_in_the_format_of_its_name() {
    let (base, swap) = (demo("heron.build.toml"), demo("heron-with-bittern-head.swap.toml"));
    for (ending, start) in [("svg", &b"<svg"[..]), ("pdf", b"%PDF"), ("png", b"\x89PNG")] {
        let file = std::env::temp_dir().join(format!("headroom-dye-{}.{ending}", std::process::id()));
        let name = file.display().to_string();
        let output = relief(&[&base, "--candidate", &swap, "--dye", &name, "--cylinder", "2", "--quiet"]);
        assert_eq!(output.status.code(), Some(1), "{}", String::from_utf8_lossy(&output.stderr));
        let bytes = std::fs::read(&file).expect("the map");
        std::fs::remove_file(&file).expect("removed");
        assert!(bytes.starts_with(start), "{ending}");
        if ending == "svg" {
            let text = String::from_utf8(bytes).expect("SVG is text");
            for said in [
                "Cylinder wall, seen from inside",
                "1 exhaust valve to the block: hits, -1.28 mm",
                "id=\"CONTACT\"",
            ] {
                assert!(text.contains(said), "no {said}");
            }
        }
    }
    let wrong = relief(&[&base, "--dye", "map.bmp"]);
    assert_eq!(wrong.status.code(), Some(2));
    let missing = relief(&[&base, "--dye", "map.svg", "--cylinder", "9"]);
    assert_eq!(missing.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&missing.stderr).contains("the build has 6"));
}
