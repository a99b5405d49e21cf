//! Pulls from a brake: read from whatever table the brake wrote, corrected by a named standard, compared with honest intervals.
//!
//! A [`Pull`] keeps what was measured as it was measured. Smoothing, the inertia of the rotating parts and the correction are
//! settings laid over it and taken off again. Files are bytes here; paths, clocks and words for people live above.

pub mod pull;
pub mod engine_kind;
pub mod when;
pub mod digest;

pub mod processing;
pub mod curve;

pub mod weather;
pub mod weather_humidity;
pub mod weather_pressure;
pub mod weather_readings;

pub mod correct;
pub mod correct_formula;
pub mod correct_standard;

pub mod compare;
pub mod compare_findings;
pub mod regression;
pub mod detectable;

pub mod import;
mod text_decode;
mod table;
mod table_text;
mod table_workbook;
mod header_find;
mod decimal_find;
mod cell_number;
pub mod column_kind;
pub mod column_unit;
pub mod columns_take;
pub mod layout;
pub mod layout_file;
pub mod pull_file;
mod import_heads;
mod import_rows;
mod sweep_split;
pub mod import_error;

pub use cell_number::Decimal;
pub use compare::{CompareError, CompareOptions, Comparison, compare};
pub use compare_findings::CompareFinding;
pub use correct::{Correction, Mark, convert, correction};
pub use correct_standard::Standard;
pub use curve::{Curve, Measure, Weights};
pub use engine_kind::{DieselFuel, EngineKind};
pub use import::{Import, ImportOptions, import};
pub use import_error::ImportError;
pub use layout::Layout;
pub use processing::Processing;
pub use pull::{Group, Pull, Rows, Sweep};
pub use pull_file::{PullFileError, read_pull, write_pull};
pub use weather::{Weather, WeatherError};
pub use weather_humidity::Humidity;
pub use weather_pressure::{Barometer, SeaLevelPressure, StationPressure};
pub use weather_readings::{WeatherMissing, WeatherReadings};
pub use when::When;
