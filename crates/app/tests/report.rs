//! The report of a demo, asked as a user would. That its pages of drawings are true to scale is read back by
//! checks/report_drawings.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use assert_cmd::Command;
use serde_json::Value;

fn demo(name: &str) -> String {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../demos").join(name).display().to_string()
}

fn headroom(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_headroom")).args(args).output().unwrap()
}

/// The Heron with the Bittern head without its payoff, which takes six cylinders' time, with more arguments.
fn bittern(more: &[&str]) -> Output {
    let (base, swap) = (demo("heron.build.toml"), demo("heron-with-bittern-head.swap.toml"));
    let mut args = vec!["report", &base, &swap, "--no-payoff"];
    args.extend(more);
    headroom(&args)
}

fn at(folder: &Path, name: &str) -> String {
    folder.join(name).display().to_string()
}

#[test]
#[cfg(feature = "pdf")]
fn exact_same_input_same_files_and_other_units_others() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, more: &[&str]| {
        let (pdf, html) = (at(folder.path(), name), at(folder.path(), &format!("{name}.html")));
        let mut args = vec!["-o", &pdf, "--html", &html];
        args.extend(more);
        let output = bittern(&args);
        assert_eq!(output.status.code(), Some(1), "{}", String::from_utf8_lossy(&output.stderr));
        (fs::read(pdf).unwrap(), fs::read(html).unwrap())
    };
    let first = write("first", &[]);
    assert!(first.0.starts_with(b"%PDF-"));
    assert!(first == write("again", &[]), "the same input made other bytes");
    let letter = write("letter", &["--paper", "letter", "--units", "inch"]);
    let has = |text: &[u8]| letter.0.windows(text.len()).any(|window| window == text);
    assert!(has(b"/MediaBox[0 0 612 792]") || has(b"/MediaBox [0 0 612 792]"));
    assert!(String::from_utf8(letter.1).unwrap().contains("at 0.209 in lift on cylinder 2"));
}

#[test]
fn exact_html_holds_the_verdict_of_swap_and_every_part() {
    let folder = tempfile::tempdir().unwrap();
    let html = at(folder.path(), "report.html");
    let output = bittern(&["--html", &html, "--pulls", &demo("pulls"), "--format", "json"]);
    assert_eq!(output.status.code(), Some(1));
    let told: Value = serde_json::from_slice(&output.stdout).unwrap();
    let swap = headroom(&[
        "swap",
        &demo("heron.build.toml"),
        &demo("heron-with-bittern-head.swap.toml"),
        "--no-payoff",
        "--format",
        "json",
    ]);
    let swap: Value = serde_json::from_slice(&swap.stdout).unwrap();
    assert_eq!(told["verdict"], swap[0]["verdict"]);
    let page = fs::read_to_string(&html).unwrap();
    for sentence in told["verdict"].as_array().unwrap() {
        let sentence = sentence.as_str().unwrap();
        assert!(page.contains(sentence), "no \"{sentence}\"");
    }
    for said in [
        "0.060 in, usual practice; 0.040 in is a race minimum (common practice, no source)",
        "does not survive",
        "8.55 ± 0.09",
        "Better by 1.9 % ± 0.6",
        "where the dowels say, with their usual slop",
        "head.chamber_x",
        "Of how it runs",
        "Sonic-check before boring or notching",
        "heron-b3.pull.toml",
        told["input_blake3"].as_str().unwrap(),
    ] {
        assert!(page.contains(said), "no \"{said}\"");
    }
    assert_eq!(page.matches("<figure class=\"full-size\"").count(), 2, "a drawing for each cut");
    assert!(!page.contains("src=\"http"), "nothing is fetched");
    assert!(!page.contains("What each change brings to torque"), "nobody wanted it");
}

/// The payoff stands where it decides: in the second sentence, with its shares, its curves and what to measure next.
#[test]
fn exact_payoff_comes_second_with_shares_demand_and_what_to_measure() {
    let folder = tempfile::tempdir().unwrap();
    let (html, calibration) = (at(folder.path(), "report.html"), at(folder.path(), "found.calibration.toml"));
    let (base, swap) = (demo("teal.build.toml"), demo("teal-skimmed.swap.toml"));
    let coarse = ["--fidelity", "screen", "--format", "json"];
    let args = [&["report", &base, &swap, "--html", &html][..], &coarse].concat();
    let told: Value = serde_json::from_slice(&headroom(&args).stdout).unwrap();
    let swapped: Value =
        serde_json::from_slice(&headroom(&[&["swap", &base, &swap][..], &coarse].concat()).stdout).unwrap();
    assert_eq!(told["verdict"], swapped[0]["verdict"]);
    let decides = told["verdict"][1].as_str().unwrap();
    assert!(decides.contains("torque from") && decides.contains("a dyno repeats to"), "{decides}");
    let page = fs::read_to_string(&html).unwrap();
    let said_by_swap = swapped[0]["payoff"]["verdict"].as_array().unwrap();
    for sentence in said_by_swap {
        let sentence = sentence.as_str().unwrap();
        assert!(page.contains(sentence), "no \"{sentence}\"");
    }
    let first = swapped[0]["payoff"]["next"][0]["path"].as_str().unwrap();
    for said in
        ["What each change brings to torque", "shares that add up", "of the intake flow the head has", first]
    {
        assert!(page.contains(said), "no \"{said}\"");
    }

    // With friction known from pulls the ± of the payoff is no wider, and the report says on what that rests.
    let found = "format = 1\nengine = \"Teal\"\nverdict = [\"Friction is 10 % above the correlation.\"]\n\
        [[factor]]\nname = \"friction\"\nvalue = 1.1\nhalf_width = 0.02\n\
        [[pull]]\nname = \"teal-a1\"\ndigest = \"0\"\nto_sheet_air = 1.0\n";
    fs::write(&calibration, found).unwrap();
    let with = [&args[..], &["--calibration", &calibration]].concat();
    let calibrated: Value = serde_json::from_slice(&headroom(&with).stdout).unwrap();
    assert_ne!(calibrated["verdict"][1], told["verdict"][1], "the factors change the gain");
    let page = fs::read_to_string(&html).unwrap();
    for said in ["as pulls of the base corrected it", "teal-a1", "found.calibration.toml"] {
        assert!(page.contains(said), "no \"{said}\"");
    }
}

#[test]
fn exact_figures_are_a_file_each() {
    let folder = tempfile::tempdir().unwrap();
    let figures = at(folder.path(), "figures");
    assert_eq!(bittern(&["--figures", &figures, "-q"]).status.code(), Some(1));
    let mut names: Vec<PathBuf> =
        fs::read_dir(&figures).unwrap().map(|entry| entry.unwrap().path()).collect();
    names.sort();
    let per_picture = if cfg!(feature = "png") { 3 } else { 1 };
    assert_eq!(names.len(), 4 * per_picture, "two cuts, lift and torque over speed: {names:?}");
    for name in names {
        let bytes = fs::read(&name).unwrap();
        if name.extension().is_some_and(|ending| ending == "svg") {
            assert!(bytes.starts_with(b"<svg ") && bytes.ends_with(b"</svg>\n"), "{}", name.display());
        } else {
            assert!(bytes.starts_with(b"\x89PNG"), "{}", name.display());
            let side = |at: usize| u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap());
            assert_eq!([side(16), side(20)], [1920, 1080], "{}", name.display());
        }
    }
}

#[test]
fn exact_the_digest_follows_the_texts() {
    let folder = tempfile::tempdir().unwrap();
    let html = at(folder.path(), "report.html");
    let base = demo("teal.build.toml");
    let swap = fs::read_to_string(demo("teal-skimmed.swap.toml")).unwrap();
    let digest = |name: &str, text: &str| {
        let path = at(folder.path(), name);
        fs::write(&path, text).unwrap();
        let output = headroom(&["report", &base, &path, "--no-payoff", "--html", &html, "--format", "json"]);
        let told: Value = serde_json::from_slice(&output.stdout).unwrap();
        told["input_blake3"].as_str().unwrap().to_owned()
    };
    let first = digest("one.swap.toml", &swap);
    assert_eq!(first, digest("two.swap.toml", &swap), "a file's name does not count");
    assert_ne!(first, digest("three.swap.toml", &format!("{swap}\n# a remark\n")));
}

#[test]
fn wrong_input_is_told() {
    let said = |output: Output| {
        assert_eq!(output.status.code(), Some(2));
        String::from_utf8(output.stderr).unwrap()
    };
    assert!(said(bittern(&[])).contains("--out"), "nothing to write");
    let folder = tempfile::tempdir().unwrap();
    let (html, empty) = (at(folder.path(), "report.html"), folder.path().display().to_string());
    let none = said(bittern(&["--html", &html, "--pulls", &empty]));
    assert!(none.contains("found no *.pull.toml"), "{none}");
    assert!(!Path::new(&html).exists(), "nothing is written when the input is wrong");
}
