//! What an engine does at one speed.

use crate::fidelity::Fidelity;
use crate::friction::FrictionParts;
use crate::trace::CylinderTrace;

/// What an engine does at one speed, with how well that is known numerically.
#[derive(Clone, Debug, PartialEq)]
pub struct SpeedPoint {
    /// Engine speed, rpm.
    pub rpm: f64,
    /// How finely it was computed.
    pub fidelity: Fidelity,
    /// How the march ended.
    pub outcome: Outcome,
    /// Estimated true error of trapped mass and work of the worst cylinder, relative.
    pub error: f64,
    /// Cycles marched.
    pub cycles: usize,
    /// Time steps of all of them.
    pub steps: usize,
    /// Torque at the crankshaft, N m, accessories and a driven compressor taken off.
    pub torque_n_m: f64,
    /// Power, W.
    pub power_w: f64,
    /// Work on the pistons from BDC over firing TDC to BDC, Pa of displacement.
    pub gross_mep_pa: f64,
    /// Work on the pistons over the gas exchange, Pa; negative when the engine pumps.
    pub pumping_mep_pa: f64,
    /// What rubs and drives accessories, Pa.
    pub friction_mep_pa: f64,
    /// The same by parts.
    pub friction: FrictionParts,
    /// Air through the intake valves over what the displacement holds at the outside state.
    pub volumetric_efficiency: f64,
    /// Fuel, kg a cycle of all cylinders.
    pub fuel_kg: f64,
    /// Fuel over brake work, kg/J; `None` when the engine gives none.
    pub fuel_per_work_kg_per_j: Option<f64>,
    /// Gross work over the heating value of the fuel.
    pub indicated_efficiency: f64,
    /// Mixed temperature of what leaves the exhaust valves, K.
    pub exhaust_k: f64,
    /// Mean inlet Mach index: piston over valve area, mean piston speed over flow coefficient and speed of sound.
    /// C. F. Taylor (1985), "The Internal-Combustion Engine in Theory and Practice", vol. 1, ch. 6, from memory.
    pub mach_index: f64,
    /// Greatest speed in the narrowest place of an intake port, m/s, of the fastest cylinder.
    pub port_m_per_s: f64,
    /// Cylinder by cylinder.
    pub cylinders: Vec<CylinderPoint>,
    /// Mass that came less mass that went and stayed over the last cycle, over the trapped mass: the account of
    /// pipes, volumes and cylinders together.
    pub mass_gap: f64,
    /// The same of the energy of the cylinders, over the fuel's heating value.
    pub energy_gap: f64,
    /// The last cycle by crank angle, cylinder by cylinder; empty unless the settings ask for it.
    pub traces: Vec<CylinderTrace>,
}

impl SpeedPoint {
    /// Brake mean effective pressure, Pa; a driven compressor not taken off.
    pub fn brake_mep_pa(&self) -> f64 {
        self.gross_mep_pa + self.pumping_mep_pa - self.friction_mep_pa
    }

    /// What the end gas of the worst cylinder lacks to knock, of its induction time; negative where it knocks.
    pub fn knock_margin(&self) -> f64 {
        1.0 - self.cylinders.iter().map(|c| c.knock).fold(f64::NAN, f64::max)
    }
}

/// What one cylinder does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CylinderPoint {
    /// Mass when the intake had closed, kg.
    pub trapped_kg: f64,
    /// Burned gas in it, mass fraction.
    pub residual: f64,
    /// Work of the whole cycle, J.
    pub work_j: f64,
    /// Greatest pressure, Pa.
    pub peak_pa: f64,
    /// Where, deg after firing TDC.
    pub peak_deg: f64,
    /// Spark, deg before TDC.
    pub spark_deg: f64,
    /// Half burned, deg after TDC.
    pub half_burned_deg: f64,
    /// How much later than the spark of best torque it is lit, deg.
    pub retard_deg: f64,
    /// Induction-time integral of the end gas; 1 is knock.
    pub knock: f64,
    /// Whether knock set the spark.
    pub knock_limited: bool,
}

/// How a march ended.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// The estimated true error came under what was asked.
    Converged,
    /// It did not within the cycles or steps allowed; the figures are those of the last cycle.
    NotConverged,
    /// Density or pressure ran out; the figures mean nothing.
    Broke(String),
}
