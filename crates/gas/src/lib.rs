//! Mixtures, orifices and unsteady flow in pipes; knows no engine words.
//!
//! This is the numeric layer: its public functions take plain `f64` in SI, with the unit in the name. The
//! layers above convert once at this door.
//!
//! Reading order: the gases ([`species`], [`composition`], [`equilibrium`], [`burned_gas`], [`humid_air`],
//! [`fuel`], [`transport`]), flow through a hole ([`orifice`]), what schemes are tried on ([`riemann`],
//! [`test_bed`]), the number type of the hot kernels ([`lane`]), one pipe ([`pipe`]) and many ([`network`]).

pub mod burned_gas;
pub mod composition;
pub mod equilibrium;
pub mod fuel;
pub mod humid_air;
pub mod species;
mod species_data;
pub mod transport;

pub mod orifice;

pub mod riemann;
pub mod test_bed;

pub mod lane;
pub mod network;
pub mod pipe;
