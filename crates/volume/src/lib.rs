//! Clearance volumes and compression: how many cc's stand above the piston, part by part, and what ratio they make
//! with the swept volume. Leaves out everything that depends on the crank angle beyond top and bottom, and all growth
//! with heat or load.
//!
//! Theory and sources: `docs/theory/compression.md`.

pub mod swept_volume;
pub mod clearance_volume;
pub mod outline_area;
pub mod compression;
pub mod cranking_pressure;
pub mod quench;

pub use clearance_volume::{ClearancePart, ClearanceVolumes, clearance_volumes};
pub use compression::{compression_ratio, effective_compression, static_compression};
pub use cranking_pressure::cranking_pressure;
pub use outline_area::outline_area;
pub use quench::quench;
pub use swept_volume::{bore_area, crank_turns, piston_travel, swept_volume};
