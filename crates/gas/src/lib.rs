//! Mixtures, orifices and unsteady flow in pipes; knows no engine words.

pub mod lane;
pub mod pipe;
