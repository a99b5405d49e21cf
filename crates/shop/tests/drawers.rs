//! What is put into a shop file comes out of it: unchanged, with its revision, and as it was when a change is undone.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::path::PathBuf;

use proptest::prelude::*;
use shop::{Drawer, NewEntry, NewReading, Owner, Shop, ShopError};
use tempfile::TempDir;

fn shop() -> (TempDir, Shop) {
    let folder = tempfile::tempdir().unwrap();
    let shop = Shop::open(&folder.path().join("shop.headroom")).unwrap();
    (folder, shop)
}

fn build<'a>(name: &'a str, text: &'a str) -> NewEntry<'a> {
    NewEntry { name, text, ..NewEntry::default() }
}

#[test]
fn exact_a_stale_change_is_told_and_loses_nothing() {
    let (_folder, mut shop) = shop();
    let first = shop.add(Drawer::Build, &build("heron", "a = 1")).unwrap();
    let mine = shop.put(Drawer::Build, first.id, first.revision, "heron", "a = 2").unwrap();
    assert_eq!(mine.revision, 2);
    let theirs = shop.put(Drawer::Build, first.id, first.revision, "heron", "a = 3");
    let Err(ShopError::Stale { expected: 1, current, .. }) = theirs else { panic!("{theirs:?}") };
    assert_eq!((current.text.as_str(), current.revision), ("a = 2", 2));
    let gone = shop.remove(Drawer::Build, first.id, first.revision);
    assert!(matches!(gone, Err(ShopError::Stale { .. })));
    // Neither refusal is a change that could be undone.
    assert_eq!(shop.last_change().unwrap().unwrap().what, "changed build heron");
}

#[test]
fn exact_undo_walks_back_and_revisions_go_on() {
    let (_folder, mut shop) = shop();
    let first = shop.add(Drawer::Build, &build("heron", "one")).unwrap();
    let second = shop.put(Drawer::Build, first.id, 1, "grey heron", "two").unwrap();
    assert_eq!(shop.undo(None).unwrap().unwrap().what, "changed build grey heron");
    let back = shop.get(Drawer::Build, first.id).unwrap();
    assert_eq!((back.name.as_str(), back.text.as_str()), ("heron", "one"));
    assert!(back.revision > second.revision, "a tab that read revision 2 must be told");
    assert_eq!(shop.undo(None).unwrap().unwrap().what, "added build heron");
    assert!(matches!(shop.get(Drawer::Build, first.id), Err(ShopError::NoSuch { .. })));
    assert_eq!(shop.undo(None).unwrap(), None);
}

#[test]
fn exact_a_removed_build_comes_back_with_its_readings() {
    let (_folder, mut shop) = shop();
    let heron = shop.add(Drawer::Build, &build("heron", "text")).unwrap();
    let reading = NewReading {
        path: "block.bore",
        text: "87.5 mm ± 0.02",
        taken_at: None,
        taken_by: "Ada",
        instrument: "bore gauge",
        note: "",
    };
    shop.record(Owner::Build(heron.id), &[reading, NewReading { text: "87.52 mm", ..reading }]).unwrap();
    let before = shop.history(Owner::Build(heron.id)).unwrap();
    assert_eq!(before.len(), 2);
    shop.remove(Drawer::Build, heron.id, 1).unwrap();
    assert!(shop.history(Owner::Build(heron.id)).is_err());
    shop.undo(None).unwrap();
    assert_eq!(shop.history(Owner::Build(heron.id)).unwrap(), before);
}

#[test]
fn exact_a_build_is_not_removed_from_under_its_swaps() {
    let (_folder, mut shop) = shop();
    let heron = shop.add(Drawer::Build, &build("heron", "text")).unwrap();
    let swap = NewEntry { name: "other head", text: "x", build_id: Some(heron.id), kind: None };
    shop.add(Drawer::Swap, &swap).unwrap();
    let refused = shop.remove(Drawer::Build, heron.id, 1);
    let Err(ShopError::Needed { by, .. }) = refused else { panic!("{refused:?}") };
    assert_eq!(by, "swap other head");
    let nowhere = NewEntry { name: "b", text: "x", build_id: Some(99), kind: None };
    assert!(matches!(shop.add(Drawer::Swap, &nowhere), Err(ShopError::NoSuch { .. })));
}

#[test]
fn exact_names_are_unique_whatever_their_case() {
    let (_folder, mut shop) = shop();
    shop.add(Drawer::Build, &build("Heron", "")).unwrap();
    assert!(matches!(shop.add(Drawer::Build, &build("heron", "")), Err(ShopError::NameTaken { .. })));
    let other = shop.add(Drawer::Build, &build("teal", "")).unwrap();
    assert!(matches!(shop.put(Drawer::Build, other.id, 1, "HERON", ""), Err(ShopError::NameTaken { .. })));
    shop.put(Drawer::Build, other.id, 1, "Teal", "").unwrap();
}

#[test]
fn exact_only_the_change_that_was_meant_is_undone() {
    let (_folder, mut shop) = shop();
    shop.add(Drawer::Build, &build("heron", "")).unwrap();
    let seen = shop.last_change().unwrap().unwrap();
    shop.add(Drawer::Build, &build("teal", "")).unwrap();
    assert!(matches!(shop.undo(Some(seen.id)), Err(ShopError::NotLast { .. })));
    assert!(shop.find(Drawer::Build, "heron").unwrap().is_some());
}

#[test]
fn exact_results_are_kept_by_what_they_came_from() {
    let (_folder, mut shop) = shop();
    let of = shop::digest(&[b"check", b"text"]);
    assert_eq!(shop.kept_result(&of).unwrap(), None);
    shop.keep_result(&of, "check", "{}").unwrap();
    assert_eq!(shop.kept_result(&of).unwrap().as_deref(), Some("{}"));
    assert_eq!(shop.last_change().unwrap(), None, "an answer is no change of the shop");
}

#[test]
fn exact_a_reader_sees_what_was_written() {
    let (_folder, mut shop) = shop();
    let reader = shop.reader().unwrap();
    let heron = shop.add(Drawer::Build, &build("heron", "text")).unwrap();
    assert_eq!(reader.revision(Drawer::Build, heron.id).unwrap(), 1);
    assert!(shop.reader().unwrap().add(Drawer::Build, &build("teal", "")).is_err());
}

#[test]
fn exact_a_backup_holds_everything_while_the_shop_is_open() {
    let (folder, mut shop) = shop();
    shop.add(Drawer::Build, &build("heron", "first")).unwrap();
    let to: PathBuf = folder.path().join("copy.headroom");
    shop.backup(&to).unwrap();
    shop.add(Drawer::Build, &build("teal", "later")).unwrap();
    assert!(shop.backup(&to).is_err(), "a backup is not overwritten");
    let copy = Shop::open(&to).unwrap();
    assert_eq!(copy.list(Drawer::Build).unwrap().len(), 1);
    assert_eq!(copy.find(Drawer::Build, "heron").unwrap().unwrap().text, "first");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    /// Any text but one with a zero byte comes back byte for byte, also after it was changed and the change undone.
    #[test]
    fn exact_text_survives_change_and_undo(text in "[^\\x00]{0,200}", other in "[^\\x00]{0,40}") {
        let (_folder, mut shop) = shop();
        let added = shop.add(Drawer::Build, &build("heron", &text)).unwrap();
        prop_assert_eq!(&added.text, &text);
        shop.put(Drawer::Build, added.id, 1, "heron", &other).unwrap();
        shop.undo(None).unwrap();
        prop_assert_eq!(&shop.get(Drawer::Build, added.id).unwrap().text, &text);
        shop.remove(Drawer::Build, added.id, 3).unwrap();
        shop.undo(None).unwrap();
        prop_assert_eq!(&shop.get(Drawer::Build, added.id).unwrap().text, &text);
    }
}
