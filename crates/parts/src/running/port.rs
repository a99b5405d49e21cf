//! The passages in the head between its flange and the valves. Leaves out what the valves let through, which is `flow.rs`.

use units::{Length, Reading, ThermodynamicTemperature, Volume};

use crate::readings::visit_readings;

/// The ports of both duties.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ports {
    /// From the intake flange to the intake valves.
    pub intake: Port,
    /// From the exhaust valves to the exhaust flange.
    pub exhaust: Port,
}

/// The port of one duty of a cylinder, all of its valves together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Port {
    /// Along its middle from flange to valve.
    pub length: Option<Reading<Length>>,
    /// Poured volume from flange to valve; with the length it says how wide the port is in between.
    pub volume: Option<Reading<Volume>>,
    /// Diameter of a circle of the port's area at the flange.
    pub entry_diameter: Option<Reading<Length>>,
    /// Narrowest diameter under one valve seat.
    pub throat_diameter: Option<Reading<Length>>,
    /// Temperature of its wall.
    pub wall_temperature: Option<Reading<ThermodynamicTemperature>>,
    /// Pairs of cylinders whose ports meet inside the head, by their numbers.
    pub siamesed: Vec<[usize; 2]>,
}

visit_readings!(Port { ; length?, volume?, entry_diameter?, throat_diameter?, wall_temperature? });
