//! What stands between the exhaust flange and the open air.

use units::{Length, Reading, ThermodynamicTemperature, Volume};

use crate::readings::visit_readings;

/// Primaries, secondaries, collectors, silencer and tail pipe.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Exhaust {
    /// How it is laid out.
    pub layout: Option<ExhaustLayout>,
    /// Separate systems with a tail pipe each; as a rule one, or one a row of cylinders.
    pub systems: Option<usize>,
    /// Cylinders whose primaries meet first, by their numbers; by the layout when not given.
    pub groups: Option<Vec<Vec<usize>>>,
    /// From the head's flange to where primaries meet, or to the open end.
    pub primary_length: Option<Reading<Length>>,
    /// Inner diameter of a primary at the head.
    pub primary_diameter: Option<Reading<Length>>,
    /// The same at its far end, for stepped or tapered primaries.
    pub primary_end_diameter: Option<Reading<Length>>,
    /// Length of a secondary, between the first and the second meeting.
    pub secondary_length: Option<Reading<Length>>,
    /// Inner diameter of a secondary.
    pub secondary_diameter: Option<Reading<Length>>,
    /// Volume of a log manifold.
    pub log_volume: Option<Reading<Volume>>,
    /// Collector and pipe after it, to the silencer or the open end.
    pub collector_length: Option<Reading<Length>>,
    /// Inner diameter of that.
    pub collector_diameter: Option<Reading<Length>>,
    /// Length of a pipe that joins the collectors of two systems.
    pub crossover_length: Option<Reading<Length>>,
    /// Inner diameter of that; without it the systems are not joined.
    pub crossover_diameter: Option<Reading<Length>>,
    /// Whether there is a silencer.
    pub silenced: Option<bool>,
    /// Volume of all silencers of a system.
    pub silencer_volume: Option<Reading<Volume>>,
    /// Diameter of a hole that lets through what the silencer's outlet does.
    pub silencer_outlet: Option<Reading<Length>>,
    /// From the silencer to the open end.
    pub tail_length: Option<Reading<Length>>,
    /// Inner diameter of the tail pipe.
    pub tail_diameter: Option<Reading<Length>>,
    /// Temperature of the primaries' walls under load.
    pub wall_temperature: Option<Reading<ThermodynamicTemperature>>,
}

/// How the exhaust is laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ExhaustLayout {
    /// A pipe for each cylinder, to the open air.
    Separate,
    /// Short stubs into a common cast manifold.
    Log,
    /// A primary for each cylinder, all of a system into one collector: 4-1 on a four.
    Collector,
    /// Primaries meet in groups, secondaries in a collector: 4-2-1 on a four.
    Pairs,
}

visit_readings!(Exhaust {
    ; primary_length?, primary_diameter?, primary_end_diameter?, secondary_length?, secondary_diameter?, log_volume?,
    collector_length?, collector_diameter?, crossover_length?, crossover_diameter?, silencer_volume?, silencer_outlet?,
    tail_length?, tail_diameter?, wall_temperature?
});
