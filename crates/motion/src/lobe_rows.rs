//! Which rows of a measured lobe can be believed. Leaves out noise, which is smoothed later.

use parts::cam::{LiftAt, LobeTable, TableAngles};
use thiserror::Error;
use units::angle;
use units::length::millimeter;

use crate::lobe::CAM_TURN_DEG;
use crate::lobe_outliers::repair_lifts;

/// A row that could be put right, or something about the rows that a person should know. Rows are named by the number
/// they carry in the file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RowNote {
    /// The table runs backward and was turned round.
    Reversed,
    /// The angle of this row is smaller than one before it; it was moved to its place.
    Sorted {
        /// The row.
        row: usize,
    },
    /// This row repeats the angle and lift of another and was left out.
    Repeated {
        /// The row left out.
        row: usize,
        /// The one it repeats.
        same_as: usize,
    },
    /// Rows are missing between these two; the curve bridges them.
    Bridged {
        /// Before the gap.
        row: usize,
        /// After it.
        next: usize,
        /// Width in cam degrees.
        cam_deg: f64,
    },
    /// The lifts of these two rows stand in each other's place and were changed back.
    Swapped {
        /// The first.
        row: usize,
        /// The second.
        other: usize,
    },
    /// This lift is far off its neighbours and was left out.
    LeftOut {
        /// The row.
        row: usize,
        /// How far off.
        off_mm: f64,
    },
    /// The base circle does not read zero; this much was taken off every lift.
    BaseOffset {
        /// Taken off.
        mm: f64,
    },
    /// The base circle runs out by this much, which the curve leaves out.
    BaseRunout {
        /// Greatest distance from zero.
        mm: f64,
    },
    /// Spread of single lifts about the curve.
    Noise {
        /// Standard deviation.
        mm: f64,
    },
}

impl std::fmt::Display for RowNote {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match *self {
            Self::Reversed => write!(f, "the table runs backward and was turned round"),
            Self::Sorted { row } => write!(f, "row {row}: angle out of order, moved to its place"),
            Self::Repeated { row, same_as } => write!(f, "row {row}: repeats row {same_as}, left out"),
            Self::Bridged { row, next, cam_deg } => {
                write!(f, "rows {row} and {next}: {cam_deg:.2} cam degrees without a row, bridged")
            }
            Self::Swapped { row, other } => {
                write!(f, "rows {row} and {other}: lifts stand in each other's place, changed back")
            }
            Self::LeftOut { row, off_mm } => {
                write!(f, "row {row}: lift is {off_mm:.3} mm off its neighbours, left out")
            }
            Self::BaseOffset { mm } => write!(f, "base circle reads {mm:.3} mm, taken off every lift"),
            Self::BaseRunout { mm } => write!(f, "base circle runs out by {mm:.3} mm, not in the curve"),
            Self::Noise { mm } => write!(f, "lifts scatter by {mm:.4} mm (standard deviation)"),
        }
    }
}

/// Rows that give no lobe.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum RowError {
    /// Fewer rows than a lobe needs.
    #[error("{n_rows} rows are too few for a lobe, at least {least} are needed")]
    TooFew {
        /// Rows there are.
        n_rows: usize,
        /// Rows needed.
        least: usize,
    },
    /// Not a number.
    #[error("row {row}: angle or lift is not a number")]
    NotANumber {
        /// The row.
        row: usize,
    },
    /// Too many rows are out of order to guess what was meant.
    #[error("row {row}: angle is out of order, and so are {n_rows} rows in all")]
    Unsorted {
        /// The first one.
        row: usize,
        /// How many.
        n_rows: usize,
    },
    /// Two lifts at one angle.
    #[error("rows {row} and {other} give different lifts, {lift_mm} and {other_mm} mm, at one angle")]
    Contradiction {
        /// The first row.
        row: usize,
        /// The second.
        other: usize,
        /// Lift of the first.
        lift_mm: f64,
        /// Lift of the second.
        other_mm: f64,
    },
    /// The rows span more than one turn of the cam.
    #[error("row {row}: the table spans {cam_deg} cam degrees, more than one turn")]
    MoreThanATurn {
        /// The last row.
        row: usize,
        /// What they span.
        cam_deg: f64,
    },
    /// A gap too wide to bridge.
    #[error("rows {row} and {next}: {cam_deg} cam degrees are missing on the lobe")]
    Gap {
        /// Before the gap.
        row: usize,
        /// After it.
        next: usize,
        /// Its width.
        cam_deg: f64,
    },
    /// All lifts after a row are shifted, as when an indicator slips.
    #[error("rows {row} and {next}: every lift from there on is shifted by {by_mm} mm")]
    Jump {
        /// Before the jump.
        row: usize,
        /// After it.
        next: usize,
        /// How far.
        by_mm: f64,
    },
    /// A lift that fits nothing, and no single repair helps.
    #[error("row {row}: lift is {off_mm} mm off its neighbours and no single repair explains it")]
    Unclear {
        /// The row.
        row: usize,
        /// How far off.
        off_mm: f64,
    },
    /// More bad rows than can be put down to slips of the pen.
    #[error("row {row}: more than {most} rows do not fit their neighbours")]
    TooManyBad {
        /// The worst that is left.
        row: usize,
        /// How many are repaired at most.
        most: usize,
    },
    /// The table does not begin and end on the base circle.
    #[error("row {row}: the table ends at a lift of {lift_mm} mm instead of the base circle")]
    NoBaseCircle {
        /// The row at the end.
        row: usize,
        /// Its lift.
        lift_mm: f64,
    },
    /// No lift above the base circle.
    #[error("row {row}: the greatest lift is {lift_mm} mm, which is no lobe")]
    NoLobe {
        /// The row with the greatest lift.
        row: usize,
        /// That lift.
        lift_mm: f64,
    },
}

/// A row in cam degrees and millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Row {
    pub number: usize,
    pub cam_deg: f64,
    pub lift_mm: f64,
}

/// Fewest rows that can hold a lobe.
const LEAST_ROWS: usize = 24;
/// Rows are moved to their places when no more than this share of them, and at least three, are out of order.
const UNSORTED_SHARE: f64 = 0.03;
const UNSORTED_AT_LEAST: usize = 3;
/// Two angles are one when they are closer.
const SAME_DEG: f64 = 1e-6;
/// Two lifts are one when they are closer: twice the step of a shop indicator.
const SAME_MM: f64 = 0.005;
/// A step this many times the usual one is a gap ...
const GAP_STEPS: f64 = 1.7;
/// ... and cannot be bridged when it is wider than this, in cam degrees, or ...
const GAP_BRIDGED_DEG: f64 = 6.0;
/// ... than this many usual steps. An even coarser table is judged by its own step.
const GAP_BRIDGED_STEPS: f64 = 4.0;
/// Rows below this share of the greatest lift count as base circle.
pub(crate) const ON_LOBE: f64 = 0.02;

/// Rows in rising order over at most one turn, put right where that is certain.
///
/// Lifts of a valve with lash have a corner where the valve leaves its seat; lifts around it are not judged.
pub(crate) fn check_rows(table: &LobeTable, notes: &mut Vec<RowNote>) -> Result<Vec<Row>, RowError> {
    let LobeTable { rows, angles, lifts, .. } = table;
    let seats = matches!(lifts, LiftAt::Valve { lash, .. } if lash.value.value > 0.0);
    if rows.len() < LEAST_ROWS {
        return Err(RowError::TooFew { n_rows: rows.len(), least: LEAST_ROWS });
    }
    let to_cam = match angles {
        TableAngles::Cam => 1.0,
        TableAngles::Crank => 0.5,
    };
    let mut rows: Vec<Row> = rows
        .iter()
        .map(|row| Row {
            number: row.number,
            cam_deg: row.angle.get::<angle::degree>() * to_cam,
            lift_mm: row.lift.get::<millimeter>(),
        })
        .collect();
    if let Some(row) = rows.iter().find(|row| !(row.cam_deg.is_finite() && row.lift_mm.is_finite())) {
        return Err(RowError::NotANumber { row: row.number });
    }
    put_in_order(&mut rows, notes)?;
    drop_repeated(&mut rows, notes)?;
    close_turn(&mut rows, notes)?;
    if rows.len() < LEAST_ROWS {
        return Err(RowError::TooFew { n_rows: rows.len(), least: LEAST_ROWS });
    }
    repair_lifts(&mut rows, seats, notes)?;
    find_gaps(&rows, notes)?;
    Ok(rows)
}

fn put_in_order(rows: &mut [Row], notes: &mut Vec<RowNote>) -> Result<(), RowError> {
    let falling = rows.windows(2).filter(|pair| pair[1].cam_deg < pair[0].cam_deg).count();
    if 2 * falling > rows.len() {
        rows.reverse();
        notes.push(RowNote::Reversed);
    }
    // A wheel that passes through zero in the middle of the table.
    let mut turns = 0.0;
    for i in 1..rows.len() {
        let before = rows[i - 1].cam_deg - turns;
        if rows[i].cam_deg - before < -0.5 * CAM_TURN_DEG {
            turns += CAM_TURN_DEG;
        }
        rows[i].cam_deg += turns;
    }
    let mut late = Vec::new();
    let mut farthest = f64::NEG_INFINITY;
    for (i, row) in rows.iter().enumerate() {
        if row.cam_deg >= farthest {
            farthest = row.cam_deg;
            continue;
        }
        // One angle far ahead of its neighbours is itself the wrong one, not all that follow.
        let ahead_alone = i >= 2 && row.cam_deg > rows[i - 2].cam_deg && farthest == rows[i - 1].cam_deg;
        let next_is_fine = rows.get(i + 1).is_none_or(|next| next.cam_deg < farthest);
        if ahead_alone && next_is_fine {
            late.push(rows[i - 1].number);
            farthest = row.cam_deg;
        } else {
            late.push(row.number);
        }
    }
    let most = UNSORTED_AT_LEAST.max((UNSORTED_SHARE * rows.len() as f64) as usize);
    if late.len() > most {
        return Err(RowError::Unsorted { row: late[0], n_rows: late.len() });
    }
    notes.extend(late.iter().map(|&row| RowNote::Sorted { row }));
    rows.sort_by(|a, b| a.cam_deg.total_cmp(&b.cam_deg));
    Ok(())
}

fn drop_repeated(rows: &mut Vec<Row>, notes: &mut Vec<RowNote>) -> Result<(), RowError> {
    let mut kept: Vec<Row> = Vec::with_capacity(rows.len());
    for &row in rows.iter() {
        match kept.last() {
            Some(last) if row.cam_deg - last.cam_deg < SAME_DEG => {
                agree(last, &row)?;
                notes.push(RowNote::Repeated { row: row.number, same_as: last.number });
            }
            _ => kept.push(row),
        }
    }
    *rows = kept;
    Ok(())
}

fn agree(a: &Row, b: &Row) -> Result<(), RowError> {
    if (a.lift_mm - b.lift_mm).abs() <= SAME_MM {
        return Ok(());
    }
    Err(RowError::Contradiction {
        row: a.number.min(b.number),
        other: a.number.max(b.number),
        lift_mm: if a.number < b.number { a.lift_mm } else { b.lift_mm },
        other_mm: if a.number < b.number { b.lift_mm } else { a.lift_mm },
    })
}

/// A last row exactly one turn after the first repeats it.
fn close_turn(rows: &mut Vec<Row>, notes: &mut Vec<RowNote>) -> Result<(), RowError> {
    let (first, last) = (rows[0], rows[rows.len() - 1]);
    let span = last.cam_deg - first.cam_deg;
    if span > CAM_TURN_DEG + SAME_DEG {
        return Err(RowError::MoreThanATurn { row: last.number, cam_deg: span });
    }
    if span > CAM_TURN_DEG - SAME_DEG {
        agree(&first, &last)?;
        notes.push(RowNote::Repeated { row: last.number, same_as: first.number });
        rows.pop();
    }
    Ok(())
}

fn find_gaps(rows: &[Row], notes: &mut Vec<RowNote>) -> Result<(), RowError> {
    let step = usual_step(rows);
    let (low, high) = lift_range(rows);
    let on_lobe = |row: &Row| row.lift_mm - low > ON_LOBE * (high - low);
    for pair in rows.windows(2) {
        let (row, next) = (pair[0].number, pair[1].number);
        let cam_deg = pair[1].cam_deg - pair[0].cam_deg;
        if cam_deg <= GAP_STEPS * step || !(on_lobe(&pair[0]) || on_lobe(&pair[1])) {
            continue;
        }
        let taken_out = notes.iter().any(|note| match note {
            RowNote::LeftOut { row: out, .. } => row.min(next) < *out && *out < row.max(next),
            _ => false,
        });
        if taken_out {
            continue;
        }
        if cam_deg > GAP_BRIDGED_DEG.max(GAP_STEPS * step) || cam_deg > GAP_BRIDGED_STEPS * step {
            return Err(RowError::Gap { row, next, cam_deg });
        }
        notes.push(RowNote::Bridged { row, next, cam_deg });
    }
    Ok(())
}

pub(crate) fn usual_step(rows: &[Row]) -> f64 {
    median(rows.windows(2).map(|pair| pair[1].cam_deg - pair[0].cam_deg).collect())
}

pub(crate) fn lift_range(rows: &[Row]) -> (f64, f64) {
    let lifts = rows.iter().map(|row| row.lift_mm);
    lifts.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), lift| (lo.min(lift), hi.max(lift)))
}

pub(crate) fn median(mut values: Vec<f64>) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let mid = values.len() / 2;
    *values.select_nth_unstable_by(mid, f64::total_cmp).1
}
