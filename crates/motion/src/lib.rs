//! Where piston, lobe, valve train and spring are at a crank angle.
//!
//! A valve's motion is made in two steps. [`fit_lobe`] turns a card or a measured table into a smooth [`LiftCurve`]
//! and finds where its nose stands on the crank; that takes milliseconds. [`ValveMotion::new`] puts a valve train on
//! it; that and every variant of it takes next to nothing.

pub mod slider_crank;

pub mod lobe;
pub mod lobe_fit;
pub mod lobe_card;
pub mod lobe_table;
pub mod lobe_rows;
pub mod lobe_pins;

pub mod valve_train;
pub mod valve_motion;

mod bspline;
mod quadratic_program;
mod smoothing_spline;

pub use lobe::{Flank, LiftCurve, LiftJet};
pub use lobe_card::CardError;
pub use lobe_fit::{LobeError, LobeFit, LobeNote, fit_lobe};
pub use lobe_pins::PinError;
pub use lobe_rows::{RowError, RowNote};
pub use lobe_table::TableError;
pub use slider_crank::{SliderCrank, SliderCrankError};
pub use valve_motion::{LiftTable, ValveMotion};
pub use valve_train::{TrainError, TrainState};
