//! A writer that is killed, whose disk is full, or who may not write: every acknowledged write is there afterwards.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::io::{BufRead as _, BufReader};
use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
use std::os::unix::process::CommandExt as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::Duration;

use shop::{Drawer, Shop};

const WRITER: &str = env!("CARGO_BIN_EXE_shop_writer");

/// Writes of one run.
const N_WRITES: usize = 200;

/// What the writer writes as its number `idx`.
fn text(idx: usize, n_bytes: usize) -> String {
    format!("{idx} ").repeat(n_bytes / 4)
}

/// The shop opens and holds writes 1 to `n` whole; more may have got through without a word.
fn all_there(path: &Path, n: usize, n_bytes: usize) {
    let shop = Shop::open(path).unwrap();
    let kept = shop.list(Drawer::Build).unwrap();
    assert!(kept.len() >= n, "{} kept, {n} acknowledged", kept.len());
    for entry in kept {
        let idx: usize = entry.name.strip_prefix("build ").unwrap().parse().unwrap();
        assert_eq!(entry.text, text(idx, n_bytes), "build {idx}");
    }
    for idx in 1..=n {
        assert!(shop.find(Drawer::Build, &format!("build {idx}")).unwrap().is_some(), "build {idx} is gone");
    }
}

/// Kills the writer after a number of acknowledged writes and a part of the next; `SHOP_KILLS` sets how often.
#[test]
fn exact_every_acknowledged_write_survives_a_kill() {
    let n_kills: usize = std::env::var("SHOP_KILLS").ok().map_or(10, |n| n.parse().unwrap());
    let folder = tempfile::tempdir().unwrap();
    for kill in 0..n_kills {
        let path = folder.path().join(format!("{kill}.headroom"));
        let mut writer = Command::new(WRITER)
            .args([path.as_os_str(), N_WRITES.to_string().as_ref(), "4000".as_ref()])
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        // Spread over the run: 37 and 200 have no common divisor but 1.
        let after = 1 + kill * 37 % (N_WRITES - 1);
        let mut said = BufReader::new(writer.stdout.take().unwrap()).lines();
        for _ in 0..after {
            said.next().unwrap().unwrap();
        }
        std::thread::sleep(Duration::from_micros(kill as u64 * 211 % 3000));
        writer.kill().unwrap();
        writer.wait().unwrap();
        // What it had still said before it was killed counts as acknowledged too.
        let more = said.map_while(Result::ok).count();
        all_there(&path, after + more, 4000);
    }
}

fn acknowledged(output: &Output) -> usize {
    output.stdout.iter().filter(|byte| **byte == b'\n').count()
}

#[test]
fn exact_a_full_disk_is_said_and_loses_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.headroom");
    // A file may grow to 1024 blocks of 512 bytes; the signal that would end the writer is ignored, as a full disk sends none.
    let script = format!("trap '' XFSZ; ulimit -f 1024; exec '{WRITER}' '{}' 200 20000", path.display());
    let output = Command::new("sh").args(["-c", &script]).output().unwrap();
    assert!(!output.status.success());
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(said.contains("disk is full") && said.contains("nothing was changed"), "{said}");
    let n = acknowledged(&output);
    assert!(0 < n && n < 200, "{n} writes");
    all_there(&path, n, 20_000);
}

#[test]
fn exact_a_read_only_folder_is_said_and_loses_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.headroom");
    let writer = |n: &str| {
        let mut writer = Command::new(WRITER);
        writer.args([path.as_os_str(), n.as_ref(), "4000".as_ref()]);
        // Nothing is read-only to root: the writer goes on as nobody.
        if fs::metadata(folder.path()).unwrap().uid() == 0 {
            writer.uid(65534).gid(65534);
        }
        writer.output().unwrap()
    };
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o777)).unwrap();
    let written = writer("3");
    assert!(written.status.success(), "{}", String::from_utf8_lossy(&written.stderr));
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o555)).unwrap();
    let refused = writer("5");
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o777)).unwrap();
    assert!(!refused.status.success());
    let said = String::from_utf8_lossy(&refused.stderr);
    assert!(said.contains("read-only") && said.contains("shop.headroom"), "{said}");
    all_there(&path, 3, 4000);
}
