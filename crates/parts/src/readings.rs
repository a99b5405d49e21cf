//! Walking through every reading of a part by name: for lists of what was assumed, and for drawing samples.

use units::{
    Angle, AngularVelocity, Basis, CrankAngle, Force, Length, Mass, Pressure, Quantity, Ratio, Reading,
    SpringRate, ThermodynamicTemperature, UnitSystem, Volume, VolumeRate, show_with_tolerance,
};
use uom_value::SiValue;

/// One reading met on the walk, its numbers in SI.
#[derive(Debug)]
pub struct ReadingMut<'a> {
    /// The value; writing to it changes the part.
    pub value_si: &'a mut f64,
    /// 95 % half-width.
    pub tolerance_si: f64,
    /// Where the reading comes from.
    pub basis: Basis,
    /// The kind of quantity, for printing.
    pub kind: Kind,
}

/// Kinds of quantity that readings of parts have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Metres inside.
    Length,
    /// Radians inside.
    Angle,
    /// Cubic metres inside.
    Volume,
    /// Radians of the crank inside.
    CrankAngle,
    /// A bare number.
    Ratio,
    /// Newtons inside.
    Force,
    /// Newtons a metre inside.
    SpringRate,
    /// Kilograms inside.
    Mass,
    /// Pascals inside.
    Pressure,
    /// Kelvins inside.
    ThermodynamicTemperature,
    /// Radians a second inside.
    AngularVelocity,
    /// Cubic metres a second inside.
    VolumeRate,
}

impl Kind {
    /// A value with its tolerance for people, both in SI.
    pub fn shown(self, value_si: f64, tolerance_si: f64, system: UnitSystem) -> String {
        fn shown<Q: Quantity>(value: f64, tolerance: f64, system: UnitSystem) -> String {
            show_with_tolerance(Q::from_si(value), Q::from_si(tolerance), system)
        }
        let show = match self {
            Self::Length => shown::<Length>,
            Self::Angle => shown::<Angle>,
            Self::Volume => shown::<Volume>,
            Self::CrankAngle => shown::<CrankAngle>,
            Self::Ratio => shown::<Ratio>,
            Self::Force => shown::<Force>,
            Self::SpringRate => shown::<SpringRate>,
            Self::Mass => shown::<Mass>,
            Self::Pressure => shown::<Pressure>,
            Self::ThermodynamicTemperature => shown::<ThermodynamicTemperature>,
            Self::AngularVelocity => shown::<AngularVelocity>,
            Self::VolumeRate => shown::<VolumeRate>,
        };
        show(value_si, tolerance_si, system)
    }
}

/// Parts whose readings can be walked through.
pub trait Visit {
    /// Shows `see` every reading with its path, such as `head.valve.intake.x`, in the order of the sheet.
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut));
}

/// Shows one reading on a walk.
pub fn show<Q: SiValue>(
    reading: &mut Reading<Q>,
    path: &str,
    name: &str,
    see: &mut dyn FnMut(&str, ReadingMut),
) {
    let tolerance_si = *reading.tolerance.si_mut();
    let (basis, kind) = (reading.basis, Q::KIND);
    see(
        &format!("{path}.{name}"),
        ReadingMut { value_si: reading.value.si_mut(), tolerance_si, basis, kind },
    );
}

mod uom_value {
    use super::Kind;
    use units::{
        Angle, AngularVelocity, CrankAngle, Force, Length, Mass, Pressure, Ratio, SpringRate,
        ThermodynamicTemperature, Volume, VolumeRate,
    };

    /// Quantities that are one number in SI underneath.
    pub trait SiValue {
        /// What kind it is.
        const KIND: Kind;
        /// The number in SI.
        fn si_mut(&mut self) -> &mut f64;
    }

    macro_rules! si_value {
        ($($quantity:ident),*) => {$(
            impl SiValue for $quantity {
                const KIND: Kind = Kind::$quantity;
                fn si_mut(&mut self) -> &mut f64 {
                    &mut self.value
                }
            }
        )*};
    }
    si_value!(
        Length,
        Angle,
        Volume,
        Ratio,
        Force,
        Mass,
        Pressure,
        ThermodynamicTemperature,
        AngularVelocity,
        VolumeRate
    );

    impl SiValue for CrankAngle {
        const KIND: Kind = Kind::CrankAngle;
        fn si_mut(&mut self) -> &mut f64 {
            &mut self.0.value
        }
    }

    impl SiValue for SpringRate {
        const KIND: Kind = Kind::SpringRate;
        fn si_mut(&mut self) -> &mut f64 {
            self.newtons_per_metre_mut()
        }
    }
}
pub use uom_value::SiValue as Si;

/// Implements [`Visit`] for a part by listing its readings; those behind `?` may be missing.
macro_rules! visit_readings {
    ($part:ty { $($name:ident),* $(; $($maybe:ident?),*)? }) => {
        impl $crate::readings::Visit for $part {
            fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, $crate::readings::ReadingMut)) {
                $($crate::readings::show(&mut self.$name, path, stringify!($name), see);)*
                $($(if let Some(reading) = &mut self.$maybe {
                    $crate::readings::show(reading, path, stringify!($maybe), see);
                })*)?
            }
        }
    };
}
pub(crate) use visit_readings;
