//! Ordinary least squares with few columns: coefficients, their covariance, what each reading leaves over. Leaves out what the
//! columns mean.

/// A fitted model.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// One for each column.
    pub coefficients: Vec<f64>,
    /// (X'X)^-1; times the variance it is the covariance of the coefficients.
    pub unscaled_covariance: Vec<Vec<f64>>,
    /// Readings less fitted values.
    pub residuals: Vec<f64>,
    /// Diagonal of the hat matrix: how far each reading pulls its own fitted value.
    pub leverages: Vec<f64>,
    /// Readings less columns.
    pub degrees_of_freedom: usize,
}

/// A column may lose all but this share of its length to those before it, in rounding alone.
const RANK_TOLERANCE: f64 = 1e-10;

/// Fits `readings` by `columns`; `None` where the columns say the same thing or there are fewer readings than columns.
///
/// Modified Gram-Schmidt, X = Q R, twice over each column so that Q is orthogonal to rounding. Source: Björck, Å. (1994),
/// Numerics of Gram-Schmidt orthogonalization, Linear Algebra Appl. 197-198, 297-316, section 6.
pub fn least_squares(columns: &[Vec<f64>], readings: &[f64]) -> Option<Fit> {
    let n = readings.len();
    let p = columns.len();
    if n < p || p == 0 || columns.iter().any(|column| column.len() != n) {
        return None;
    }
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let mut q: Vec<Vec<f64>> = Vec::new();
    let mut r = vec![vec![0.0; p]; p];
    for (idx, column) in columns.iter().enumerate() {
        let mut rest = column.clone();
        let length = dot(column, column).sqrt();
        for _ in 0..2 {
            for (before, direction) in q.iter().enumerate() {
                let share = dot(direction, &rest);
                r[before][idx] += share;
                rest.iter_mut().zip(direction).for_each(|(rest, direction)| *rest -= share * direction);
            }
        }
        let left = dot(&rest, &rest).sqrt();
        if left <= RANK_TOLERANCE * length || !left.is_finite() {
            return None;
        }
        r[idx][idx] = left;
        q.push(rest.iter().map(|value| value / left).collect());
    }
    let mut residuals = readings.to_vec();
    let mut projected = vec![0.0; p];
    for _ in 0..2 {
        for (share, direction) in projected.iter_mut().zip(&q) {
            let more = dot(direction, &residuals);
            *share += more;
            residuals.iter_mut().zip(direction).for_each(|(rest, direction)| *rest -= more * direction);
        }
    }
    let inverse = inverse_of_upper(&r);
    let coefficients = (0..p).map(|row| dot(&inverse[row], &projected)).collect();
    let unscaled_covariance =
        (0..p).map(|a| (0..p).map(|b| dot(&inverse[a], &inverse[b])).collect()).collect();
    let leverages = (0..n).map(|row| q.iter().map(|direction| direction[row].powi(2)).sum()).collect();
    Some(Fit { coefficients, unscaled_covariance, residuals, leverages, degrees_of_freedom: n - p })
}

fn inverse_of_upper(r: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let p = r.len();
    let mut inverse = vec![vec![0.0; p]; p];
    for row in (0..p).rev() {
        let (_, below) = inverse.split_at(row + 1);
        let entry = |column: usize| {
            let known: f64 = (row + 1..=column).map(|k| r[row][k] * below[k - row - 1][column]).sum();
            let own = if row == column { 1.0 } else { 0.0 };
            if column < row { 0.0 } else { (own - known) / r[row][row] }
        };
        inverse[row] = (0..p).map(entry).collect();
    }
    inverse
}

impl Fit {
    /// Variance of a reading about the fit; none without readings to spare.
    pub fn variance(&self) -> Option<f64> {
        let sum: f64 = self.residuals.iter().map(|rest| rest * rest).sum();
        (self.degrees_of_freedom > 0).then(|| sum / self.degrees_of_freedom as f64)
    }

    /// Standard error of a coefficient.
    pub fn standard_error(&self, column: usize) -> Option<f64> {
        Some((self.variance()? * self.unscaled_covariance[column][column]).sqrt())
    }

    /// How many of its own standard deviations each reading lies off, that deviation estimated without it.
    ///
    /// t_i = e_i sqrt((nu - 1) / (SSE (1 - h_i) - e_i^2)), externally studentised. Source: Cook & Weisberg (1982), Residuals
    /// and Influence in Regression, section 2.2.1. `None` for a reading without which nothing is left to estimate from.
    pub fn studentised(&self) -> Vec<Option<f64>> {
        let sum: f64 = self.residuals.iter().map(|rest| rest * rest).sum();
        let one = |(rest, leverage): (&f64, &f64)| {
            let left = sum * (1.0 - leverage) - rest * rest;
            let known = self.degrees_of_freedom > 1 && *leverage < 1.0 - RANK_TOLERANCE && left > 1e-12 * sum;
            known.then(|| rest * ((self.degrees_of_freedom - 1) as f64 / left).sqrt())
        };
        self.residuals.iter().zip(&self.leverages).map(one).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_a_line_is_found() {
        let x: Vec<f64> = (0..7).map(f64::from).collect();
        let y: Vec<f64> = x.iter().map(|x| 3.0 - 0.5 * x).collect();
        let fit = least_squares(&[vec![1.0; 7], x], &y).expect("columns differ");
        assert!((fit.coefficients[0] - 3.0).abs() < 1e-13 && (fit.coefficients[1] + 0.5).abs() < 1e-13);
        assert!((fit.leverages.iter().sum::<f64>() - 2.0).abs() < 1e-13);
        assert_eq!(fit.degrees_of_freedom, 5);
    }

    #[test]
    fn exact_columns_that_say_the_same_are_refused() {
        let ones = vec![1.0; 5];
        assert_eq!(least_squares(&[ones.clone(), vec![2.0; 5]], &ones), None);
        assert_eq!(least_squares(std::slice::from_ref(&ones), &[]), None);
    }
}
