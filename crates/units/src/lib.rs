//! Quantities with their units, and readings with tolerance and basis.
//!
//! Types are those of `uom` (SI inside, dimension-checked when compiled); what people type and read is
//! parsed and printed here, because a shop writes `0.400 in +/- 0.002` and `12 thou`.

#[macro_use]
extern crate uom;

pub mod reading;

pub use reading::{Basis, Reading};
pub use uom::si::f64::{
    Acceleration, Angle, AngularVelocity, Area, Force, Length, Mass, MassRate, Pressure, Ratio,
    ThermodynamicTemperature, Time, Velocity, Volume, VolumeRate,
};
pub use uom::si::{
    acceleration, angle, angular_velocity, area, force, length, mass, mass_rate, pressure, ratio,
    thermodynamic_temperature, time, velocity, volume, volume_rate,
};
