//! Compression of what the closed intake valve leaves of the stroke, and what a compression gauge might show: the
//! crank's geometry put to the volumes. Leaves out when the valve closes: that is the cam's to say.

use motion::{SliderCrank, SliderCrankError};
use parts::{Build, Cylinder};
use units::pressure::pascal;
use units::{CrankAngle, Pressure};
use volume::cranking_pressure::CRANKING_EXPONENTS;

/// Effective (dynamic) compression when the intake valve closes so far after bottom dead centre.
///
/// Bottom dead centre is 180 degrees past the true top, as a degree wheel set at the top has it. See
/// [`volume::effective_compression`] for the convention and for what the figure does not say.
pub fn effective_compression(cylinder: &Cylinder, closes_abdc: CrankAngle) -> Result<f64, SliderCrankError> {
    let block = &cylinder.block;
    let crank = SliderCrank::new(block.stroke.value, block.rod_length.value, block.pin_offset.value)?;
    let down = crank.drop(CrankAngle::from_degrees(180.0) + closes_abdc);
    Ok(volume::effective_compression(cylinder, down))
}

/// Effective compression of cylinders alike, and what a gauge might show on them.
#[derive(Clone, Debug, PartialEq)]
pub struct EffectiveCompression {
    /// Their numbers.
    pub cylinders: Vec<usize>,
    /// The ratio.
    pub compression: f64,
    /// The usual spread of a cranking gauge's reading, low and high, in standard air. An indicator only, see
    /// [`volume::cranking_pressure()`].
    pub cranking: [Pressure; 2],
}

/// Effective compression of every cylinder of a build, for one closing of all intake valves.
pub fn effective_compressions(
    build: &Build,
    closes_abdc: CrankAngle,
) -> Result<Vec<EffectiveCompression>, SliderCrankError> {
    let mut groups: Vec<EffectiveCompression> = Vec::new();
    for cylinder in &build.cylinders {
        let compression = effective_compression(cylinder, closes_abdc)?;
        match groups.iter_mut().find(|group| group.compression == compression) {
            Some(group) => group.cylinders.push(cylinder.number),
            None => groups.push(EffectiveCompression {
                cylinders: vec![cylinder.number],
                compression,
                cranking: cranking_pressures(compression),
            }),
        }
    }
    Ok(groups)
}

fn cranking_pressures(effective_compression: f64) -> [Pressure; 2] {
    /// ISO 2533 (1975), standard atmosphere at sea level.
    const STANDARD_AIR_PA: f64 = 101_325.0;
    let air = Pressure::new::<pascal>(STANDARD_AIR_PA);
    CRANKING_EXPONENTS.map(|exponent| volume::cranking_pressure(effective_compression, air, exponent))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The article's check: 3.48 in stroke, 5.70 in rod, intake closing at 70 degrees after bottom: the piston has
    /// risen 0.9053 in.
    #[test]
    fn val_press_dynamic_compression_by_closing_angle() {
        let text = include_str!("../../../checks/compression_worked_examples/examples.json");
        let closing = &serde_json::from_str::<serde_json::Value>(text).expect("JSON")["closing"];
        let number = |value: &serde_json::Value| value.as_f64().expect("a number");
        let mm = |value: f64| units::Length::new::<units::length::millimeter>(value);
        let (stroke, rod) = (mm(number(&closing["stroke_mm"])), mm(number(&closing["rod_mm"])));
        let crank = SliderCrank::new(stroke, rod, mm(0.0)).expect("turns");
        let at = CrankAngle::from_degrees(180.0 + number(&closing["closes_abdc_deg"]));
        let rise = (stroke - crank.drop(at)).get::<units::length::millimeter>();
        let printed = &closing["rise"];
        let off = rise / number(&printed["unit_mm"]) - number(&printed["value"]);
        assert!(off.abs() <= number(&printed["within"]), "{rise} mm");
    }
}
