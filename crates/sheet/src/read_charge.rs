//! `[boost]`, `[fuel]`, `[spark]`, `[burning]`, `[walls]`, `[friction]`, `[weather]` and the band of `[use]`.

use parts::running::{
    Band, BandWeight, Boost, Burning, CompressorDrive, Friction, FrictionLaw, FuelKind, FuelMixture, HeatLaw,
    Ignition, SparkAt, SparkChoice, Walls, Weather,
};
use units::angular_velocity::revolution_per_minute;
use units::{AngularVelocity, CrankAngle};

use crate::check::join;
use crate::layers::{Layers, Log};
use crate::read_flow::pair;
use crate::read_lobe::missing;
use crate::tree::Value;
use crate::vocabulary::{Entry, boost, friction, fuel, spark, used, walls, weather};

/// A compressor, where there is one.
pub(crate) fn read_boost(log: &mut Log, top: &Layers) -> Option<Boost> {
    use boost::*;
    let layers = top.inner(BOOST.key);
    if layers.absent() {
        return None;
    }
    Some(Boost {
        pressure: layers.need(log, &PRESSURE),
        temperature: layers.get(&TEMPERATURE_AFTER),
        compressor_efficiency: layers.get(&COMPRESSOR_EFFICIENCY),
        cooler_effectiveness: layers.get(&COOLER_EFFECTIVENESS),
        drive: match layers.text(&DRIVE) {
            "crank" => Some(CompressorDrive::Crank),
            "turbine" => Some(CompressorDrive::Turbine),
            _ => None,
        },
        back_pressure: layers.get(&BACK_PRESSURE),
    })
}

/// Fuel and mixture.
pub(crate) fn read_fuel(log: &mut Log, top: &Layers) -> FuelMixture {
    use fuel::*;
    let layers = top.inner(FUEL.key);
    one_of_two(log, &layers, LAMBDA.key(), AIR_FUEL_RATIO.key());
    let word = layers.text(&KIND);
    FuelMixture {
        kind: FuelKind::ALL.into_iter().find(|kind| kind.word() == word),
        lambda: layers.get(&LAMBDA),
        air_fuel_ratio: layers.get(&AIR_FUEL_RATIO),
        vapour_share: layers.get(&VAPOUR_SHARE),
        research_octane: layers.get(&RESEARCH_OCTANE),
        motor_octane: layers.get(&MOTOR_OCTANE),
    }
}

fn one_of_two(log: &mut Log, layers: &Layers, first: &str, second: &str) {
    if let (true, Some((node, _))) = (layers.has(first), layers.node(second)) {
        let found = format!("both {first} and {second}");
        log.wrong(node.place, &join(&layers.path, second), found, "one of the two");
    }
}

/// Timing and plug.
pub(crate) fn read_ignition(log: &mut Log, top: &Layers) -> Ignition {
    use spark::*;
    let layers = top.inner(SPARK.key);
    let choice = match layers.text(&TIMING) {
        "given" => Some(SparkChoice::Given),
        "best" => Some(SparkChoice::Best),
        "knock_limited" => Some(SparkChoice::KnockLimited),
        "half_burned" => Some(SparkChoice::HalfBurned),
        _ => None,
    };
    if choice == Some(SparkChoice::Given) && !layers.has(TABLE.words.key) {
        missing(log, &layers, TABLE.words.key, "table = [[1000, 12], [3000, 30]], the given timing");
    }
    let row = |[rpm, degrees]: [f64; 2]| SparkAt {
        speed: AngularVelocity::new::<revolution_per_minute>(rpm),
        advance: CrankAngle::from_degrees(degrees),
    };
    Ignition {
        choice,
        table: read_by_speed(log, &layers, &TABLE, -180.0).into_iter().map(row).collect(),
        half_burned_at: layers.get(&HALF_BURNED_AT),
        knock_integral: layers.get(&KNOCK_INTEGRAL),
        plug_x: layers.get(&PLUG_X),
        plug_y: layers.get(&PLUG_Y),
    }
}

/// Rows of a speed in rpm, rising and above zero, and a number from `least` to 180.
fn read_by_speed(log: &mut Log, layers: &Layers, entry: &Entry, least: f64) -> Vec<[f64; 2]> {
    const MOST: f64 = 180.0;
    let Some((node, _)) = layers.node(entry.words.key) else { return Vec::new() };
    let Value::List(list) = &node.value else { return Vec::new() };
    let path = join(&layers.path, entry.words.key);
    let mut rows: Vec<[f64; 2]> = Vec::with_capacity(list.len());
    for row in list {
        let Some([speed, value]) = pair(row) else { return Vec::new() };
        let rises = rows.last().map_or(0.0, |last| last[0]) < speed;
        if !rises || speed > 30_000.0 || !(least..=MOST).contains(&value) {
            let expected = format!(
                "speeds in rising order, above 0 and below 30000 rpm, and {least} to {MOST} beside them"
            );
            log.wrong(row.place, &path, format!("the row [{speed}, {value}]"), expected);
            return Vec::new();
        }
        rows.push([speed, value]);
    }
    rows
}

/// How fast it burns.
pub(crate) fn read_burning(log: &mut Log, top: &Layers) -> Burning {
    use spark::*;
    let layers = top.inner(BURNING.key);
    for (given, absent, example) in
        [(&DELAY, &DURATION, "duration = \"28 deg\""), (&DURATION, &DELAY, "delay = \"24 deg\"")]
    {
        if layers.has(given.key()) && !layers.has(absent.key()) {
            missing(log, &layers, absent.key(), &format!("{example} beside {}", given.key()));
        }
    }
    Burning { delay: layers.get(&DELAY), duration: layers.get(&DURATION), factor: layers.get(&FACTOR) }
}

/// Heat to the walls.
pub(crate) fn read_walls(top: &Layers) -> Walls {
    use walls::*;
    let layers = top.inner(WALLS.key);
    Walls {
        law: match layers.text(&LAW) {
            "woschni" => Some(HeatLaw::Woschni),
            "hohenberg" => Some(HeatLaw::Hohenberg),
            "annand" => Some(HeatLaw::Annand),
            _ => None,
        },
        factor: layers.get(&FACTOR),
        head_temperature: layers.get(&HEAD_TEMPERATURE),
        crown_temperature: layers.get(&CROWN_TEMPERATURE),
        bore_temperature: layers.get(&BORE_TEMPERATURE),
    }
}

/// Bearings.
pub(crate) fn read_friction(top: &Layers) -> Friction {
    use friction::*;
    let layers = top.inner(FRICTION.key);
    Friction {
        law: match layers.text(&LAW) {
            "components" => Some(FrictionLaw::Components),
            "barnes_moss" => Some(FrictionLaw::BarnesMoss),
            "chen_flynn" => Some(FrictionLaw::ChenFlynn),
            _ => None,
        },
        factor: layers.get(&FACTOR),
        main_diameter: layers.get(&MAIN_DIAMETER),
        main_length: layers.get(&MAIN_LENGTH),
        mains: layers.count(&MAINS),
        pin_diameter: layers.get(&PIN_DIAMETER),
        pin_length: layers.get(&PIN_LENGTH),
        cam_bearings: layers.count(&CAM_BEARINGS),
    }
}

/// The weather.
pub(crate) fn read_weather(top: &Layers) -> Weather {
    use weather::*;
    let layers = top.inner(WEATHER.key);
    Weather {
        pressure: layers.get(&PRESSURE),
        temperature: layers.get(&TEMPERATURE_OF_AIR),
        humidity: layers.get(&HUMIDITY),
    }
}

/// The band.
pub(crate) fn read_band(log: &mut Log, top: &Layers) -> Band {
    use used::*;
    let layers = top.inner(USE.key);
    let (from, to) = (layers.get(&BAND_FROM), layers.get(&BAND_TO));
    if let (Some(low), Some(high), Some((node, _))) = (from, to, layers.node(BAND_TO.key()))
        && high.value <= low.value
    {
        let path = join(&layers.path, BAND_TO.key());
        log.wrong(node.place, &path, node.describe(log.sources), "a speed above band_from");
    }
    let weight = |[rpm, weight]: [f64; 2]| BandWeight {
        speed: AngularVelocity::new::<revolution_per_minute>(rpm),
        weight,
    };
    let weights = read_by_speed(log, &layers, &WEIGHTS, 0.0);
    Band { from, to, weights: weights.into_iter().map(weight).collect() }
}
