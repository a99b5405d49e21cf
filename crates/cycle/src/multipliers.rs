//! What a model is corrected by after it has been held against a measured pull: four factors, each on one cause.
//!
//! Leaves out how they are found.

use crate::model::{Burn, Model};

/// Factors on a model. All 1 where nothing was measured, and then the model is left as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Multipliers {
    /// On the effective area of every valve at every lift, both ways.
    pub flow: f64,
    /// On all friction.
    pub friction: f64,
    /// On both burn angles, spark to 10 % and 10 to 90 %.
    pub burn: f64,
    /// On the heat transfer coefficient in the cylinder.
    pub heat_loss: f64,
}

impl Default for Multipliers {
    fn default() -> Self {
        Self { flow: 1.0, friction: 1.0, burn: 1.0, heat_loss: 1.0 }
    }
}

impl Model {
    /// The model with factors on what it has: a factor the sheet gives is multiplied, not replaced.
    pub fn multiplied(&self, by: &Multipliers) -> Self {
        let mut model = self.clone();
        for cylinder in &mut model.cylinders {
            for valves in [&mut cylinder.intake, &mut cylinder.exhaust] {
                let areas = valves.into_m2.iter_mut().chain(&mut valves.out_m2);
                areas.for_each(|area| *area *= by.flow);
            }
        }
        model.friction.factor *= by.friction;
        model.heat.factor *= by.heat_loss;
        model.burn = match model.burn {
            Burn::Given { delay_deg, duration_deg } => {
                Burn::Given { delay_deg: delay_deg * by.burn, duration_deg: duration_deg * by.burn }
            }
            Burn::Correlated { factor } => Burn::Correlated { factor: factor * by.burn },
        };
        model
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::{Sizes, engine};
    use crate::fidelity::Fidelity;
    use crate::sweep::sweep;

    #[test]
    fn exact_factors_of_one_change_nothing() {
        let model = engine(&Sizes::default());
        assert_eq!(model.multiplied(&Multipliers::default()), model);
    }

    /// More flow and less friction give torque where an engine is short of both; more heat to the walls takes it.
    #[test]
    fn exact_each_factor_pulls_its_own_way() {
        let model = engine(&Sizes { n_cylinders: 1, ..Sizes::default() });
        let torque = |by: Multipliers| {
            let points = sweep(&model.multiplied(&by), &[5500.0], Fidelity::Screen).expect("it runs");
            points[0].torque_n_m
        };
        let plain = Multipliers::default();
        let base = torque(plain);
        assert!(torque(Multipliers { flow: 1.1, ..plain }) > 1.002 * base);
        assert!(torque(Multipliers { friction: 1.1, ..plain }) < 0.995 * base);
        assert!(torque(Multipliers { heat_loss: 1.2, ..plain }) < 0.995 * base);
    }
}
