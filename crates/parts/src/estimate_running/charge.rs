//! Fuel, mixture, spark, weather and band that nobody gave.

use units::angular_velocity::revolution_per_minute;
use units::{AngularVelocity, Length, Pressure, Quantity, Ratio, ThermodynamicTemperature};

use super::{Choice, EngineSize, Era, ValveLayout, or_assumed, or_chosen};
use crate::running::{Band, Burning, FuelKind, FuelMixture, Ignition, SparkChoice, Weather};

/// Pump gasoline at lambda 0.88 ± 0.05, which is about 12.9 to 1 and makes most power; half of it vapour where it is
/// mixed in, ± 0.3 (common practice, no source). Octane numbers are those of the fuel, except for engines of 1970 to
/// 1989, whose gasoline is taken as unleaded regular of 92 and 83 octane, ± 2 (common practice, no source).
pub(super) fn fill_fuel(fuel: &mut FuelMixture, size: &EngineSize, choices: &mut Vec<Choice>) {
    let kind =
        or_chosen(&mut fuel.kind, choices, "fuel.kind", || (FuelKind::Gasoline, "gasoline".to_owned()));
    let given = fuel.research_octane.is_some() || fuel.motor_octane.is_some();
    if size.era == Some(Era::Middle) && kind == FuelKind::Gasoline && !given {
        let ratio = Ratio::from_si;
        or_assumed(&mut fuel.research_octane, || (ratio(92.0), ratio(2.0)));
        or_assumed(&mut fuel.motor_octane, || (ratio(83.0), ratio(2.0)));
    }
    let ratio = Ratio::from_si;
    if fuel.air_fuel_ratio.is_none() {
        or_assumed(&mut fuel.lambda, || (ratio(0.88), ratio(0.05)));
    }
    or_assumed(&mut fuel.vapour_share, || (ratio(0.5), ratio(0.3)));
}

/// Best torque or as early as the fuel allows, with a knock integral of at most 0.9 ± 0.1. The plug in the middle between
/// four valves, 0.2 bores off it with inclined ones and 0.3 with parallel ones, ± 0.1 (common practice, no source).
pub(super) fn fill_ignition(ignition: &mut Ignition, size: &EngineSize, choices: &mut Vec<Choice>) {
    let choice = or_chosen(&mut ignition.choice, choices, "spark.timing", || {
        if ignition.table.is_empty() {
            (SparkChoice::KnockLimited, "best torque or as early as the fuel allows".to_owned())
        } else {
            (SparkChoice::Given, "by its table".to_owned())
        }
    });
    if choice == SparkChoice::KnockLimited {
        or_assumed(&mut ignition.knock_integral, || (Ratio::from_si(0.9), Ratio::from_si(0.1)));
    }
    if choice == SparkChoice::HalfBurned {
        let deg = units::CrankAngle::from_degrees;
        or_assumed(&mut ignition.half_burned_at, || (deg(9.0), deg(2.0)));
    }
    let off = match size.layout {
        ValveLayout::Parallel => 0.3,
        ValveLayout::Inclined => 0.2,
        ValveLayout::Multi => 0.0,
    };
    let m = Length::from_si;
    if ignition.plug_x.is_none() && ignition.plug_y.is_none() {
        or_assumed(&mut ignition.plug_y, || (m(off * size.bore_m), m(0.1 * size.bore_m)));
    }
    or_assumed(&mut ignition.plug_x, || (m(0.0), m(0.05 * size.bore_m)));
    or_assumed(&mut ignition.plug_y, || (m(0.0), m(0.05 * size.bore_m)));
}

/// As fast as the correlation says, ± 20 % (what published correlations scatter by); open chambers before 1970 burn 10 %
/// longer, those from 1990 on 5 % shorter (common practice, no source).
pub(super) fn fill_burning(burning: &mut Burning, size: &EngineSize) {
    let factor = match size.era {
        Some(Era::Early) => 1.1,
        Some(Era::Middle) | None => 1.0,
        Some(Era::Late) => 0.95,
    };
    if burning.delay.is_none() || burning.duration.is_none() {
        or_assumed(&mut burning.factor, || (Ratio::from_si(factor), Ratio::from_si(0.2)));
    }
}

/// The reference of ISO 1585 and SAE J1349: 99 kPa of dry air at 25 C, with 1 kPa of vapour in it. No tolerance: it is a
/// convention, not an estimate.
pub(super) fn fill_weather(weather: &mut Weather) {
    let (p, t, none) = (Pressure::from_si(100e3), ThermodynamicTemperature::from_si(298.15), 0.0);
    or_assumed(&mut weather.pressure, || (p, Pressure::from_si(none)));
    or_assumed(&mut weather.temperature, || (t, ThermodynamicTemperature::from_si(none)));
    // 1 kPa over the saturation pressure of 3.17 kPa at 25 C.
    or_assumed(&mut weather.humidity, || (Ratio::from_si(0.315), Ratio::from_si(none)));
}

/// From half the speed of most power up to it (common practice, no source).
pub(super) fn fill_band(band: &mut Band, size: &EngineSize) {
    let rpm = AngularVelocity::new::<revolution_per_minute>;
    // To the next hundred, as people say it.
    let round = |speed: f64| (speed / 100.0).round() * 100.0;
    let to = or_assumed(&mut band.to, || (rpm(round(size.rated_rpm)), rpm(round(0.1 * size.rated_rpm))));
    let to = to.get::<revolution_per_minute>();
    or_assumed(&mut band.from, || (rpm(round(0.5 * to)), rpm(round(0.1 * to))));
}
