//! A lift curve from a measured table. Leaves out timing, which only turns the curve.

use parts::cam::{LiftAt, LobeTable};
use thiserror::Error;
use units::length::millimeter;
use units::ratio;

use crate::lobe::{CAM_TURN_DEG, LiftCurve, Piece};
use crate::lobe_rows::{Row, RowError, RowNote, check_rows, median};
use crate::smoothing_spline::{Noisy, Smooth, smooth, smooth_evenly};

/// A table that gives no curve.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum TableError {
    /// The rows are wrong.
    #[error(transparent)]
    Rows(#[from] RowError),
    /// A lift was measured at the valve through a ratio or lash that cannot be.
    #[error(
        "a valve lift table through a ratio of {ratio} with {lash_mm} mm of lash cannot be turned into a lobe"
    )]
    Train {
        /// The ratio.
        ratio: f64,
        /// The lash.
        lash_mm: f64,
    },
    /// The rows are fine but no curve comes out.
    #[error("no smooth curve through {n_rows} rows")]
    NoCurve {
        /// How many rows.
        n_rows: usize,
    },
}

/// A fitted table.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct TableFit {
    pub curve: LiftCurve,
    pub notes: Vec<RowNote>,
}

/// The table has to come down to this share of its lift at both ends.
const AT_BASE: f64 = 0.01;
/// Rows this far from the nose tell the zero of the indicator, and those in the lowest part of the lift.
const SURELY_BASE_DEG: f64 = 120.0;
/// An offset of the base circle smaller than this is not worth a word.
const OFFSET_MM: f64 = 0.001;
/// Where the smooth lift has come down to this, the base circle begins; a hydraulic ramp is not much higher.
const FOOT_MM: f64 = 0.004;
/// Room beyond that for the curve to come to rest.
const REST_DEG: f64 = 8.0;
/// A base circle that runs out by more deserves a word, unless it is noise: by so many standard deviations.
const RUNOUT_MM: f64 = 0.03;
const RUNOUT_SDS: f64 = 5.0;
/// A lobe lifts at least this much.
const LEAST_LOBE_MM: f64 = 0.5;
/// Zero rows set beyond a table that covers only the lobe.
const PAD_DEG: f64 = 15.0;
/// Rise of the ramp that a valve's lash hides, per cam degree: usual ramps take up 0.0127 mm (0.0005 in) in a degree
/// (cam design texts, from memory).
const HIDDEN_RAMP_MM_PER_DEG: f64 = 0.0127;

/// The smooth curve through a table, its nose at 0.
pub(crate) fn fit_table(table: &LobeTable) -> Result<TableFit, TableError> {
    let mut notes = Vec::new();
    let mut rows = check_rows(table, &mut notes)?;
    take_off_base(&mut rows, &mut notes);
    turn_to_nose(&mut rows)?;
    let mut noise_mm = table.noise.map(|noise| noise.get::<millimeter>());
    if let LiftAt::Valve { ratio: valve_ratio, lash } = table.lifts {
        let (ratio, lash_mm) = (valve_ratio.value.get::<ratio::ratio>(), lash.value.get::<millimeter>());
        if !(ratio > 0.0 && ratio.is_finite() && lash_mm >= 0.0 && lash_mm.is_finite()) {
            return Err(TableError::Train { ratio, lash_mm });
        }
        rows = to_tappet(&rows, ratio, lash_mm);
        noise_mm = noise_mm.map(|noise| noise / ratio);
    }
    let n_rows = rows.len();
    let (lo, hi) = pad(&mut rows);
    let whole = smooth_evenly(&Columns::new(&rows).noisy(lo, hi, noise_mm));
    let whole = whole.ok_or(TableError::NoCurve { n_rows })?;
    let (foot_lo, foot_hi) = feet(&whole, lo, hi);
    note_runout(&rows, foot_lo, foot_hi, whole.noise_mm, &mut notes);
    rows.retain(|row| foot_lo <= row.cam_deg && row.cam_deg <= foot_hi);
    let smooth = smooth(&Columns::new(&rows).noisy(foot_lo, foot_hi, noise_mm));
    let smooth = smooth.ok_or(TableError::NoCurve { n_rows })?;
    notes.push(RowNote::Noise { mm: smooth.noise_mm });
    let curve = with_nose_at_zero(smooth).ok_or(TableError::NoCurve { n_rows })?;
    Ok(TableFit { curve, notes })
}

/// Rows as the smoother takes them.
struct Columns {
    angles_deg: Vec<f64>,
    lifts_mm: Vec<f64>,
}

impl Columns {
    fn new(rows: &[Row]) -> Self {
        Self {
            angles_deg: rows.iter().map(|row| row.cam_deg).collect(),
            lifts_mm: rows.iter().map(|row| row.lift_mm).collect(),
        }
    }

    fn noisy(&self, lo_deg: f64, hi_deg: f64, noise_mm: Option<f64>) -> Noisy<'_> {
        Noisy { angles_deg: &self.angles_deg, lifts_mm: &self.lifts_mm, lo_deg, hi_deg, noise_mm }
    }
}

/// Sets the zero of the indicator to the middle of the base circle.
fn take_off_base(rows: &mut [Row], notes: &mut Vec<RowNote>) {
    let (low, high) = (
        rows.iter().map(|row| row.lift_mm).fold(f64::INFINITY, f64::min),
        rows.iter().map(|row| row.lift_mm).fold(f64::NEG_INFINITY, f64::max),
    );
    let Some(nose) = rows.iter().max_by(|a, b| a.lift_mm.total_cmp(&b.lift_mm)).map(|row| row.cam_deg) else {
        return;
    };
    let from_nose = |row: &Row| {
        let past = (row.cam_deg - nose).rem_euclid(CAM_TURN_DEG);
        past.min(CAM_TURN_DEG - past)
    };
    let base: Vec<f64> = rows
        .iter()
        .filter(|row| from_nose(row) > SURELY_BASE_DEG && row.lift_mm - low < 0.1 * (high - low))
        .map(|row| row.lift_mm)
        .collect();
    if base.is_empty() {
        return;
    }
    let offset = median(base);
    if offset.abs() > OFFSET_MM {
        for row in rows {
            row.lift_mm -= offset;
        }
        notes.push(RowNote::BaseOffset { mm: offset });
    }
}

/// Turns the rows so that the highest is at 0 and the rest within half a turn of it.
fn turn_to_nose(rows: &mut [Row]) -> Result<(), RowError> {
    let nose = *rows.iter().max_by(|a, b| a.lift_mm.total_cmp(&b.lift_mm)).expect("checked tables have rows");
    if nose.lift_mm < LEAST_LOBE_MM {
        return Err(RowError::NoLobe { row: nose.number, lift_mm: nose.lift_mm });
    }
    let half = 0.5 * CAM_TURN_DEG;
    for row in rows.iter_mut() {
        row.cam_deg = (row.cam_deg - nose.cam_deg + half).rem_euclid(CAM_TURN_DEG) - half;
    }
    rows.sort_by(|a, b| a.cam_deg.total_cmp(&b.cam_deg));
    for end in [rows[0], rows[rows.len() - 1]] {
        if end.lift_mm > AT_BASE * nose.lift_mm {
            return Err(RowError::NoBaseCircle { row: end.number, lift_mm: end.lift_mm });
        }
    }
    Ok(())
}

/// Lifts of the tappet from lifts of the valve. What the lash hides at the foot is left for the curve to bridge.
fn to_tappet(rows: &[Row], ratio: f64, lash_mm: f64) -> Vec<Row> {
    let hidden_mm = lash_mm / ratio;
    let hidden_deg = if lash_mm > 0.0 { 1.5 * hidden_mm / HIDDEN_RAMP_MM_PER_DEG } else { 0.0 };
    let seated_mm = FOOT_MM;
    let off_seat: Vec<&Row> = rows.iter().filter(|row| row.lift_mm > seated_mm && lash_mm > 0.0).collect();
    let (opens, closes) = match (off_seat.first(), off_seat.last()) {
        (Some(first), Some(last)) => (first.cam_deg, last.cam_deg),
        _ => return rows.iter().map(|row| Row { lift_mm: row.lift_mm / ratio, ..*row }).collect(),
    };
    rows.iter()
        .filter_map(|row| {
            if opens <= row.cam_deg && row.cam_deg <= closes {
                let lift_mm = (row.lift_mm + lash_mm) / ratio;
                Some(Row { lift_mm, ..*row })
            } else {
                let beyond = (opens - row.cam_deg).max(row.cam_deg - closes);
                (beyond > hidden_deg).then_some(Row { lift_mm: 0.0, ..*row })
            }
        })
        .collect()
}

/// Sets zero rows beyond a table that does not go round, and returns where the curve may begin and end.
fn pad(rows: &mut Vec<Row>) -> (f64, f64) {
    let half = 0.5 * CAM_TURN_DEG;
    let (first, last) = (rows[0], rows[rows.len() - 1]);
    let step = ((last.cam_deg - first.cam_deg) / (rows.len() - 1) as f64).max(0.25);
    let n_left = ((first.cam_deg + half).min(PAD_DEG) / step).floor() as usize;
    let n_right = ((half - last.cam_deg).min(PAD_DEG) / step).floor() as usize;
    let zero = |cam_deg: f64| Row { number: 0, cam_deg, lift_mm: 0.0 };
    let before = (1..=n_left).rev().map(|i| zero(first.cam_deg - i as f64 * step));
    let after = (1..=n_right).map(|i| zero(last.cam_deg + i as f64 * step));
    *rows = before.chain(rows.iter().copied()).chain(after).collect();
    let lo = (first.cam_deg - PAD_DEG).max(-half);
    let hi = (last.cam_deg + PAD_DEG).min(half);
    (lo, hi)
}

/// Where the smooth curve comes down to the base circle on each side of the nose, with room to come to rest.
fn feet(smooth: &Smooth, lo: f64, hi: f64) -> (f64, f64) {
    let lift_at_break = |i: usize| smooth.pieces.get(i).map_or(0.0, |piece| piece[0]);
    let nose = smooth.breaks_deg.partition_point(|&b| b <= 0.0);
    let level = FOOT_MM.max(0.25 * smooth.noise_mm);
    let left = (0..nose).rev().find(|&i| lift_at_break(i) < level).map_or(lo, |i| smooth.breaks_deg[i]);
    let right = (nose..smooth.breaks_deg.len())
        .find(|&i| lift_at_break(i) < level)
        .map_or(hi, |i| smooth.breaks_deg[i]);
    ((left - REST_DEG).max(lo), (right + REST_DEG).min(hi))
}

fn note_runout(rows: &[Row], lo: f64, hi: f64, noise_mm: f64, notes: &mut Vec<RowNote>) {
    let mm = rows
        .iter()
        .filter(|row| row.cam_deg < lo || hi < row.cam_deg)
        .map(|row| row.lift_mm.abs())
        .fold(0.0, f64::max);
    if mm > RUNOUT_MM.max(RUNOUT_SDS * noise_mm) {
        notes.push(RowNote::BaseRunout { mm });
    }
}

/// Turns the curve until its top is at 0; `None` when it has no top.
fn with_nose_at_zero(smooth: Smooth) -> Option<LiftCurve> {
    let Smooth { mut breaks_deg, mut pieces, .. } = smooth;
    let top = (0..pieces.len()).max_by(|&a, &b| pieces[a][0].total_cmp(&pieces[b][0]))?;
    let slope = |i: usize, t: f64| {
        let c: &Piece = &pieces[i];
        (1..6).rev().fold(0.0, |sum, k| sum * t + k as f64 * c[k])
    };
    // The slope falls through zero in the piece that begins at the highest break, or in the one before.
    let i = if slope(top, 0.0) >= 0.0 { top } else { top.checked_sub(1)? };
    let (mut lo, mut hi) = (0.0, breaks_deg[i + 1] - breaks_deg[i]);
    for _ in 0..80 {
        let mid = 0.5 * (lo + hi);
        if slope(i, mid) > 0.0 { lo = mid } else { hi = mid }
    }
    let nose = breaks_deg[i] + 0.5 * (lo + hi);
    for b in &mut breaks_deg {
        *b -= nose;
    }
    for c in pieces.iter_mut().flatten() {
        *c *= 1e-3;
    }
    Some(LiftCurve::from_pieces(breaks_deg, pieces))
}
