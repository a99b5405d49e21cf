//! The speeds at which the engine is driven, and how much each of them counts.

use units::{AngularVelocity, Reading};

use crate::readings::{ReadingMut, Visit, show};

/// The band an engine is driven in.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Band {
    /// Lowest speed under load.
    pub from: Option<Reading<AngularVelocity>>,
    /// Highest speed under load.
    pub to: Option<Reading<AngularVelocity>>,
    /// How much single speeds count, linear in between; empty for all alike.
    pub weights: Vec<BandWeight>,
}

/// How much one speed counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BandWeight {
    /// Engine speed.
    pub speed: AngularVelocity,
    /// Against the others; never negative.
    pub weight: f64,
}

impl Visit for Band {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        for (name, speed) in [("band_from", &mut self.from), ("band_to", &mut self.to)] {
            if let Some(speed) = speed {
                show(speed, path, name, see);
            }
        }
    }
}
