//! What is refused, in which words, and which bytes the message points at.

use units::*;

/// The message, and the part of the text the span covers.
fn check<Q: Quantity>(text: &str, pointed_at: &str, message: &str) {
    let error = parse_typed::<Q>(text).expect_err(text);
    assert_eq!(error.to_string(), message, "{text}");
    assert_eq!(&text[error.span()], pointed_at, "{text}");
}

const LENGTH: &str = "expected a length (mm, in, thou, cm, m)";
const ANGLE: &str = "expected an angle (deg, °, 12°30', rad)";
const RATIO: &str = "expected a ratio (a bare number, or %)";

#[test]
fn exact_missing_and_wrong_units() {
    check::<Length>(" 46.0 ", "46.0", &format!("found 46.0 without a unit, {LENGTH}"));
    check::<Length>("46 ± 0.05 mm", "46", &format!("found 46 without a unit, {LENGTH}"));
    check::<Angle>("60", "60", &format!("found 60 without a unit, {ANGLE}"));
    check::<Length>("62 cc", "cc", &format!("found a volume (cc), {LENGTH}"));
    check::<Length>("62 mm ± 1 deg", "deg", &format!("found an angle (deg), {LENGTH}"));
    check::<Ratio>("1.65 mm", "mm", &format!("found a length (mm), {RATIO}"));
    check::<Angle>("5 mil", "mil", &format!("found a length (mil), {ANGLE}"));
    check::<Length>(
        "46 milimeter",
        "milimeter",
        &format!("unknown unit `milimeter`, did you mean mm, {LENGTH}"),
    );
    check::<Length>("12 thuo", "thuo", &format!("unknown unit `thuo`, did you mean thou, {LENGTH}"));
    check::<Length>("46 furlongs", "furlongs", &format!("unknown unit `furlongs`, {LENGTH}"));
    check::<Length>("46 Mm", "Mm", &format!("unknown unit `Mm`, did you mean mm, {LENGTH}"));
    check::<Pressure>(
        "3 mPa",
        "mPa",
        "unknown unit `mPa`, did you mean MPa, expected a pressure (kPa, bar, psi, inH2O, inHg)",
    );
    check::<CamAngle>(
        "106 crank deg",
        "crank deg",
        "found a crank angle (crank deg), expected a cam angle (deg, °, deg cam)",
    );
}

#[test]
fn exact_commas_in_numbers() {
    let comma = ": the comma is not read as a decimal point";
    check::<Length>("2,5 mm", "2,5", &format!("found `2,5`, write 2.5{comma}"));
    check::<Length>("46 mm ± 0,05", "0,05", &format!("found `0,05`, write 0.05{comma}"));
    check::<Length>(",5 mm", ",5", &format!("found `,5`, write 0.5{comma}"));
    check::<Length>("1,234 mm", "1,234", &format!("found `1,234`, write 1234 or 1.234{comma}"));
    check::<Length>("0,234 mm", "0,234", &format!("found `0,234`, write 0.234{comma}"));
    check::<Length>("1,234.5 mm", "1,234.5", &format!("found `1,234.5`, write 1234.5{comma}"));
    check::<Length>("1.234,5 mm", "1.234,5", &format!("found `1.234,5`, write 1234.5{comma}"));
    check::<Length>("1,234,567 mm", "1,234,567", &format!("found `1,234,567`, write 1234567{comma}"));
}

#[test]
fn exact_no_number() {
    check::<Length>("", "", &format!("nothing found, {LENGTH}"));
    check::<Length>("  \t", "", &format!("nothing found, {LENGTH}"));
    check::<Length>("46 mm ±", "", &format!("nothing found, {LENGTH}"));
    check::<Length>("± 46 mm", "", &format!("nothing found, {LENGTH}"));
    for text in ["mm", "NaN mm", "inf mm", "-inf mm", "infinity", "about 5 mm", "--5 mm", "٣ mm", "1½"] {
        let error = parse::<Length>(text).expect_err(text);
        if text != "1½" {
            let expected = format!("found `{text}`, expected a number, then a length (mm, in, thou, cm, m)");
            assert_eq!(error.to_string(), expected);
        }
    }
}

#[test]
fn exact_numbers_nothing_can_hold() {
    check::<Length>("1e400 mm", "1e400", "`1e400` is too big for a number to hold");
    check::<Pressure>("1e308 kPa", "1e308 kPa", "`1e308 kPa` is too big for a number to hold");
    check::<Length>("1 mm ± 1e999", "1e999", "`1e999` is too big for a number to hold");
    check::<Length>("1e-400 mm", "1e-400", "`1e-400` is too close to zero for a number to hold");
    check::<Length>("1e-323 mm", "1e-323 mm", "`1e-323 mm` is too close to zero for a number to hold");
    check::<Length>("1/0 in", "1/0", "found the fraction `1/0`, its denominator is zero");
    check::<Length>(
        "4 9/8 in",
        "4 9/8",
        "found the fraction `4 9/8`, after a whole number it has to be under one",
    );
    check::<ThermodynamicTemperature>(
        "-300 degC",
        "-300 degC",
        "`-300 degC` is under the least temperature there is",
    );
    assert_eq!(parse::<Length>("0e400 mm").map(Quantity::si), Ok(0.0));
}

#[test]
fn exact_tolerances_that_are_none() {
    let message = "found the tolerance `-0.05`, a tolerance is a half-width and is not negative";
    check::<Length>("46 mm ± -0.05", "-0.05", message);
    check::<Ratio>(
        "1.65 ± 2 %",
        "2 %",
        "found the tolerance `2 %`, write it as a number: percent of the value and hundredths are not the same",
    );
    check::<ThermodynamicTemperature>(
        "90 degC ± 2 %",
        "2 %",
        "found the tolerance `2 %`, write it as a number: its percentage depends on where the scale starts",
    );
}

#[test]
fn exact_what_stands_behind_the_end() {
    check::<Length>("46 mm deep", "deep", "cannot read `deep` after `46 mm`");
    check::<Length>("46 mm +0.05/-0.02", "+0.05/-0.02", "cannot read `+0.05/-0.02` after `46 mm`");
    check::<Length>("1 000 mm", "000 mm", "cannot read `000 mm` after `1`");
    check::<Length>("1.2.3 mm", ".3 mm", "cannot read `.3 mm` after `1.2`");
    check::<Ratio>("1.65 .", ".", "cannot read `.` after `1.65`");
    check::<Ratio>("1.65 ^", "^", &format!("unknown unit `^`, {RATIO}"));
    check::<Length>("46 -mm", "-mm", "cannot read `-mm` after `46`");
    check::<Length>("46 mm*", "mm*", &format!("unknown unit `mm*`, did you mean mm, {LENGTH}"));
    check::<Length>("46 m^m", "m^m", &format!("unknown unit `m^m`, did you mean mm, {LENGTH}"));
    check::<VolumeRate>("240 cfm @ 28 inH2O", "@ 28 inH2O", "cannot read `@ 28 inH2O` after `240 cfm`");
    check::<Length>("46 mm ± 1 ± 2", "± 2", "cannot read `± 2` after `1`");
    let basis = "after the comma, expected measured, catalogue or assumed";
    check::<Length>("46 mm, guessed", "guessed", &format!("found `guessed` {basis}"));
    check::<Length>("46 mm, measured, twice", "measured, twice", &format!("found `measured, twice` {basis}"));
    check::<Length>("46 mm,", "", &format!("found `` {basis}"));
    let error = parse::<Length>("46 mm ± 0.05, measured").expect_err("a tolerance where none belongs");
    assert_eq!(error.to_string(), "cannot read `± 0.05, measured` after `46 mm`");
    assert_eq!(error.span(), 6.."46 mm ± 0.05, measured".len());
}

#[test]
fn exact_degrees_and_minutes_that_do_not_fit() {
    let limit = "minutes and seconds have to be under 60";
    check::<Angle>("12°60'", "12°60'", &format!("found `12°60'`, {limit}"));
    check::<Angle>("12°30'75\"", "12°30'75\"", &format!("found `12°30'75\"`, {limit}"));
    check::<Length>("12°30'", "°30'", &format!("unknown unit `°30'`, {LENGTH}"));
    check::<Angle>("12.5°30'", "30'", "cannot read `30'` after `12.5°`");
}

#[test]
fn exact_long_texts_are_refused_unread() {
    let text = "9".repeat(201);
    check::<Length>(&text, &text, "201 bytes long, a quantity takes at most 200");
    let text = format!("{} mm", "9".repeat(190));
    assert!(parse::<Length>(&text).is_ok());
}
