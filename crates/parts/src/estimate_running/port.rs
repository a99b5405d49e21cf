//! Ports that nobody measured.

use units::{Length, Quantity, ThermodynamicTemperature};

use super::{EngineSize, or_assumed};
use crate::Duty;
use crate::running::Port;

/// Fills in one duty's port.
///
/// - Length: intake 1.15 bores ± 0.35, exhaust 0.8 ± 0.3: 90 to 130 mm and 50 to 90 mm on an 86 mm bore (common
///   practice, no source).
/// - Throat 0.86 of the valve head, ± 0.03: practice keeps it from 0.85 to 0.90 (common practice, no source).
/// - Entry: a circle of 0.90 (intake) and 0.95 (exhaust) of the diameter of all valve heads together, ± 8 %: port
///   openings of production heads are 0.75 to 0.95 of the valve area (common practice, no source).
/// - Walls: 360 K ± 20 on the intake side, 550 K ± 80 on the exhaust side (common practice, no source).
pub(super) fn fill(port: &mut Port, duty: Duty, size: &EngineSize) {
    let (bores, bores_off, entry, wall_k, wall_off) = match duty {
        Duty::Intake => (1.15, 0.35, 0.90, 360.0, 20.0),
        Duty::Exhaust => (0.8, 0.3, 0.95, 550.0, 80.0),
    };
    let head = match duty {
        Duty::Intake => size.intake_head_m,
        Duty::Exhaust => size.exhaust_head_m,
    };
    let m = Length::from_si;
    or_assumed(&mut port.length, || (m(bores * size.bore_m), m(bores_off * size.bore_m)));
    or_assumed(&mut port.throat_diameter, || (m(0.86 * head), m(0.03 * head)));
    let heads = size.heads_m(duty);
    or_assumed(&mut port.entry_diameter, || (m(entry * heads), m(0.08 * heads)));
    let kelvin = ThermodynamicTemperature::from_si;
    or_assumed(&mut port.wall_temperature, || (kelvin(wall_k), kelvin(wall_off)));
}
