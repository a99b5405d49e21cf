//! What rubbing takes: whose model, and the sizes of the bearings.

use units::{Length, Ratio, Reading};

use crate::readings::visit_readings;

/// Friction of the engine with its own accessories.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Friction {
    /// Whose model.
    pub law: Option<FrictionLaw>,
    /// Times this.
    pub factor: Option<Reading<Ratio>>,
    /// Main bearing diameter.
    pub main_diameter: Option<Reading<Length>>,
    /// Main bearing length.
    pub main_length: Option<Reading<Length>>,
    /// Number of main bearings.
    pub mains: Option<usize>,
    /// Crank pin diameter.
    pub pin_diameter: Option<Reading<Length>>,
    /// Length of one rod's bearing.
    pub pin_length: Option<Reading<Length>>,
    /// Number of camshaft bearings.
    pub cam_bearings: Option<usize>,
}

/// A friction model.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FrictionLaw {
    /// Component by component: Patton, Nitschke and Heywood (1989).
    Components,
    /// Over speed: Barnes-Moss (1975).
    BarnesMoss,
    /// Over peak pressure and piston speed: Chen and Flynn (1965).
    ChenFlynn,
}

visit_readings!(Friction { ; factor?, main_diameter?, main_length?, pin_diameter?, pin_length? });
