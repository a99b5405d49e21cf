//! The few shapes that everything near a valve is made of.

pub mod profile;
pub mod plan;
pub mod obstacle;
pub mod valve_head;
pub mod cup;
pub mod dome;
pub mod crown;

pub use crown::{Crown, CrownPart};
pub use cup::Cup;
pub use dome::Dome;
pub use obstacle::Obstacle;
pub use plan::Plan;
pub use profile::Profile;
pub use valve_head::ValveHead;
