//! B-spline functions on any knots: values, derivatives, and conversion to pieces of power series.

/// Highest degree in use.
pub(crate) const MAX_DEGREE: usize = 5;

/// Values and derivatives of the functions that are not zero at one place: `at[k][j]` is derivative `k` of
/// function `first + j`.
pub(crate) struct Local {
    pub first: usize,
    pub at: [[f64; MAX_DEGREE + 1]; MAX_DEGREE + 1],
}

/// B-splines of one degree on clamped knots: the end knots are repeated, so the first and last function alone give
/// the value at the ends.
pub(crate) struct Basis {
    knots: Vec<f64>,
    degree: usize,
}

impl Basis {
    /// On rising breaks.
    pub fn clamped(breaks: &[f64], degree: usize) -> Self {
        debug_assert!(degree <= MAX_DEGREE && breaks.len() >= 2);
        let (first, last) = (breaks[0], breaks[breaks.len() - 1]);
        let mut knots = vec![first; degree];
        knots.extend_from_slice(breaks);
        knots.extend(std::iter::repeat_n(last, degree));
        Self { knots, degree }
    }

    /// How many functions there are.
    pub fn len(&self) -> usize {
        self.knots.len() - self.degree - 1
    }

    /// Integral of function `i` over everything, in the unit of the knots.
    pub fn integral(&self, i: usize) -> f64 {
        (self.knots[i + self.degree + 1] - self.knots[i]) / (self.degree + 1) as f64
    }

    /// Width that turns a difference of coefficients `i` and `i - 1` into one of the derivative.
    pub fn step(&self, i: usize) -> f64 {
        (self.knots[i + self.degree] - self.knots[i]) / self.degree as f64
    }

    /// Which knot interval `x` falls in, as the index of its left knot; ends belong to the outermost intervals.
    fn interval(&self, x: f64) -> usize {
        let last = self.len() - 1;
        let right = self.knots.partition_point(|&knot| knot <= x);
        right.saturating_sub(1).clamp(self.degree, last)
    }

    /// Everything that is not zero at `x`, with the first `n_derivatives` derivatives.
    ///
    /// Triangular recursion of Cox and de Boor, derivatives by differences of lower-degree functions: Piegl and
    /// Tiller (1997), "The NURBS Book", algorithms A2.2 and A2.3, from memory.
    pub fn local(&self, x: f64, n_derivatives: usize) -> Local {
        let span = self.interval(x);
        self.local_in(span, x, n_derivatives)
    }

    fn local_in(&self, span: usize, x: f64, n_derivatives: usize) -> Local {
        let p = self.degree;
        let mut table = [[0.0; MAX_DEGREE + 1]; MAX_DEGREE + 1];
        let (mut left, mut right) = ([0.0; MAX_DEGREE + 1], [0.0; MAX_DEGREE + 1]);
        table[0][0] = 1.0;
        for j in 1..=p {
            left[j] = x - self.knots[span + 1 - j];
            right[j] = self.knots[span + j] - x;
            let mut saved = 0.0;
            for r in 0..j {
                table[j][r] = right[r + 1] + left[j - r];
                let part = table[r][j - 1] / table[j][r];
                table[r][j] = saved + right[r + 1] * part;
                saved = left[j - r] * part;
            }
            table[j][j] = saved;
        }
        let mut at = [[0.0; MAX_DEGREE + 1]; MAX_DEGREE + 1];
        for j in 0..=p {
            at[0][j] = table[j][p];
        }
        for r in 0..=p {
            let mut a = [[0.0; MAX_DEGREE + 1]; 2];
            let (mut now, mut next) = (0, 1);
            a[0][0] = 1.0;
            for k in 1..=n_derivatives.min(p) {
                let mut sum = 0.0;
                let lower = p - k;
                if r >= k {
                    a[next][0] = a[now][0] / table[lower + 1][r - k];
                    sum = a[next][0] * table[r - k][lower];
                }
                let j_lo = if r + 1 >= k { 1 } else { k - r };
                let j_hi = if r <= lower + 1 { k - 1 } else { p - r };
                for j in j_lo..=j_hi {
                    let column = r + j - k;
                    a[next][j] = (a[now][j] - a[now][j - 1]) / table[lower + 1][column];
                    sum += a[next][j] * table[column][lower];
                }
                if r <= lower {
                    a[next][k] = -a[now][k - 1] / table[lower + 1][r];
                    sum += a[next][k] * table[r][lower];
                }
                at[k][r] = sum;
                std::mem::swap(&mut now, &mut next);
            }
        }
        let mut factor = p as f64;
        for (k, derivative) in at.iter_mut().enumerate().take(n_derivatives.min(p) + 1).skip(1) {
            for value in &mut derivative[..=p] {
                *value *= factor;
            }
            factor *= (p - k) as f64;
        }
        Local { first: span - p, at }
    }

    /// The spline with these coefficients as breaks and power series around the left end of each piece.
    pub fn to_pieces(&self, coefficients: &[f64]) -> (Vec<f64>, Vec<[f64; MAX_DEGREE + 1]>) {
        let p = self.degree;
        let mut breaks = Vec::new();
        let mut pieces = Vec::new();
        for span in p..self.len() {
            if self.knots[span + 1] <= self.knots[span] {
                continue;
            }
            let local = self.local_in(span, self.knots[span], p);
            let mut piece = [0.0; MAX_DEGREE + 1];
            let mut factorial = 1.0;
            for (k, power) in piece.iter_mut().enumerate().take(p + 1) {
                if k > 0 {
                    factorial *= k as f64;
                }
                let sum: f64 = (0..=p).map(|j| local.at[k][j] * coefficients[local.first + j]).sum();
                *power = sum / factorial;
            }
            breaks.push(self.knots[span]);
            pieces.push(piece);
        }
        breaks.push(self.knots[self.knots.len() - 1]);
        (breaks, pieces)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_partition_of_unity_and_derivatives() {
        let basis = Basis::clamped(&[0.0, 1.0, 1.5, 4.0, 5.0], 5);
        assert_eq!(basis.len(), 9);
        for x in [0.0, 0.3, 1.0, 1.2, 3.9, 5.0] {
            let local = basis.local(x, 3);
            let sum = |k: usize| local.at[k].iter().sum::<f64>();
            assert!((sum(0) - 1.0).abs() < 1e-14);
            assert!(sum(1).abs() < 1e-12 && sum(2).abs() < 1e-12 && sum(3).abs() < 1e-11);
        }
    }

    /// Pieces give the spline's own value and slope back.
    #[test]
    fn exact_pieces_follow_the_spline() {
        let basis = Basis::clamped(&[0.0, 0.5, 2.0, 3.0], 4);
        let c: Vec<f64> = (0..basis.len()).map(|i| ((i * i) as f64).sin()).collect();
        let (breaks, pieces) = basis.to_pieces(&c);
        for x in [0.1, 0.7, 1.9, 2.5] {
            let i = breaks.partition_point(|&b| b <= x) - 1;
            let t = x - breaks[i];
            let series = pieces[i].iter().rev().fold(0.0, |sum, c| sum * t + c);
            let local = basis.local(x, 0);
            let direct: f64 = (0..=4).map(|j| local.at[0][j] * c[local.first + j]).sum();
            assert!((series - direct).abs() < 1e-13, "{x}: {series} {direct}");
        }
    }
}
