//! A measured lobe led through a few lifts measured on the assembled engine. Leaves out cards, whose curve meets pins
//! by itself.

use thiserror::Error;

use crate::bspline::Basis;
use crate::lobe::LiftCurve;
use crate::lobe_fit::PinPoint;
use crate::quadratic_program::{Condition, minimise};

/// Pins that no correction of the table can meet.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum PinError {
    /// The pin stands off the flanks.
    #[error("pinned lift of {lift_mm} mm stands {from_nose_deg} cam degrees from the nose, off the flanks")]
    OffTheFlanks {
        /// Lift of the tappet there.
        lift_mm: f64,
        /// Distance from the nose.
        from_nose_deg: f64,
    },
    /// Two different lifts at one place, or too close for a smooth correction.
    #[error("pins {from_nose_deg} cam degrees from the nose contradict each other")]
    Contradiction {
        /// Place of one of them.
        from_nose_deg: f64,
    },
    /// The correction would make the flank go back.
    #[error(
        "pins change the table by {off_mm} mm, which makes a flank go back {from_nose_deg} cam degrees from the nose"
    )]
    FlankGoesBack {
        /// Greatest correction.
        off_mm: f64,
        /// Where.
        from_nose_deg: f64,
    },
}

/// Degree of the correction, smooth to the fourth derivative where it starts and ends.
const DEGREE: usize = 5;
/// How far beyond the outermost pins the correction reaches, if the flank does.
const REACH_DEG: f64 = 15.0;
/// Width of its pieces.
const PIECE_DEG: f64 = 2.0;
/// Where slopes are checked, in cam degrees.
const CHECK_DEG: f64 = 0.25;
/// A flank may go back by this much in a cam degree, metres: measured tables do where they come to rest.
const GOES_BACK_M_PER_DEG: f64 = 2e-6;

/// The curve plus the calmest correction that meets the pins: least mean square third derivative, none away from the
/// pins.
pub(crate) fn lead_through(curve: &LiftCurve, pins: &[PinPoint]) -> Result<LiftCurve, PinError> {
    let mut corrected = curve.clone();
    for opening in [true, false] {
        let mut side: Vec<PinPoint> =
            pins.iter().filter(|pin| (pin.from_nose_deg < 0.0) == opening).copied().collect();
        side.sort_by(|a, b| a.from_nose_deg.total_cmp(&b.from_nose_deg));
        if !side.is_empty() {
            corrected = lead_flank(&corrected, &side)?;
        }
    }
    Ok(corrected)
}

fn lead_flank(curve: &LiftCurve, pins: &[PinPoint]) -> Result<LiftCurve, PinError> {
    let ends = curve.breaks_deg();
    let (first, last) = (pins[0].from_nose_deg, pins[pins.len() - 1].from_nose_deg);
    let (foot_lo, foot_hi) = if first < 0.0 { (ends[0], 0.0) } else { (0.0, ends[ends.len() - 1]) };
    let (lo, hi) = ((first - REACH_DEG).max(foot_lo), (last + REACH_DEG).min(foot_hi));
    for pin in [pins[0], pins[pins.len() - 1]] {
        if pin.from_nose_deg <= lo + PIECE_DEG || pin.from_nose_deg >= hi - PIECE_DEG {
            let PinPoint { from_nose_deg, lift_mm } = pin;
            return Err(PinError::OffTheFlanks { lift_mm, from_nose_deg });
        }
    }
    let n_pieces = ((hi - lo) / PIECE_DEG).ceil().max(12.0) as usize;
    let breaks: Vec<f64> = (0..=n_pieces).map(|i| lo + (hi - lo) * i as f64 / n_pieces as f64).collect();
    let basis = Basis::clamped(&breaks, DEGREE);
    let n = basis.len() - 2 * DEGREE;
    let mut h = vec![vec![0.0; n]; n];
    let spread = (3.0f64 / 5.0).sqrt() / 2.0;
    for pair in breaks.windows(2) {
        let (mid, width) = (0.5 * (pair[0] + pair[1]), pair[1] - pair[0]);
        for (place, weight) in [(-spread, 5.0), (0.0, 8.0), (spread, 5.0)] {
            let local = basis.local(mid + place * width, 3);
            for j in 0..=DEGREE {
                for k in 0..=DEGREE {
                    let at = |j: usize| (local.first + j).checked_sub(DEGREE).filter(|&i| i < n);
                    if let (Some(row), Some(column)) = (at(j), at(k)) {
                        h[row][column] += weight * width.powi(6) * local.at[3][j] * local.at[3][k];
                    }
                }
            }
        }
    }
    let off_mm = |pin: &PinPoint| pin.lift_mm - curve.lift_m(pin.from_nose_deg) * 1e3;
    let equal: Vec<Condition> = pins
        .iter()
        .map(|pin| {
            let local = basis.local(pin.from_nose_deg, 0);
            let mut row = vec![0.0; n];
            for j in 0..=DEGREE {
                if let Some(i) = (local.first + j).checked_sub(DEGREE).filter(|&i| i < n) {
                    row[i] = local.at[0][j];
                }
            }
            Condition { row, rhs: off_mm(pin) }
        })
        .collect();
    let inner = minimise(&h, &vec![0.0; n], &equal, &[])
        .map_err(|_| PinError::Contradiction { from_nose_deg: first })?;
    let mut coefficients = vec![0.0; DEGREE];
    coefficients.extend(inner.iter().map(|mm| mm * 1e-3));
    coefficients.extend([0.0; DEGREE]);
    let (correction_breaks, correction) = basis.to_pieces(&coefficients);
    let corrected = curve.plus(&correction_breaks, &correction);
    check_slope(&corrected, lo, hi, pins.iter().map(|pin| off_mm(pin).abs()).fold(0.0, f64::max))?;
    Ok(corrected)
}

fn check_slope(curve: &LiftCurve, lo: f64, hi: f64, off_mm: f64) -> Result<(), PinError> {
    let rising = if lo < 0.0 { 1.0 } else { -1.0 };
    let n = ((hi - lo) / CHECK_DEG) as usize;
    for i in 0..=n {
        let from_nose_deg = lo + (hi - lo) * i as f64 / n.max(1) as f64;
        if rising * curve.jet_m(from_nose_deg)[1] < -GOES_BACK_M_PER_DEG {
            return Err(PinError::FlankGoesBack { off_mm, from_nose_deg });
        }
    }
    Ok(())
}
