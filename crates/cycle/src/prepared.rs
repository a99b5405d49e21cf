//! A model made ready to run: its network, its gases, its cylinders' setups.
//!
//! Leaves out the state of anything.

use crate::burning::Burning;
use crate::cylinder::{CylinderSetup, WorkingGas};
use crate::fidelity::Settings;
use crate::model::{Cylinder, Model, Side};
use crate::network_plan::{NetworkPlan, PlanError, check};
use gas::pipe::Mixture;

/// A model made ready to run on one grid.
#[derive(Clone, Debug)]
pub struct Prepared {
    /// As given.
    pub model: Model,
    /// As a network.
    pub plan: NetworkPlan,
    /// The gases of its cylinders.
    pub gas: WorkingGas<f64>,
    /// The gases of its pipes.
    pub pipe_gas: Mixture<f64>,
    /// For every cylinder the first that differs from it at most by when it fires.
    pub(crate) alike: Vec<usize>,
}

impl Prepared {
    /// On the model's own grid.
    pub fn new(model: &Model, settings: &Settings) -> Result<Self, PlanError> {
        let plan = NetworkPlan::new(model, settings)?;
        let gas = WorkingGas::new(&plan.gas, model.charge.fuel.vaporisation_j_per_kg())?;
        let pipe_gas = Mixture::new(&[plan.gas.parts()]);
        Ok(Self { model: model.clone(), plan, gas, pipe_gas, alike: alike(model) })
    }

    /// A model that burns the same charge in the same air as this one: its gases need not be worked out again.
    pub fn with_same_gas(&self, model: &Model, settings: &Settings) -> Result<Option<Self>, PlanError> {
        let humidity = |m: &Model| m.sources.first().map(|s| s.humidity);
        if model.charge != self.model.charge || humidity(model) != humidity(&self.model) {
            return Ok(None);
        }
        check(model)?;
        let plan = NetworkPlan::with_gas(model, settings, self.plan.gas)?;
        let Self { gas, pipe_gas, .. } = *self;
        Ok(Some(Self { model: model.clone(), plan, gas, pipe_gas, alike: alike(model) }))
    }

    /// The same engine on another grid; its gases need not be worked out again.
    pub fn regridded(&self, settings: &Settings) -> Result<Self, PlanError> {
        let plan = NetworkPlan::with_gas(&self.model, settings, self.plan.gas)?;
        Ok(Self { plan, ..self.clone() })
    }

    /// A cylinder of it at a speed.
    pub fn cylinder(&self, cylinder: usize, rpm: f64, burning: &Burning<f64>) -> CylinderSetup<f64> {
        CylinderSetup::new(&self.model, &self.model.cylinders[cylinder], &self.gas, rpm, burning)
    }

    /// Crank angle of a cylinder's own when the engine's is 0, degrees.
    pub fn phase_deg(&self, cylinder: usize) -> f64 {
        let phase = 720.0 - self.model.cylinders[cylinder].fires_at_deg;
        phase - 720.0 * (phase / 720.0).floor()
    }

    /// The first volume of the intake: the plenum, where there is one.
    pub fn intake_volume(&self) -> Option<usize> {
        self.plan.volume_sides.iter().position(|side| *side == Side::Intake)
    }
}

/// For every cylinder the first that differs from it at most by when it fires.
fn alike(model: &Model) -> Vec<usize> {
    let same = |a: &Cylinder, b: &Cylinder| {
        a.bore_m == b.bore_m && Cylinder { fires_at_deg: b.fires_at_deg, ..a.clone() } == *b
    };
    let first = |at: usize| model.cylinders[..at].iter().position(|c| same(c, &model.cylinders[at]));
    (0..model.cylinders.len()).map(|at| first(at).unwrap_or(at)).collect()
}
