//! What rubbing and accessories take, as a mean pressure over the displacement.
//!
//! Three published models. Pumping is not in here: it comes out of the cylinders. What turning the shaft costs, loads
//! included. Leaves out how friction changes with oil temperature.

use crate::model::{Bearings, Cylinder, FrictionLaw, Model};
use std::f64::consts::PI;

/// What is needed beside the model.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrictionState {
    /// Engine speed, rpm.
    pub speed_rpm: f64,
    /// Mean of the greatest cylinder pressures, Pa.
    pub peak_pa: f64,
    /// Intake manifold pressure over that of the air outside.
    pub intake_ratio: f64,
}

/// Friction by what rubs, Pa of mean effective pressure; parts a model does not tell apart are zero.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FrictionParts {
    /// Main bearings, seals.
    pub crankshaft_pa: f64,
    /// Skirts, rings, rod bearings.
    pub piston_pa: f64,
    /// Rings under gas pressure.
    pub gas_pa: f64,
    /// Valve train.
    pub valve_train_pa: f64,
    /// Oil and water pump, generator without load.
    pub accessories_pa: f64,
    /// What the model gives in one number.
    pub together_pa: f64,
}

impl FrictionParts {
    /// All of it, Pa.
    pub fn total_pa(&self) -> f64 {
        self.crankshaft_pa
            + self.piston_pa
            + self.gas_pa
            + self.valve_train_pa
            + self.accessories_pa
            + self.together_pa
    }
}

/// Chen and Flynn's constants of a spark-ignition engine: bar, -, bar/(m/s), bar/(m/s)^2. Common practice; the source's
/// own for one diesel cylinder are 0.137, 0.005, 0.162, 0.
pub const CHEN_FLYNN_SPARK_IGNITION: [f64; 4] = [0.4, 0.005, 0.09, 0.0009];

/// Friction mean effective pressure by parts.
pub fn friction(model: &Model, state: &FrictionState) -> FrictionParts {
    let Some(cylinder) = model.cylinders.first() else { return FrictionParts::default() };
    let piston_speed = 2.0 * cylinder.stroke_m * state.speed_rpm / 60.0;
    let parts = match &model.friction.law {
        FrictionLaw::None => FrictionParts::default(),
        FrictionLaw::BarnesMoss => {
            FrictionParts { together_pa: barnes_moss_pa(state.speed_rpm), ..FrictionParts::default() }
        }
        FrictionLaw::ChenFlynn(constants) => FrictionParts {
            together_pa: chen_flynn_pa(constants, state.peak_pa, piston_speed),
            ..FrictionParts::default()
        },
        FrictionLaw::Components(bearings) => {
            components(bearings, cylinder, model.cylinders.len(), piston_speed, state)
        }
    };
    let factor = model.friction.factor;
    FrictionParts {
        crankshaft_pa: factor * parts.crankshaft_pa,
        piston_pa: factor * parts.piston_pa,
        gas_pa: factor * parts.gas_pa,
        valve_train_pa: factor * parts.valve_train_pa,
        accessories_pa: factor * parts.accessories_pa,
        together_pa: factor * parts.together_pa,
    }
}

/// Total motored friction of four-cylinder engines of 845 to 2000 cm3 at full throttle, Pa:
/// 0.97 + 0.15 (N/1000) + 0.05 (N/1000)^2 bar.
///
/// D. Barnes-Moss (1975), IMechE C343/73, as written by J. B. Heywood (1988), eq. 13.6. Motored at full throttle, so
/// some pumping is in it (0.1 to 0.3 bar): it reads high beside a pumping loop of its own.
pub fn barnes_moss_pa(speed_rpm: f64) -> f64 {
    let n = speed_rpm / 1000.0;
    1e5 * (0.97 + 0.15 * n + 0.05 * n * n)
}

/// a + b pmax + c Sp + d Sp^2, Pa. S. K. Chen, P. F. Flynn (1965), SAE 650733; the square term is a later habit.
pub fn chen_flynn_pa(constants: &[f64; 4], peak_pa: f64, piston_speed_m_per_s: f64) -> f64 {
    let [a, b, c, d] = *constants;
    1e5 * (a + c * piston_speed_m_per_s + d * piston_speed_m_per_s * piston_speed_m_per_s) + b * peak_pa
}

/// K. J. Patton, R. G. Nitschke, J. B. Heywood (1989), SAE 890836, "Development and evaluation of a friction model for
/// spark-ignition engines"; from memory, in kPa, mm, rpm, m/s. With nc cylinders, nb main bearings:
///
/// - crankshaft 1.22e5 Db/(B^2 S nc) + 3.03e-4 N Db^3 Lb nb/(B^2 S nc) + 1.35e-10 Db^2 N^2 nb/nc
/// - pistons 294 Sp/B + 4.06e4 (1 + 1000/N)/B^2 + 3.03e-4 N Dr^3 Lr nr/(B^2 S nc), one rod bearing a cylinder
/// - rings under gas pressure 6.89 (pi/pa) (0.088 r + 0.182 r^(1.33 - 0.0238 Sp))
/// - valve train 4.12 + 244 N ncb/(B^2 S nc) for the cam bearings; followers 400 (1 + 1000/N) nv/(S nc) flat or
///   0.0151 N nv/(S nc) rolling; oscillating parts 0.5 Lv^1.5 N^0.5 nv/(B S nc) + 32.1 (1 + 1000/N) Lv nv/(S nc): the
///   source's pushrod row, which is the middle of its table, for every layout
/// - accessories 6.23 + 5.22e-3 N - 1.79e-7 N^2
///
/// Engines of the 1980s, 1000 to 6000 rpm; beyond, the accessories' square term must not be trusted.
fn components(
    bearings: &Bearings,
    cylinder: &Cylinder,
    n_cylinders: usize,
    piston_speed: f64,
    state: &FrictionState,
) -> FrictionParts {
    let (b, s) = (cylinder.bore_m * 1e3, cylinder.stroke_m * 1e3);
    let (nc, n) = (n_cylinders as f64, state.speed_rpm.max(1.0));
    let b2_s_nc = b * b * s * nc;
    let film =
        |d_m: f64, l_m: f64, count: f64| 3.03e-4 * n * (d_m * 1e3).powi(3) * l_m * 1e3 * count / b2_s_nc;
    let main = bearings.main_m * 1e3;
    let n_main = bearings.n_main as f64;
    let crankshaft = 1.22e5 * main / b2_s_nc
        + film(bearings.main_m, bearings.main_length_m, n_main)
        + 1.35e-10 * main * main * n * n * n_main / nc;
    let slow = 1.0 + 1000.0 / n;
    let piston =
        294.0 * piston_speed / b + 4.06e4 * slow / (b * b) + film(bearings.rod_m, bearings.rod_length_m, nc);
    let swept = 0.25 * PI * cylinder.bore_m * cylinder.bore_m * cylinder.stroke_m;
    let compression = 1.0 + swept / cylinder.clearance_m3;
    let gas = 6.89
        * state.intake_ratio
        * (0.088 * compression + 0.182 * compression.powf(1.33 - 0.0238 * piston_speed));
    let (lift, valves) = (bearings.lift_m * 1e3, bearings.n_valves as f64);
    let follower = if bearings.roller { 0.0151 * n } else { 400.0 * slow };
    let valve_train = 4.12
        + 244.0 * n * bearings.n_cam as f64 / b2_s_nc
        + follower * valves / (s * nc)
        + 0.5 * lift.powf(1.5) * n.sqrt() * valves / (b * s * nc)
        + 32.1 * slow * lift * valves / (s * nc);
    let accessories = 6.23 + 5.22e-3 * n - 1.79e-7 * n * n;
    FrictionParts {
        crankshaft_pa: 1e3 * crankshaft,
        piston_pa: 1e3 * piston,
        gas_pa: 1e3 * gas,
        valve_train_pa: 1e3 * valve_train,
        accessories_pa: 1e3 * accessories,
        together_pa: 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::{Sizes, engine};

    fn near(found: f64, given: f64, unit: f64) {
        assert!((found - given).abs() <= 0.5 * unit, "{found} against {given}");
    }

    /// The formulas at round numbers, by hand, and the original diesel constants of Chen and Flynn.
    #[test]
    fn val_barnes_moss_1975_and_chen_flynn_1965() {
        for (rpm, bar) in [(1000.0, 1.17), (4000.0, 2.37), (6000.0, 3.67)] {
            near(barnes_moss_pa(rpm) / 1e5, bar, 0.01);
        }
        near(chen_flynn_pa(&[0.137, 0.005, 0.162, 0.0], 80e5, 10.0) / 1e5, 2.157, 0.001);
    }

    fn components_total(rpm: f64) -> FrictionParts {
        let mut model = engine(&Sizes::default());
        model.friction.law = FrictionLaw::Components(Bearings {
            main_m: 0.054,
            main_length_m: 0.019,
            n_main: 5,
            rod_m: 0.046,
            rod_length_m: 0.018,
            n_cam: 5,
            n_valves: 8,
            lift_m: 0.009,
            roller: false,
        });
        friction(&model, &FrictionState { speed_rpm: rpm, peak_pa: 5e6, intake_ratio: 1.0 })
    }

    /// The published form by hand for a two-litre four at 3000 rpm, kPa.
    #[test]
    fn val_patton_1989_components() {
        let parts = components_total(3000.0);
        near(parts.crankshaft_pa / 1e3, 12.4, 0.1);
        near(parts.piston_pa / 1e3, 39.2, 0.1);
        near(parts.gas_pa / 1e3, 22.8, 0.1);
        near(parts.accessories_pa / 1e3, 20.3, 0.1);
        near(parts.valve_train_pa / 1e3, 1.44 + 4.12 + 12.4 + 0.20 + 8.96, 0.1);
    }

    /// A shop handbook's table over mean piston speed (ft/min, bar) is an independent measure of size: the motored
    /// total lies above, the components without pumping below, none by more than a factor of two.
    #[test]
    fn val_handbook_table_lies_between() {
        for (feet, bar) in [(1000.0, 1.25), (2000.0, 1.77), (3000.0, 2.42)] {
            let rpm = feet * 0.3048 / (2.0 * 0.086);
            let (low, high) = (components_total(rpm).total_pa() / 1e5, barnes_moss_pa(rpm) / 1e5);
            assert!(0.5 * bar < low && low < 1.1 * bar, "{feet} ft/min: components {low} bar, table {bar}");
            assert!(0.9 * bar < high && high < 2.0 * bar, "{feet} ft/min: motored {high} bar, table {bar}");
        }
    }
}
