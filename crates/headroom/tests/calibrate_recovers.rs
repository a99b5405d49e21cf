//! A calibration gives back the factors a curve was made with, within the intervals it states, and refuses where no curve
//! could tell.
//!
//! The engine is a formula here, so that hundreds of tests take no time; `calibrate_engine.rs` does it with a marched one.

use cycle::multipliers::Multipliers;
use headroom::calibrate_fit::{FitError, LEAST_INFORMATION, Observed, fit};
use headroom::calibrate_prior::Multiplier;

/// Torque of an invented two-litre engine, N m: filling that falls off above the speed its valves allow, less wall heat, which
/// counts for more at low speed, less burning out of time, which a fixed spark cannot follow, less friction.
fn torque_nm(rpm: f64, by: &Multipliers) -> f64 {
    let n = rpm / 1000.0;
    let filling = 0.98 / (1.0 + (n / (8.2 * by.flow)).powi(4)).sqrt();
    let late = 22.0 * by.burn - 14.0 - 2.0 * (n - 3.0);
    let gross_bar =
        13.2 * filling * (1.0 - 0.11 * by.heat_loss * n.powf(-0.3)) * (1.0 - 2.4e-4 * late * late);
    let friction_bar = by.friction * (0.6 + 0.12 * n + 0.04 * n * n);
    15.9 * (gross_bar - friction_bar)
}

fn speeds() -> Vec<f64> {
    (0..12).map(|i| 2000.0 + 450.0 * f64::from(i)).collect()
}

fn predict(by: &Multipliers) -> Result<Vec<f64>, String> {
    Ok(speeds().iter().map(|rpm| torque_nm(*rpm, by)).collect())
}

/// Normal numbers from a counter: SplitMix64 (Steele, Lea, Flood (2014)) and Box and Muller (1958).
struct Normal(u64);

impl Normal {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn next(&mut self) -> f64 {
        let (a, b) = (1.0 - self.unit(), self.unit());
        (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    }
}

const SCATTER: f64 = 0.004;
const BRAKE: f64 = 0.004;

fn measured(truth: &Multipliers, noise: &mut Normal) -> Observed {
    let scale = 1.0 + BRAKE * noise.next();
    let exact: Vec<f64> = speeds().iter().map(|rpm| torque_nm(*rpm, truth)).collect();
    Observed {
        torque_nm: exact.iter().map(|torque| torque * (scale + SCATTER * noise.next())).collect(),
        sd_nm: exact.iter().map(|torque| torque * SCATTER).collect(),
        scale_sd: BRAKE,
    }
}

/// Engines whose factors lie as they are known beforehand, each measured once: how many true factors of a hundred lie inside
/// the stated 95 % intervals. Widening makes that a little more.
#[test]
fn exact_intervals_hold_the_true_factors_as_often_as_they_say() {
    for fitted in [vec![Multiplier::Flow, Multiplier::Friction], vec![Multiplier::Friction]] {
        let (mut inside, mut all) = (0, 0);
        let mut noise = Normal(2025);
        for _ in 0..600 {
            let mut truth = Multipliers::default();
            for one in &fitted {
                one.put(&mut truth, 1.0 + one.prior_sd() * noise.next());
            }
            let observed = measured(&truth, &mut noise);
            let found = match fit(&mut |by: &Multipliers| predict(by), &fitted, &observed) {
                Ok(found) => found,
                Err(wrong) => panic!("{fitted:?} at {truth:?}: {wrong}"),
            };
            for estimate in &found.estimates {
                let off = (estimate.factor - estimate.multiplier.of(&truth)).abs();
                inside += usize::from(off <= 1.96 * estimate.sd);
                all += 1;
            }
        }
        let share = inside as f64 / all as f64;
        // 600 engines: one standard deviation of the share is 0.9 %; of two factors together 0.6 %.
        assert!((0.93..0.99).contains(&share), "{fitted:?}: {share:.3} of {all}");
    }
}

/// Without noise the truth comes out as sharply as what is known beforehand pulls it back.
#[test]
fn exact_a_curve_without_noise_gives_its_factors_back() {
    let truth = Multipliers { flow: 0.96, friction: 1.2, ..Multipliers::default() };
    let exact: Vec<f64> = predict(&truth).expect("a formula");
    let observed = Observed {
        sd_nm: exact.iter().map(|torque| 1e-5 * torque).collect(),
        torque_nm: exact,
        scale_sd: 1e-5,
    };
    let fitted = [Multiplier::Flow, Multiplier::Friction];
    let found = fit(&mut |by: &Multipliers| predict(by), &fitted, &observed).expect("it settles");
    assert!((found.estimates[0].factor - 0.96).abs() < 2e-4, "{:?}", found.estimates);
    assert!((found.estimates[1].factor - 1.2).abs() < 2e-3, "{:?}", found.estimates);
    assert!(found.n_sweeps < 60, "{} sweeps", found.n_sweeps);
}

/// Two factors that do the very same to the curve.
#[test]
fn exact_twins_are_refused_by_name() {
    let twins = |by: &Multipliers| -> Result<Vec<f64>, String> {
        Ok(speeds().iter().map(|rpm| 200.0 * by.flow - 0.004 * rpm * by.burn * by.heat_loss).collect())
    };
    let mut noise = Normal(7);
    let observed = measured(&Multipliers::default(), &mut noise);
    let fitted = [Multiplier::Flow, Multiplier::Burn, Multiplier::HeatLoss];
    match fit(&mut { twins }, &fitted, &observed) {
        Err(FitError::Confounded { pair, correlation, information }) => {
            assert_eq!(pair, [Multiplier::Burn, Multiplier::HeatLoss]);
            assert!(correlation.abs() > 0.99, "{correlation}");
            assert!(information < LEAST_INFORMATION);
        }
        other => panic!("expected a refusal, found {other:?}"),
    }
    assert!(fit(&mut { twins }, &fitted[..2], &observed).is_ok());
}

/// All four on one curve is more than it tells, and the refusal says which two.
#[test]
fn exact_four_factors_are_more_than_a_curve_tells() {
    let mut noise = Normal(3);
    let observed = measured(&Multipliers::default(), &mut noise);
    let refused = fit(&mut |by: &Multipliers| predict(by), &Multiplier::ALL, &observed);
    assert!(matches!(refused, Err(FitError::Confounded { .. })), "{refused:?}");
}

/// A factor that does nothing is named alone.
#[test]
fn exact_a_factor_without_effect_is_refused() {
    let deaf = |by: &Multipliers| -> Result<Vec<f64>, String> {
        Ok(speeds().iter().map(|rpm| 200.0 - 0.01 * rpm * by.friction).collect())
    };
    let observed = measured(&Multipliers::default(), &mut Normal(1));
    let refused = fit(&mut { deaf }, &[Multiplier::Friction, Multiplier::Burn], &observed);
    assert!(matches!(refused, Err(FitError::Untold { which: Multiplier::Burn, .. })), "{refused:?}");
}

/// A model that breaks says so.
#[test]
fn exact_a_broken_model_is_passed_on() {
    let observed = measured(&Multipliers::default(), &mut Normal(1));
    let broken = fit(&mut |_: &Multipliers| Err("no network"), &[Multiplier::Flow], &observed);
    assert_eq!(broken, Err(FitError::Model("no network")));
}
