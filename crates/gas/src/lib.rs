//! Mixtures, orifices and unsteady flow in pipes; knows no engine words.
//!
//! This is the numeric layer: its public functions take plain `f64` in SI, with the unit in the name. The
//! layers above convert once at this door.
//!
//! Reading order: the gases ([`species`], [`composition`], [`equilibrium`], [`burned_gas`], [`humid_air`]),
//! the number type of the hot kernels ([`lane`]) and the pipe ([`pipe`]).

pub mod species;
mod species_data;
pub mod composition;
pub mod equilibrium;
pub mod burned_gas;
pub mod humid_air;

pub mod orifice;

pub mod riemann;
pub mod test_bed;

pub mod lane;
pub mod pipe;
pub mod network;
