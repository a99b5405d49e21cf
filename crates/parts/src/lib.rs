//! The parts of an engine as somebody measured them, the frames they are measured in, and estimates for what
//! nobody measured.
//!
//! # The bore frame
//! One per cylinder, right-handed. Origin where the bore axis meets the block deck. `+z` runs along the bore away
//! from the crank, toward the head. `+x` runs along the crank toward the front of the engine; `+y` is then to the
//! left when looking forward from the flywheel. Seen from above with the front of the engine at 12 o'clock, `+x`
//! is 12 o'clock and `+y` is 9 o'clock.
//!
//! Crank angle 0 is the top of the firing stroke, positive in the direction of rotation, 720 degrees a cycle.
//!
//! Everything here is plain data with public fields: any value is legal, because an impossible engine is not an
//! error, it gets numbers. Text is turned into these types by the crate `sheet`.

pub mod build;
pub mod block;
pub mod relief;
pub mod deck_metal;
pub mod gasket;
pub mod outline;
pub mod head;
pub mod valve;
pub mod piston;
pub mod crown_metal;
pub mod cam;
pub mod train;
pub mod spring;
pub mod gear;
pub mod running;
pub mod readings;
pub mod estimate;
pub mod estimate_running;
pub mod limit;

pub use block::Block;
pub use build::{Build, Cylinder, Engine, Use};
pub use crown_metal::{CrownMake, CrownMetal};
pub use deck_metal::{DeckHole, DeckMetal, HoleKind, WallReading};
pub use gasket::Gasket;
pub use gear::{Gear, ValveGear};
pub use head::Head;
pub use outline::{Outline, Shape};
pub use piston::{Dish, Dome, Piston, Pocket, SeatedDrop};
pub use relief::Relief;
pub use running::Running;
pub use valve::{Duty, Valve};
