//! How far the valve opens for a lift of the tappet: rocker ratio, lash, hydraulic element. Leaves out bending of the
//! parts.

use parts::train::{Lash, LashAt, Train};
use thiserror::Error;
use units::length::{meter, millimeter};
use units::ratio;
use units::{Length, Ratio};

use crate::lobe::Jet;

/// State the train is in. What does not apply to a train leaves it as it runs hot.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TrainState {
    /// As set: cold lash.
    Cold,
    /// As it runs: hot lash, or a hydraulic element that closes every gap and gives no way.
    #[default]
    Hot,
    /// A hydraulic element that filled itself to its stop, as after valve float: it holds the valve off its seat by its
    /// preload.
    PumpedUp,
    /// A hydraulic element without oil: its plunger goes to the bottom before the valve moves.
    Collapsed,
}

/// A train that cannot work.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum TrainError {
    /// Zero, negative or not a number.
    #[error("rocker ratio of {ratio} cannot be")]
    Ratio {
        /// The ratio.
        ratio: f64,
    },
    /// Two points at one lift, or a lift that is not a number.
    #[error("rocker ratio is given twice or wrongly at a tappet lift of {lift_mm} mm")]
    RatioPoint {
        /// The lift.
        lift_mm: f64,
    },
    /// The ratio falls so steeply that the valve would close while the tappet rises.
    #[error("rocker ratio falls so fast at a tappet lift of {lift_mm} mm that the valve would go back")]
    RatioFalls {
        /// The lift.
        lift_mm: f64,
    },
    /// Negative or not a number.
    #[error("{what} of {mm} mm cannot be")]
    Lash {
        /// Which reading.
        what: &'static str,
        /// Its value.
        mm: f64,
    },
}

/// From tappet lift to valve lift. Cheap to copy about; everything in metres.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Transfer {
    ratio: RatioCurve,
    /// Ratio at full lift; the curve is a shape around 1.
    pub scale: f64,
    /// Added to the tappet's lift before the rocker feels it: negative for a gap, positive for a pumped-up element.
    pub at_tappet_m: f64,
    /// Gap at the valve.
    pub at_valve_m: f64,
}

impl Transfer {
    /// For a lobe of this lift.
    pub fn new(train: &Train, nose_lift_m: f64, state: TrainState) -> Result<Self, TrainError> {
        let scale = train.ratio.value.get::<ratio::ratio>();
        if !scale.is_finite() || scale <= 0.0 {
            return Err(TrainError::Ratio { ratio: scale });
        }
        let points: Vec<(f64, f64)> = train
            .ratio_against_lift
            .iter()
            .map(|p| (p.tappet_lift.get::<meter>(), p.ratio.get::<ratio::ratio>()))
            .collect();
        let ratio = RatioCurve::new(&points, nose_lift_m)?;
        let (at_tappet_m, at_valve_m) = gaps(&train.lash, state)?;
        Ok(Self { ratio, scale, at_tappet_m, at_valve_m })
    }

    /// Lift and derivatives of the valve from those of the tappet.
    ///
    /// Valve lift is V = g(x), g(x) = ratio(x) x, and by the chain rule V' = g' x', V'' = g'' x'^2 + g' x'',
    /// V''' = g''' x'^3 + 3 g'' x' x'' + g' x'''. Seated valves do not move.
    pub fn valve_jet(&self, tappet: Jet) -> Jet {
        let [lift, d1, d2, d3] = tappet;
        let x = lift + self.at_tappet_m;
        if x <= 0.0 {
            return [0.0; 4];
        }
        let [g, g1, g2, g3] = self.gross(x);
        let valve = g - self.at_valve_m;
        if valve <= 0.0 {
            return [0.0; 4];
        }
        [valve, g1 * d1, g2 * d1 * d1 + g1 * d2, g3 * d1.powi(3) + 3.0 * g2 * d1 * d2 + g1 * d3]
    }

    pub fn valve_lift_m(&self, tappet_m: f64) -> f64 {
        let x = tappet_m + self.at_tappet_m;
        if x <= 0.0 {
            return 0.0;
        }
        (self.scale * self.ratio.at(x)[0] * x - self.at_valve_m).max(0.0)
    }

    /// What the valve gains for each unit the tappet gains, where the tappet has this lift.
    pub fn slope_at(&self, tappet_m: f64) -> f64 {
        self.gross((tappet_m + self.at_tappet_m).max(0.0))[1]
    }

    /// Lift of the tappet that gives this lift of the valve; negative when the valve stands open on the base circle.
    pub fn tappet_lift_m(&self, valve_m: f64) -> f64 {
        let target = valve_m + self.at_valve_m;
        let mut x = target / self.scale;
        for _ in 0..50 {
            let [g, g1, ..] = self.gross(x);
            let step = (g - target) / g1;
            x -= step;
            if step.abs() <= 1e-16 + 1e-15 * x.abs() {
                break;
            }
        }
        x - self.at_tappet_m
    }

    /// g(x) = ratio(x) x and its derivatives.
    fn gross(&self, x: f64) -> Jet {
        let [r, r1, r2, r3] = self.ratio.at(x).map(|v| v * self.scale);
        [r * x, r1 * x + r, r2 * x + 2.0 * r1, r3 * x + 3.0 * r2]
    }
}

/// What lash and hydraulic element take from or add to the lift, at tappet and valve.
fn gaps(lash: &Lash, state: TrainState) -> Result<(f64, f64), TrainError> {
    let checked = |what, length: Length| {
        let mm = length.get::<millimeter>();
        if mm.is_finite() && mm >= 0.0 {
            Ok(length.get::<meter>())
        } else {
            Err(TrainError::Lash { what, mm })
        }
    };
    match *lash {
        Lash::Solid { at, cold, hot } => {
            let lash = match (state, hot) {
                (TrainState::Cold, _) | (_, None) => cold,
                (_, Some(hot)) => hot,
            };
            let gap = checked("lash", lash.value)?;
            Ok(match at {
                LashAt::Valve => (0.0, gap),
                LashAt::Cam => (-gap, 0.0),
            })
        }
        Lash::Hydraulic { preload, plunger_travel } => {
            let preload = checked("preload", preload.value)?;
            let travel = checked("plunger travel", plunger_travel.value)?;
            Ok(match state {
                TrainState::Cold | TrainState::Hot => (0.0, 0.0),
                TrainState::PumpedUp => (preload, 0.0),
                TrainState::Collapsed => (-(travel - preload).max(0.0), 0.0),
            })
        }
    }
}

/// Shape of the ratio against lift of the tappet, 1 at full lift: a natural cubic spline through the points, straight
/// beyond them.
#[derive(Clone, Debug, Default, PartialEq)]
struct RatioCurve {
    /// Lift, value and second derivative at each point; empty for a constant 1.
    points: Vec<[f64; 3]>,
}

impl RatioCurve {
    fn new(points: &[(f64, f64)], nose_lift_m: f64) -> Result<Self, TrainError> {
        if points.is_empty() {
            return Ok(Self::default());
        }
        let mut sorted = points.to_vec();
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        for pair in sorted.windows(2) {
            if pair[1].0 <= pair[0].0 {
                return Err(TrainError::RatioPoint { lift_mm: pair[1].0 * 1e3 });
            }
        }
        if let Some(&(lift, ratio)) =
            sorted.iter().find(|p| !(p.0.is_finite() && p.1.is_finite() && p.1 > 0.0))
        {
            return Err(if lift.is_finite() {
                TrainError::Ratio { ratio }
            } else {
                TrainError::RatioPoint { lift_mm: lift * 1e3 }
            });
        }
        let mut curve = Self { points: natural_spline(&sorted) };
        let full = curve.at(nose_lift_m)[0];
        if full.is_nan() || full <= 0.0 {
            return Err(TrainError::Ratio { ratio: full });
        }
        for point in &mut curve.points {
            point[1] /= full;
            point[2] /= full;
        }
        /// Places over the lift at which the valve has to gain.
        const N_CHECKED: usize = 200;
        for i in 0..=N_CHECKED {
            let x = nose_lift_m * i as f64 / N_CHECKED as f64;
            let [r, r1, ..] = curve.at(x);
            if r + r1 * x <= 0.0 {
                return Err(TrainError::RatioFalls { lift_mm: x * 1e3 });
            }
        }
        Ok(curve)
    }

    /// Value and three derivatives.
    fn at(&self, x: f64) -> Jet {
        let n = self.points.len();
        if n == 0 {
            return [1.0, 0.0, 0.0, 0.0];
        }
        if n == 1 {
            return [self.points[0][1], 0.0, 0.0, 0.0];
        }
        let right = self.points.partition_point(|p| p[0] <= x).clamp(1, n - 1);
        let ([x0, y0, m0], [x1, y1, m1]) = (self.points[right - 1], self.points[right]);
        let h = x1 - x0;
        let slope = (y1 - y0) / h;
        if x < x0 {
            let at_end = slope - h * (2.0 * m0 + m1) / 6.0;
            return [y0 + at_end * (x - x0), at_end, 0.0, 0.0];
        }
        if x > x1 {
            let at_end = slope + h * (m0 + 2.0 * m1) / 6.0;
            return [y1 + at_end * (x - x1), at_end, 0.0, 0.0];
        }
        let (a, b) = ((x1 - x) / h, (x - x0) / h);
        [
            a * y0 + b * y1 + ((a.powi(3) - a) * m0 + (b.powi(3) - b) * m1) * h * h / 6.0,
            slope + ((1.0 - 3.0 * a * a) * m0 + (3.0 * b * b - 1.0) * m1) * h / 6.0,
            a * m0 + b * m1,
            (m1 - m0) / h,
        ]
    }
}

/// Second derivatives of the cubic spline that has none at its ends (de Boor 1978, "A Practical Guide to Splines"
/// ch. IV, from memory).
fn natural_spline(points: &[(f64, f64)]) -> Vec<[f64; 3]> {
    let n = points.len();
    let mut second = vec![0.0; n];
    let mut above = vec![0.0; n];
    for i in 1..n.saturating_sub(1) {
        let (h0, h1) = (points[i].0 - points[i - 1].0, points[i + 1].0 - points[i].0);
        let rhs = 6.0 * ((points[i + 1].1 - points[i].1) / h1 - (points[i].1 - points[i - 1].1) / h0);
        let pivot = 2.0 * (h0 + h1) - h0 * above[i - 1];
        above[i] = h1 / pivot;
        second[i] = (rhs - h0 * second[i - 1]) / pivot;
    }
    for i in (1..n.saturating_sub(1)).rev() {
        second[i] -= above[i] * second[i + 1];
    }
    points.iter().zip(second).map(|(&(x, y), m)| [x, y, m]).collect()
}

/// A ratio as its bare number.
pub(crate) fn ratio_number(value: Ratio) -> f64 {
    value.get::<ratio::ratio>()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_ratio_curve_passes_its_points_and_is_one_at_full_lift() {
        let points = [(0.0, 1.55), (0.004, 1.62), (0.009, 1.60)];
        let curve = RatioCurve::new(&points, 0.009).expect("a ratio");
        for (x, r) in points {
            assert!((curve.at(x)[0] - r / 1.60).abs() < 1e-15);
        }
        let h = 1e-6;
        for x in [0.001, 0.0039, 0.006] {
            let numeric = (curve.at(x + h)[0] - curve.at(x - h)[0]) / (2.0 * h);
            assert!((curve.at(x)[1] - numeric).abs() < 1e-6 * numeric.abs().max(1.0));
        }
    }

    /// Derivatives of the valve by the chain rule agree with differences along a made-up tappet lift.
    #[test]
    fn exact_chain_rule() {
        let points = [(0.0, 1.55), (0.004, 1.62), (0.009, 1.60)];
        let ratio = RatioCurve::new(&points, 0.009).expect("a ratio");
        let transfer = Transfer { ratio, scale: 1.6, at_tappet_m: -1e-4, at_valve_m: 2e-4 };
        let tappet = |t: f64| [0.009 * t.sin(), 0.009 * t.cos(), -0.009 * t.sin(), -0.009 * t.cos()];
        let (t, h) = (0.7, 1e-4);
        let at = |t: f64| transfer.valve_jet(tappet(t));
        for k in 0..3 {
            let numeric = (at(t + h)[k] - at(t - h)[k]) / (2.0 * h);
            assert!((at(t)[k + 1] - numeric).abs() < 1e-8, "{k}: {} {numeric}", at(t)[k + 1]);
        }
        let lift = at(t)[0];
        assert!((transfer.tappet_lift_m(lift) - tappet(t)[0]).abs() < 1e-15);
    }
}
