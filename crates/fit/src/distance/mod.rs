//! Least signed distances between a curve and a solid, each the minimum of a function of one variable.
//!
//! Two solids of the kinds in [`crate::solid`] are nearest to each other on a sharp edge of one of them: along every
//! straight line of a valve's surface the distance to a bore wall, a chamfer, a deck or a plate's face is a concave
//! function, so it is least at an end of that line, on a rim; and if the metal's nearest point lies on an edge, the
//! edge against the whole valve finds it. So the distance of the solids is the least of "valve rim against metal"
//! and "metal's edge against valve".

mod arc;
mod minimise;
mod ring;
mod segment;
mod wave;

pub use arc::least_on_arc;
pub use minimise::{Minimum, least_in};
pub use ring::{Ring, Sloped, least_on_ring, least_on_ring_near};
pub use segment::least_on_segment;
pub use wave::{Angles, SquareWave, Wave, cos_sin};

/// Distances are resolved to this, in metres: five thousandths of a micrometre.
pub const RESOLUTION_M: f64 = 5e-9;
