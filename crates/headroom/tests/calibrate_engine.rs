//! A marched engine with known factors, its torque made noisy, gives the factors back within the stated intervals.

use cycle::example::{Sizes, engine};
use cycle::fidelity::Fidelity;
use cycle::multipliers::Multipliers;
use cycle::sweep::sweep;
use headroom::calibrate_fit::{Observed, fit};
use headroom::calibrate_prior::Multiplier;

const SPEEDS_RPM: [f64; 6] = [2000.0, 3000.0, 4000.0, 5000.0, 6000.0, 7000.0];

/// Scatter of one standard deviation a speed, from tables of random normal numbers: three draws.
const DRAWS: [[f64; 6]; 3] = [
    [0.31, -1.12, 0.88, 0.05, -0.47, 1.30],
    [-0.76, 0.22, 1.55, -0.90, 0.40, -0.13],
    [1.08, 0.67, -0.35, -1.41, 0.19, -0.58],
];

#[test]
fn exact_a_marched_engine_gives_its_factors_back() {
    let model = engine(&Sizes { n_cylinders: 1, ..Sizes::default() });
    let mut predict = |by: &Multipliers| {
        sweep(&model.multiplied(by), &SPEEDS_RPM, Fidelity::Screen)
            .map(|points| points.iter().map(|point| point.torque_n_m).collect::<Vec<f64>>())
    };
    let truth = Multipliers { flow: 0.95, friction: 1.15, ..Multipliers::default() };
    let exact = predict(&truth).expect("it runs");
    for draw in DRAWS {
        let observed = Observed {
            torque_nm: exact.iter().zip(draw).map(|(torque, off)| torque * (1.0 + 0.004 * off)).collect(),
            sd_nm: exact.iter().map(|torque| 0.004 * torque).collect(),
            scale_sd: 0.003,
        };
        let fitted = [Multiplier::Flow, Multiplier::Friction];
        let found = fit(&mut predict, &fitted, &observed).expect("a curve tells these two apart");
        for estimate in &found.estimates {
            let off = estimate.factor - estimate.multiplier.of(&truth);
            // Six draws of which each lies outside 2.6 deviations once in a hundred times.
            assert!(off.abs() <= 2.6 * estimate.sd, "{estimate:?} against {truth:?}");
            assert!(
                estimate.sd < 0.7 * estimate.multiplier.prior_sd(),
                "the pulls say something: {estimate:?}"
            );
        }
    }
}
