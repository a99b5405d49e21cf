//! `headroom volumes` on the demos, as it is typed.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use assert_cmd::Command;
use serde_json::Value;

const DEMOS: [(&str, &str); 3] = [
    ("heron.build.toml", "heron-with-bittern-head.swap.toml"),
    ("kestrel.build.toml", "kestrel-big-valves.swap.toml"),
    ("teal.build.toml", "teal-skimmed.swap.toml"),
];

/// What the command printed; it has to end well.
fn printed(args: &[&str]) -> String {
    let output = volumes(args).assert().success().get_output().clone();
    String::from_utf8(output.stdout).unwrap()
}

fn volumes(args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_headroom"));
    command.current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/../../demos")).arg("volumes").args(args);
    command
}

#[test]
fn exact_the_answer_comes_first() {
    let text = printed(&["heron.build.toml"]);
    let mut lines = text.lines();
    assert_eq!(lines.next(), Some("Heron six, as it runs"));
    assert_eq!(lines.nth(1), Some("Compression 8.55 ± 0.09 on every cylinder."));
    let alone = printed(&["heron.build.toml", "--candidate", "heron-with-bittern-head.swap.toml", "--quiet"]);
    assert!(alone.starts_with("Compression falls by 1.41 ± 0.09 on every cylinder"), "{alone}");
    assert_eq!(alone.lines().count(), 1, "{alone}");
}

#[test]
fn exact_json_shares_add_up() {
    for (base, candidate) in DEMOS {
        let text =
            printed(&[base, "--candidate", candidate, "--format", "json", "--intake-closes", "60 deg"]);
        let answer: Value = serde_json::from_str(&text).unwrap();
        assert_eq!(answer["format"], 1);
        for group in answer["change"]["groups"].as_array().unwrap() {
            let shares = group["shares"].as_array().unwrap().iter();
            let sum: f64 = shares.map(|share| share["value"].as_f64().unwrap()).sum();
            // Printed to a millionth each.
            assert!((sum - group["difference"]["value"].as_f64().unwrap()).abs() < 1e-5, "{group}");
        }
        for effective in answer["effective"].as_array().unwrap() {
            let ratio = effective["compression"].as_f64().unwrap();
            assert!((4.0..10.0).contains(&ratio), "{effective}");
        }
    }
}

#[test]
fn exact_inches_where_asked() {
    let text = printed(&["teal.build.toml", "--units", "inch"]);
    assert!(text.contains("in3 ±") && text.contains("78.00 cc") && !text.contains("mm ±"), "{text}");
}

#[test]
fn exact_a_closing_without_unit_is_wrong_input() {
    volumes(&["heron.build.toml", "--intake-closes", "60"]).assert().code(2);
    volumes(&["no-such.build.toml"]).assert().code(2);
}
