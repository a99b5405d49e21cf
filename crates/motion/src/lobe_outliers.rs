//! Which lifts of a measured lobe do not fit their neighbours, and what single slip explains them. Leaves out the order
//! of the rows.

use crate::lobe_rows::{ON_LOBE, Row, RowError, RowNote, lift_range, median, usual_step};

/// A lift that is off its neighbours by more than this many times the usual is bad.
const BAD: f64 = 7.0;
/// Median of the absolute value of a normal number with a standard deviation of one.
const MEDIAN_OF_NORMAL: f64 = 0.6745;
/// Steps of usual indicators: never call smaller things bad.
const FINEST_MM: f64 = 0.002;
/// Share of the lift by which six neighbours may miss a good row at a step of `COARSE_DEG`, from known lobes.
const COARSE_MISS: f64 = 0.012;
const COARSE_DEG: f64 = 5.0;
/// Most rows that are put right by changing lifts.
const MOST_REPAIRS: usize = 3;
/// A swap is preferred while it leaves no more than this many times what the best repair does.
const SWAP_FIRST: f64 = 1.5;

/// What could be wrong at a bad row.
#[derive(Clone, Copy, Debug)]
enum Repair {
    Swap(usize),
    LeaveOut(usize),
    Shift(usize, f64),
}

/// Finds lifts that their neighbours do not foretell and puts right what a single slip explains.
pub(crate) fn repair_lifts(
    rows: &mut Vec<Row>,
    seats: bool,
    notes: &mut Vec<RowNote>,
) -> Result<(), RowError> {
    for n_repairs in 0.. {
        let scheme = Scheme::new(rows, seats);
        let foretold = Foretold::new(rows, scheme);
        let allowed = Allowed::new(rows, &foretold);
        let (worst, excess) = (0..rows.len())
            .map(|i| (i, allowed.excess(&foretold, i)))
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .expect("checked tables have rows");
        if excess <= 1.0 {
            return Ok(());
        }
        if n_repairs == MOST_REPAIRS {
            return Err(RowError::TooManyBad { row: rows[worst].number, most: MOST_REPAIRS });
        }
        let off_mm = |i: usize| foretold.misses[i].unwrap_or_default();
        let repair = best_repair(rows, worst, scheme, &foretold, &allowed)
            .ok_or_else(|| RowError::Unclear { row: rows[worst].number, off_mm: off_mm(worst) })?;
        match repair {
            Repair::Shift(i, by_mm) => {
                return Err(RowError::Jump { row: rows[i - 1].number, next: rows[i].number, by_mm });
            }
            Repair::Swap(i) => {
                notes.push(RowNote::Swapped { row: rows[i - 1].number, other: rows[i].number });
            }
            Repair::LeaveOut(i) => {
                notes.push(RowNote::LeftOut { row: rows[i].number, off_mm: off_mm(i) });
            }
        }
        apply(rows, repair);
    }
    Ok(())
}

/// The single repair that leaves the rows around a bad one in order; `None` when there is none.
///
/// The one that leaves the least behind is taken; a swap even when it leaves a little more, since it has no number to
/// choose.
fn best_repair(
    rows: &[Row],
    worst: usize,
    scheme: Scheme,
    foretold: &Foretold,
    allowed: &Allowed,
) -> Option<Repair> {
    let mut outcomes = Vec::new();
    for i in worst.saturating_sub(2)..=(worst + 2).min(rows.len() - 1) {
        // A repair that only moves the trouble to where nothing is foretold is none.
        let judged = |i: usize| foretold.misses[i].is_some();
        let mut repairs = Vec::new();
        if judged(i) {
            repairs.push(Repair::LeaveOut(i));
        }
        if i > 0 && judged(i) && judged(i - 1) {
            repairs.push(Repair::Swap(i));
            repairs.extend(foretold.shifts[i].map(|shift| Repair::Shift(i, shift.by_mm)));
        }
        for repair in repairs {
            let (excess, left) = after(rows, repair, worst, scheme, allowed);
            if excess <= 1.0 {
                outcomes.push((repair, left));
            }
        }
    }
    let least = |a: &&(Repair, f64), b: &&(Repair, f64)| a.1.total_cmp(&b.1);
    let best = outcomes.iter().min_by(least)?;
    let swap = outcomes.iter().filter(|(repair, _)| matches!(repair, Repair::Swap(_))).min_by(least);
    let chosen = swap.filter(|(_, left)| *left <= SWAP_FIRST * best.1).unwrap_or(best);
    Some(chosen.0)
}

fn apply(rows: &mut Vec<Row>, repair: Repair) {
    match repair {
        Repair::LeaveOut(i) => {
            rows.remove(i);
        }
        Repair::Swap(i) => {
            let lift = rows[i].lift_mm;
            rows[i].lift_mm = rows[i - 1].lift_mm;
            rows[i - 1].lift_mm = lift;
        }
        Repair::Shift(i, by) => {
            for row in &mut rows[i..] {
                row.lift_mm -= by;
            }
        }
    }
}

/// What is left near a row once a repair is made: the greatest excess, and the mean square miss.
fn after(rows: &[Row], repair: Repair, near: usize, scheme: Scheme, allowed: &Allowed) -> (f64, f64) {
    let reach = 3 * scheme.side + 3;
    let lo = near.saturating_sub(reach);
    let hi = (near + reach + 1).min(rows.len());
    let mut part = rows[lo..hi].to_vec();
    apply(
        &mut part,
        match repair {
            Repair::LeaveOut(i) => Repair::LeaveOut(i - lo),
            Repair::Swap(i) => Repair::Swap(i - lo),
            Repair::Shift(i, by) => Repair::Shift(i - lo, by),
        },
    );
    let foretold = Foretold::new(&part, scheme);
    let excess = (0..part.len()).map(|i| allowed.excess(&foretold, i)).fold(0.0, f64::max);
    let misses: Vec<f64> = foretold.misses.iter().flatten().copied().collect();
    let squares: f64 = misses.iter().map(|m| m * m).sum();
    (excess, squares / misses.len().max(1) as f64)
}

/// How a lift is foretold from its neighbours: least squares by a polynomial.
#[derive(Clone, Copy, Debug)]
struct Scheme {
    /// Neighbours to each side.
    side: usize,
    /// Degree of the polynomial.
    degree: usize,
    /// Below this a valve is on its seat; `None` where no corner is expected.
    seat_mm: Option<f64>,
}

/// Share of the lift below which a valve counts as seated.
const SEATED: f64 = 0.003;
/// Most neighbours to each side, and highest degree.
const MOST_SIDE: usize = 8;
const MOST_DEGREE: usize = 5;
/// A cubic follows a lobe over this far to each side; steps above `CUBIC_STEP_DEG` need a quintic through six.
const CUBIC_REACH_DEG: f64 = 4.0;
const CUBIC_STEP_DEG: f64 = 1.5;

impl Scheme {
    fn new(rows: &[Row], seats: bool) -> Self {
        let (low, high) = lift_range(rows);
        let seat_mm = seats.then_some(low + SEATED * (high - low));
        let step_deg = usual_step(rows);
        if step_deg > CUBIC_STEP_DEG {
            return Self { side: 3, degree: MOST_DEGREE, seat_mm };
        }
        let side = ((CUBIC_REACH_DEG / step_deg) as usize).clamp(3, MOST_SIDE);
        Self { side, degree: 3, seat_mm }
    }

    /// Whether a valve leaves or finds its seat among these rows.
    fn has_corner(&self, rows: &[Row]) -> bool {
        let Some(seat_mm) = self.seat_mm else { return false };
        let n_seated = rows.iter().filter(|row| row.lift_mm <= seat_mm).count();
        n_seated > 0 && n_seated < rows.len()
    }
}

/// How each row compares with what its neighbours foretell; `None` near the ends.
struct Foretold {
    /// Lift less forecast, over what noise of one alone does to that difference.
    misses: Vec<Option<f64>>,
    shifts: Vec<Option<Shift>>,
}

/// A shift of all rows from one on, as the misses around it show it.
#[derive(Clone, Copy)]
struct Shift {
    by_mm: f64,
    /// How plainly it shows, on the scale of a single miss.
    strength_mm: f64,
}

/// Weights of the neighbours in a forecast, nearest rows in order, and the sd of the miss for noise of sd one.
struct Forecast {
    weights: [f64; 2 * MOST_SIDE],
    gain: f64,
}

impl Foretold {
    fn new(rows: &[Row], scheme: Scheme) -> Self {
        let side = scheme.side;
        let forecasts: Vec<Option<Forecast>> = (0..rows.len()).map(|i| forecast(rows, i, scheme)).collect();
        let neighbours = |i: usize| (i - side..i).chain(i + 1..=i + side);
        let misses: Vec<Option<f64>> = forecasts
            .iter()
            .enumerate()
            .map(|(i, forecast)| {
                let Forecast { weights, gain } = forecast.as_ref()?;
                let foretold: f64 = neighbours(i).zip(weights).map(|(j, w)| w * rows[j].lift_mm).sum();
                Some((rows[i].lift_mm - foretold) / gain)
            })
            .collect();
        let shift_at = |at: usize| {
            let (mut top, mut bottom) = (0.0, 0.0);
            let around = at.checked_sub(side)?..at + side;
            for (i, (forecast, miss)) in
                around.clone().zip(forecasts.get(around)?.iter().zip(&misses[at - side..]))
            {
                let Forecast { weights, gain } = forecast.as_ref()?;
                let step = |j: usize| if j >= at { 1.0 } else { 0.0 };
                let foretold: f64 = neighbours(i).zip(weights).map(|(j, w)| w * step(j)).sum();
                let pattern = (step(i) - foretold) / gain;
                top += pattern * (*miss)?;
                bottom += pattern * pattern;
            }
            (bottom > 0.0).then(|| Shift { by_mm: top / bottom, strength_mm: top / bottom.sqrt() })
        };
        let shifts = (0..rows.len()).map(shift_at).collect();
        Self { misses, shifts }
    }
}

/// Least squares of the neighbours by polynomials that are orthogonal on them (Gram and Schmidt), read at the row itself.
fn forecast(rows: &[Row], i: usize, scheme: Scheme) -> Option<Forecast> {
    let Scheme { side, degree, .. } = scheme;
    if i < side || i + side >= rows.len() || scheme.has_corner(&rows[i - side..=i + side]) {
        return None;
    }
    let n = 2 * side;
    let reach = (rows[i + side].cam_deg - rows[i - side].cam_deg) / 2.0;
    let mut x = [0.0; 2 * MOST_SIDE];
    for (x, j) in x.iter_mut().zip((i - side..i).chain(i + 1..=i + side)) {
        *x = (rows[j].cam_deg - rows[i].cam_deg) / reach;
    }
    let mut weights = [0.0; 2 * MOST_SIDE];
    // Values of each polynomial on the neighbours, and at the row.
    let mut basis: Vec<([f64; 2 * MOST_SIDE], f64)> = Vec::with_capacity(degree + 1);
    for power in 0..=degree {
        let mut on = [0.0; 2 * MOST_SIDE];
        for k in 0..n {
            on[k] = x[k].powi(power as i32);
        }
        let mut here = if power == 0 { 1.0 } else { 0.0 };
        for (other, other_here) in &basis {
            let share: f64 = (0..n).map(|k| on[k] * other[k]).sum();
            for k in 0..n {
                on[k] -= share * other[k];
            }
            here -= share * other_here;
        }
        let size = (0..n).map(|k| on[k] * on[k]).sum::<f64>().sqrt();
        for k in 0..n {
            on[k] /= size;
            weights[k] += on[k] * here / size;
        }
        basis.push((on, here / size));
    }
    let gain = (1.0 + weights.iter().map(|w| w * w).sum::<f64>()).sqrt();
    Some(Forecast { weights, gain })
}

/// The largest misses and shifts that are not called bad: so many times the usual ones on the lobe, and never less than
/// an indicator can show or a coarse table shows by itself.
struct Allowed {
    miss_mm: f64,
    shift_mm: f64,
}

impl Allowed {
    fn new(rows: &[Row], foretold: &Foretold) -> Self {
        let (low, high) = lift_range(rows);
        let on_lobe: Vec<usize> =
            (0..rows.len()).filter(|&i| rows[i].lift_mm - low > ON_LOBE * (high - low)).collect();
        let coarse = COARSE_MISS * (high - low) * (usual_step(rows) / COARSE_DEG).powi(4);
        let limit = |sizes: Vec<f64>| BAD * (median(sizes) / MEDIAN_OF_NORMAL).max(FINEST_MM) + coarse;
        let misses = on_lobe.iter().filter_map(|&i| Some(foretold.misses[i]?.abs()));
        let shifts = on_lobe.iter().filter_map(|&i| Some(foretold.shifts[i]?.strength_mm.abs()));
        Self { miss_mm: limit(misses.collect()), shift_mm: limit(shifts.collect()) }
    }

    /// How far a row is over what is allowed; bad above 1.
    fn excess(&self, foretold: &Foretold, i: usize) -> f64 {
        let miss = foretold.misses[i].map_or(0.0, |miss| miss.abs() / self.miss_mm);
        let shift = foretold.shifts[i].map_or(0.0, |shift| shift.strength_mm.abs() / self.shift_mm);
        miss.max(shift)
    }
}
