//! Shop files of an older format: opened, brought to the newest shape, and nothing of them lost.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use rusqlite::Connection;
use shop::{Drawer, NewEntry, Owner, PART_KINDS, Shop};

/// The first format, with a part that has a reading, and a part that was there and is gone.
fn first_format(path: &std::path::Path) {
    let connection = Connection::open(path).unwrap();
    connection.pragma_update(None, "application_id", 0x4872_5368).unwrap();
    connection.execute_batch(include_str!("../migrations/01_first.sql")).unwrap();
    connection
        .execute_batch(
            "INSERT INTO change (at, what) VALUES ('2026-01-01T00:00:00Z', 'added');
             INSERT INTO part (name, text, revision, changed_at, kind)
                 VALUES ('thick gasket', 'thickness = \"1.6 mm\"', 3, '2026-01-01T00:00:00Z', 'gasket');
             INSERT INTO part (name, text, revision, changed_at, kind)
                 VALUES ('sold head', '', 1, '2026-01-01T00:00:00Z', 'head');
             DELETE FROM part WHERE name = 'sold head';
             INSERT INTO reading (part_id, path, text, taken_at, taken_by, instrument, note)
                 VALUES (1, 'gasket.thickness', '1.6 mm', '2026-01-01T00:00:00Z', '', 'micrometer', '');
             PRAGMA user_version = 1;",
        )
        .unwrap();
}

#[test]
fn exact_a_file_of_the_first_format_keeps_parts_and_their_readings() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.headroom");
    first_format(&path);
    let mut shop = Shop::open(&path).unwrap();
    let parts = shop.list(Drawer::Part).unwrap();
    assert_eq!(parts.len(), 1);
    assert_eq!((parts[0].id, parts[0].name.as_str(), parts[0].revision), (1, "thick gasket", 3));
    assert_eq!(shop.history(Owner::Part(1)).unwrap().len(), 1);

    // Every kind can be put on the shelf, and no number is given twice.
    for kind in PART_KINDS {
        let name = format!("a {kind}");
        let new = NewEntry { name: &name, text: "", kind: Some(kind), ..NewEntry::default() };
        assert!(shop.add(Drawer::Part, &new).unwrap().id > 2);
    }
    // What is done to the table made anew can be undone, and a reading goes with its part.
    shop.remove(Drawer::Part, 1, 3).unwrap();
    assert!(shop.history(Owner::Part(1)).is_err());
    shop.undo(None).unwrap();
    assert_eq!(shop.get(Drawer::Part, 1).unwrap().name, "thick gasket");
    assert_eq!(shop.history(Owner::Part(1)).unwrap().len(), 1);
}
