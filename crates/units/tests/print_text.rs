//! What people read: digits, signs and both unit systems.

use units::length::{inch, millimeter};
use units::*;

const BOTH: [UnitSystem; 2] = [UnitSystem::Metric, UnitSystem::Inch];

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

#[test]
fn exact_stated_decimals() {
    let gap = mm(0.79);
    assert_eq!(BOTH.map(|system| show(gap, system)), ["0.79 mm", "0.031 in"]);
    assert_eq!(show_decimals(gap, UnitSystem::Inch, 4), "0.0311 in");
    assert_eq!(show(mm(-0.79), UnitSystem::Metric), "-0.79 mm");
    assert_eq!(show(mm(-0.001), UnitSystem::Metric), "0.00 mm");
    assert_eq!(show_decimals(gap, UnitSystem::Metric, 100_000).len(), "0.79 mm".len() + 15);
    assert_eq!(show_both(mm(46.0)), "46.00 mm (1.811 in)");
    assert_eq!(show_both(Volume::new::<volume::cubic_centimeter>(62.5)), "62.5 cc (3.81 in3)");
    assert_eq!(show_both(Angle::new::<angle::degree>(12.5)), "12.5 deg");
    assert_eq!(show(Ratio::new::<ratio::ratio>(1.65), UnitSystem::Metric), "1.650");
    let coolant: ThermodynamicTemperature = parse("90 degC").expect("a quantity");
    assert_eq!(BOTH.map(|system| show(coolant, system)), ["90.0 degC", "194.0 degF"]);
}

#[test]
fn exact_digits_follow_the_tolerance() {
    let check = |value, tolerance, text: &str| {
        assert_eq!(show_with_tolerance(mm(value), mm(tolerance), UnitSystem::Metric), text);
    };
    check(46.0, 0.05, "46.00 mm ± 0.05");
    check(46.0, 0.0123, "46.000 mm ± 0.012");
    check(45.999, 0.0999, "46.0 mm ± 0.1");
    check(46.04, 2.5, "46.0 mm ± 2.5");
    check(1234.5, 120.0, "1230 mm ± 120");
    check(-0.004, 0.1, "0.0 mm ± 0.1");
    check(46.0, 0.0, "46.00 mm");
    let valve = Length::new::<inch>(1.8);
    assert_eq!(show_with_tolerance(valve, mm(0.05), UnitSystem::Inch), "1.800 in ± 0.002");
    let warm = parse_typed::<ThermodynamicTemperature>("90 degC ± 5 K").expect("a quantity");
    let text = show_with_tolerance(warm.value, warm.tolerance.expect("a tolerance"), UnitSystem::Inch);
    assert_eq!(text, "194 degF ± 9");
}

#[test]
fn exact_sheet_text_has_few_digits() {
    let check = |text: &str, system, expected: &str| {
        assert_eq!(to_sheet_text(&parse_typed::<Length>(text).expect("a quantity"), system), expected);
    };
    check("46.0 mm ± 0.05, measured", UnitSystem::Metric, "46 mm ± 0.05, measured");
    check("0.400 in +/- 0.002", UnitSystem::Inch, "0.4 in ± 0.002");
    check("-0 mm ± 0", UnitSystem::Metric, "-0 mm ± 0");
    check("1e-9 mm", UnitSystem::Metric, "1e-9 mm");
    let reading = Reading::assumed(mm(1.2), mm(0.3));
    assert_eq!(reading_to_sheet_text(&reading, UnitSystem::Metric), "1.2 mm ± 0.3, assumed");
    let typed = Typed::bare(mm(1.2)).reading(Basis::Catalogue, |basis| {
        assert_eq!(basis, Basis::Catalogue);
        mm(0.1)
    });
    assert_eq!(typed, Reading::catalogue(mm(1.2), mm(0.1)));
}
