//! Corrections against published cases and against factors made by other means (`checks/pulls_corrections`).

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use proptest::prelude::*;
use pulls::correct::Mark;
use pulls::{
    Barometer, DieselFuel, EngineKind, Humidity, SeaLevelPressure, Standard, StationPressure, Weather,
    WeatherError, convert, correction,
};
use serde_json::Value;
use units::length::meter;
use units::pressure::{inch_of_mercury, kilopascal};
use units::ratio::percent;
use units::thermodynamic_temperature::{degree_celsius, degree_fahrenheit};
use units::{Length, Pressure, Ratio, ThermodynamicTemperature};

fn celsius(t: f64) -> ThermodynamicTemperature {
    ThermodynamicTemperature::new::<degree_celsius>(t)
}

fn weather(station_kpa: f64, inlet_c: f64, humidity: Humidity) -> Weather {
    let station = StationPressure::new(Pressure::new::<kilopascal>(station_kpa));
    Weather { barometer: Barometer::Station(station), inlet: celsius(inlet_c), dry_bulb: None, humidity }
}

fn published(fahrenheit: f64, relative: f64, in_hg: f64) -> Weather {
    let station = StationPressure::new(Pressure::new::<inch_of_mercury>(in_hg));
    Weather {
        barometer: Barometer::Station(station),
        inlet: ThermodynamicTemperature::new::<degree_fahrenheit>(fahrenheit),
        dry_bulb: None,
        humidity: Humidity::Relative(Ratio::new::<percent>(relative)),
    }
}

fn factor(standard: Standard, weather: &Weather) -> f64 {
    correction(standard, EngineKind::Spark, weather).unwrap().factor
}

/// Trade press: 400 hp at 85 degF, 85 %, 28.85 inHg and 442 hp at 55 degF, 35 %, 30.10 inHg are both 440 hp in STD, by
/// factors of 1.1005 and 0.994. Worked through there with its own vapour pressure, hence 0.001.
#[test]
fn val_trade_press_std_on_two_days() {
    let august = factor(Standard::Std, &published(85.0, 85.0, 28.85));
    let september = factor(Standard::Std, &published(55.0, 35.0, 30.10));
    assert!((august - 1.1005).abs() < 1e-3, "{august}");
    assert!((september - 0.994).abs() < 1e-3, "{september}");
    assert!((400.0 * august - 440.0).abs() < 0.7 && (442.0 * september - 440.0).abs() < 0.7);
}

/// The same August day in the other standards, worked by hand from the printed formulas to three decimals.
#[test]
fn exact_august_by_hand_in_four_standards() {
    let august = published(85.0, 85.0, 28.85);
    for (standard, expected) in [
        (Standard::SaeJ1349, 1.069),
        (Standard::Iso1585, 1.071),
        (Standard::Din70020, 1.054),
        (Standard::Std, 1.101),
    ] {
        let got = factor(standard, &august);
        // Half of the last digit, and as much again for the vapour pressure's.
        assert!((got - expected).abs() < 1e-3, "{}: {got}, {expected}", standard.name());
    }
}

/// At the air a standard refers to there is nothing to correct; for STD at the air of SAE 1.040.
#[test]
fn exact_reference_air_needs_no_correction() {
    let dry = Humidity::Relative(Ratio::new::<percent>(0.0));
    for standard in Standard::ALL {
        let reference = standard.reference();
        // The formulas put absolute zero at -273 or -460.
        let inlet_c =
            if standard == Standard::Std { (60.0 - 32.0) / 1.8 } else { reference.temperature_k - 273.0 };
        let got = factor(standard, &weather(reference.pressure_kpa, inlet_c, dry));
        assert!((got - 1.0).abs() < 1e-12, "{}: {got}", standard.name());
    }
    let std_at_sae = factor(Standard::Std, &weather(99.0, 25.0, dry));
    assert!((std_at_sae - 1.040).abs() < 1e-3, "{std_at_sae}");
}

/// Checks `checks/pulls_corrections`; the tolerances are those of its README.
#[test]
fn val_coolprop_ten_airs() {
    let text = include_str!("../../../checks/pulls_corrections/cases.json");
    let cases: Vec<Value> = serde_json::from_str(text).unwrap();
    assert!(cases.len() >= 10);
    for case in &cases {
        let number = |key: &str| case[key].as_f64().unwrap();
        let humidity = match case["humidity"].as_str().unwrap() {
            "relative" => Humidity::Relative(Ratio::new::<percent>(100.0 * number("value"))),
            "dew" => Humidity::DewPoint(celsius(number("value"))),
            _ => Humidity::WetBulb(celsius(number("value"))),
        };
        let air = weather(number("station_kpa"), number("inlet_c"), humidity);
        let vapour = air.vapour().get::<kilopascal>();
        let slack = if matches!(humidity, Humidity::WetBulb(_)) { 0.03 } else { 1e-3 * vapour };
        assert!((vapour - number("vapour_kpa")).abs() < slack, "{case}: {vapour} kPa");
        // Bone-dry air of the reference's own dry pressure leaves the formula alone; DIN takes the pressure with its water.
        let none = Humidity::Relative(Ratio::new::<percent>(0.0));
        for standard in Standard::ALL {
            let expected = case["factors"][standard.key()].as_f64().unwrap();
            let alone =
                if standard == Standard::Din70020 { number("station_kpa") } else { number("dry_kpa") };
            let formula = factor(standard, &weather(alone, number("inlet_c"), none));
            assert!((formula / expected - 1.0).abs() < 1e-12, "{}: {formula}, {expected}", standard.name());
            let whole = factor(standard, &air);
            assert!((whole - expected).abs() < 5e-4, "{}: {whole}, {expected}", standard.name());
        }
        for diesel in case["diesel"].as_array().unwrap() {
            let of = |key: &str| diesel[key].as_f64().unwrap();
            let fuel = DieselFuel { mg_per_litre_cycle: of("fuel"), pressure_ratio: of("ratio") };
            let turbo = diesel["turbo"].as_bool().unwrap();
            let engine = if turbo { EngineKind::DieselTurbo(fuel) } else { EngineKind::Diesel(fuel) };
            let dry = weather(number("dry_kpa"), number("inlet_c"), none);
            let got = correction(Standard::Iso1585, engine, &dry).unwrap().factor;
            assert!((got / of("factor") - 1.0).abs() < 1e-12, "{diesel}: {got}");
        }
    }
}

fn any_weather() -> impl Strategy<Value = Weather> {
    (80.0..106.0f64, -5.0..45.0f64, 0.0..1.0f64, 0..3u8).prop_map(|(kpa, inlet_c, share, kind)| {
        let humidity = match kind {
            0 => Humidity::Relative(Ratio::new::<percent>(100.0 * share)),
            1 => Humidity::DewPoint(celsius(inlet_c - 30.0 * share)),
            _ => Humidity::WetBulb(celsius(inlet_c - 3.0 * share)),
        };
        weather(kpa, inlet_c, humidity)
    })
}

proptest! {
    /// Raw to A to B and back to raw, for every pair of standards.
    #[test]
    fn exact_conversions_come_back(air in any_weather(), raw in 1.0..2000.0f64) {
        for first in Standard::ALL {
            for second in Standard::ALL {
                let a = correction(first, EngineKind::Spark, &air).unwrap();
                let b = correction(second, EngineKind::Spark, &air).unwrap();
                let back = b.undo(convert(a.apply(raw), &a, &b));
                prop_assert!((back / raw - 1.0).abs() < 1e-12, "{} {}: {back} {raw}", first.name(), second.name());
            }
        }
    }

    /// Thinner, hotter or damper air never lowers a factor.
    #[test]
    fn exact_worse_air_gives_a_greater_factor(kpa in 82.0..105.0f64, t in 0.0..40.0f64, share in 0.0..0.9f64) {
        let air = |kpa, t, share: f64| weather(kpa, t, Humidity::Relative(Ratio::new::<percent>(100.0 * share)));
        for standard in Standard::ALL {
            let here = factor(standard, &air(kpa, t, share));
            prop_assert!(factor(standard, &air(kpa - 1.0, t, share)) > here);
            prop_assert!(factor(standard, &air(kpa, t + 1.0, share)) > here);
            prop_assert!(factor(standard, &air(kpa, t, share + 0.1)) >= here);
        }
    }
}

#[test]
fn exact_outside_the_window_the_number_is_given_and_marked() {
    let half = Humidity::Relative(Ratio::new::<percent>(50.0));
    let mountain = weather(78.0, 40.0, half);
    for standard in Standard::ALL {
        let got = correction(standard, EngineKind::Spark, &mountain).unwrap();
        assert!(got.factor > 1.07 && !got.inside_window(), "{got:?}");
        for wanted in ["Factor", "Temperature", "Pressure"] {
            assert!(
                got.marks.iter().any(|mark| format!("{mark:?}").starts_with(wanted)),
                "{wanted}: {got:?}"
            );
        }
    }
    let fair = weather(98.0, 24.0, half);
    assert!(correction(Standard::SaeJ1349, EngineKind::Spark, &fair).unwrap().marks.is_empty());
    let jis = correction(Standard::JisD1001, EngineKind::Spark, &fair).unwrap();
    assert_eq!(jis.marks, [Mark::LowConfidence]);
    assert!(jis.inside_window());
    let boosted = correction(Standard::SaeJ1349, EngineKind::SparkBoosted, &fair).unwrap();
    assert_eq!(boosted.marks, [Mark::NotForThisEngine, Mark::BoostControl]);
}

#[test]
fn exact_readings_of_no_air_are_refused() {
    let half = Humidity::Relative(Ratio::new::<percent>(50.0));
    let refused = |air: Weather| correction(Standard::SaeJ1349, EngineKind::Spark, &air).unwrap_err();
    assert!(
        matches!(refused(weather(982.0, 20.0, half)), WeatherError::Barometer { hint, .. } if hint.contains("hPa"))
    );
    assert!(matches!(refused(weather(98.0, 295.0, half)), WeatherError::Temperature { .. }));
    let over = Humidity::Relative(Ratio::new::<percent>(450.0));
    assert!(matches!(refused(weather(98.0, 20.0, over)), WeatherError::RelativeHumidity { .. }));
    assert!(matches!(
        refused(weather(98.0, 20.0, Humidity::DewPoint(celsius(25.0)))),
        WeatherError::AboveAir { .. }
    ));
    assert!(matches!(
        refused(weather(98.0, 35.0, Humidity::WetBulb(celsius(5.0)))),
        WeatherError::TooDry { .. }
    ));
}

/// The same figure read as station and as sea-level pressure at 1,200 m: taking one for the other costs 14 %.
#[test]
fn exact_sea_level_pressure_is_another_thing() {
    let half = Humidity::Relative(Ratio::new::<percent>(50.0));
    let kpa = Pressure::new::<kilopascal>(101.3);
    let mut air = weather(101.3, 24.0, half);
    let at_sea = factor(Standard::SaeJ1349, &air);
    air.barometer = Barometer::SeaLevel(SeaLevelPressure::new(kpa), Length::new::<meter>(1200.0));
    let up_there = factor(Standard::SaeJ1349, &air);
    assert!(up_there / at_sea > 1.14, "{up_there} {at_sea}");
}
