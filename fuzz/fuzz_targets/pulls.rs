//! Whether any bytes make the reader of a brake's files, of stored pulls or of layouts panic, or let through a number that is
//! not finite. What is read is stored and read back; what is refused names a line.

#![no_main]

use libfuzzer_sys::fuzz_target;
use pulls::layout_file::{read_layouts, write_layouts};
use pulls::{ImportOptions, import, read_pull, write_pull};

fuzz_target!(|bytes: &[u8]| {
    match import(bytes, &ImportOptions::default()) {
        Ok(got) => {
            assert!(!got.pulls.is_empty());
            for pull in &got.pulls {
                let rows = &pull.rows;
                assert!(rows.len() >= 4);
                assert!(rows.speed_rpm().iter().chain(rows.torque_nm()).all(|number| number.is_finite()));
                let curve = pull.curve().expect("no inertia is set, so no time is needed");
                assert!(curve.speed_rpm.is_sorted());
                let text = write_pull(pull);
                let back = read_pull(text.as_bytes()).expect("what was written can be read");
                assert_eq!(write_pull(&back), text);
            }
            // The layout is known again, and the same file then read the same.
            let remembered = read_layouts(&write_layouts(&[got.layout])).expect("what was written can be read");
            let again = import(bytes, &ImportOptions { remembered, ..ImportOptions::default() });
            let rows = |pulls: &[pulls::Pull]| pulls.iter().map(|pull| format!("{:?}", pull.rows)).collect::<Vec<_>>();
            assert_eq!(again.map(|again| rows(&again.pulls)), Ok(rows(&got.pulls)));
        }
        Err(wrong) => assert!(wrong.to_string().starts_with("line "), "{wrong}"),
    }
    if let Ok(pull) = read_pull(bytes) {
        let text = write_pull(&pull);
        assert_eq!(read_pull(text.as_bytes()).map(|back| write_pull(&back)), Ok(text));
    }
    if let Ok(text) = std::str::from_utf8(bytes) {
        let _ = read_layouts(text);
    }
});
