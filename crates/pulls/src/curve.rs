//! A pull as a curve over speed: at common speeds, averaged over a band. Leaves out whether a difference is real.

use crate::processing::{ProcessingError, ascending, line, processed_torque_nm};
use crate::pull::{Pull, power_kw};

/// Torque over speed, speeds rising.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Curve {
    /// Speeds, never falling.
    pub speed_rpm: Vec<f64>,
    /// Torque at each.
    pub torque_nm: Vec<f64>,
}

/// What is averaged and compared.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Measure {
    /// Torque.
    #[default]
    Torque,
    /// Power.
    Power,
}

impl Measure {
    /// How it is typed and said.
    pub fn word(self) -> &'static str {
        match self {
            Self::Torque => "torque",
            Self::Power => "power",
        }
    }

    /// N m or kW of a torque at a speed.
    pub fn of(self, torque_nm: f64, speed_rpm: f64) -> f64 {
        match self {
            Self::Torque => torque_nm,
            Self::Power => power_kw(torque_nm, speed_rpm),
        }
    }
}

impl Pull {
    /// Measured torque over speed with the pull's own smoothing and inertia, not corrected for weather.
    pub fn curve(&self) -> Result<Curve, ProcessingError> {
        let torque_nm = processed_torque_nm(&self.rows, &self.processing)?;
        let order = ascending(self.rows.speed_rpm());
        Ok(Curve {
            speed_rpm: order.iter().map(|idx| self.rows.speed_rpm()[*idx]).collect(),
            torque_nm: order.iter().map(|idx| torque_nm[*idx]).collect(),
        })
    }
}

impl Curve {
    /// Every torque times `factor`.
    pub fn scaled(&self, factor: f64) -> Self {
        let torque_nm = self.torque_nm.iter().map(|torque| torque * factor).collect();
        Self { speed_rpm: self.speed_rpm.clone(), torque_nm }
    }

    /// Torque at one speed: where at least four readings lie within half of `width_rpm`, the straight line through them; the
    /// line between its neighbours elsewhere. `None` beyond the ends by more than half of the width: nothing is extended.
    pub fn at(&self, rpm: f64, width_rpm: f64) -> Option<f64> {
        let half = 0.5 * width_rpm;
        let (first, last) = (*self.speed_rpm.first()?, *self.speed_rpm.last()?);
        if rpm < first - half || last + half < rpm {
            return None;
        }
        let from = self.speed_rpm.partition_point(|speed| *speed < rpm - half);
        let to = self.speed_rpm.partition_point(|speed| *speed <= rpm + half);
        let (xs, ys) = (&self.speed_rpm[from..to], &self.torque_nm[from..to]);
        if xs.len() >= 4 && xs[0] <= rpm && rpm <= xs[xs.len() - 1] {
            return line(xs, ys, rpm).map(|line| line.0);
        }
        let above = self.speed_rpm.partition_point(|speed| *speed < rpm);
        if above == self.speed_rpm.len() {
            return self.torque_nm.last().copied();
        }
        let (x1, y1) = (self.speed_rpm[above], self.torque_nm[above]);
        if above == 0 || x1 == rpm {
            return Some(y1);
        }
        let (x0, y0) = (self.speed_rpm[above - 1], self.torque_nm[above - 1]);
        Some(y0 + (y1 - y0) * (rpm - x0) / (x1 - x0))
    }

    /// The curve at common speeds; `None` where one of them lies outside.
    pub fn resampled(&self, speeds_rpm: &[f64], width_rpm: f64) -> Option<Self> {
        let torque_nm = speeds_rpm.iter().map(|rpm| self.at(*rpm, width_rpm)).collect::<Option<_>>()?;
        Some(Self { speed_rpm: speeds_rpm.to_vec(), torque_nm })
    }

    /// Mean of torque or power over the curve's own speeds, weighted.
    ///
    /// (1/W) int w(n) y(n) dn, y piecewise straight in torque, w piecewise straight in between the speeds. Simpson's rule on
    /// every piece, which is exact for the cubic that weight times power is there.
    pub fn mean(&self, measure: Measure, weights: &Weights) -> f64 {
        let (mut sum, mut weight) = (0.0, 0.0);
        for idx in 1..self.speed_rpm.len() {
            let (n0, n1) = (self.speed_rpm[idx - 1], self.speed_rpm[idx]);
            let (t0, t1) = (self.torque_nm[idx - 1], self.torque_nm[idx]);
            let (w0, w1) = (weights.at(n0), weights.at(n1));
            for (share, simpson) in [(0.0, 1.0), (0.5, 4.0), (1.0, 1.0)] {
                let mix = |a: f64, b: f64| a + share * (b - a);
                let w = mix(w0, w1) * simpson * (n1 - n0) / 6.0;
                sum += w * measure.of(mix(t0, t1), mix(n0, n1));
                weight += w;
            }
        }
        sum / weight
    }

    /// Highest torque or power and its speed.
    pub fn peak(&self, measure: Measure) -> Option<(f64, f64)> {
        let at = |idx: usize| measure.of(self.torque_nm[idx], self.speed_rpm[idx]);
        let best = (0..self.speed_rpm.len()).max_by(|a, b| at(*a).total_cmp(&at(*b)))?;
        Some((at(best), self.speed_rpm[best]))
    }
}

/// How much each speed of a band counts.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Weights {
    /// Speeds and weights, speeds rising; every speed counts the same when empty.
    points: Vec<(f64, f64)>,
}

/// Why weights cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum WeightsError {
    /// A negative one, or one that is no number.
    #[error("found the weight {found} at {rpm:.0} rpm, expected a number of at least 0")]
    Negative {
        /// What was found.
        found: f64,
        /// Where.
        rpm: f64,
    },
    /// Speeds that do not rise.
    #[error("found the weight at {rpm:.0} rpm twice, expected each speed once")]
    Twice {
        /// Where.
        rpm: f64,
    },
    /// Nothing counts.
    #[error("found no weight above 0, expected at least one")]
    Nothing,
}

impl Weights {
    /// Weights at speeds, straight lines between them and level beyond the ends.
    pub fn new(mut points: Vec<(f64, f64)>) -> Result<Self, WeightsError> {
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((rpm, found)) =
            points.iter().find(|(rpm, weight)| !(rpm.is_finite() && weight.is_finite() && 0.0 <= *weight))
        {
            return Err(WeightsError::Negative { found: *found, rpm: *rpm });
        }
        if let Some(pair) = points.windows(2).find(|pair| pair[0].0 >= pair[1].0) {
            return Err(WeightsError::Twice { rpm: pair[1].0 });
        }
        if !points.is_empty() && points.iter().all(|(_, weight)| *weight == 0.0) {
            return Err(WeightsError::Nothing);
        }
        Ok(Self { points })
    }

    /// Whether every speed counts the same.
    pub fn is_even(&self) -> bool {
        self.points.is_empty()
    }

    /// Weight at a speed.
    pub fn at(&self, rpm: f64) -> f64 {
        let above = self.points.partition_point(|(speed, _)| *speed < rpm);
        match (above.checked_sub(1).and_then(|idx| self.points.get(idx)), self.points.get(above)) {
            (None, None) => 1.0,
            (Some((_, weight)), None) | (None, Some((_, weight))) => *weight,
            (Some((n0, w0)), Some((n1, w1))) => w0 + (w1 - w0) * (rpm - n0) / (n1 - n0),
        }
    }
}

/// Speeds from `low` to `high` in steps of `step`, both ends among them.
pub fn common_speeds(low_rpm: f64, high_rpm: f64, step_rpm: f64) -> Vec<f64> {
    let n = ((high_rpm - low_rpm) / step_rpm).ceil().max(1.0);
    (0..=n as usize).map(|idx| (low_rpm + idx as f64 * step_rpm).min(high_rpm)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Mean power of a level torque over a band is the power at the middle; of T = a n it is a (n1^3 - n0^3) / 3 (n1 - n0).
    #[test]
    fn exact_band_means() {
        let speeds = common_speeds(3000.0, 6000.0, 700.0);
        assert_eq!(speeds, [3000.0, 3700.0, 4400.0, 5100.0, 5800.0, 6000.0]);
        let level = Curve { torque_nm: vec![200.0; 6], speed_rpm: speeds.clone() };
        let even = Weights::default();
        assert!((level.mean(Measure::Power, &even) - power_kw(200.0, 4500.0)).abs() < 1e-12 * 94.0);
        let rising = Curve { torque_nm: speeds.iter().map(|n| 0.05 * n).collect(), speed_rpm: speeds };
        let exact = power_kw(0.05, (6000.0_f64.powi(3) - 3000.0_f64.powi(3)) / (3.0 * 3000.0));
        assert!((rising.mean(Measure::Power, &even) / exact - 1.0).abs() < 1e-14);
        // Weight falling from 1 to 0: int (1-x) (3 + 3x) dx / int (1-x) dx = 4 thousand rpm.
        let falling = Weights::new(vec![(3000.0, 1.0), (6000.0, 0.0)]).expect("weights are sound");
        assert!((rising.mean(Measure::Torque, &falling) / (0.05 * 4000.0) - 1.0).abs() < 1e-14);
    }

    #[test]
    fn exact_resampling_follows_straight_lines_and_stops_at_the_ends() {
        let curve = Curve {
            speed_rpm: (0..400).map(|idx| 2003.0 + 10.0 * f64::from(idx)).collect(),
            torque_nm: (0..400).map(|idx| 150.0 + 0.1 * f64::from(idx)).collect(),
        };
        for rpm in [2003.0, 2050.0, 3333.0, 5993.0] {
            let got = curve.at(rpm, 100.0).expect("inside");
            assert!((got - (150.0 + 0.01 * (rpm - 2003.0))).abs() < 1e-9, "{rpm}: {got}");
        }
        assert_eq!(curve.at(1900.0, 100.0), None);
        assert_eq!(curve.at(6100.0, 100.0), None);
        assert!(curve.at(6000.0, 100.0).is_some());
    }
}
