//! The running engine: from plain numbers about cylinders, valves and pipes to torque, power and traces.
//!
//! This is a numeric layer: its public functions take plain `f64` in SI, with the unit in the name.
//!
//! Reading order: what an engine is to this crate ([`model`]).

pub mod model;
