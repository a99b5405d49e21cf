//! What a text reads as: the ways a shop writes a number, a tolerance and where it comes from.

use units::length::{inch, millimeter};
use units::*;

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

fn inches(value: f64) -> Length {
    Length::new::<inch>(value)
}

fn check<Q: Quantity>(text: &str, value: Q, tolerance: Option<Q>, basis: Option<Basis>) {
    assert_eq!(parse_typed::<Q>(text), Ok(Typed { value, tolerance, basis }), "{text}");
}

fn check_value<Q: Quantity>(texts: &[&str], value: Q) {
    for text in texts {
        assert_eq!(parse::<Q>(text), Ok(value), "{text}");
    }
}

/// The SI value, to a few roundings.
fn check_si<Q: Quantity>(text: &str, si: f64) {
    const ROUNDINGS: f64 = 4.0 * f64::EPSILON;
    let found = parse::<Q>(text).unwrap_or_else(|error| panic!("{text}: {error}")).si();
    assert!((found - si).abs() <= ROUNDINGS * si.abs(), "{text}: found {found}, expected {si}");
}

#[test]
fn exact_lengths_in_all_their_spellings() {
    check_value(&["46.0 mm", "46mm", " 46 MM ", "+46. mm", "4.6e1 mm", "46 millimetres"], mm(46.0));
    check_value(&[".040 in", "0.040in", "0.04 IN.", "0.04 Inch", "0.04\"", "0.04″", "0.04''"], inches(0.04));
    check_value(&["4 1/8 in", "4-1/8 in", "4 1/8\"", "33/8 in", "4.125 in"], inches(4.125));
    check_value(&["1/2 in", "0.5 in"], inches(0.5));
    check_value(
        &["-5 thou", "\u{2212}5 thou", "-5 mil", "-5 THOU"],
        parse::<Length>("-5e0 thou").expect("a quantity"),
    );
    check_si::<Length>("12 thou", 0.000_304_8);
    check_si::<Length>("1.6 µm", 1.6e-6);
    check_si::<Length>("1.6 μm", 1.6e-6);
    check_si::<Length>("50 µin", 1.27e-6);
}

#[test]
fn exact_tolerance_takes_the_unit_of_the_value_or_its_own() {
    check("46.0 mm ± 0.05", mm(46.0), Some(mm(0.05)), None);
    check("46.0 mm±.05mm", mm(46.0), Some(mm(0.05)), None);
    check("0.400 in +/- 0.002", inches(0.4), Some(inches(0.002)), None);
    check("0.400 in +- 0.002", inches(0.4), Some(inches(0.002)), None);
    check("46.0 mm ± 2 thou", mm(46.0), Some(parse("2 thou").expect("a quantity")), None);
    check("4 1/8 in ± 1/64", inches(4.125), Some(inches(1.0 / 64.0)), None);
    check("46 mm ± 0", mm(46.0), Some(mm(0.0)), None);
    let cc = |value: f64| Volume::from_si(value * 1e-6);
    check("62.5 cc ± 0.3", cc(62.5), Some(cc(0.3)), None);
    check("64 cc ± 25 %", cc(64.0), Some(Volume::from_si(cc(64.0).si() * 0.25)), None);
    check("-64 cc ± 25%", cc(-64.0), Some(Volume::from_si(cc(64.0).si() * 0.25)), None);
    let ratio = |value| Ratio::new::<ratio::ratio>(value);
    check("1.65 ± 0.02", ratio(1.65), Some(ratio(0.02)), None);
    check("50 % ± 2 %", ratio(0.5), Some(ratio(0.02)), None);
    check("50 % ± 2", ratio(0.5), Some(ratio(0.02)), None);
}

#[test]
fn exact_basis_follows_a_comma() {
    check("62 cc, catalogue", parse::<Volume>("62 cc").expect("a quantity"), None, Some(Basis::Catalogue));
    check("46 mm ± 0.05, measured", mm(46.0), Some(mm(0.05)), Some(Basis::Measured));
    check("46 mm,Assumed", mm(46.0), None, Some(Basis::Assumed));
    check("46 mm , catalog", mm(46.0), None, Some(Basis::Catalogue));
}

#[test]
fn exact_temperature_tolerance_is_a_difference() {
    let tolerance_k = |text: &str| {
        parse_typed::<ThermodynamicTemperature>(text).expect("a quantity").tolerance.map(Quantity::si)
    };
    assert_eq!(tolerance_k("90 degC ± 2"), Some(2.0));
    assert_eq!(tolerance_k("90 °C ± 2 K"), Some(2.0));
    assert_eq!(tolerance_k("194 degF ± 9"), Some(5.0));
    check_si::<ThermodynamicTemperature>("90 deg C", 363.15);
    check_si::<ThermodynamicTemperature>("300 K", 300.0);
}

#[test]
fn exact_angles_in_degrees_and_minutes() {
    let degrees = |value| Angle::new::<angle::degree>(value);
    let texts =
        ["12.5 deg", "12.5°", "12°30'", "12 deg 30 min", "12° 30′", "12°30'0\"", "12 degrees 30 minutes"];
    check_value(&texts, degrees(12.5));
    check_value(&["-0°30'", "-0.5 deg", "-1/2 deg"], degrees(-0.5));
    check_value(&["1°7'30\"", "1.125 deg"], degrees(1.125));
    check_value(&["12°30'"], CrankAngle::from_degrees(12.5));
    check_value(&["106 deg", "106 cam deg", "106 ° cam"], CamAngle::from_degrees(106.0));
    check("12°30' ± 0°15'", degrees(12.5), Some(degrees(0.25)), None);
    check("12°30' ± 0.25", degrees(12.5), Some(degrees(0.25)), None);
}

#[test]
fn exact_everything_else_a_bench_reads() {
    check_si::<Volume>("61.02374409473229 in³", 1e-3);
    check_si::<Volume>("350 cu. in.", 350.0 * 1.638_706_4e-5);
    check_si::<Pressure>("28 inH2O", 28.0 * 249.088_91);
    check_si::<Pressure>("28 in H2O", 28.0 * 249.088_91);
    check_si::<Pressure>("100 PSI", 689_475.729_316_836_2);
    check_si::<VolumeRate>("250 CFM", 0.117_986_860_8);
    check_si::<VolumeRate>("100 m³/h", 1.0 / 36.0);
    check_si::<VolumeRate>("60 L / min", 1e-3);
    check_si::<AngularVelocity>("6000 rpm", 200.0 * std::f64::consts::PI);
    check_si::<AngularVelocity>("6000 1/min", 200.0 * std::f64::consts::PI);
    check_si::<SpringRate>("350 lb/in", 350.0 * 175.126_835_246_476_4);
    check_si::<Torque>("400 lb·ft", 400.0 * 1.355_817_948_331_400_4);
    check_si::<Torque>("400 ft-lbs", 400.0 * 1.355_817_948_331_400_4);
    check_si::<Torque>("500 N·m", 500.0);
    check_si::<Power>("440 HP", 440.0 * 745.699_871_582_270_2);
    check_si::<Ratio>("10.5:1", 10.5);
    check_si::<Ratio>("1.65", 1.65);
}
