//! Gaps between parts: how far from each other, where, at which lift; and the cuts that open them.
//!
//! Gaps are signed: positive for clearance, negative for interference. The crate is a kernel throughout: the bore frame of
//! crate `parts` (origin on the bore axis at the deck, `+z` to the head), SI `f64` with the unit in the name. Readings come
//! in once, at [`Scene::new`]; unit types come back in the findings of crate `headroom`.

pub mod valve_to_metal;
pub mod valve_to_relief;
pub mod piston_pose;
pub mod valve_to_piston;
pub mod valve_to_piston_distance;
pub mod valve_to_pocket;
pub mod valve_to_valve;
pub mod piston_to_head;
pub mod piston_edge_to_chamber;
pub mod lift_law;
pub mod two_turns;
pub mod two_turns_scan;
pub mod two_turns_samples;
pub mod drop_table;
pub mod spring_room;
pub mod first_contact;
pub mod tolerance;
pub mod front;
pub mod gasket_edge;
pub mod offset_from_contact;
pub mod relief_of_block;
pub mod relief_of_piston;
pub mod relief_cut;
pub mod relief_fly_cut;
pub mod relief_cutter;
pub mod relief_outline;
pub mod relief_extent;
pub mod relief_volume;
pub mod relief_integral;
mod relief_line;
pub mod relief_mesh;
pub mod relief_mesh_cut;
pub mod relief_mesh_pocket;
pub mod relief_limit;
pub mod relief_margin;
pub mod relief_to_gasket;
pub mod relief_to_holes;
pub mod relief_chamfer;
pub mod relief_crown;
pub mod ring_land;
pub mod wall_left;
pub mod dye_map;
mod dye_swept;
pub mod scene;
pub mod solid;
pub mod distance;

pub use first_contact::{Sweep, sweep};
pub use scene::{Param, Scene, Surrounding};
pub use valve_to_metal::{Feature, Gap, Place, gap_at};
