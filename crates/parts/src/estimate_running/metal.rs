//! Wall temperatures and bearings that nobody measured.

use units::{Length, Quantity, Ratio, ThermodynamicTemperature};

use super::{Choice, EngineSize, ValveLayout, or_assumed, or_chosen};
use crate::running::{Friction, FrictionLaw, HeatLaw, Walls};

/// Woschni's coefficient, ± 15 %; chamber 480 K ± 40, crown 520 K ± 50, bore 400 K ± 20 at full load in a water-cooled
/// engine (common practice, no source).
pub(super) fn fill_walls(walls: &mut Walls, choices: &mut Vec<Choice>) {
    or_chosen(&mut walls.law, choices, "walls.law", || (HeatLaw::Woschni, "woschni".to_owned()));
    let kelvin = ThermodynamicTemperature::from_si;
    or_assumed(&mut walls.factor, || (Ratio::from_si(1.0), Ratio::from_si(0.15)));
    or_assumed(&mut walls.head_temperature, || (kelvin(480.0), kelvin(40.0)));
    or_assumed(&mut walls.crown_temperature, || (kelvin(520.0), kelvin(50.0)));
    or_assumed(&mut walls.bore_temperature, || (kelvin(400.0), kelvin(20.0)));
}

/// Component by component, ± 20 %. Main bearings 0.65 bores ± 0.08 across and 0.28 ± 0.06 long, crank pins 0.56 ± 0.07
/// and 0.27 ± 0.06; a main on both sides of every throw, of every pair of throws in a V; as many camshaft bearings as
/// mains on each camshaft, two camshafts a row over four valves (common practice, no source).
pub(super) fn fill_friction(friction: &mut Friction, size: &EngineSize, choices: &mut Vec<Choice>) {
    or_chosen(&mut friction.law, choices, "friction.law", || {
        (FrictionLaw::Components, "components".to_owned())
    });
    or_assumed(&mut friction.factor, || (Ratio::from_si(1.0), Ratio::from_si(0.2)));
    let of_bore = |share: f64| Length::from_si(share * size.bore_m);
    or_assumed(&mut friction.main_diameter, || (of_bore(0.65), of_bore(0.08)));
    or_assumed(&mut friction.main_length, || (of_bore(0.28), of_bore(0.06)));
    or_assumed(&mut friction.pin_diameter, || (of_bore(0.56), of_bore(0.07)));
    or_assumed(&mut friction.pin_length, || (of_bore(0.27), of_bore(0.06)));
    let row = size.n_cylinders.div_ceil(size.banks);
    let mains =
        or_chosen(&mut friction.mains, choices, "friction.mains", || (row + 1, (row + 1).to_string()));
    or_chosen(&mut friction.cam_bearings, choices, "friction.cam_bearings", || {
        let camshafts = if size.layout == ValveLayout::Multi { 2 * size.banks } else { 1 };
        (mains * camshafts, (mains * camshafts).to_string())
    });
}
