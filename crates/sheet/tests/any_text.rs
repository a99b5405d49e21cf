//! No text makes the reader panic, and what it lets through is finite; readings written to a sheet are read back the
//! same.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::BTreeMap;

use parts::readings::Visit;
use proptest::prelude::*;
use sheet::{Answers, Problems, new_sheet, read_build, read_build_bytes, read_candidate};
use units::{Angle, Basis, Length, Quantity, Reading, UnitSystem, Volume, reading_to_sheet_text};

const DEMOS: [&str; 6] = [
    include_str!("../../../demos/heron.build.toml"),
    include_str!("../../../demos/kestrel.build.toml"),
    include_str!("../../../demos/teal.build.toml"),
    include_str!("../../../demos/heron-with-bittern-head.swap.toml"),
    include_str!("../../../demos/kestrel-big-valves.swap.toml"),
    include_str!("../../../demos/teal-skimmed.swap.toml"),
];

/// Pieces that change the meaning of a sheet when they land somewhere.
const PIECES: [&str; 16] = [
    "\"",
    "[",
    "]",
    "{",
    "}",
    "=",
    ".",
    "-",
    "\n",
    "#",
    " mm",
    "nan",
    "1e308",
    "±",
    "[[head.valve]]\n",
    "number = 2\n",
];

fn check_problems(problems: &Problems) {
    assert!(!problems.is_empty());
    for problem in problems.list() {
        assert!(problem.line >= 1 && problem.column >= 1);
        assert!(!problem.found.is_empty() && !problem.expected.is_empty(), "{problem:?}");
    }
    assert!(!problems.render("sheet").is_empty());
}

fn check(text: &str) {
    match read_build(text) {
        Ok(mut sheet) => {
            sheet.build.running.visit("", &mut |path, reading| {
                assert!(reading.value_si.is_finite() && reading.tolerance_si.is_finite(), "{path}");
            });
            for mut cylinder in sheet.build.cylinders {
                cylinder.visit("", &mut |path, reading| {
                    assert!(reading.value_si.is_finite() && reading.tolerance_si.is_finite(), "{path}");
                });
            }
        }
        Err(problems) => check_problems(&problems),
    }
    for base in &DEMOS[..3] {
        if let Err(problems) = read_candidate(base, text, &mut |_| Ok(DEMOS[0].to_owned())) {
            check_problems(&problems);
        }
    }
}

/// A line cut, doubled or moved, or a piece put somewhere.
#[derive(Clone, Debug)]
enum Change {
    Cut(usize),
    Double(usize),
    Swap(usize, usize),
    Insert(usize, usize),
    Remove(usize, usize),
}

fn change() -> impl Strategy<Value = Change> {
    let at = 0..1_000_000_usize;
    prop_oneof![
        at.clone().prop_map(Change::Cut),
        at.clone().prop_map(Change::Double),
        (at.clone(), at.clone()).prop_map(|(a, b)| Change::Swap(a, b)),
        (at.clone(), 0..PIECES.len()).prop_map(|(at, piece)| Change::Insert(at, piece)),
        (at, 1..20_usize).prop_map(|(at, length)| Change::Remove(at, length)),
    ]
}

fn apply(text: &str, change: &Change) -> String {
    let mut lines: Vec<&str> = text.lines().collect();
    let mut chars: Vec<char> = text.chars().collect();
    if lines.is_empty() || chars.is_empty() {
        return text.to_owned();
    }
    let n_lines = lines.len();
    match change {
        Change::Cut(at) => drop(lines.remove(at % n_lines)),
        Change::Double(at) => lines.insert(at % n_lines, lines[at % n_lines]),
        Change::Swap(a, b) => lines.swap(a % n_lines, b % n_lines),
        Change::Insert(at, piece) => {
            let at = at % chars.len();
            chars.splice(at..at, PIECES[*piece].chars());
            return chars.into_iter().collect();
        }
        Change::Remove(at, length) => {
            let at = at % chars.len();
            let end = (at + length).min(chars.len());
            chars.drain(at..end);
            return chars.into_iter().collect();
        }
    }
    lines.join("\n") + "\n"
}

/// A reading of a path, in SI: kind, least and most.
type Place = (&'static str, Kind, f64, f64);

#[derive(Clone, Copy, Debug)]
enum Kind {
    Length,
    Angle,
    Volume,
}

const PLACES: [Place; 20] = [
    ("block.bore", Kind::Length, 1e-3, 1.0),
    ("block.stroke", Kind::Length, 1e-3, 1.0),
    ("block.rod_length", Kind::Length, 1e-3, 1.0),
    ("block.pin_offset", Kind::Length, -1.0, 1.0),
    ("gasket.thickness", Kind::Length, 1e-6, 1.0),
    ("head.chamber_volume", Kind::Volume, 0.0, 0.9),
    ("head.twist", Kind::Angle, -1.0, 1.0),
    ("head.valve.intake.head_diameter", Kind::Length, 1e-3, 1.0),
    ("head.valve.intake.seat_angle", Kind::Angle, 0.3, 1.3),
    ("head.valve.intake.x", Kind::Length, -1.0, 1.0),
    ("head.valve.intake.tilt_y", Kind::Angle, -1.0, 1.0),
    ("head.valve.exhaust.head_diameter", Kind::Length, 1e-3, 1.0),
    ("head.valve.exhaust.recess", Kind::Length, -1.0, 1.0),
    ("head.valve.exhaust.lift", Kind::Length, 0.0, 1.0),
    ("piston.deck_offset", Kind::Length, -1.0, 1.0),
    ("piston.crown_volume", Kind::Volume, -0.9, 0.9),
    ("port.intake.length", Kind::Length, 1e-3, 1.0),
    ("port.exhaust.volume", Kind::Volume, 1e-9, 9e-3),
    ("induction.runner_length", Kind::Length, 1e-3, 1.0),
    ("exhaust.silencer_volume", Kind::Volume, 1e-6, 0.9),
];

fn text_of<Q: Quantity>(value_si: f64, tolerance_si: f64, basis: Basis, system: UnitSystem) -> String {
    let reading = Reading { value: Q::from_si(value_si), tolerance: Q::from_si(tolerance_si), basis };
    reading_to_sheet_text(&reading, system)
}

proptest! {
    #[test]
    fn exact_no_text_panics(text in ".{0,400}") {
        check(&text);
    }

    #[test]
    fn exact_no_bytes_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        if let Err(problems) = read_build_bytes(&bytes) {
            check_problems(&problems);
        }
    }

    #[test]
    fn exact_no_change_of_a_demo_panics(demo in 0..DEMOS.len(), changes in proptest::collection::vec(change(), 1..8)) {
        check(&changes.iter().fold(DEMOS[demo].to_owned(), |text, change| apply(&text, change)));
    }

    #[test]
    fn exact_readings_written_are_read_back_bit_for_bit(
        numbers in proptest::collection::vec((0.0..1.0, 0.0..1e-3, 0..3_usize, any::<bool>()), PLACES.len())
    ) {
        let mut answers = Answers::new("round trip", 1, 1, 1, 1);
        for path in ["head.valve.intake.y", "head.valve.exhaust.x", "head.valve.exhaust.y"] {
            answers.give(path, "0 mm").unwrap();
        }
        for path in ["cam.intake.valve_lift", "cam.exhaust.valve_lift"] {
            answers.give(path, "9 mm").unwrap();
        }
        let mut written = BTreeMap::new();
        for ((path, kind, least, most), (share, tolerance_si, basis, inch)) in PLACES.into_iter().zip(numbers) {
            let value_si = least + share * (most - least);
            let basis = [Basis::Measured, Basis::Catalogue, Basis::Assumed][basis];
            let system = if inch { UnitSystem::Inch } else { UnitSystem::Metric };
            let text = match kind {
                Kind::Length => text_of::<Length>(value_si, tolerance_si, basis, system),
                Kind::Angle => text_of::<Angle>(value_si, tolerance_si, basis, system),
                Kind::Volume => text_of::<Volume>(value_si, tolerance_si, basis, system),
            };
            answers.give(path, &text).unwrap();
            written.insert(path.to_owned(), (value_si.to_bits(), tolerance_si.to_bits(), basis));
        }
        let text = new_sheet(&answers);
        let mut sheet = read_build(&text).unwrap_or_else(|problems| panic!("{problems}"));
        let mut read = BTreeMap::new();
        sheet.build.cylinders[0].visit("", &mut |path, reading| {
            let bits = (reading.value_si.to_bits(), reading.tolerance_si.to_bits(), reading.basis);
            read.insert(path.to_owned(), bits);
        });
        sheet.build.running.visit("", &mut |path, reading| {
            let bits = (reading.value_si.to_bits(), reading.tolerance_si.to_bits(), reading.basis);
            read.insert(path.to_owned(), bits);
        });
        for (path, bits) in written {
            prop_assert_eq!(Some(&bits), read.get(&path), "{}", path);
        }
    }
}
