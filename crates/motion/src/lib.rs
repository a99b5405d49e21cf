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

pub mod events;
pub mod tappet_velocity;
pub mod cam_surface;
pub mod contact_stress;

pub mod rocker_slot;
pub mod spring;
pub mod spring_speed;

mod bspline;
mod lobe_extremes;
mod lobe_flank;
mod lobe_outliers;
mod quadratic_program;
mod smoothing_spline;

pub use cam_surface::{CamSurface, Rider, cam_surface};
pub use contact_stress::{Contact, ContactPeak, Material, contact_peak, line_contact};
pub use events::{Events, LiftArea, lobe_separation, overlap};
pub use lobe::{Flank, LiftCurve, LiftJet};
pub use lobe_card::CardError;
pub use lobe_fit::{LobeError, LobeFit, LobeNote, fit_lobe};
pub use lobe_pins::PinError;
pub use lobe_rows::{RowError, RowNote};
pub use lobe_table::TableError;
pub use rocker_slot::rocker_slot_gap;
pub use slider_crank::{SliderCrank, SliderCrankError};
pub use spring::{
    SpringError, SpringLoad, active_mass, coil_bind_margin, rate_of_wire, retainer_to_seal, spring_mass,
};
pub use spring_speed::{
    LiftOffMargin, Surge, effective_mass, harmonic_share, lift_off_margin, lift_off_speed, surge,
    surge_frequency,
};
pub use tappet_velocity::{FlatTappetCheck, flat_tappet, flat_tappet_velocity_limit};
pub use valve_motion::{LiftTable, ValveMotion};
pub use valve_train::{TrainError, TrainState};
