//! The running engine: from plain numbers about cylinders, valves and pipes to torque, power and traces.
//!
//! This is a numeric layer: its public functions take plain `f64` in SI, with the unit in the name.
//!
//! Reading order: what an engine is to this crate ([`model`]), how a build
//! becomes one ([`from_build`]), what measured pulls correct in it ([`multipliers`]), how finely it is computed ([`fidelity`], [`grid`]), what
//! its gases are ([`charge_gas`]), which part becomes what of a gas network ([`network_plan`]), what happens in a
//! cylinder ([`cylinder`], [`burning`], [`heat_transfer`], [`knock`], [`closed_cycle`]), how long the charge burns and when
//! to light it ([`burn_duration`], [`spark`]), what an ideal engine would make of it ([`fuel_air_limit`]), what rubs
//! ([`friction`]), when a cycle repeats itself ([`convergence`]), a model made ready ([`prepared`]), what comes out at
//! one speed and at many ([`speed_point`], [`sweep`]), and of many engines at once ([`batch`]); invented engines to try it on ([`example`]).

pub mod model;

pub mod from_build;
pub mod from_layout;

pub mod multipliers;

pub mod fidelity;

pub mod grid;

pub mod charge_gas;

pub mod network_plan;

pub mod burning;
pub mod closed_cycle;
pub mod cylinder;
pub mod heat_transfer;
pub mod knock;

pub mod burn_duration;
pub mod spark;

pub mod fuel_air_limit;

pub mod friction;

pub mod convergence;

pub mod prepared;
mod packed_state;
pub mod trace;
mod march;
mod settle;
pub mod speed_point;
mod port_speed;
mod point_of_cycle;
pub mod sweep;

pub mod batch;

pub mod example;
