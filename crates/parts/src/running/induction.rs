//! What stands between the open air and the intake flange.

use units::{Length, Pressure, Ratio, Reading, ThermodynamicTemperature, Volume, VolumeRate};

use crate::readings::visit_readings;

/// Air cleaner, throttles, plenum and runners.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Induction {
    /// How it is laid out.
    pub layout: Option<InductionLayout>,
    /// Flow that the air cleaner with its snorkel lets through at `air_cleaner_drop`.
    pub air_cleaner_flow: Option<Reading<VolumeRate>>,
    /// Pressure that it costs.
    pub air_cleaner_drop: Option<Reading<Pressure>>,
    /// From the air cleaner through the throttle to the plenum.
    pub inlet_length: Option<Reading<Length>>,
    /// Number of throttles; one a cylinder where each has its own.
    pub throttles: Option<usize>,
    /// Bore of one throttle.
    pub throttle_diameter: Option<Reading<Length>>,
    /// Narrowest diameter of one carburettor's venturi; none with injection.
    pub venturi_diameter: Option<Reading<Length>>,
    /// Open share of the throttle's area; 1 is wide open.
    pub throttle_opening: Option<Reading<Ratio>>,
    /// Volume of the plenum, or of the manifold's trunk.
    pub plenum_volume: Option<Reading<Volume>>,
    /// Along the middle of a runner from plenum or mouth to the head's flange.
    pub runner_length: Option<Reading<Length>>,
    /// Diameter of a circle of its area at the plenum or mouth.
    pub runner_mouth_diameter: Option<Reading<Length>>,
    /// The same at the head.
    pub runner_head_diameter: Option<Reading<Length>>,
    /// Shape of the runner's open end.
    pub mouth: Option<Mouth>,
    /// Temperature of the runner's wall.
    pub wall_temperature: Option<Reading<ThermodynamicTemperature>>,
}

/// How the induction is laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum InductionLayout {
    /// Throttles before a plenum (or a carburettor on its manifold), a runner to each cylinder.
    Plenum,
    /// A throttle (or carburettor) for each runner, open to the air or to an air box.
    Individual,
}

/// How the open end of a runner is shaped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mouth {
    /// Rounded to a bellmouth.
    Bellmouth,
    /// Cut off flush with a wall.
    Flush,
    /// A plain pipe end.
    Plain,
}

visit_readings!(Induction {
    ; air_cleaner_flow?, air_cleaner_drop?, inlet_length?, throttle_diameter?, venturi_diameter?, throttle_opening?, plenum_volume?,
    runner_length?, runner_mouth_diameter?, runner_head_diameter?, wall_temperature?
});
