//! Quantities with their units, and readings with tolerance and basis.
//!
//! Types are those of `uom` (SI inside, dimension-checked when compiled); what people type and read is
//! parsed and printed here, because a shop writes `0.400 in +/- 0.002` and `12 thou`.
//!
//! ```
//! use units::{Length, UnitSystem, length::millimeter, parse_typed, show_decimals};
//!
//! let valve = parse_typed::<Length>("46.0 mm ± 2 thou")?;
//! assert_eq!(valve.value, Length::new::<millimeter>(46.0));
//! assert_eq!(show_decimals(valve.value, UnitSystem::Inch, 3), "1.811 in");
//! # Ok::<(), units::QuantityError>(())
//! ```

pub mod quantity;
pub mod quantity_units;

pub mod crank_angle;
pub mod spring_rate;

pub mod reading;
pub mod typed;

pub mod parse;
pub mod parse_number;
pub mod parse_unit;

mod decimal_comma;
mod number_value;
mod text_piece;

pub mod print;
pub mod quantity_error;

pub use crank_angle::{CamAngle, CrankAngle};
pub use parse::{parse, parse_typed};
pub use print::{
    UnitSystem, reading_to_sheet_text, show, show_both, show_decimals, show_with_tolerance, to_sheet_text,
};
pub use quantity::{Expected, Quantity, Unit};
pub use quantity_error::QuantityError;
pub use reading::{Basis, Reading};
pub use spring_rate::SpringRate;
pub use typed::Typed;
pub use uom::si::f64::{
    Acceleration, Angle, AngularVelocity, Area, Force, Length, Mass, MassRate, Power, Pressure, Ratio,
    ThermodynamicTemperature, Time, Torque, Velocity, Volume, VolumeRate,
};
pub use uom::si::{
    acceleration, angle, angular_velocity, area, force, length, mass, mass_rate, power, pressure, ratio,
    thermodynamic_temperature, time, torque, velocity, volume, volume_rate,
};
