//! What is laid over a pull's readings before a curve is drawn: inertia of the rotating parts, smoothing. Leaves out the
//! correction for weather. The readings themselves are never changed, so both come off again by taking the setting away.

use crate::pull::Rows;

/// Settings of a pull.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Processing {
    /// Moment of inertia of everything that turns with the crank and that the torque reading leaves out, in kg m2.
    pub inertia_kg_m2: Option<f64>,
    /// Width of the moving straight line over speed, in rpm.
    pub smoothing_rpm: Option<f64>,
}

/// Half of the time over which the speed's rise is fitted, in seconds. At 100 readings a second this is fifty of them, at a
/// sweep of 300 to 600 rpm a second 150 to 300 rpm. Our choice, no source.
const HALF_SLOPE_S: f64 = 0.25;
/// Readings a slope is fitted through at least.
const LEAST_SLOPE: usize = 5;

/// Why inertia cannot be added.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ProcessingError {
    /// No times.
    #[error(
        "the pull has no time column, so the engine's acceleration and with it the share of the inertia is not known"
    )]
    NoTime,
}

/// Torque of the rows with the settings applied, one for each row.
///
/// T = T_brake + I alpha. A brake that holds less than the engine gives lets the rotating parts speed up; the load cell does
/// not see that part. Newton's second law for rotation; `inertia_kg_m2` has to be what turns at crank speed between the
/// engine and the cell, engine included where the torque of combustion is wanted.
pub fn processed_torque_nm(rows: &Rows, processing: &Processing) -> Result<Vec<f64>, ProcessingError> {
    let mut torque_nm = rows.torque_nm().to_vec();
    if let Some(inertia_kg_m2) = processing.inertia_kg_m2 {
        let time_s = rows.time_s().ok_or(ProcessingError::NoTime)?;
        let alpha = acceleration_rad_s2(time_s, rows.speed_rpm());
        for (torque, alpha) in torque_nm.iter_mut().zip(alpha) {
            *torque += inertia_kg_m2 * alpha;
        }
    }
    if let Some(width_rpm) = processing.smoothing_rpm {
        torque_nm = smoothed(rows.speed_rpm(), &torque_nm, width_rpm);
    }
    Ok(torque_nm)
}

/// Angular acceleration at each reading: slope of the straight line through the speeds within [`HALF_SLOPE_S`], or through the
/// nearest readings where those are fewer than [`LEAST_SLOPE`]. Exact for a steady sweep.
pub fn acceleration_rad_s2(time_s: &[f64], speed_rpm: &[f64]) -> Vec<f64> {
    let n = time_s.len();
    let (mut from, mut to) = (0, 0);
    (0..n)
        .map(|idx| {
            while from < idx && time_s[from] < time_s[idx] - HALF_SLOPE_S {
                from += 1;
            }
            to = to.max(idx);
            while to < n && time_s[to] <= time_s[idx] + HALF_SLOPE_S {
                to += 1;
            }
            let (mut first, mut last) = (from, to);
            if last - first < LEAST_SLOPE {
                first = idx.saturating_sub(LEAST_SLOPE / 2).min(n.saturating_sub(LEAST_SLOPE));
                last = (first + LEAST_SLOPE).min(n);
            }
            let slope =
                line(&time_s[first..last], &speed_rpm[first..last], time_s[idx]).map_or(0.0, |line| line.1);
            slope * std::f64::consts::PI / 30.0
        })
        .collect()
}

/// Each value replaced by that of the straight line through all values within half of `width` of it. A straight course is
/// left as it is; peaks narrower than the width are flattened, which is why the width is printed with the curve.
pub fn smoothed(at: &[f64], values: &[f64], width: f64) -> Vec<f64> {
    let order = ascending(at);
    let xs: Vec<f64> = order.iter().map(|idx| at[*idx]).collect();
    let ys: Vec<f64> = order.iter().map(|idx| values[*idx]).collect();
    let mut out = values.to_vec();
    for (idx, x) in order.iter().zip(&xs) {
        let from = xs.partition_point(|other| *other < x - 0.5 * width);
        let to = xs.partition_point(|other| *other <= x + 0.5 * width);
        if let Some((level, _)) = line(&xs[from..to], &ys[from..to], *x) {
            out[*idx] = level;
        }
    }
    out
}

/// Order of indices by value; equal values keep theirs.
pub(crate) fn ascending(values: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    order
}

/// Level at `at` and slope of the least-squares line; the mean and no slope where all stand at one place. `None` without
/// points.
pub(crate) fn line(xs: &[f64], ys: &[f64], at: f64) -> Option<(f64, f64)> {
    let n = xs.len() as f64;
    if xs.is_empty() {
        return None;
    }
    let mean_x = xs.iter().sum::<f64>() / n;
    let mean_y = ys.iter().sum::<f64>() / n;
    let sxx: f64 = xs.iter().map(|x| (x - mean_x).powi(2)).sum();
    let sxy: f64 = xs.iter().zip(ys).map(|(x, y)| (x - mean_x) * (y - mean_y)).sum();
    // Places that differ by rounding alone carry no slope.
    let noise = f64::EPSILON * f64::EPSILON * n * mean_x * mean_x * 16.0;
    let slope = if sxx > noise { sxy / sxx } else { 0.0 };
    Some((mean_y + slope * (at - mean_x), slope))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A steady sweep: 400 rpm a second behind 0.3 kg m2 hides 0.3 * 400 pi / 30 = 12.566 N m from the load cell.
    #[test]
    fn exact_inertia_of_a_steady_sweep() {
        for direction in [1.0, -1.0] {
            let time_s: Vec<f64> = (0..200).map(|idx| 0.05 * f64::from(idx)).collect();
            let speed: Vec<f64> = time_s.iter().map(|t| 4500.0 + direction * 400.0 * (t - 5.0)).collect();
            let rows = Rows::new(speed, vec![200.0; 200], Some(time_s), Vec::new()).expect("columns fit");
            let processing = Processing { inertia_kg_m2: Some(0.3), smoothing_rpm: None };
            let torque = processed_torque_nm(&rows, &processing).expect("there are times");
            let expected = 200.0 + direction * 0.3 * 400.0 * std::f64::consts::PI / 30.0;
            for got in torque {
                assert!((got - expected).abs() < 1e-9, "{got} N m, expected {expected}");
            }
        }
    }

    #[test]
    fn exact_smoothing_leaves_straight_lines_and_comes_off_again() {
        let at: Vec<f64> = (0..60).map(|idx| 2000.0 + 50.0 * f64::from((idx * 7) % 60)).collect();
        let straight: Vec<f64> = at.iter().map(|rpm| 100.0 + 0.02 * rpm).collect();
        for (got, expected) in smoothed(&at, &straight, 400.0).iter().zip(&straight) {
            assert!((got - expected).abs() < 1e-9);
        }
        let wavy: Vec<f64> = at.iter().map(|rpm| 150.0 + (rpm / 90.0).sin()).collect();
        let rows = Rows::new(at, wavy.clone(), None, Vec::new()).expect("columns fit");
        let smooth = Processing { inertia_kg_m2: None, smoothing_rpm: Some(500.0) };
        assert_ne!(processed_torque_nm(&rows, &smooth).expect("no times needed"), wavy);
        assert_eq!(processed_torque_nm(&rows, &Processing::default()).expect("no times needed"), wavy);
    }

    #[test]
    fn exact_inertia_without_times_is_refused() {
        let rows = Rows::new(vec![1.0, 2.0], vec![1.0, 2.0], None, Vec::new()).expect("columns fit");
        let processing = Processing { inertia_kg_m2: Some(0.1), smoothing_rpm: None };
        assert_eq!(processed_torque_nm(&rows, &processing), Err(ProcessingError::NoTime));
    }
}
