//! What a standard makes of a pull's torque: the factor, whether it may be used, and the way back. Leaves out the formulas.

use std::ops::RangeInclusive;

use units::pressure::kilopascal;
use units::thermodynamic_temperature::{degree_celsius, kelvin};

use crate::correct_formula::{Air, factor};
use crate::correct_standard::Standard;
use crate::engine_kind::EngineKind;
use crate::weather::{Weather, WeatherError};

/// A factor of one standard for one air, and what has to be said with it.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction {
    /// Which standard.
    pub standard: Standard,
    /// For which engine.
    pub engine: EngineKind,
    /// Corrected over measured.
    pub factor: f64,
    /// Everything that speaks against claiming the corrected number; empty when nothing does.
    pub marks: Vec<Mark>,
}

/// Why a corrected number is given but not to be claimed.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// The factor is outside what the standard allows.
    Factor {
        /// What it is.
        found: f64,
        /// What it may be.
        allowed: RangeInclusive<f64>,
    },
    /// The inlet air is too cold or too hot, in kelvins.
    Temperature {
        /// What it is.
        found_k: f64,
        /// What it may be.
        allowed_k: RangeInclusive<f64>,
    },
    /// The dry pressure is too low or too high, in kilopascals.
    Pressure {
        /// What it is.
        found_kpa: f64,
        /// What it may be.
        allowed_kpa: RangeInclusive<f64>,
    },
    /// The formula was not written for such an engine.
    NotForThisEngine,
    /// Boost control holds the charge where it is, whatever the barometer says.
    BoostControl,
    /// Two forms of this standard are in use.
    LowConfidence,
    /// One of the windows above is borrowed from another standard.
    BorrowedWindow,
}

impl Correction {
    /// Whether the conditions are inside the window.
    pub fn inside_window(&self) -> bool {
        !self.marks.iter().any(|mark| {
            matches!(mark, Mark::Factor { .. } | Mark::Temperature { .. } | Mark::Pressure { .. })
        })
    }

    /// Corrected torque or power of a measured one.
    pub fn apply(&self, measured: f64) -> f64 {
        measured * self.factor
    }

    /// Measured torque or power of a corrected one.
    pub fn undo(&self, corrected: f64) -> f64 {
        corrected / self.factor
    }
}

/// A figure corrected to one standard, in another: back to the measured one, then on. Both factors have to be of the pull's
/// own air.
pub fn convert(figure: f64, from: &Correction, to: &Correction) -> f64 {
    to.apply(from.undo(figure))
}

/// The factor of `standard` for `engine` in `weather`. Outside the standard's window it is computed all the same, and marked.
pub fn correction(
    standard: Standard,
    engine: EngineKind,
    weather: &Weather,
) -> Result<Correction, WeatherError> {
    weather.check()?;
    let air = Air {
        dry_kpa: weather.dry_pressure().get::<kilopascal>(),
        total_kpa: weather.station().pressure().get::<kilopascal>(),
        inlet_c: weather.inlet.get::<degree_celsius>(),
    };
    let factor = factor(standard, engine, air);
    let window = standard.window(engine);
    let mut marks = Vec::new();
    if !window.factor.contains(&factor) {
        marks.push(Mark::Factor { found: factor, allowed: window.factor });
    }
    let found_k = weather.inlet.get::<kelvin>();
    // The windows are written with absolute zero at 273.
    if !window.temperature_k.contains(&(found_k - 0.15)) {
        marks.push(Mark::Temperature { found_k, allowed_k: window.temperature_k });
    }
    if !window.dry_kpa.contains(&air.dry_kpa) {
        marks.push(Mark::Pressure { found_kpa: air.dry_kpa, allowed_kpa: window.dry_kpa });
    }
    if window.borrowed && !marks.is_empty() {
        marks.push(Mark::BorrowedWindow);
    }
    let written_for_spark = matches!(standard, Standard::SaeJ1349 | Standard::Std | Standard::Din70020);
    if written_for_spark && (engine.is_diesel() || engine.is_boosted()) {
        marks.push(Mark::NotForThisEngine);
    }
    if engine == EngineKind::SparkBoosted {
        marks.push(Mark::BoostControl);
    }
    if standard == Standard::JisD1001 {
        marks.push(Mark::LowConfidence);
    }
    Ok(Correction { standard, engine, factor, marks })
}
