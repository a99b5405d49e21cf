//! Lift tables from CSV files: what is read, and what is said when they are wrong.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fmt::Write as _;

use parts::cam::{LiftAt, TableAngles};
use parts::train::Train;
use proptest::prelude::*;
use sheet::{read_build, read_lobe_csv};
use units::angle::degree;
use units::length::{inch, millimeter};

fn train() -> Train {
    let demo = read_build(include_str!("../../../demos/dunlin.build.toml")).unwrap();
    demo.build.cylinders[0].gear.intake.clone().unwrap().train
}

fn table(head: &str, between: &str) -> String {
    let mut text = format!("# Dunlin, lobe 1\n\n{head}\n");
    for step in -12..=12 {
        let _ = writeln!(text, "{}{between} 0.{:02}", step * 5, 24 - 2 * i32::abs(step));
    }
    text
}

#[test]
fn exact_columns_and_lines() {
    let read = read_lobe_csv(table("cam_deg,lift_mm", ",").as_bytes(), &train()).unwrap();
    assert_eq!((read.angles, read.lifts, read.rows.len()), (TableAngles::Cam, LiftAt::Tappet, 25));
    // The head stands on line 3, the nose in the middle of 25 rows.
    assert_eq!((read.rows[0].number, read.rows[12].number), (4, 16));
    assert!((read.rows[0].angle.get::<degree>() + 60.0).abs() < 1e-9);
    assert!((read.rows[12].lift.get::<millimeter>() - 0.24).abs() < 1e-12);
    let read =
        read_lobe_csv(table("crank_deg;valve_lift_in", ";").replace('\n', "\r\n").as_bytes(), &train());
    let read = read.unwrap();
    assert_eq!(read.angles, TableAngles::Crank);
    assert!((read.rows[12].lift.get::<inch>() - 0.24).abs() < 1e-12);
    let LiftAt::Valve { ratio, lash } = read.lifts else { panic!("at the valve") };
    assert!((ratio.value.value - 1.5).abs() < 1e-12 && (lash.value.get::<inch>() - 0.015).abs() < 1e-12);
}

#[test]
fn exact_wrong_files() {
    let check = |text: &str, expected: &[(usize, usize, &str, &str)]| {
        let problems = read_lobe_csv(text.as_bytes(), &train()).expect_err(text);
        let got: Vec<_> = problems
            .list()
            .iter()
            .map(|one| (one.line, one.column, one.found.as_str(), one.expected.as_str()))
            .collect();
        assert_eq!(got, expected, "{problems}");
    };
    let lifts = "one of lift_mm, lift_in, tappet_lift_mm, tappet_lift_in, valve_lift_mm, valve_lift_in";
    check("", &[(1, 1, "0 rows", "a head such as cam_deg,lift_mm and 12 to 3000 rows")]);
    check("deg,lift\n", &[(1, 1, "\"deg\"", "cam_deg or crank_deg"), (1, 5, "\"lift\"", lifts)]);
    check(&table("cam_deg", ","), &[(3, 8, "nothing", lifts)]);
    check(
        &table("cam_deg,lift_mm", ",").replace("\n5, 0.22", "\n5, o.22"),
        &[(17, 4, "\"o.22\"", "a number")],
    );
    check(&table("cam_deg,lift_mm", ",").replace("\n5, 0.22", "\n5"), &[(17, 2, "nothing", "a number")]);
}

proptest! {
    #[test]
    fn exact_any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        if let Err(problems) = read_lobe_csv(&bytes, &train()) {
            prop_assert!(!problems.is_empty());
        }
    }
}
