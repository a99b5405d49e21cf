//! What a compressor and its cooler deliver. Leaves out the compressor's map and how a turbine drives it.

use units::{Pressure, Ratio, Reading, ThermodynamicTemperature};

use crate::readings::visit_readings;

/// Air after compressor and cooler, at full load at every speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Boost {
    /// Pressure over that of the air outside.
    pub pressure: Reading<Pressure>,
    /// Temperature after the cooler; from the efficiencies when not given.
    pub temperature: Option<Reading<ThermodynamicTemperature>>,
    /// Isentropic efficiency of the compressor.
    pub compressor_efficiency: Option<Reading<Ratio>>,
    /// How much of the warming the cooler takes back: 0 without one.
    pub cooler_effectiveness: Option<Reading<Ratio>>,
    /// What drives it.
    pub drive: Option<CompressorDrive>,
    /// Pressure over that of the air outside that the exhaust meets before its turbine.
    pub back_pressure: Option<Reading<Pressure>>,
}

/// What drives a compressor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CompressorDrive {
    /// The crank.
    Crank,
    /// A turbine in the exhaust.
    Turbine,
}

visit_readings!(Boost {
    pressure; temperature?, compressor_efficiency?, cooler_effectiveness?, back_pressure?
});
