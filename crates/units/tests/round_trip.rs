//! Printing and reading back gives the same bits, and no text makes the parser panic.

use proptest::prelude::*;
use units::*;

fn check<Q: Quantity>(
    value_si: f64,
    tolerance_si: Option<f64>,
    basis: Option<Basis>,
) -> Result<(), TestCaseError> {
    // A temperature has no negative values.
    let value_si = if Q::LEAST_SI == 0.0 { value_si.abs() } else { value_si };
    let typed = Typed { value: Q::from_si(value_si), tolerance: tolerance_si.map(Q::from_si), basis };
    for system in [UnitSystem::Metric, UnitSystem::Inch] {
        let text = to_sheet_text(&typed, system);
        let read = parse_typed::<Q>(&text)
            .map_err(|error| TestCaseError::fail(format!("{} {value_si} as `{text}`: {error}", Q::KIND)))?;
        prop_assert_eq!(
            read.value.si().to_bits(),
            value_si.to_bits(),
            "{} {} as {}",
            Q::KIND,
            value_si,
            text
        );
        let bits = |tolerance: Option<f64>| tolerance.map(f64::to_bits);
        prop_assert_eq!(bits(read.tolerance.map(Q::si)), bits(tolerance_si), "{} as {}", Q::KIND, text);
        prop_assert_eq!(read.basis, basis);
    }
    Ok(())
}

/// The error, if any, points inside the text at whole characters, and a value is a number.
fn check_no_panic<Q: Quantity>(text: &str) -> Result<(), TestCaseError> {
    match parse_typed::<Q>(text) {
        Ok(typed) => {
            prop_assert!(typed.value.si().is_finite());
            prop_assert!(
                typed.tolerance.is_none_or(|tolerance| tolerance.si().is_finite() && 0.0 <= tolerance.si())
            );
        }
        Err(error) => {
            prop_assert!(text.get(error.span()).is_some(), "{:?} outside {:?}", error, text);
            prop_assert!(!error.to_string().is_empty());
        }
    }
    Ok(())
}

macro_rules! every_kind {
    ($function:ident($($argument:expr),*)) => {
        $function::<Length>($($argument),*)?;
        $function::<Area>($($argument),*)?;
        $function::<Volume>($($argument),*)?;
        $function::<Angle>($($argument),*)?;
        $function::<CrankAngle>($($argument),*)?;
        $function::<CamAngle>($($argument),*)?;
        $function::<Pressure>($($argument),*)?;
        $function::<VolumeRate>($($argument),*)?;
        $function::<Mass>($($argument),*)?;
        $function::<MassRate>($($argument),*)?;
        $function::<Force>($($argument),*)?;
        $function::<SpringRate>($($argument),*)?;
        $function::<Velocity>($($argument),*)?;
        $function::<AngularVelocity>($($argument),*)?;
        $function::<Acceleration>($($argument),*)?;
        $function::<Time>($($argument),*)?;
        $function::<ThermodynamicTemperature>($($argument),*)?;
        $function::<Torque>($($argument),*)?;
        $function::<Power>($($argument),*)?;
        $function::<Ratio>($($argument),*)?;
    };
}

fn finite() -> impl Strategy<Value = f64> {
    use prop::num::f64::{NEGATIVE, NORMAL, POSITIVE, SUBNORMAL, ZERO};
    prop_oneof![-10.0..10.0, -1e-3..1e-3, POSITIVE | NEGATIVE | NORMAL | SUBNORMAL | ZERO]
}

fn half_width() -> impl Strategy<Value = Option<f64>> {
    prop::option::of(finite().prop_map(f64::abs))
}

fn some_basis() -> impl Strategy<Value = Option<Basis>> {
    prop::option::of(prop::sample::select(Basis::ALL.to_vec()))
}

/// Texts that get past the first check of the parser.
fn nearly_a_quantity() -> impl Strategy<Value = String> {
    let pieces = vec![
        "46",
        "0.4",
        ".5",
        "1e3",
        "1e-400",
        "1e999",
        "4 1/8",
        "1/0",
        "-",
        "+",
        "/",
        ",",
        ".",
        " ",
        "±",
        "+/-",
        "mm",
        "in",
        "\"",
        "'",
        "°",
        "deg",
        "min",
        "30",
        "cc",
        "%",
        "thou",
        "measured",
        "catalogue",
        "\u{2212}",
        "µ",
        "²",
        "NaN",
        "inf",
    ];
    prop::collection::vec(prop::sample::select(pieces), 0..10).prop_map(|pieces| pieces.concat())
}

proptest! {
    #[test]
    fn exact_printed_reads_back(value in finite(), tolerance in half_width(), basis in some_basis()) {
        every_kind!(check(value, tolerance, basis));
    }

    #[test]
    fn exact_no_text_panics(text in any::<String>()) {
        every_kind!(check_no_panic(&text));
    }

    #[test]
    fn exact_no_near_miss_panics(text in nearly_a_quantity()) {
        every_kind!(check_no_panic(&text));
    }

    /// What somebody typed with few digits is written back with the same digits, in the unit they used.
    #[test]
    fn exact_typed_digits_stay(thousandths in -999_999i32..999_999) {
        let number = f64::from(thousandths) / 1000.0;
        let metric = parse_typed::<Length>(&format!("{number} mm")).expect("a length");
        prop_assert_eq!(to_sheet_text(&metric, UnitSystem::Metric), format!("{number} mm"));
        let inch = parse_typed::<Length>(&format!("{number} in")).expect("a length");
        prop_assert_eq!(to_sheet_text(&inch, UnitSystem::Inch), format!("{number} in"));
    }

    #[test]
    fn exact_mixed_fractions_are_sums(whole in 0u32..1000, of_64 in 0u32..64, power in 0u32..7) {
        let under = 2u32.pow(power);
        let over = of_64 % under;
        let sum = f64::from(whole) + f64::from(over) / f64::from(under);
        let expected = Length::new::<length::inch>(sum);
        prop_assert_eq!(parse::<Length>(&format!("{whole} {over}/{under} in")), Ok(expected));
        prop_assert_eq!(parse::<Length>(&format!("-{whole}-{over}/{under}\"")), Ok(-expected));
    }

    #[test]
    fn exact_minutes_are_sixtieths(degrees in 0u32..720, minutes in 0u32..60) {
        let expected = f64::from(degrees * 60 + minutes) / 60.0;
        let found = parse::<Angle>(&format!("{degrees}°{minutes}'")).expect("an angle").get::<angle::degree>();
        // Rounding of the sum, of the factor and of getting the degrees back.
        prop_assert!((found - expected).abs() <= 4.0 * f64::EPSILON * expected);
    }
}
