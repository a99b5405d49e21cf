//! Which units each quantity is read and written in, with exact factors. Leaves out how text is split.
//!
//! Factors come from the international definitions (NIST Special Publication 811 (2008), appendix B):
//! inch 0.0254 m, pound 0.453 592 37 kg, standard gravity 9.806 65 m/s2, US gallon 231 in3. Derived ones
//! are products of those, written with all the digits a double holds. The `uom` crate rounds several of
//! them to seven digits (cubic inch, psi, horsepower), so its factors are used for none.
//!
//! A spelling is written in the reduced form of [`crate::parse_unit::reduce_unit`]: `in3` also reads `in³` and
//! `in^3`, `lbf ft` also `lbf·ft` and `lbf-ft`.

use std::f64::consts::PI;
use std::marker::PhantomData;

use uom::si::f64::{
    Acceleration, Angle, AngularVelocity, Area, Force, Length, Mass, MassRate, Power, Pressure, Ratio,
    ThermodynamicTemperature, Time, Torque, Velocity, Volume, VolumeRate,
};

use crate::quantity::{Quantity, Unit};
use crate::{CamAngle, CrankAngle, SpringRate};

const fn unit(
    symbol: &'static str,
    factor: f64,
    decimals: usize,
    spellings: &'static [&'static str],
) -> Unit {
    Unit { symbol, spellings, factor, offset: 0.0, decimals }
}

macro_rules! uom_quantity {
    ($quantity:ident, $kind:literal, $examples:literal, $metric:expr, $inch:expr, $units:expr
     $(, $constant:ident: $constant_type:ty = $constant_value:expr)*) => {
        impl Quantity for $quantity {
            const KIND: &'static str = $kind;
            const UNITS: &'static [Unit] = $units;
            const EXAMPLES: &'static str = $examples;
            const METRIC: Unit = $metric;
            const INCH: Unit = $inch;
            $(const $constant: $constant_type = $constant_value;)*

            fn from_si(si: f64) -> Self {
                Self { dimension: PhantomData, units: PhantomData, value: si }
            }

            fn si(self) -> f64 {
                self.value
            }
        }
    };
}

const MM: Unit = unit("mm", 1e-3, 2, &["millimeter", "millimeters", "millimetre", "millimetres"]);
const IN: Unit = unit("in", 0.0254, 3, &["inch", "inches", "\"", "''"]);

uom_quantity!(
    Length,
    "length",
    "mm, in, thou, cm, m",
    MM,
    IN,
    &[
        MM,
        IN,
        unit("thou", 2.54e-5, 1, &["mil", "mils", "thous"]),
        unit("cm", 1e-2, 3, &[]),
        unit("m", 1.0, 5, &["meter", "meters", "metre", "metres"]),
        unit("um", 1e-6, 0, &["micron", "microns"]),
        unit("uin", 2.54e-8, 0, &["microinch", "microinches"]),
        unit("ft", 0.3048, 4, &["foot", "feet"]),
    ]
);

const MM2: Unit = unit("mm2", 1e-6, 1, &["sq mm"]);
const IN2: Unit = unit("in2", 0.000_645_16, 3, &["sq in", "sqin"]);

uom_quantity!(
    Area,
    "area",
    "mm2, cm2, in2, m2",
    MM2,
    IN2,
    &[
        MM2,
        unit("cm2", 1e-4, 3, &["sq cm"]),
        IN2,
        unit("m2", 1.0, 6, &["sq m"]),
        unit("ft2", 0.092_903_04, 5, &["sq ft"]),
    ]
);

const CC: Unit = unit("cc", 1e-6, 1, &["ccs", "cm3", "ccm", "cu cm"]);
const IN3: Unit = unit("in3", 1.638_706_4e-5, 2, &["cu in", "cuin", "cid", "ci"]);

uom_quantity!(
    Volume,
    "volume",
    "cc, in3, ml, l",
    CC,
    IN3,
    &[
        CC,
        IN3,
        unit("ml", 1e-6, 1, &["mL"]),
        unit("l", 1e-3, 3, &["L", "liter", "liters", "litre", "litres"]),
        unit("mm3", 1e-9, 0, &["cu mm"]),
        unit("m3", 1.0, 6, &["cu m"]),
        unit("ft3", 0.028_316_846_592, 4, &["cu ft"]),
    ]
);

const DEGREE_IN_RADIANS: f64 = PI / 180.0;
const DEG: Unit = unit("deg", DEGREE_IN_RADIANS, 1, &["°", "degree", "degrees", "degs"]);
const RAD: Unit = unit("rad", 1.0, 4, &["radian", "radians"]);

uom_quantity!(
    Angle,
    "angle",
    "deg, °, 12°30', rad",
    DEG,
    DEG,
    &[
        DEG,
        RAD,
        unit("arcmin", DEGREE_IN_RADIANS / 60.0, 0, &["'", "arc min"]),
        unit("mrad", 1e-3, 2, &[]),
    ],
    DEGREES_MINUTES: bool = true
);

const KPA: Unit = unit("kPa", 1e3, 1, &[]);
const PSI: Unit = unit("psi", 6_894.757_293_168_362, 1, &["lbf/in2", "lb/in2"]);

uom_quantity!(
    Pressure,
    "pressure",
    "kPa, bar, psi, inH2O, inHg",
    KPA,
    PSI,
    &[
        KPA,
        unit("bar", 1e5, 3, &["bars"]),
        PSI,
        // Conventional water of 1000 kg/m3 under standard gravity: 1000 * 9.80665 * 0.0254. Flow benches
        // are scaled by it; water at 4 degC reads 249.082 and at 60 degF 248.84, 0.1 % less.
        unit("inH2O", 249.088_91, 1, &["in H2O", "inwc", "in wc", "inwg", "in wg", "in water"]),
        // Conventional mercury at 0 degC, NIST SP 811 (2008) appendix B.8.
        unit("inHg", 3_386.389, 2, &["in Hg"]),
        unit("mmH2O", 9.806_65, 0, &["mm H2O"]),
        unit("mmHg", 133.322_387_415, 1, &["mm Hg"]),
        unit("mbar", 100.0, 1, &["millibar", "millibars"]),
        unit("hPa", 100.0, 1, &[]),
        unit("Pa", 1.0, 0, &["N/m2", "pascal"]),
        unit("MPa", 1e6, 3, &["N/mm2"]),
        unit("GPa", 1e9, 1, &["kN/mm2"]),
        unit("atm", 101_325.0, 4, &[]),
        unit("kgf/cm2", 98_066.5, 3, &["kg/cm2"]),
        unit("ksi", 6_894_757.293_168_361, 1, &[]),
    ]
);

const LITRE_PER_SECOND: Unit = unit("l/s", 1e-3, 1, &["L/s", "lps"]);
const CFM: Unit = unit("cfm", 4.719_474_432e-4, 1, &["ft3/min", "cu ft/min"]);

uom_quantity!(
    VolumeRate,
    "flow",
    "cfm, l/s, m3/h, l/min",
    LITRE_PER_SECOND,
    CFM,
    &[
        LITRE_PER_SECOND,
        CFM,
        unit("m3/h", 1.0 / 3600.0, 1, &["m3/hr"]),
        unit("l/min", 1.0 / 60_000.0, 1, &["L/min", "lpm"]),
        unit("cc/min", 1e-6 / 60.0, 1, &["cm3/min", "ml/min"]),
        unit("m3/s", 1.0, 5, &[]),
        unit("l/h", 1e-3 / 3600.0, 2, &["L/h", "l/hr"]),
    ]
);

const GRAM: Unit = unit("g", 1e-3, 1, &["gram", "grams"]);

// Pistons, rods and valves are weighed in grams in inch shops too.
uom_quantity!(
    Mass,
    "mass",
    "g, kg, oz, lb",
    GRAM,
    GRAM,
    &[
        GRAM,
        unit("kg", 1.0, 4, &["kilogram", "kilograms"]),
        unit("oz", 0.028_349_523_125, 2, &["ounce", "ounces"]),
        unit("lb", 0.453_592_37, 3, &["lbs", "lbm", "pound", "pounds"]),
        unit("mg", 1e-6, 0, &[]),
    ]
);

const KG_PER_HOUR: Unit = unit("kg/h", 1.0 / 3600.0, 1, &["kg/hr"]);
const LB_PER_HOUR: Unit = unit("lb/h", 0.453_592_37 / 3600.0, 1, &["lb/hr", "lbs/h", "lbs/hr", "pph"]);

uom_quantity!(
    MassRate,
    "mass flow",
    "kg/h, g/s, lb/h, lb/min",
    KG_PER_HOUR,
    LB_PER_HOUR,
    &[
        KG_PER_HOUR,
        LB_PER_HOUR,
        unit("g/s", 1e-3, 2, &[]),
        unit("kg/s", 1.0, 5, &[]),
        unit("lb/min", 0.453_592_37 / 60.0, 2, &["lbs/min"]),
        unit("g/min", 1e-3 / 60.0, 1, &[]),
    ]
);

const NEWTON: Unit = unit("N", 1.0, 0, &["newton", "newtons"]);
const LBF: Unit = unit("lbf", 4.448_221_615_260_5, 0, &["lb", "lbs", "pound", "pounds"]);

uom_quantity!(
    Force,
    "force",
    "N, lbf, kgf, kN",
    NEWTON,
    LBF,
    &[
        NEWTON,
        LBF,
        unit("kgf", 9.806_65, 1, &["kp"]),
        unit("kN", 1e3, 2, &[]),
        unit("ozf", 0.278_013_850_953_781_2, 1, &[]),
    ]
);

const METRE_PER_SECOND: Unit = unit("m/s", 1.0, 2, &[]);
const FOOT_PER_SECOND: Unit = unit("ft/s", 0.3048, 1, &["fps", "ft/sec"]);

uom_quantity!(
    Velocity,
    "speed",
    "m/s, ft/s, ft/min, km/h, mph",
    METRE_PER_SECOND,
    FOOT_PER_SECOND,
    &[
        METRE_PER_SECOND,
        FOOT_PER_SECOND,
        unit("ft/min", 0.005_08, 0, &["fpm"]),
        unit("km/h", 1.0 / 3.6, 1, &["kph", "kmh"]),
        unit("mph", 0.447_04, 1, &[]),
    ]
);

const METRE_PER_SECOND2: Unit = unit("m/s2", 1.0, 1, &[]);
const FOOT_PER_SECOND2: Unit = unit("ft/s2", 0.3048, 1, &["ft/sec2"]);

uom_quantity!(
    Acceleration,
    "acceleration",
    "m/s2, ft/s2, gn",
    METRE_PER_SECOND2,
    FOOT_PER_SECOND2,
    &[METRE_PER_SECOND2, FOOT_PER_SECOND2, unit("gn", 9.806_65, 2, &["g"])]
);

const RPM: Unit = unit("rpm", 2.0 * PI / 60.0, 0, &["1/min", "/min", "rev/min", "r/min"]);

uom_quantity!(
    AngularVelocity,
    "engine speed",
    "rpm, 1/min, rad/s",
    RPM,
    RPM,
    &[
        RPM,
        unit("rad/s", 1.0, 2, &[]),
        unit("deg/s", DEGREE_IN_RADIANS, 1, &["°/s"]),
        unit("rev/s", 2.0 * PI, 3, &["r/s"]),
    ]
);

const MS: Unit = unit("ms", 1e-3, 2, &["msec"]);

uom_quantity!(
    Time,
    "time",
    "ms, s, min",
    MS,
    MS,
    &[
        MS,
        unit("s", 1.0, 3, &["sec", "second", "seconds"]),
        unit("us", 1e-6, 0, &[]),
        unit("min", 60.0, 2, &["minute", "minutes"]),
        unit("h", 3600.0, 3, &["hr", "hour", "hours"]),
    ]
);

const CELSIUS: Unit = Unit {
    symbol: "degC",
    spellings: &["°C", "deg C", "C", "celsius"],
    factor: 1.0,
    offset: 273.15,
    decimals: 1,
};
const FAHRENHEIT: Unit = Unit {
    symbol: "degF",
    spellings: &["°F", "deg F", "F", "fahrenheit"],
    factor: 5.0 / 9.0,
    offset: 459.67,
    decimals: 1,
};

uom_quantity!(
    ThermodynamicTemperature,
    "temperature",
    "degC, degF, K",
    CELSIUS,
    FAHRENHEIT,
    &[CELSIUS, FAHRENHEIT, unit("K", 1.0, 2, &["kelvin"]), unit("degR", 5.0 / 9.0, 1, &["°R", "deg R", "rankine"])],
    LEAST_SI: f64 = 0.0
);

const BARE: Unit = unit("", 1.0, 3, &[":1", ": 1", "to 1"]);

uom_quantity!(
    Ratio,
    "ratio",
    "a bare number, or %",
    BARE,
    BARE,
    &[BARE, unit("%", 1e-2, 1, &["percent", "pct"])]
);

const NEWTON_METRE: Unit = unit("N m", 1.0, 1, &["Nm", "newton meter", "newton metre"]);
const POUND_FOOT: Unit = unit(
    "lb-ft",
    1.355_817_948_331_400_3,
    1,
    &["lb ft", "lbf ft", "ft lb", "ft lbf", "lbft", "ftlb", "lbs ft", "ft lbs"],
);

uom_quantity!(
    Torque,
    "torque",
    "N m, lb-ft, lb-in, kgf m",
    NEWTON_METRE,
    POUND_FOOT,
    &[
        NEWTON_METRE,
        POUND_FOOT,
        unit("lb-in", 0.112_984_829_027_616_7, 1, &["lb in", "lbf in", "in lb", "in lbf", "in lbs"]),
        unit("kgf m", 9.806_65, 2, &["kgm", "kg m", "m kg", "mkg"]),
    ]
);

const KILOWATT: Unit = unit("kW", 1e3, 1, &["kilowatt", "kilowatts"]);
// 550 ft lbf/s. The boiler and electric horsepower are other units and are not read.
const HORSEPOWER: Unit = unit("hp", 745.699_871_582_270_2, 1, &["bhp"]);

uom_quantity!(
    Power,
    "power",
    "kW, hp, PS, W",
    KILOWATT,
    HORSEPOWER,
    &[
        KILOWATT,
        HORSEPOWER,
        // 75 kgf m/s.
        unit("PS", 735.498_75, 1, &["cv", "ch", "pk"]),
        unit("W", 1.0, 0, &["watt", "watts"]),
    ]
);

macro_rules! own_quantity {
    ($quantity:ident, $kind:literal, $examples:literal, $metric:expr, $inch:expr, $degrees_minutes:literal,
     $units:expr) => {
        impl Quantity for $quantity {
            const KIND: &'static str = $kind;
            const UNITS: &'static [Unit] = $units;
            const EXAMPLES: &'static str = $examples;
            const METRIC: Unit = $metric;
            const INCH: Unit = $inch;
            const DEGREES_MINUTES: bool = $degrees_minutes;

            fn from_si(si: f64) -> Self {
                Self::from_base(si)
            }

            fn si(self) -> f64 {
                self.base()
            }
        }
    };
}

own_quantity!(
    CrankAngle,
    "crank angle",
    "deg, °, deg crank",
    DEG,
    DEG,
    true,
    &[
        DEG,
        RAD,
        unit("deg crank", DEGREE_IN_RADIANS, 1, &["crank deg", "°crank", "degrees crank", "crank degrees"])
    ]
);

own_quantity!(
    CamAngle,
    "cam angle",
    "deg, °, deg cam",
    DEG,
    DEG,
    true,
    &[DEG, RAD, unit("deg cam", DEGREE_IN_RADIANS, 1, &["cam deg", "°cam", "degrees cam", "cam degrees"])]
);

const NEWTON_PER_MM: Unit = unit("N/mm", 1e3, 1, &["kN/m"]);
const LBF_PER_INCH: Unit =
    unit("lbf/in", 175.126_835_246_476_4, 0, &["lb/in", "lbs/in", "lb/inch", "lbf/inch", "lbs/inch"]);

own_quantity!(
    SpringRate,
    "spring rate",
    "N/mm, lbf/in, kgf/mm",
    NEWTON_PER_MM,
    LBF_PER_INCH,
    false,
    &[NEWTON_PER_MM, LBF_PER_INCH, unit("kgf/mm", 9_806.65, 2, &["kg/mm"]), unit("N/m", 1.0, 0, &[]),]
);

/// Every kind and its units, for saying what kind a misplaced unit belongs to. Where two kinds share a
/// spelling the first one names it.
pub static KINDS: &[(&str, &[Unit])] = &[
    (Length::KIND, Length::UNITS),
    (Volume::KIND, Volume::UNITS),
    (Area::KIND, Area::UNITS),
    (Angle::KIND, Angle::UNITS),
    (CrankAngle::KIND, CrankAngle::UNITS),
    (CamAngle::KIND, CamAngle::UNITS),
    (Pressure::KIND, Pressure::UNITS),
    (VolumeRate::KIND, VolumeRate::UNITS),
    (Mass::KIND, Mass::UNITS),
    (MassRate::KIND, MassRate::UNITS),
    (Force::KIND, Force::UNITS),
    (SpringRate::KIND, SpringRate::UNITS),
    (Velocity::KIND, Velocity::UNITS),
    (AngularVelocity::KIND, AngularVelocity::UNITS),
    (Acceleration::KIND, Acceleration::UNITS),
    (Time::KIND, Time::UNITS),
    (ThermodynamicTemperature::KIND, ThermodynamicTemperature::UNITS),
    (Torque::KIND, Torque::UNITS),
    (Power::KIND, Power::UNITS),
    (Ratio::KIND, Ratio::UNITS),
];
