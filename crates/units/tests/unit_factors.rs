//! Whether a unit is as big as its definition says, and whether the tables hang together.

use units::quantity_units::KINDS;
use units::*;

/// `over / under` to the nearest double: thirty decimal digits by long division, then Rust's own reading of
/// decimals, which rounds correctly.
fn nearest_double(over: u128, under: u128) -> f64 {
    let mut digits = format!("{}.", over / under);
    let mut rest = over % under;
    for _ in 0..30 {
        rest *= 10;
        digits.push_str(&(rest / under).to_string());
        rest %= under;
    }
    digits.parse().expect("digits")
}

/// One of the unit is `over / under` SI units, to the last bit.
fn check<Q: Quantity>(unit: &str, over: u128, under: u128) {
    let found = parse::<Q>(&format!("1 {unit}")).expect("a quantity").si();
    let defined = nearest_double(over, under);
    assert_eq!(found.to_bits(), defined.to_bits(), "1 {unit} is {found}, by definition {defined}");
}

// The definitions as whole numbers: 0.0254 m, 0.453 592 37 kg, 9.806 65 m/s2.
const E13: u128 = 10_000_000_000_000;
const POUND_FORCE_E13: u128 = 45_359_237 * 980_665;

#[test]
fn exact_lengths_areas_volumes_follow_from_the_inch() {
    check::<Length>("in", 254, 10_000);
    check::<Length>("thou", 254, 10_000_000);
    check::<Length>("mil", 254, 10_000_000);
    check::<Length>("uin", 254, 10_000_000_000);
    check::<Length>("ft", 12 * 254, 10_000);
    check::<Length>("mm", 1, 1000);
    check::<Area>("in2", 254 * 254, 100_000_000);
    check::<Area>("ft2", 144 * 254 * 254, 100_000_000);
    check::<Volume>("in3", 254 * 254 * 254, 1_000_000_000_000);
    check::<Volume>("ft3", 1728 * 254 * 254 * 254, 1_000_000_000_000);
    check::<Volume>("cc", 1, 1_000_000);
    check::<Volume>("l", 1, 1000);
    assert_eq!(parse::<Volume>("1000 in3").expect("a quantity").si(), 0.016_387_064);
}

#[test]
fn exact_forces_and_pressures_follow_from_the_pound_and_standard_gravity() {
    check::<Mass>("lb", 45_359_237, 100_000_000);
    check::<Mass>("oz", 45_359_237, 1_600_000_000);
    check::<Force>("lbf", POUND_FORCE_E13, E13);
    check::<Force>("lb", POUND_FORCE_E13, E13);
    check::<Force>("ozf", POUND_FORCE_E13, 16 * E13);
    check::<Force>("kgf", 980_665, 100_000);
    check::<Pressure>("psi", POUND_FORCE_E13, 254 * 254 * 100_000);
    check::<Pressure>("ksi", POUND_FORCE_E13, 254 * 254 * 100);
    check::<Pressure>("atm", 101_325, 1);
    check::<Pressure>("bar", 100_000, 1);
    check::<Pressure>("kgf/cm2", 980_665, 10);
    check::<Pressure>("inH2O", 980_665 * 254, 1_000_000);
    check::<Pressure>("inHg", 3_386_389, 1000);
    check::<SpringRate>("lbf/in", POUND_FORCE_E13, 254 * 1_000_000_000);
    check::<SpringRate>("lb/in", POUND_FORCE_E13, 254 * 1_000_000_000);
    check::<SpringRate>("kgf/mm", 980_665, 100);
    check::<SpringRate>("N/mm", 1000, 1);
}

#[test]
fn exact_flows_speeds_and_powers_follow_from_the_same() {
    check::<VolumeRate>("cfm", 1728 * 254 * 254 * 254, 60_000_000_000_000);
    check::<VolumeRate>("m3/h", 1, 3600);
    check::<VolumeRate>("l/min", 1, 60_000);
    check::<VolumeRate>("l/s", 1, 1000);
    check::<VolumeRate>("l/h", 1, 3_600_000);
    check::<VolumeRate>("cc/min", 1, 60_000_000);
    check::<MassRate>("kg/h", 1, 3600);
    check::<MassRate>("lb/h", 45_359_237, 360_000_000_000);
    check::<MassRate>("lb/min", 45_359_237, 6_000_000_000);
    check::<MassRate>("g/min", 1, 60_000);
    check::<Velocity>("ft/s", 3048, 10_000);
    check::<Velocity>("ft/min", 3048, 600_000);
    check::<Velocity>("mph", 5280 * 3048, 36_000_000);
    check::<Velocity>("km/h", 1000, 3600);
    check::<Torque>("lb-ft", POUND_FORCE_E13 * 3048, E13 * 10_000);
    check::<Torque>("lb-in", POUND_FORCE_E13 * 254, E13 * 10_000);
    check::<Power>("hp", 550 * POUND_FORCE_E13 * 3048, E13 * 10_000);
    check::<Power>("PS", 75 * 980_665, 100_000);
}

#[test]
fn exact_temperatures_meet_at_their_fixed_points() {
    let kelvin = |text: &str| parse::<ThermodynamicTemperature>(text).expect("a quantity").si();
    assert_eq!(kelvin("0 degC"), 273.15);
    assert_eq!(kelvin("-273.15 °C"), 0.0);
    assert_eq!(kelvin("-459.67 degF"), 0.0);
    // Fahrenheit rounds the sum and the product.
    assert!((kelvin("77 F") - kelvin("25 C")).abs() < 1e-13);
    assert!((kelvin("212 °F") - 373.15).abs() < 1e-13);
    assert!((kelvin("32 degF") - 273.15).abs() < 1e-13);
}

/// Our factor agrees with uom's to the six digits it keeps of the worst.
fn check_uom<Q: Quantity>(text: &str, by_uom: Q) {
    const UOM_ROUNDING: f64 = 1e-6;
    let ours = parse::<Q>(text).expect("a quantity").si();
    assert!((ours / by_uom.si() - 1.0).abs() < UOM_ROUNDING, "{text}: ours {ours}, uom {}", by_uom.si());
}

macro_rules! uom_agrees {
    ($($quantity:ident $module:ident: $($text:literal $unit:ident),+;)+) => {
        $($(check_uom(concat!("3.7 ", $text), $quantity::new::<$module::$unit>(3.7));)+)+
    };
}

#[test]
fn exact_factors_agree_with_uom() {
    uom_agrees! {
        Length length: "mm" millimeter, "in" inch, "thou" mil, "cm" centimeter, "m" meter, "um" micrometer,
            "uin" microinch, "ft" foot;
        Area area: "mm2" square_millimeter, "cm2" square_centimeter, "in2" square_inch, "m2" square_meter,
            "ft2" square_foot;
        Volume volume: "cc" cubic_centimeter, "in3" cubic_inch, "ml" milliliter, "l" liter,
            "mm3" cubic_millimeter, "m3" cubic_meter, "ft3" cubic_foot;
        Angle angle: "deg" degree, "rad" radian, "arcmin" minute;
        Pressure pressure: "kPa" kilopascal, "bar" bar, "psi" psi, "inH2O" inch_of_water,
            "inHg" inch_of_mercury, "mmH2O" millimeter_of_water, "mmHg" millimeter_of_mercury,
            "mbar" millibar, "hPa" hectopascal, "Pa" pascal, "MPa" megapascal, "GPa" gigapascal,
            "atm" atmosphere;
        VolumeRate volume_rate: "cfm" cubic_foot_per_minute, "l/s" liter_per_second,
            "m3/h" cubic_meter_per_hour, "l/min" liter_per_minute, "m3/s" cubic_meter_per_second;
        Mass mass: "g" gram, "kg" kilogram, "oz" ounce, "lb" pound, "mg" milligram;
        MassRate mass_rate: "kg/h" kilogram_per_hour, "lb/h" pound_per_hour, "g/s" gram_per_second,
            "lb/min" pound_per_minute;
        Force force: "N" newton, "lbf" pound_force, "kgf" kilogram_force, "kN" kilonewton, "ozf" ounce_force;
        Velocity velocity: "m/s" meter_per_second, "ft/s" foot_per_second, "ft/min" foot_per_minute,
            "km/h" kilometer_per_hour, "mph" mile_per_hour;
        Acceleration acceleration: "m/s2" meter_per_second_squared, "gn" standard_gravity;
        AngularVelocity angular_velocity: "rpm" revolution_per_minute, "1/min" revolution_per_minute,
            "rad/s" radian_per_second, "deg/s" degree_per_second, "rev/s" revolution_per_second;
        Time time: "ms" millisecond, "s" second, "us" microsecond, "min" minute, "h" hour;
        ThermodynamicTemperature thermodynamic_temperature: "degC" degree_celsius, "degF" degree_fahrenheit,
            "K" kelvin;
        Ratio ratio: "" ratio, "%" percent;
        Torque torque: "N m" newton_meter, "lb-ft" pound_force_foot, "lb-in" pound_force_inch;
        Power power: "kW" kilowatt, "hp" horsepower, "PS" horsepower_metric, "W" watt;
    }
}

/// What the parser builds is what `uom` builds, bit for bit. Not so for a cc, which uom makes by cubing 0.01.
#[test]
fn exact_parsed_metric_equals_uom() {
    for number in ["46.0", "0.1", "87.5", "62.5", "1.27"] {
        let value: f64 = number.parse().expect("digits");
        assert_eq!(parse::<Length>(&format!("{number} mm")), Ok(Length::new::<length::millimeter>(value)));
        assert_eq!(parse::<Angle>(&format!("{number} deg")), Ok(Angle::new::<angle::degree>(value)));
        assert_eq!(parse::<Length>(&format!("{number} in")), Ok(Length::new::<length::inch>(value)));
    }
}

/// Every spelling reads as its own unit, stands in its table once and is written in the reduced form.
fn check_table<Q: Quantity>() {
    let mut seen = Vec::new();
    for unit in Q::UNITS {
        for spelling in std::iter::once(&unit.symbol).chain(unit.spellings) {
            let value = parse::<Q>(&format!("1 {spelling}"));
            assert_eq!(value, Ok(Q::from_si(unit.to_si(1.0))), "{} {spelling}", Q::KIND);
            assert!(!seen.contains(spelling), "{} {spelling} twice", Q::KIND);
            seen.push(spelling);
        }
        for spelling in unit.spellings {
            assert_eq!(parse_unit::reduce_unit(spelling), *spelling, "{} {spelling}", Q::KIND);
        }
    }
    for shown in [Q::METRIC, Q::INCH] {
        assert!(Q::UNITS.contains(&shown), "{} is shown in {}", Q::KIND, shown.symbol);
    }
    assert!(Q::UNITS.iter().any(|unit| unit.factor == 1.0 && unit.offset == 0.0), "{} without SI", Q::KIND);
    assert!(!Q::DEGREES_MINUTES || Q::METRIC.symbol == "deg", "{} in degrees and minutes", Q::KIND);
    assert!(
        KINDS.iter().any(|(kind, units)| *kind == Q::KIND && *units == Q::UNITS),
        "{} not listed",
        Q::KIND
    );
    let examples = Q::EXAMPLES.split(", ").filter(|example| !example.contains("30'") && Q::KIND != "ratio");
    for example in examples {
        assert!(parse::<Q>(&format!("1 {example}")).is_ok(), "{} example {example}", Q::KIND);
    }
}

#[test]
fn exact_tables_hang_together() {
    check_table::<Length>();
    check_table::<Area>();
    check_table::<Volume>();
    check_table::<Angle>();
    check_table::<CrankAngle>();
    check_table::<CamAngle>();
    check_table::<Pressure>();
    check_table::<VolumeRate>();
    check_table::<Mass>();
    check_table::<MassRate>();
    check_table::<Force>();
    check_table::<SpringRate>();
    check_table::<Velocity>();
    check_table::<AngularVelocity>();
    check_table::<Acceleration>();
    check_table::<Time>();
    check_table::<ThermodynamicTemperature>();
    check_table::<Torque>();
    check_table::<Power>();
    check_table::<Ratio>();
    assert_eq!(KINDS.len(), 20);
}
