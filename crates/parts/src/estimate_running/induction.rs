//! Air cleaner, throttles, plenum and runners that nobody described; and a compressor of which only the boost is known.

use units::{Length, Pressure, Quantity, Ratio, ThermodynamicTemperature, Volume, VolumeRate};

use super::{Choice, EngineSize, Era, or_assumed, or_chosen};
use crate::running::{Boost, CompressorDrive, Induction, InductionLayout, Mouth, Port};

/// Engine speed times length from valve to open end, rpm m: 84,000 rpm in, the ram pipe rule of the 1960s. It stands for
/// a quarter wave of the third to fourth order.
const RAM_RPM_M: f64 = 84_000.0 * 0.0254;

/// Fills in the induction. Runner and throttle sizes follow the speed of most power.
///
/// - One throttle on a plenum, of 50 mm for two litres at 5,500 rpm, with the square root of the air, ± 20 %: 40 m/s in
///   the mean. Individual ones measure as much as the runner.
/// - Before 1970 a carburettor with a venturi of 0.82 of the throttle ± 0.06; later none.
/// - Air cleaner and snorkel: 2 kPa ± 1.5 at the air of most power; individual throttles stand open.
/// - 250 mm ± 150 from the cleaner to the plenum.
/// - Plenum of 0.8 displacements ± 0.5.
/// - Runner and port together 84,000 rpm in over the speed of most power (ram pipe rule, 1960s), ± 40 %; 60 to 500 mm
///   without the port. As wide as the port's entry at the head, 8 % wider at the mouth, ± 8 %.
/// - Its wall 330 K ± 20 behind a plenum, 315 K ± 15 on individual throttles.
///
/// Common practice, no source, where no other is named.
pub(super) fn fill(induction: &mut Induction, port: &Port, size: &EngineSize, choices: &mut Vec<Choice>) {
    let layout = or_chosen(&mut induction.layout, choices, "induction.layout", || {
        if size.n_cylinders == 1 {
            (InductionLayout::Individual, "its own throttle".to_owned())
        } else {
            (InductionLayout::Plenum, "one throttle on a plenum".to_owned())
        }
    });
    let individual = layout == InductionLayout::Individual;
    if individual && induction.throttles.is_none() && port.siamesed.is_empty() {
        // One for each, as the layout says.
        induction.throttles = Some(size.n_cylinders);
    }
    let n_throttles = or_chosen(&mut induction.throttles, choices, "induction.throttles", || {
        let n = if individual { size.n_cylinders.saturating_sub(port.siamesed.len()) } else { 1 };
        (n, n.to_string())
    });
    or_chosen(&mut induction.mouth, choices, "induction.mouth", || {
        if individual {
            (Mouth::Bellmouth, "bellmouth".to_owned())
        } else {
            (Mouth::Flush, "flush".to_owned())
        }
    });
    let m = Length::from_si;
    let port_m = port.length.map_or(0.0, |length| length.value.si());
    let entry_m = port.entry_diameter.map_or(0.9 * size.intake_head_m, |entry| entry.value.si());
    or_assumed(&mut induction.runner_length, || {
        let length = (RAM_RPM_M / size.rated_rpm - port_m).clamp(0.06, 0.5);
        (m(length), m(0.4 * length))
    });
    let head_m = or_assumed(&mut induction.runner_head_diameter, || (m(entry_m), m(0.08 * entry_m))).si();
    let mouth_m =
        or_assumed(&mut induction.runner_mouth_diameter, || (m(1.08 * head_m), m(0.08 * head_m))).si();
    let throttle_m = or_assumed(&mut induction.throttle_diameter, || {
        let one = 0.050 * (size.air_against_two_litres(1.0) / n_throttles.max(1) as f64).sqrt();
        let diameter = if individual { mouth_m } else { one };
        (m(diameter), m(0.2 * diameter))
    })
    .si();
    if size.era == Some(Era::Early) {
        or_assumed(&mut induction.venturi_diameter, || (m(0.82 * throttle_m), m(0.06 * throttle_m)));
    }
    or_assumed(&mut induction.throttle_opening, || (Ratio::from_si(1.0), Ratio::from_si(0.0)));
    let none = induction.air_cleaner_drop.is_some_and(|drop| drop.value.si() <= 0.0);
    let given = induction.air_cleaner_flow.is_some() || induction.air_cleaner_drop.is_some();
    if !none && (!individual || given) {
        let flow = 0.85 * size.displacement_m3() * size.rated_rpm / 120.0;
        or_assumed(&mut induction.air_cleaner_flow, || (VolumeRate::from_si(flow), VolumeRate::from_si(0.0)));
        or_assumed(&mut induction.air_cleaner_drop, || (Pressure::from_si(2e3), Pressure::from_si(1.5e3)));
    }
    if !individual {
        or_assumed(&mut induction.inlet_length, || (m(0.25), m(0.15)));
        or_assumed(&mut induction.plenum_volume, || {
            let displacement = size.displacement_m3();
            (Volume::from_si(0.8 * displacement), Volume::from_si(0.5 * displacement))
        });
    }
    let kelvin = ThermodynamicTemperature::from_si;
    or_assumed(&mut induction.wall_temperature, || {
        if individual { (kelvin(315.0), kelvin(15.0)) } else { (kelvin(330.0), kelvin(20.0)) }
    });
}

/// Fills in a compressor: isentropic efficiency 0.65 ± 0.08, no cooler, driven by the crank (common practice, no source).
pub(super) fn fill_boost(boost: &mut Boost, choices: &mut Vec<Choice>) {
    or_chosen(&mut boost.drive, choices, "boost.drive", || (CompressorDrive::Crank, "crank".to_owned()));
    let ratio = Ratio::from_si;
    if boost.temperature.is_none() || boost.drive == Some(CompressorDrive::Crank) {
        or_assumed(&mut boost.compressor_efficiency, || (ratio(0.65), ratio(0.08)));
    }
    if boost.temperature.is_none() {
        or_assumed(&mut boost.cooler_effectiveness, || (ratio(0.0), ratio(0.0)));
    }
}
