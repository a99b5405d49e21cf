//! `headroom search` as a process: killed half-way and started again it comes to the same answer, and a journal of another
//! plan is refused.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

const PLAN: &str = r#"format = 1
name = "Kestrel, a corner of the shelf"
base = "kestrel.build.toml"
[band]
from = "5200 rpm"
split = "7000 rpm"
to = "8600 rpm"
points = 3
[must]
compression_least = "10.4"
octane = "98"
[[choice]]
name = "carburettor"
[[choice.option]]
name = "as raced"
[[choice.option]]
name = "short stub"
price = 40
[choice.option.change.induction]
runner_length = "130 mm"
[[choice]]
name = "head"
[[choice.option]]
name = "as raced"
[[choice.option]]
name = "big valves"
from = "kestrel-big-valves.swap.toml"
take = ["head", "train", "port", "flow"]
price = 950
[[choice]]
name = "piston"
[[choice.option]]
name = "as raced"
[[choice.option]]
name = "higher crown"
price = 290
[choice.option.change.piston]
crown_volume = "-6.0 cc ± 0.4"
[adjust.intake_advance]
from = "-6 deg"
to = "6 deg"
[adjust.skim]
from = "0 mm"
to = "0.42 mm"
step = "0.02 mm"
price = 80
"#;

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let demos = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demos");
    for name in ["kestrel.build.toml", "kestrel-big-valves.swap.toml"] {
        std::fs::copy(demos.join(name), folder.path().join(name)).unwrap();
    }
    std::fs::write(folder.path().join("shelf.plan.toml"), PLAN).unwrap();
    folder
}

fn command(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_headroom"));
    command.current_dir(folder).args(["search", "shelf.plan.toml", "--csv", "rows.csv", "--sample", "8"]);
    command
}

fn done(folder: &Path) -> (Output, Vec<u8>) {
    let output = command(folder).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    (output, std::fs::read(folder.join("rows.csv")).unwrap())
}

#[test]
fn exact_killed_half_way_it_goes_on_to_the_same_answer() {
    let (whole, broken) = (folder(), folder());
    let (expected, rows) = done(whole.path());
    let text = String::from_utf8(expected.stdout.clone()).unwrap();
    assert!(text.contains("\nTake "), "{text}");
    // 528 combinations and the head.
    assert_eq!(rows.iter().filter(|byte| **byte == b'\n').count(), 529);

    let journal = broken.path().join("shelf.plan.journal");
    let held = || std::fs::read_to_string(&journal).unwrap_or_default();
    let mut child = command(broken.path()).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
    let begun = Instant::now();
    while !held().contains("[end screen 0 ") {
        assert!(begun.elapsed() < Duration::from_secs(120), "no block after two minutes");
        std::thread::sleep(Duration::from_millis(2));
    }
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(!held().contains("[end refine "), "it was done before it was killed");
    assert!(!broken.path().join("rows.csv").exists());

    let (again, rows_again) = done(broken.path());
    assert_eq!(String::from_utf8(again.stdout).unwrap(), text);
    assert_eq!(rows_again, rows);
    assert!(String::from_utf8_lossy(&again.stderr).contains("from the journal"));
    let finished = std::fs::read(whole.path().join("shelf.plan.journal")).unwrap();
    assert_eq!(std::fs::read(&journal).unwrap(), finished);

    // With another budget it is another plan.
    let other = PLAN.replace("octane = \"98\"", "octane = \"98\"\nbudget = 300");
    std::fs::write(whole.path().join("shelf.plan.toml"), other).unwrap();
    let refused = command(whole.path()).output().unwrap();
    assert_eq!(refused.status.code(), Some(2));
    let said = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert!(said.contains("has changed") && said.contains("--fresh"), "{said}");
    assert_eq!(std::fs::read(whole.path().join("shelf.plan.journal")).unwrap(), finished);
}

#[test]
fn exact_a_wrong_plan_is_told_with_its_place() {
    let folder = folder();
    std::fs::write(folder.path().join("shelf.plan.toml"), PLAN.replace("points = 3", "points = 2")).unwrap();
    let refused = command(folder.path()).output().unwrap();
    assert_eq!(refused.status.code(), Some(2));
    let said = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert!(said.contains("shelf.plan.toml:8:10: band.points"), "{said}");
    assert!(said.contains("expected: a whole number from 3 to 60"), "{said}");
}
