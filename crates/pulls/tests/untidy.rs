//! Untidy files of invented brakes (`tests/untidy/`): read right, or refused with the line and the reason.
//!
//! Every good file holds one engine, T(n) = 240 - 1e-5 (n - 4200)^2 N m, so each reading can be checked.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::path::PathBuf;

use proptest::prelude::*;
use pulls::column_kind::ColumnKind;
use pulls::columns_take::parse_instructions;
use pulls::layout_file::{read_layouts, write_layouts};
use pulls::{
    Barometer, Decimal, EngineKind, Humidity, Import, ImportError, ImportOptions, Standard, StationPressure,
    Sweep, WeatherReadings, correction, import,
};
use units::pressure::{inch_of_mercury, kilopascal};
use units::ratio::percent;
use units::thermodynamic_temperature::{degree_celsius, degree_fahrenheit};
use units::{Pressure, Ratio, ThermodynamicTemperature};

fn bytes(file: &str) -> Vec<u8> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/untidy");
    std::fs::read(folder.join(file)).unwrap()
}

fn read_with(file: &str, options: ImportOptions) -> Result<Import, ImportError> {
    import(&bytes(file), &ImportOptions { file: file.to_owned(), ..options })
}

fn read(file: &str) -> Result<Import, ImportError> {
    read_with(file, ImportOptions::default())
}

/// Pulls and readings of each, and how far torque may be off: half of what the file rounds to, in N m.
fn check(file: &str, n_pulls: usize, n_rows: usize, slack_nm: f64) -> Import {
    let got = read(file).unwrap_or_else(|wrong| panic!("{file}: {wrong}"));
    assert_eq!(got.pulls.len(), n_pulls, "{file}: {:?}", got.notes);
    for pull in &got.pulls {
        assert_eq!(pull.rows.len(), n_rows, "{file}, {}: {:?}", pull.name, got.notes);
        for (speed, torque) in pull.rows.speed_rpm().iter().zip(pull.rows.torque_nm()) {
            let expected = 240.0 - 1e-5 * (speed - 4200.0).powi(2);
            assert!(
                (torque - expected).abs() < slack_nm,
                "{file}: {torque} N m at {speed} rpm, expected {expected}"
            );
        }
    }
    got
}

#[test]
fn exact_good_files_are_read_right() {
    for (file, n_pulls, n_rows, slack_nm) in [
        ("01_plain.csv", 1, 17, 0.0051),
        ("02_german.csv", 1, 17, 0.051),
        ("03_utf16.txt", 1, 17, 0.007),
        ("04_metadata.csv", 1, 17, 0.068),
        ("05_francais.csv", 1, 17, 0.051),
        ("06_thousands.csv", 1, 17, 0.051),
        ("07_thousands_comma.csv", 1, 17, 0.0051),
        ("08_no_units.csv", 1, 17, 0.068),
        ("09_two_lines.csv", 1, 17, 0.051),
        ("10_blanks.txt", 1, 17, 0.051),
        ("11_power_only.csv", 1, 17, 0.002),
        ("12_factor.csv", 1, 17, 0.0051),
        ("13_both.csv", 1, 17, 0.0051),
        ("14_up_down.csv", 2, 0, 0.0),
        ("15_runs.csv", 3, 17, 0.051),
        ("16_again.csv", 2, 17, 0.051),
        ("17_summary.csv", 1, 15, 0.051),
        ("18_clock.csv", 1, 17, 0.001),
        ("19_setpoint.csv", 1, 17, 0.0051),
        ("20_bars.txt", 1, 17, 0.051),
        ("21_settling.csv", 1, 0, 0.0),
        ("22_workbook.xlsx", 1, 17, 0.001),
        ("23_text_cells.xlsx", 1, 17, 0.051),
        ("40_comma_krpm.csv", 1, 17, 0.51),
    ] {
        if n_rows > 0 {
            check(file, n_pulls, n_rows, slack_nm);
        }
    }
}

#[test]
fn exact_up_and_down_are_two_pulls() {
    let got = read("14_up_down.csv").unwrap();
    let parts: Vec<(&str, Sweep, usize)> =
        got.pulls.iter().map(|pull| (pull.name.as_str(), pull.sweep, pull.rows.len())).collect();
    assert_eq!(parts, [("14_up_down-up", Sweep::Up, 201), ("14_up_down-down", Sweep::Down, 200)]);
}

#[test]
fn exact_settling_and_spinning_down_are_left_out_and_said() {
    let got = read("21_settling.csv").unwrap();
    assert_eq!(got.pulls.len(), 1);
    let (low, high) = got.pulls[0].rows.span_rpm();
    assert!((low - 2500.0).abs() < 31.0 && high == 6500.0, "{low} to {high}");
    assert_eq!(got.notes.iter().filter(|note| note.contains("left out")).count(), 2, "{:?}", got.notes);
}

#[test]
fn exact_weather_and_date_above_the_table_are_read() {
    let pull = &read("04_metadata.csv").unwrap().pulls[0];
    assert_eq!(pull.when.unwrap().to_string(), "2025-05-03 10:42:00");
    assert_eq!(pull.instrument.as_deref(), Some("the old water brake"));
    let weather = pull.weather.complete().unwrap();
    assert!((weather.station().pressure().get::<inch_of_mercury>() - 28.85).abs() < 1e-9);
    assert!((weather.inlet.get::<degree_fahrenheit>() - 85.0).abs() < 1e-9);
    assert!(pull.assumed.iter().any(|line| line.contains("not of the sea")), "{:?}", pull.assumed);
}

#[test]
fn exact_what_was_supposed_is_said() {
    let got = read("08_no_units.csv").unwrap();
    assert!(
        got.pulls[0].assumed.iter().any(|line| line.contains("`Torque` is in lb-ft")),
        "{:?}",
        got.pulls[0].assumed
    );
    let got = read("17_summary.csv").unwrap();
    assert!(got.notes.iter().any(|note| note.contains("lines 4 and 13")), "{:?}", got.notes);
    assert!(got.notes.iter().any(|note| note.contains("Maximum torque")), "{:?}", got.notes);
    let got = read("12_factor.csv").unwrap();
    assert!(got.pulls[0].assumed.iter().any(|line| line.contains("factor")), "{:?}", got.pulls[0].assumed);
}

#[test]
fn exact_bad_files_are_refused_with_line_and_reason() {
    for (file, line, reason) in [
        ("24_letter.csv", "line 6, column `Torque`", "found `23O.4`, expected a number"),
        ("25_no_speed.csv", "line 1", "no column with the engine speed"),
        ("26_only_corrected.csv", "line 1", "`SAE power` is corrected already"),
        ("27_no_unit.csv", "line 2", "`Torque` has no unit"),
        ("28_mixed.csv", "line 2", "decimal comma and decimal point in one file"),
        ("29_contradiction.csv", "line", "15 % apart"),
        ("30_two_torques.csv", "line 1", "`Torque cell 1` and `Torque cell 2` both look like torque"),
        ("31_no_header.csv", "line 1", "numbers without a header"),
        ("32_picture.csv", "line 3", "bytes that are no text"),
        ("33_letter.txt", "line 1", "no rows with two numbers"),
        ("34_held.csv", "line 2", "stays within 2 rpm"),
        ("35_absurd.csv", "line 2, column `Speed`", "expected an engine speed"),
        ("36_broken.xlsx", "line 1", "workbook cannot be opened"),
        ("37_empty.csv", "line 1", "found nothing"),
        ("38_unit.csv", "line 1", "the unit `stone furlongs`"),
        ("39_three.csv", "line 2", "may be three or three thousand"),
    ] {
        let wrong = read(file).map(|got| got.notes).unwrap_err().to_string();
        assert!(wrong.starts_with(line), "{file}: {wrong}");
        assert!(wrong.contains(reason), "{file}: {wrong}");
    }
}

#[test]
fn exact_instructions_put_it_right() {
    let told = |file: &str, text: &str, decimal| {
        let columns = parse_instructions(text).unwrap();
        read_with(file, ImportOptions { columns, decimal, ..ImportOptions::default() })
    };
    for (file, text, decimal) in [
        ("27_no_unit.csv", "Torque=torque Nm", None),
        ("29_contradiction.csv", "Power=ignored", None),
        ("30_two_torques.csv", "Torque cell 2=ignored", None),
        ("31_no_header.csv", "1=speed rpm, 2=torque Nm, 3=power kW", None),
        ("39_three.csv", "", Some(Decimal::Comma)),
    ] {
        let got = told(file, text, decimal).unwrap_or_else(|wrong| panic!("{file}: {wrong}"));
        assert_eq!(got.pulls[0].rows.len(), 17, "{file}");
        // A whole newton metre is the coarsest of them.
        let (speed, torque) = (got.pulls[0].rows.speed_rpm()[6], got.pulls[0].rows.torque_nm()[6]);
        assert!((speed - 4000.0).abs() < 1e-6 && (torque - 239.6).abs() < 0.51, "{file}: {speed} {torque}");
    }
    let none = told("01_plain.csv", "Bogus=torque Nm", None).unwrap_err().to_string();
    assert!(none.contains("no column `Bogus`"), "{none}");
    assert!(parse_instructions("Torque=torque furlongs").is_err());
    assert!(parse_instructions("Torque").is_err());
}

/// Figures corrected to a known standard go back to measured ones by the factor of the weather; made with 1.03.
#[test]
fn exact_a_known_correction_is_undone() {
    let humidity = Some(Humidity::Relative(Ratio::new::<percent>(40.0)));
    let station = StationPressure::new(Pressure::new::<kilopascal>(98.0));
    let inlet = Some(ThermodynamicTemperature::new::<degree_celsius>(24.0));
    let weather =
        WeatherReadings { barometer: Some(Barometer::Station(station)), inlet, dry_bulb: None, humidity };
    let options = ImportOptions { corrected_to: Some(Standard::SaeJ1349), ..ImportOptions::default() };
    let without = read_with("26_only_corrected.csv", options.clone()).unwrap_err().to_string();
    assert!(without.starts_with("line 2: ") && without.contains("no barometer was read"), "{without}");
    let got = read_with("26_only_corrected.csv", ImportOptions { weather, ..options }).unwrap();
    let factor =
        correction(Standard::SaeJ1349, EngineKind::Spark, &weather.complete().unwrap()).unwrap().factor;
    let rows = &got.pulls[0].rows;
    for (speed, torque) in rows.speed_rpm().iter().zip(rows.torque_nm()) {
        let expected = (240.0 - 1e-5 * (speed - 4200.0).powi(2)) * 1.03 / factor;
        // Half of a tenth of a horsepower at the lowest speed.
        assert!((torque - expected).abs() < 0.15, "{speed}: {torque}, {expected}");
    }
    assert!(
        got.pulls[0].assumed.iter().any(|line| line.contains("corrected to SAE J1349")),
        "{:?}",
        got.pulls[0].assumed
    );
}

/// A layout confirmed once is known again by its header, through the file it is kept in.
#[test]
fn exact_layouts_are_remembered() {
    let columns = parse_instructions("Torque=torque lb-ft").unwrap();
    let first = read_with("27_no_unit.csv", ImportOptions { columns, ..ImportOptions::default() }).unwrap();
    let kept = read_layouts(&write_layouts(std::slice::from_ref(&first.layout))).unwrap();
    let again =
        read_with("27_no_unit.csv", ImportOptions { remembered: kept, ..ImportOptions::default() }).unwrap();
    assert!(again.remembered && !first.remembered);
    assert_eq!(again.pulls[0].rows, first.pulls[0].rows);
}

/// The same readings, written some untidy way.
fn written(separator: char, comma: bool, units: &str, above: usize, crlf: bool, order: bool) -> String {
    let end = if crlf { "\r\n" } else { "\n" };
    let mut text = String::new();
    for idx in 0..above {
        text.push_str(&format!("Note {idx}: nothing to see{end}"));
    }
    let (torque_unit, factor) = if units == "Nm" { ("Nm", 1.0) } else { ("lb-ft", 1.355_817_948_331_400_3) };
    let names = [format!("Torque [{torque_unit}]"), "RPM".to_owned()];
    let write = |cells: [String; 2]| {
        let [a, b] = cells;
        if order { format!("{a}{separator}{b}{end}") } else { format!("{b}{separator}{a}{end}") }
    };
    text.push_str(&write(names));
    for speed in (2500..=6500).step_by(125) {
        let torque = (240.0 - 1e-5 * (f64::from(speed) - 4200.0).powi(2)) / factor;
        let torque = format!("{torque:.4}");
        text.push_str(&write([if comma { torque.replace('.', ",") } else { torque }, speed.to_string()]));
    }
    text
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn exact_one_table_however_it_is_written(
        separator in prop_oneof![Just(';'), Just('\t'), Just(','), Just('|')],
        comma in any::<bool>(), pounds in any::<bool>(), above in 0usize..5, crlf in any::<bool>(), order in any::<bool>(),
        wide in any::<bool>(),
    ) {
        prop_assume!(!(comma && separator == ','));
        let text = written(separator, comma, if pounds { "lb-ft" } else { "Nm" }, above, crlf, order);
        let bytes: Vec<u8> =
            if wide { text.encode_utf16().flat_map(u16::to_le_bytes).collect() } else { text.into_bytes() };
        let got = import(&bytes, &ImportOptions::default()).unwrap();
        prop_assert_eq!(got.pulls.len(), 1);
        let rows = &got.pulls[0].rows;
        prop_assert_eq!(rows.len(), 33);
        for (speed, torque) in rows.speed_rpm().iter().zip(rows.torque_nm()) {
            prop_assert!((torque - (240.0 - 1e-5 * (speed - 4200.0).powi(2))).abs() < 1e-4);
        }
    }

    /// Whatever is done to a good file, it is read or refused with a place; nothing that is no number comes through.
    #[test]
    fn exact_any_bytes_are_read_or_refused(
        file in prop_oneof![
            Just("01_plain.csv"), Just("02_german.csv"), Just("04_metadata.csv"), Just("14_up_down.csv"), Just("22_workbook.xlsx")
        ],
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>(), any::<bool>()), 0..12),
    ) {
        let mut bytes = bytes(file);
        for (at, byte, cut) in changes {
            let at = at.index(bytes.len());
            if cut { bytes.truncate(at.max(1)); } else { bytes[at] = byte; }
        }
        match import(&bytes, &ImportOptions::default()) {
            Ok(got) => {
                prop_assert!(!got.pulls.is_empty());
                for pull in &got.pulls {
                    prop_assert!(pull.rows.len() >= 4 && pull.rows.torque_nm().iter().all(|torque| torque.is_finite()));
                    prop_assert!(pull.rows.others().iter().all(|other| other.kind != ColumnKind::Ignored));
                }
            }
            Err(wrong) => prop_assert!(wrong.to_string().starts_with("line "), "{wrong}"),
        }
    }
}
