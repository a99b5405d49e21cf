//! What the walls of the cylinder take: whose coefficient, and how hot they are.

use units::{Ratio, Reading, ThermodynamicTemperature};

use crate::readings::visit_readings;

/// Heat to the walls.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Walls {
    /// Whose heat transfer coefficient.
    pub law: Option<HeatLaw>,
    /// Times this.
    pub factor: Option<Reading<Ratio>>,
    /// Chamber and valve faces at full load.
    pub head_temperature: Option<Reading<ThermodynamicTemperature>>,
    /// Crown.
    pub crown_temperature: Option<Reading<ThermodynamicTemperature>>,
    /// Bore.
    pub bore_temperature: Option<Reading<ThermodynamicTemperature>>,
}

/// A correlation for the heat transfer coefficient.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeatLaw {
    /// Woschni (1967).
    Woschni,
    /// Hohenberg (1979).
    Hohenberg,
    /// Annand (1963).
    Annand,
}

visit_readings!(Walls { ; factor?, head_temperature?, crown_temperature?, bore_temperature? });
