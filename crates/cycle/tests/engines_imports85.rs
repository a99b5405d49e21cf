//! Sixty engines of 1985 from the few numbers a table gives: displacement and compression come back, and every one becomes
//! a model.

use cycle::fidelity::Fidelity;
use cycle::from_build::model;
use cycle::network_plan::NetworkPlan;
use imports85::engines;
use std::f64::consts::PI;
use volume::static_compression;

mod imports85;

#[test]
fn val_imports_1985_displacement_and_compression_come_back() {
    let engines = engines();
    assert_eq!(engines.len(), 60);
    for engine in &engines {
        let (model, _) = model(&engine.build).unwrap_or_else(|why| panic!("{}: {why}", engine.build.name));
        let displacement: f64 =
            model.cylinders.iter().map(|c| 0.25 * PI * c.bore_m * c.bore_m * c.stroke_m).sum();
        let ratio = displacement / engine.size_m3;
        // The file carries four decimals.
        assert!((ratio - engine.size_by_geometry).abs() < 1e-4, "{}: {ratio}", engine.build.name);
        for cylinder in &engine.build.cylinders {
            assert!((static_compression(cylinder) - engine.compression).abs() < 1e-9);
        }
        NetworkPlan::new(&model, &Fidelity::Screen.settings())
            .unwrap_or_else(|why| panic!("{}: {why}", engine.build.name));
    }
}

/// What the table's own power comes to: the band that a prediction is held against (`checks/engines_imports85`).
#[test]
fn val_imports_1985_mean_pressures_lie_in_the_band_that_is_quoted() {
    let mut bar: Vec<f64> = engines()
        .iter()
        .filter(|engine| engine.doubt.is_none())
        .map(|engine| engine.power_w * 120.0 / (engine.size_m3 * engine.speed_rpm) / 1e5)
        .collect();
    bar.sort_by(f64::total_cmp);
    let at = |share: f64| bar[(share * (bar.len() - 1) as f64).round() as usize];
    assert!((at(0.5) - 8.39).abs() < 0.1, "{}", at(0.5));
    assert!((7.2..7.5).contains(&at(0.05)) && (9.6..10.0).contains(&at(0.95)), "{} {}", at(0.05), at(0.95));
    let by_carburettor = engines().iter().filter(|engine| engine.fuel_system.ends_with("bbl")).count();
    assert!((25..35).contains(&by_carburettor), "{by_carburettor}");
}
