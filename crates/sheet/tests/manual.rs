//! `docs/sheet.md` says what the vocabulary says. `HEADROOM_WRITE_DOCS=1 cargo test -p headroom-sheet --test manual`
//! writes it anew.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::path::Path;

#[test]
fn regress_the_page_of_the_sheet_is_current() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/sheet.md");
    let page = sheet::manual();
    if std::env::var_os("HEADROOM_WRITE_DOCS").is_some() {
        std::fs::write(&path, &page).unwrap();
    }
    let written = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(written == page, "docs/sheet.md is not current: run with HEADROOM_WRITE_DOCS=1");
}
