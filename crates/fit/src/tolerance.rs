//! What tolerances do to a gap and to a first contact: the same valve in many slightly different engines.

use units::reading::SDS_IN_TOLERANCE;

use crate::first_contact::sweep;
use crate::front::first_contact_m;
use crate::scene::{Param, Scene, Surrounding};
use crate::valve_to_metal::gap_m;

/// A nominal scene and the readings in it that can move one of its gaps.
#[derive(Clone, Debug)]
pub struct Spread {
    scene: Scene,
    surrounding: Surrounding,
    /// Readings with a tolerance that matter to this gap, in the order of [`Param::ALL`].
    pub params: Vec<Param>,
    /// Whether the seated valve is so near that a sample may touch before it moves.
    seated_near: bool,
}

/// A seated gap beyond the reach of any tolerance, in metres.
const FAR_M: f64 = 2e-3;

impl Spread {
    /// Prepares a scene.
    pub fn new(scene: &Scene, surrounding: Surrounding) -> Self {
        let params =
            matters_to(surrounding).filter(|param| scene.tolerances[*param as usize] > 0.0).collect();
        let seated_near = gap_m(&scene.valve(), &scene.obstacle(surrounding), 0.0) < FAR_M;
        Self { scene: scene.clone(), surrounding, params, seated_near }
    }

    /// The scene with every reading off by so many standard deviations, one for each of [`Self::params`].
    pub fn sampled(&self, deviations: &[f64]) -> Scene {
        let mut scene = self.scene.clone();
        for (param, deviation) in self.params.iter().zip(deviations) {
            let idx = *param as usize;
            scene.values[idx] += deviation * scene.tolerances[idx] / SDS_IN_TOLERANCE;
        }
        scene
    }

    /// Lift of first contact in a sampled scene, in metres; `None` when the valve reaches its full travel free.
    pub fn first_contact_m(&self, deviations: &[f64]) -> Option<f64> {
        let scene = self.sampled(deviations);
        let (valve, metal) = (scene.valve(), scene.obstacle(self.surrounding));
        if self.seated_near && gap_m(&valve, &metal, 0.0) <= 0.0 {
            return Some(0.0);
        }
        if !metal.cuts.is_empty() {
            let found = sweep(&valve, &metal, self.surrounding, scene.travel_m()).first_contact;
            return found.map(|contact| contact.lift_m);
        }
        let lift = first_contact_m(&valve, &metal);
        (lift <= scene.travel_m()).then_some(lift)
    }

    /// How much the gap at a lift changes when each reading grows by one standard deviation, in metres, with the reading.
    ///
    /// At the lift of a least gap this is also the change of the least gap itself, but for second order: a minimum does not
    /// move by moving its place. A least gap at full travel moves with the travel, which is counted.
    pub fn changes_m(&self, lift_m: f64) -> Vec<(Param, f64)> {
        let at_full_travel = lift_m >= self.scene.travel_m();
        let gap = |deviation: f64, param_idx: usize| {
            let mut deviations = vec![0.0; self.params.len()];
            deviations[param_idx] = deviation;
            let scene = self.sampled(&deviations);
            let lift = if at_full_travel { scene.travel_m() } else { lift_m };
            gap_m(&scene.valve(), &scene.obstacle(self.surrounding), lift)
        };
        let change = |idx: usize| 0.5 * (gap(1.0, idx) - gap(-1.0, idx));
        self.params.iter().enumerate().map(|(idx, param)| (*param, change(idx))).collect()
    }
}

/// Readings that move a valve's gap to the metal in question.
fn matters_to(surrounding: Surrounding) -> impl Iterator<Item = Param> {
    Param::ALL.into_iter().filter(move |param| match param {
        Param::Bore
        | Param::ChamferWidth
        | Param::ChamferDepth
        | Param::ReliefX
        | Param::ReliefY
        | Param::ReliefDiameter
        | Param::ReliefPlunge
        | Param::ReliefTiltX
        | Param::ReliefTiltY => surrounding == Surrounding::Block,
        Param::GasketX | Param::GasketY | Param::GasketSize => surrounding == Surrounding::Gasket,
        Param::ChamberX | Param::ChamberY | Param::ChamberSize | Param::ChamberWallHeight => {
            surrounding == Surrounding::Chamber
        }
        _ => true,
    })
}
