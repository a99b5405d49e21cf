//! Whether any text makes the quantity parser panic, point outside the text, or read back something else
//! than was printed. Every text is tried as every kind.

#![no_main]

use libfuzzer_sys::fuzz_target;
use units::{
    Acceleration, Angle, AngularVelocity, Area, CamAngle, CrankAngle, Force, Length, Mass, MassRate, Power,
    Pressure, Quantity, Ratio, SpringRate, ThermodynamicTemperature, Time, Torque, UnitSystem, Velocity,
    Volume, VolumeRate, parse, parse_typed, show, show_both, show_with_tolerance, to_sheet_text,
};

fuzz_target!(|text: &str| {
    check::<Acceleration>(text);
    check::<Angle>(text);
    check::<AngularVelocity>(text);
    check::<Area>(text);
    check::<CamAngle>(text);
    check::<CrankAngle>(text);
    check::<Force>(text);
    check::<Length>(text);
    check::<Mass>(text);
    check::<MassRate>(text);
    check::<Power>(text);
    check::<Pressure>(text);
    check::<Ratio>(text);
    check::<SpringRate>(text);
    check::<ThermodynamicTemperature>(text);
    check::<Time>(text);
    check::<Torque>(text);
    check::<Velocity>(text);
    check::<Volume>(text);
    check::<VolumeRate>(text);
});

fn check<Q: Quantity>(text: &str) {
    let typed = match parse_typed::<Q>(text) {
        Ok(typed) => typed,
        Err(error) => {
            assert!(text.get(error.span()).is_some(), "{error:?} points outside the text");
            assert!(!error.to_string().is_empty());
            assert!(parse::<Q>(text).is_err());
            return;
        }
    };
    let tolerance_si = typed.tolerance.map(Q::si);
    assert!(typed.value.si().is_finite() && Q::LEAST_SI <= typed.value.si());
    assert!(tolerance_si.is_none_or(|si| si.is_finite() && si.is_sign_positive()));
    assert_eq!(parse::<Q>(text).is_ok(), typed.tolerance.is_none() && typed.basis.is_none());
    for system in [UnitSystem::Metric, UnitSystem::Inch] {
        let printed = to_sheet_text(&typed, system);
        let read = parse_typed::<Q>(&printed).expect("printed text is read");
        assert_eq!(read.value.si().to_bits(), typed.value.si().to_bits(), "{printed}");
        assert_eq!(read.tolerance.map(|tolerance| tolerance.si().to_bits()), tolerance_si.map(f64::to_bits));
        assert_eq!(read.basis, typed.basis);
        assert!(!show(typed.value, system).is_empty());
        assert!(!show_with_tolerance(typed.value, typed.tolerance.unwrap_or(typed.value), system).is_empty());
    }
    assert!(!show_both(typed.value).is_empty());
}
