//! What an engine needs besides its geometry to run: when it fires, how it breathes, what it burns, what its walls,
//! bearings and the weather take.
//!
//! Everything is optional. What nobody gave is estimated by [`crate::estimate_running`], which fills every field that
//! has an estimate. All of it is common to the cylinders.

pub mod firing;
pub mod port;
pub mod flow;
pub mod induction;
pub mod exhaust;
pub mod boost;
pub mod fuel;
pub mod ignition;
pub mod burning;
pub mod walls;
pub mod friction;
pub mod weather;
pub mod band;

pub use band::{Band, BandWeight};
pub use boost::{Boost, CompressorDrive};
pub use burning::Burning;
pub use exhaust::{Exhaust, ExhaustLayout};
pub use firing::Firing;
pub use flow::{BenchRow, BenchTable, Flow, FlowMeasure, ReferenceArea};
pub use friction::{Friction, FrictionLaw};
pub use fuel::{FuelKind, FuelMixture};
pub use ignition::{Ignition, SparkAt, SparkChoice};
pub use induction::{Induction, InductionLayout, Mouth};
pub use port::{Port, Ports};
pub use walls::{HeatLaw, Walls};
pub use weather::Weather;

use crate::readings::{ReadingMut, Visit};

/// What makes a set of parts run.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Running {
    /// Year the engine was designed for; steers estimates.
    pub year: Option<u32>,
    /// When each cylinder fires.
    pub firing: Firing,
    /// The passages in the head.
    pub ports: Ports,
    /// What the valves let through on a flow bench.
    pub flow: Flow,
    /// Air cleaner, throttles, plenum, runners.
    pub induction: Induction,
    /// Primaries to tail pipe.
    pub exhaust: Exhaust,
    /// A compressor, when there is one.
    pub boost: Option<Boost>,
    /// What it burns, and how rich.
    pub fuel: FuelMixture,
    /// When it is lit, and where.
    pub ignition: Ignition,
    /// How fast it burns.
    pub burning: Burning,
    /// What the walls take.
    pub walls: Walls,
    /// What rubbing takes.
    pub friction: Friction,
    /// The air it breathes.
    pub weather: Weather,
    /// The speeds it is used at.
    pub band: Band,
}

impl Visit for Running {
    fn visit(&mut self, path: &str, see: &mut dyn FnMut(&str, ReadingMut)) {
        let within = |part: &str| if path.is_empty() { part.to_owned() } else { format!("{path}.{part}") };
        self.ports.intake.visit(&within("port.intake"), see);
        self.ports.exhaust.visit(&within("port.exhaust"), see);
        self.flow.visit(&within("flow"), see);
        self.induction.visit(&within("induction"), see);
        self.exhaust.visit(&within("exhaust"), see);
        if let Some(boost) = &mut self.boost {
            boost.visit(&within("boost"), see);
        }
        self.fuel.visit(&within("fuel"), see);
        self.ignition.visit(&within("spark"), see);
        self.burning.visit(&within("burning"), see);
        self.walls.visit(&within("walls"), see);
        self.friction.visit(&within("friction"), see);
        self.weather.visit(&within("weather"), see);
        self.band.visit(&within("use"), see);
    }
}
