//! Files that are damaged, newer, or not of a shop: what is wrong is said, and not a byte is changed.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::path::{Path, PathBuf};

use shop::{Drawer, NewEntry, Shop, ShopError};
use tempfile::TempDir;

/// A shop file of some pages, closed.
fn shop_file() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shop.headroom");
    let mut shop = Shop::open(&path).unwrap();
    for idx in 0..30 {
        let text = format!("remark = \"{}\"", "some words ".repeat(200));
        let name = format!("build {idx}");
        shop.add(Drawer::Build, &NewEntry { name: &name, text: &text, ..NewEntry::default() }).unwrap();
    }
    drop(shop);
    (folder, path)
}

/// Opening must fail and leave the file as it was; returns what was said.
fn refused(path: &Path) -> ShopError {
    let before = fs::read(path).unwrap();
    let error = Shop::open(path).unwrap_err();
    assert!(fs::read(path).unwrap() == before, "the file was changed");
    assert!(error.to_string().contains(&path.display().to_string()), "{error}");
    error
}

fn change(path: &Path, at: usize, bytes: &[u8]) {
    let mut all = fs::read(path).unwrap();
    all[at..at + bytes.len()].copy_from_slice(bytes);
    fs::write(path, all).unwrap();
}

#[test]
fn exact_a_newer_file_is_left_alone() {
    let (_folder, path) = shop_file();
    change(&path, 60, &9999_u32.to_be_bytes());
    let error = refused(&path);
    assert!(matches!(error, ShopError::Newer { found: 9999, .. }), "{error}");
    assert!(error.to_string().contains("newer program"), "{error}");
}

#[test]
fn exact_a_damaged_page_is_found_before_anything_is_written() {
    let (_folder, path) = shop_file();
    // The head of the second page: a cell count that no page can hold.
    change(&path, 4096, &[0xff; 64]);
    let error = refused(&path);
    assert!(matches!(error, ShopError::Damaged { .. }), "{error}");
    assert!(error.to_string().contains("backup"), "{error}");
}

#[test]
fn exact_a_cut_off_file_is_damaged() {
    let (_folder, path) = shop_file();
    let all = fs::read(&path).unwrap();
    for length in [50, 4096, 4096 * 3 + 100] {
        fs::write(&path, &all[..length]).unwrap();
        let error = refused(&path);
        assert!(matches!(error, ShopError::Damaged { .. }), "{length}: {error}");
    }
}

#[test]
fn exact_other_files_are_not_shops() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("notes.txt");
    for content in [&b""[..], b"bore 87.5 mm", &[0xff; 5000]] {
        fs::write(&path, content).unwrap();
        let error = refused(&path);
        assert!(matches!(error, ShopError::NotAShop { .. }), "{error}");
    }
    let error = Shop::open(folder.path()).unwrap_err();
    assert!(matches!(error, ShopError::NotAShop { .. }), "{error}");
}

#[test]
fn exact_a_database_of_another_program_is_left_alone() {
    let (_folder, path) = shop_file();
    change(&path, 68, &1_u32.to_be_bytes());
    let error = refused(&path);
    assert!(error.to_string().contains("another program"), "{error}");
}

#[test]
fn exact_a_missing_folder_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let error = Shop::open(&folder.path().join("nowhere/shop.headroom")).unwrap_err();
    assert!(error.to_string().contains("there is no folder"), "{error}");
}
