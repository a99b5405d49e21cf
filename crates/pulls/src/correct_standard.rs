//! The standards a pull can be corrected to: what they refer to, where they hold, where they come from. Leaves out their
//! formulas (`correct_formula.rs`).

use std::ops::RangeInclusive;

use crate::engine_kind::EngineKind;

/// A standard of correction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standard {
    /// SAE J1349, spark ignition.
    SaeJ1349,
    /// The older SAE J607, which brakes call STD.
    Std,
    /// ISO 1585 (and UN R85, whose formulas are the same).
    Iso1585,
    /// DIN 70020, before it took over the ISO formulas.
    Din70020,
    /// JIS D 1001 of 1993, whose formula is that of ISO 1585.
    JisD1001,
    /// 80/1269/EEC as amended by 88/195/EEC, whose formula is that of ISO 1585.
    Eec80_1269,
}

/// The air a standard corrects to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReferenceAir {
    /// Pressure the formula divides into, in kilopascals.
    pub pressure_kpa: f64,
    /// Whether that is the pressure without water vapour.
    pub dry: bool,
    /// Temperature of the inlet air, in kelvins as the formula writes it.
    pub temperature_k: f64,
}

/// Where a standard's formula may be used.
#[derive(Clone, Debug, PartialEq)]
pub struct Window {
    /// The factor itself.
    pub factor: RangeInclusive<f64>,
    /// Temperature of the inlet air, in kelvins.
    pub temperature_k: RangeInclusive<f64>,
    /// Dry pressure, in kilopascals.
    pub dry_kpa: RangeInclusive<f64>,
    /// The standard names no window that is known here; this one is borrowed from SAE J1349.
    pub borrowed: bool,
}

/// Millibars of 29.92 inches of mercury, in kilopascals, with the inch of NIST SP 811 (2008), appendix B.8.
pub const STD_REFERENCE_KPA: f64 = 29.92 * 3.386_389;
/// 60 degF on the scale 460 + F that the formula uses, in its own degrees.
pub const STD_REFERENCE_R: f64 = 520.0;

impl Standard {
    /// All of them.
    pub const ALL: [Self; 6] =
        [Self::SaeJ1349, Self::Std, Self::Iso1585, Self::Din70020, Self::JisD1001, Self::Eec80_1269];

    /// What it is typed as, and how files name it.
    pub fn key(self) -> &'static str {
        match self {
            Self::SaeJ1349 => "sae",
            Self::Std => "std",
            Self::Iso1585 => "iso",
            Self::Din70020 => "din",
            Self::JisD1001 => "jis",
            Self::Eec80_1269 => "eec",
        }
    }

    /// How it is printed.
    pub fn name(self) -> &'static str {
        match self {
            Self::SaeJ1349 => "SAE J1349",
            Self::Std => "STD (SAE J607)",
            Self::Iso1585 => "ISO 1585",
            Self::Din70020 => "DIN 70020",
            Self::JisD1001 => "JIS D 1001 (1993 form)",
            Self::Eec80_1269 => "80/1269/EEC (as amended 1988)",
        }
    }

    /// The standard somebody typed: its key or the usual spellings of its name.
    pub fn parse(text: &str) -> Option<Self> {
        let plain: String = text.to_lowercase().chars().filter(char::is_ascii_alphanumeric).collect();
        Some(match plain.as_str() {
            "sae" | "saej1349" | "j1349" => Self::SaeJ1349,
            "std" | "stp" | "j607" | "saej607" | "stdj607" | "stdsaej607" => Self::Std,
            "iso" | "iso1585" | "r85" | "unr85" | "ecer85" => Self::Iso1585,
            "din" | "din70020" => Self::Din70020,
            "jis" | "jisd1001" => Self::JisD1001,
            "eec" | "ec" | "ewg" | "801269eec" | "eec801269" | "ewg801269" | "801269" => Self::Eec80_1269,
            _ => return None,
        })
    }

    /// What it corrects to.
    pub fn reference(self) -> ReferenceAir {
        match self {
            Self::SaeJ1349 | Self::Iso1585 | Self::JisD1001 | Self::Eec80_1269 => {
                ReferenceAir { pressure_kpa: 99.0, dry: true, temperature_k: 298.0 }
            }
            Self::Std => ReferenceAir {
                pressure_kpa: STD_REFERENCE_KPA,
                dry: true,
                temperature_k: STD_REFERENCE_R / 1.8,
            },
            Self::Din70020 => ReferenceAir { pressure_kpa: 101.3, dry: false, temperature_k: 293.0 },
        }
    }

    /// Where it holds.
    ///
    /// ISO 1585 (1992), clause 6, and UN R85 annex 5: factor 0.93 to 1.07 (diesel 0.9 to 1.1), 288 to 308 K (diesel 283 to
    /// 313 K), 80 to 110 kPa dry. SAE J1349 (1990): 15 to 35 degC, 90 to 105 kPa dry; its factor's window is that of ISO. Both
    /// as the trade press prints them; the diesel temperatures from memory. No window of J607 or DIN 70020 is known
    /// here, so that of J1349 stands in.
    pub fn window(self, engine: EngineKind) -> Window {
        let of_j1349 = |borrowed| Window {
            factor: 0.93..=1.07,
            temperature_k: 288.0..=308.0,
            dry_kpa: 90.0..=105.0,
            borrowed,
        };
        match self {
            Self::SaeJ1349 => of_j1349(false),
            Self::Std | Self::Din70020 => of_j1349(true),
            Self::Iso1585 | Self::JisD1001 | Self::Eec80_1269 if engine.is_diesel() => Window {
                factor: 0.9..=1.1,
                temperature_k: 283.0..=313.0,
                dry_kpa: 80.0..=110.0,
                borrowed: false,
            },
            Self::Iso1585 | Self::JisD1001 | Self::Eec80_1269 => Window {
                factor: 0.93..=1.07,
                temperature_k: 288.0..=308.0,
                dry_kpa: 80.0..=110.0,
                borrowed: false,
            },
        }
    }

    /// Where the formula was taken from, and how far that can be trusted.
    pub fn source(self) -> &'static str {
        match self {
            Self::SaeJ1349 => {
                "SAE J1349 (June 1990): 1.180 (99/pd) sqrt(T/298) - 0.180; 1.18 and 0.18 are a rounding of 1/0.85 and 0.15/0.85, \
                 kept as published"
            }
            Self::Std => "SAE J607 (withdrawn 1988): (29.92/pd) sqrt((F+460)/520)",
            Self::Iso1585 => {
                "ISO 1585 (1992) and UN R85: spark ignition (99/pd)^1.2 (T/298)^0.6; diesel fa^fm"
            }
            Self::Din70020 => {
                "DIN 70020 part 6 as it was before 1986: (1013/p) sqrt((273+t)/293), p with its water"
            }
            Self::JisD1001 => {
                "JIS D 1001 (1993), which names ISO 1585 as its equivalent: (99/pd)^1.2 (T/298)^0.6; an older form with 760 mmHg \
                 and 293 K is also in use, so a figure called JIS may mean either: low confidence"
            }
            Self::Eec80_1269 => {
                "80/1269/EEC as amended by 88/195/EEC: (99/pd)^1.2 (T/298)^0.6; the text of 1980 itself is not used"
            }
        }
    }
}
