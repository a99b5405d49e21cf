//! The README shows what the command really says. `UPDATE_README=1 cargo nextest run --workspace -E 'test(readme)'`
//! writes the present output into it.

use std::path::PathBuf;

/// Without the payoff: its figures move with every refinement of the marched engine.
const COMMAND: &str =
    "$ headroom swap demos/heron.build.toml demos/heron-with-bittern-head.swap.toml --no-payoff\n";

#[test]
fn readme_shows_the_real_output() {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..");
    let args: Vec<&str> = COMMAND.trim().split(' ').skip(2).collect();
    let mut command = assert_cmd::Command::cargo_bin("headroom").expect("the command was built");
    let output = command.current_dir(&root).args(args).output().expect("it ran");
    let answer = String::from_utf8(output.stdout).expect("UTF-8");
    let path = root.join("README.md");
    let readme = std::fs::read_to_string(&path).expect("the README");
    let start = readme.find(COMMAND).expect("the README shows the command") + COMMAND.len();
    let end = start + readme[start..].find("```").expect("the block ends");
    if std::env::var_os("UPDATE_README").is_some() {
        let updated = format!("{}{answer}{}", &readme[..start], &readme[end..]);
        std::fs::write(&path, updated).expect("the README can be written");
        return;
    }
    assert_eq!(&readme[start..end], answer, "the README is stale; see the head of this file");
}
