//! How far may the curves of base and candidate be off at each speed, and how far the gain between them? Leaves out what is
//! wrong alike in both: a curve that was never held against a pull is 6 to 10 % off, the same way in base and candidate.

use crate::payoff::PayoffAnswer;
use crate::payoff::relative;

/// What the readings leave open at one speed; one standard deviation each.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CurveDoubt {
    /// Speed, rpm.
    pub rpm: f64,
    /// Torque of base and candidate, N m.
    pub torque_sd_n_m: [f64; 2],
    /// Relative gain in torque.
    pub gain_sd: f64,
}

impl CurveDoubt {
    /// At a speed where both engines give `nominal`, from what each reading makes of them when it grows by so many standard
    /// deviations. Readings err independently, so their effects add as squares.
    pub(crate) fn of(rpm: f64, nominal: [f64; 2], moved: &[[f64; 2]], step_sds: f64) -> Self {
        let mut variances = [0.0; 3];
        let gain = relative(nominal[0], nominal[1]);
        for torque in moved {
            let by = [torque[0] - nominal[0], torque[1] - nominal[1], relative(torque[0], torque[1]) - gain];
            for (variance, by) in variances.iter_mut().zip(by) {
                *variance += (by / step_sds) * (by / step_sds);
            }
        }
        let [base, candidate, gain] = variances.map(f64::sqrt);
        Self { rpm, torque_sd_n_m: [base, candidate], gain_sd: gain }
    }
}

/// At any speed: straight between those that were looked at, as at the nearest beside them.
pub fn curve_doubt(known: &[CurveDoubt], rpm: f64) -> CurveDoubt {
    let after = known.iter().position(|one| rpm <= one.rpm);
    let (low, high) = match after {
        Some(0) => (known[0], known[0]),
        Some(idx) => (known[idx - 1], known[idx]),
        None => known.last().map_or_else(Default::default, |last| (*last, *last)),
    };
    let share = if high.rpm > low.rpm { (rpm - low.rpm) / (high.rpm - low.rpm) } else { 0.0 };
    let between = |low: f64, high: f64| low + share * (high - low);
    CurveDoubt {
        rpm,
        torque_sd_n_m: [0, 1].map(|of| between(low.torque_sd_n_m[of], high.torque_sd_n_m[of])),
        gain_sd: between(low.gain_sd, high.gain_sd),
    }
}

/// Relative gain in torque at a speed, and one standard deviation of it: what the readings leave open there, and model and grid
/// as over the band.
pub fn gain_at(answer: &PayoffAnswer, rpm: f64, torque_n_m: [f64; 2]) -> (f64, f64) {
    let chances = &answer.chances;
    let rest = (chances.from_model.hypot(chances.from_grid)) / units::reading::SDS_IN_TOLERANCE;
    (relative(torque_n_m[0], torque_n_m[1]), curve_doubt(&answer.curves, rpm).gain_sd.hypot(rest))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Both engines move alike by a tenth of their torque: the curves are in doubt, the gain between them is not.
    #[test]
    fn exact_what_moves_both_alike_leaves_the_gain() {
        let doubt = CurveDoubt::of(5000.0, [100.0, 110.0], &[[110.0, 121.0]], 2.0);
        assert!((doubt.torque_sd_n_m[0] - 5.0).abs() < 1e-12, "{doubt:?}");
        assert!((doubt.torque_sd_n_m[1] - 5.5).abs() < 1e-12, "{doubt:?}");
        assert!(doubt.gain_sd < 1e-12, "{doubt:?}");
        // Of a reading that only the candidate has, all of it is in the gain; two such add as squares.
        let doubt = CurveDoubt::of(5000.0, [100.0, 110.0], &[[100.0, 116.0], [100.0, 118.0]], 1.0);
        assert!((doubt.gain_sd - 0.10).abs() < 1e-12 && doubt.torque_sd_n_m[0] == 0.0, "{doubt:?}");
    }

    #[test]
    fn exact_straight_between_speeds_and_level_beside_them() {
        let at = |rpm: f64, sd: f64| CurveDoubt { rpm, torque_sd_n_m: [sd, 2.0 * sd], gain_sd: sd / 100.0 };
        let known = [at(3000.0, 1.0), at(5000.0, 3.0)];
        for (rpm, sd) in [(2000.0, 1.0), (3000.0, 1.0), (3500.0, 1.5), (5000.0, 3.0), (9000.0, 3.0)] {
            assert_eq!(curve_doubt(&known, rpm), at(rpm, sd));
        }
        assert_eq!(curve_doubt(&[], 4000.0), CurveDoubt { rpm: 4000.0, ..CurveDoubt::default() });
    }
}
