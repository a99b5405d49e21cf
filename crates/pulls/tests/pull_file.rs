//! A stored pull comes back bit for bit, and what is no stored pull is refused.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use proptest::prelude::*;
use pulls::column_kind::ColumnKind;
use pulls::pull::{Origin, OtherColumn};
use pulls::{
    Barometer, DieselFuel, EngineKind, Group, Humidity, Processing, Pull, Rows, SeaLevelPressure,
    StationPressure, Sweep, WeatherReadings, When, read_pull, write_pull,
};
use units::length::meter;
use units::pressure::pascal;
use units::ratio::ratio;
use units::thermodynamic_temperature::kelvin;
use units::{Length, Pressure, Ratio, ThermodynamicTemperature};

fn number() -> impl Strategy<Value = f64> {
    prop_oneof![-1e4..1e4f64, Just(0.1 + 0.2), Just(1e-7)]
}

fn weather() -> impl Strategy<Value = WeatherReadings> {
    let t = || (240.0..330.0f64).prop_map(ThermodynamicTemperature::new::<kelvin>);
    let p = || (6e4..1.05e5f64).prop_map(Pressure::new::<pascal>);
    let barometer = prop_oneof![
        p().prop_map(|p| Barometer::Station(StationPressure::new(p))),
        (p(), 0.0..3e3f64)
            .prop_map(|(p, h)| Barometer::SeaLevel(SeaLevelPressure::new(p), Length::new::<meter>(h))),
    ];
    let humidity = prop_oneof![
        (0.0..1.0f64).prop_map(|share| Humidity::Relative(Ratio::new::<ratio>(share))),
        t().prop_map(Humidity::DewPoint),
        t().prop_map(Humidity::WetBulb),
    ];
    use proptest::option::of;
    (of(barometer), of(t()), of(t()), of(humidity)).prop_map(|(barometer, inlet, dry_bulb, humidity)| {
        WeatherReadings { barometer, inlet, dry_bulb, humidity }
    })
}

fn pull() -> impl Strategy<Value = Pull> {
    let rows = (1usize..20).prop_flat_map(|n| {
        let column = || prop::collection::vec(number(), n);
        (column(), column(), proptest::option::of(column()), column()).prop_map(
            |(speed, torque, time, oil)| {
                let oil =
                    OtherColumn { kind: ColumnKind::Oil, name: "Öl \"1\" '''".to_owned(), values: oil };
                Rows::new(speed, torque, time, vec![oil]).unwrap()
            },
        )
    });
    let engine = prop_oneof![
        Just(EngineKind::Spark),
        Just(EngineKind::SparkBoosted),
        (30.0..90.0f64, 1.0..3.0f64).prop_map(|(mg_per_litre_cycle, pressure_ratio)| {
            EngineKind::DieselTurbo(DieselFuel { mg_per_litre_cycle, pressure_ratio })
        }),
    ];
    let group = proptest::option::of(prop_oneof![Just(Group::A), Just(Group::B), Just(Group::A2)]);
    let sweep = prop_oneof![Just(Sweep::Up), Just(Sweep::Down), Just(Sweep::Stepped)];
    let processing = (proptest::option::of(0.01..2.0f64), proptest::option::of(10.0..500.0f64))
        .prop_map(|(inertia_kg_m2, smoothing_rpm)| Processing { inertia_kg_m2, smoothing_rpm });
    (rows, engine, group, sweep, processing, weather(), ".{0,20}", any::<bool>()).prop_map(
        |(rows, engine, group, sweep, processing, weather, text, at_wheels)| Pull {
            name: text.clone(),
            group,
            when: When::parse("2025-05-03 10:42:07"),
            instrument: Some(text.clone()),
            at_wheels,
            engine,
            weather,
            sweep,
            processing,
            rows,
            origin: Origin { file: text.clone(), digest: "af63dc4c8601ec8c".to_owned(), lines: (3, 40) },
            assumed: vec![text.clone()],
            remarks: vec![text, "Operator: ♜ \\ \t".to_owned()],
        },
    )
}

proptest! {
    #[test]
    fn exact_a_stored_pull_comes_back(pull in pull()) {
        let text = write_pull(&pull);
        prop_assert_eq!(read_pull(text.as_bytes()).unwrap(), pull);
    }

    #[test]
    fn exact_any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        if let Err(wrong) = read_pull(&bytes) {
            prop_assert!(!wrong.to_string().is_empty());
        }
    }
}

#[test]
fn exact_a_later_format_is_refused() {
    let wrong = read_pull(b"format = 2\nname = 'x'\n").unwrap_err();
    assert_eq!(wrong.to_string(), "found format 2, expected 1");
}
