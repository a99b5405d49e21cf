//! How fast the charge burns, where somebody knows better than the correlation.

use units::{CrankAngle, Ratio, Reading};

use crate::readings::visit_readings;

/// Durations of the burn. Both or neither of the angles are given.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Burning {
    /// From spark to 10 % burned.
    pub delay: Option<Reading<CrankAngle>>,
    /// From 10 % to 90 % burned.
    pub duration: Option<Reading<CrankAngle>>,
    /// On both angles of the correlation: below 1 for a chamber that burns faster than most.
    pub factor: Option<Reading<Ratio>>,
}

visit_readings!(Burning { ; delay?, duration?, factor? });
