//! The air that the engine breathes.

use units::{Pressure, Ratio, Reading, ThermodynamicTemperature};

use crate::readings::visit_readings;

/// Air at rest at the air cleaner's mouth.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Weather {
    /// Barometer at the engine, not reduced to sea level.
    pub pressure: Option<Reading<Pressure>>,
    /// Temperature of the air.
    pub temperature: Option<Reading<ThermodynamicTemperature>>,
    /// Relative humidity.
    pub humidity: Option<Reading<Ratio>>,
}

visit_readings!(Weather { ; pressure?, temperature?, humidity? });
