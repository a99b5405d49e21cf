//! Manifold, headers, silencer and tail pipe that nobody described.

use units::{Length, Quantity, ThermodynamicTemperature, Volume};

use super::{Choice, EngineSize, or_assumed, or_chosen, rule};
use crate::running::{Exhaust, ExhaustLayout, Port};

/// The exhaust opens this long before bottom dead centre, degrees, for the length of a header.
const OPENS_BEFORE_BDC_DEG: f64 = 60.0;
/// Primary of a header whose primaries meet in groups first: 15 in. A. G. Bell, "Performance Tuning in Theory and
/// Practice, Four Strokes" (1981), from memory.
const FIRST_OF_TWO_M: f64 = 15.0 * 0.0254;
const INCH_M: f64 = 0.0254;

/// Fills in the exhaust.
///
/// - Separate pipes for one or two cylinders, else a cast log manifold with stubs of 60 mm ± 30 and 0.4 of the displacement it serves, ± 0.2.
/// - Headers: P = 850 (180 + EVO) / N - 3 inches with the opening taken as 60 degrees before bottom dead centre, N the
///   speed of most power; diameter 2.1 sqrt(cc / (25 (P + 3))) inches; A. G. Bell (1981), from memory; ± 20 % and
///   ± 8 %. Met in groups: 15 in and the rest, secondaries 0.93 sqrt 2 of the primary.
/// - Collector and down pipe 0.9 m ± 0.4, of 50 mm for two litres at 5,500 rpm, with the square root of the gas,
///   ± 15 %.
/// - A silencer of 5 displacements ± 2.5, whose outlet lets through what a hole of 0.65 of the tail pipe does, ± 0.15:
///   20 to 30 kPa of back pressure at most power. Tail pipe 1.2 m ± 0.5, 0.92 of the down pipe ± 10 %.
/// - Primaries at 800 K ± 120.
///
/// Common practice, no source, where no other is named.
pub(super) fn fill(exhaust: &mut Exhaust, port: &Port, size: &EngineSize, choices: &mut Vec<Choice>) {
    let layout_given = exhaust.layout.is_some();
    let layout = or_chosen(&mut exhaust.layout, choices, "exhaust.layout", || match size.n_cylinders {
        1 | 2 => (ExhaustLayout::Separate, "separate".to_owned()),
        _ => (ExhaustLayout::Log, "log".to_owned()),
    });
    if size.n_cylinders == 1 {
        exhaust.systems = Some(1);
    }
    let n_systems = or_chosen(&mut exhaust.systems, choices, "exhaust.systems", || {
        let n = match layout {
            ExhaustLayout::Separate => size.n_cylinders,
            ExhaustLayout::Log => 1,
            ExhaustLayout::Collector | ExhaustLayout::Pairs => size.banks.min(size.n_cylinders),
        };
        (n, n.to_string())
    });
    let m = Length::from_si;
    let entry_m = port.entry_diameter.map_or(size.exhaust_head_m, |entry| entry.value.si());
    let header_in = (850.0 * (180.0 + OPENS_BEFORE_BDC_DEG) / size.rated_rpm - 3.0).clamp(8.0, 60.0);
    let header_m = header_in * INCH_M;
    let wide_m = 2.1 * (size.swept_m3 * 1e6 / (25.0 * (header_in + 3.0))).sqrt() * INCH_M;
    or_assumed(&mut exhaust.primary_length, || match layout {
        ExhaustLayout::Log => (m(0.06), m(0.03)),
        ExhaustLayout::Separate | ExhaustLayout::Collector => (m(header_m), m(0.2 * header_m)),
        ExhaustLayout::Pairs => (m(FIRST_OF_TWO_M.min(0.6 * header_m)), m(0.08)),
    });
    let primary_m = or_assumed(&mut exhaust.primary_diameter, || match layout {
        ExhaustLayout::Log => (m(entry_m), m(0.08 * entry_m)),
        _ => (m(wide_m), m(0.08 * wide_m)),
    })
    .si();
    or_assumed(&mut exhaust.primary_end_diameter, || (m(primary_m), m(0.03 * primary_m)));
    let share = 1.0 / n_systems.max(1) as f64;
    // What is not there needs no estimate.
    let n_groups = match (&exhaust.groups, layout) {
        (Some(groups), _) => groups.len(),
        (None, ExhaustLayout::Pairs) => size.n_cylinders.div_ceil(2),
        (None, ExhaustLayout::Log) => size.banks,
        (None, ExhaustLayout::Collector | ExhaustLayout::Separate) => n_systems,
    };
    let meets = layout == ExhaustLayout::Log || size.n_cylinders > n_systems;
    let meets_twice = size.n_cylinders > 1 && n_groups > n_systems;
    let collector_given = exhaust.collector_diameter;
    let wide = size.air_against_two_litres(share).sqrt();
    let collector_m =
        or_assumed(&mut exhaust.collector_diameter, || (m(0.050 * wide), m(0.0075 * wide))).si();
    if meets {
        or_assumed(&mut exhaust.collector_length, || (m(0.9), m(0.4)));
    } else {
        exhaust.collector_diameter = collector_given;
    }
    if meets_twice {
        fill_secondaries(exhaust, layout, header_m, primary_m, collector_m);
    }
    if layout == ExhaustLayout::Log {
        or_assumed(&mut exhaust.log_volume, || {
            let displacement = size.displacement_m3() / (size.banks.max(1) as f64);
            (Volume::from_si(0.4 * displacement), Volume::from_si(0.2 * displacement))
        });
    }
    if exhaust.crossover_diameter.is_some() {
        or_assumed(&mut exhaust.crossover_length, || (m(0.4), m(0.2)));
    }
    let silenced = match exhaust.silenced {
        Some(given) => given,
        None => {
            let given = exhaust.silencer_volume.is_some() || exhaust.silencer_outlet.is_some();
            let silenced = given || !(layout_given && layout == ExhaustLayout::Separate);
            if !given {
                let path = "exhaust.silenced";
                let taken = if silenced { "a silencer" } else { "open pipes" }.to_owned();
                choices.push(Choice { path, taken, rule: rule(path).unwrap_or_default() });
            }
            exhaust.silenced = Some(silenced);
            silenced
        }
    };
    if silenced {
        or_assumed(&mut exhaust.silencer_volume, || {
            let displacement = size.displacement_m3() * share;
            (Volume::from_si(5.0 * displacement), Volume::from_si(2.5 * displacement))
        });
        or_assumed(&mut exhaust.tail_length, || (m(1.2), m(0.5)));
        let tail_m =
            or_assumed(&mut exhaust.tail_diameter, || (m(0.92 * collector_m), m(0.09 * collector_m))).si();
        or_assumed(&mut exhaust.silencer_outlet, || (m(0.65 * tail_m), m(0.15 * tail_m)));
    }
    let kelvin = ThermodynamicTemperature::from_si;
    or_assumed(&mut exhaust.wall_temperature, || (kelvin(800.0), kelvin(120.0)));
}

/// Between the first and the second meeting.
fn fill_secondaries(
    exhaust: &mut Exhaust,
    layout: ExhaustLayout,
    header_m: f64,
    primary_m: f64,
    collector_m: f64,
) {
    let m = Length::from_si;
    let pairs = layout == ExhaustLayout::Pairs;
    or_assumed(&mut exhaust.secondary_length, || {
        let rest = if pairs { (header_m - FIRST_OF_TWO_M).max(0.25) } else { 0.4 };
        (m(rest), m(0.4 * rest))
    });
    or_assumed(&mut exhaust.secondary_diameter, || {
        let diameter = if pairs { 0.93 * std::f64::consts::SQRT_2 * primary_m } else { 0.85 * collector_m };
        (m(diameter), m(0.1 * diameter))
    });
}
