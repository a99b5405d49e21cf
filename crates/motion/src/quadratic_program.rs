//! The smoothest of all vectors that meet equalities and inequalities: a small, dense, strictly convex quadratic
//! program. Leaves out large or sparse problems.

/// One condition: `row . x = rhs`, or `>= rhs`.
#[derive(Clone, Debug)]
pub(crate) struct Condition {
    pub row: Vec<f64>,
    pub rhs: f64,
}

/// Why there is no answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum NoSolution {
    /// No vector meets all conditions.
    Infeasible,
    /// The matrix is not positive definite, or the iteration did not end.
    Numerical,
}

/// Rounds before giving up, for each inequality.
const ROUNDS_PER_CONDITION: usize = 20;
/// A condition is met when it is short by less than this share of its scale.
const FEASIBLE: f64 = 1e-11;
/// The final answer meets every condition to this share of its scale.
const MET: f64 = 1e-12;
/// Directions shorter than this share of their scale count as none.
const DEPENDENT: f64 = 1e-11;

/// Minimises x'Hx/2 + g'x with `equal` and `at_least` met.
///
/// Dual active-set method: start at the free minimum, take the most violated condition, step toward it, drop those
/// whose multiplier would turn. Goldfarb and Idnani (1983), "A numerically stable dual method for solving strictly
/// convex quadratic programs", Math. Programming 27, 1-33, from memory. Departure: the few active conditions are
/// factored anew each round instead of being updated. The last active set is solved once more as one symmetric system
/// with two steps of refinement, so equalities hold to rounding.
pub(crate) fn minimise(
    h: &[Vec<f64>],
    g: &[f64],
    equal: &[Condition],
    at_least: &[Condition],
) -> Result<Vec<f64>, NoSolution> {
    let chol = cholesky(h).ok_or(NoSolution::Numerical)?;
    let negative_g: Vec<f64> = g.iter().map(|v| -v).collect();
    let mut state = State { h: &chol, x: cholesky_solve(&chol, &negative_g), active: Vec::new() };
    for condition in equal {
        state.take_equality(condition)?;
    }
    let scales: Vec<f64> = at_least.iter().map(|c| norm(&c.row).max(f64::MIN_POSITIVE)).collect();
    for _ in 0..ROUNDS_PER_CONDITION * (at_least.len() + 1) {
        let size = 1.0 + norm(&state.x);
        let worst = at_least
            .iter()
            .zip(&scales)
            .enumerate()
            .filter(|(idx, _)| !state.holds(*idx))
            .map(|(idx, (c, scale))| (idx, (dot(&c.row, &state.x) - c.rhs) / scale))
            .min_by(|a, b| a.1.total_cmp(&b.1));
        match worst {
            Some((idx, short)) if short < -FEASIBLE * size => state.take_inequality(idx, &at_least[idx])?,
            _ => {
                let x = polish(h, g, &state)?;
                return if meets(&x, equal, at_least) { Ok(x) } else { Err(NoSolution::Infeasible) };
            }
        }
    }
    Err(NoSolution::Numerical)
}

struct Active {
    /// `None` for an equality, which is never dropped.
    idx: Option<usize>,
    row: Vec<f64>,
    rhs: f64,
    multiplier: f64,
}

struct State<'a> {
    h: &'a [Vec<f64>],
    x: Vec<f64>,
    active: Vec<Active>,
}

impl State<'_> {
    fn holds(&self, idx: usize) -> bool {
        self.active.iter().any(|a| a.idx == Some(idx))
    }

    /// Steps of `x` and of the multipliers when a condition with this row is pressed on.
    fn directions(&self, row: &[f64]) -> Result<(Vec<f64>, Vec<f64>), NoSolution> {
        let free = cholesky_solve(self.h, row);
        if self.active.is_empty() {
            return Ok((free, Vec::new()));
        }
        let solved: Vec<Vec<f64>> = self.active.iter().map(|a| cholesky_solve(self.h, &a.row)).collect();
        let schur: Vec<Vec<f64>> =
            self.active.iter().map(|a| solved.iter().map(|s| dot(&a.row, s)).collect()).collect();
        let rhs: Vec<f64> = self.active.iter().map(|a| dot(&a.row, &free)).collect();
        let chol = cholesky(&schur).ok_or(NoSolution::Numerical)?;
        let r = cholesky_solve(&chol, &rhs);
        let mut z = free;
        for (s, r) in solved.iter().zip(&r) {
            add_scaled(&mut z, -r, s);
        }
        Ok((z, r))
    }

    fn take_equality(&mut self, condition: &Condition) -> Result<(), NoSolution> {
        let (z, r) = self.directions(&condition.row)?;
        let slope = dot(&z, &condition.row);
        let short = condition.rhs - dot(&condition.row, &self.x);
        let scale = dot(&cholesky_solve(self.h, &condition.row), &condition.row);
        if slope <= DEPENDENT * scale {
            let size = norm(&condition.row) * (1.0 + norm(&self.x));
            return if short.abs() <= FEASIBLE * size { Ok(()) } else { Err(NoSolution::Infeasible) };
        }
        let t = short / slope;
        add_scaled(&mut self.x, t, &z);
        for (a, r) in self.active.iter_mut().zip(&r) {
            a.multiplier -= t * r;
        }
        self.active.push(Active { idx: None, row: condition.row.clone(), rhs: condition.rhs, multiplier: t });
        Ok(())
    }

    fn take_inequality(&mut self, idx: usize, condition: &Condition) -> Result<(), NoSolution> {
        let scale = dot(&cholesky_solve(self.h, &condition.row), &condition.row);
        let mut multiplier = 0.0;
        loop {
            let (z, r) = self.directions(&condition.row)?;
            let blocking = self
                .active
                .iter()
                .zip(&r)
                .enumerate()
                .filter(|(_, (a, r))| a.idx.is_some() && **r > 0.0)
                .map(|(i, (a, r))| (i, a.multiplier / r))
                .min_by(|a, b| a.1.total_cmp(&b.1));
            let slope = dot(&z, &condition.row);
            let moves = slope > DEPENDENT * scale;
            let full = (condition.rhs - dot(&condition.row, &self.x)) / slope;
            let (t, drop) = match blocking {
                Some((i, t)) if !moves || t < full => (t, Some(i)),
                _ if moves => (full, None),
                _ => return Err(NoSolution::Infeasible),
            };
            if moves {
                add_scaled(&mut self.x, t, &z);
            }
            for (a, r) in self.active.iter_mut().zip(&r) {
                a.multiplier -= t * r;
            }
            multiplier += t;
            match drop {
                Some(i) => {
                    self.active.remove(i);
                }
                None => {
                    let (row, rhs) = (condition.row.clone(), condition.rhs);
                    self.active.push(Active { idx: Some(idx), row, rhs, multiplier });
                    return Ok(());
                }
            }
        }
    }
}

/// Conditions that contradict each other by next to nothing end in huge multipliers; what comes out is looked at again.
fn meets(x: &[f64], equal: &[Condition], at_least: &[Condition]) -> bool {
    let size = 1.0 + norm(x);
    let allowed = |c: &Condition| MET * norm(&c.row) * size;
    equal.iter().all(|c| (dot(&c.row, x) - c.rhs).abs() <= allowed(c))
        && at_least.iter().all(|c| dot(&c.row, x) - c.rhs >= -allowed(c))
}

/// Solves the equality problem of the last active set once more, with refinement.
fn polish(h: &[Vec<f64>], g: &[f64], state: &State) -> Result<Vec<f64>, NoSolution> {
    let (n, m) = (h.len(), state.active.len());
    let mut kkt = vec![vec![0.0; n + m]; n + m];
    let mut rhs = vec![0.0; n + m];
    for (i, (h_row, g)) in h.iter().zip(g).enumerate() {
        kkt[i][..n].copy_from_slice(h_row);
        rhs[i] = -g;
    }
    for (j, a) in state.active.iter().enumerate() {
        for (i, &value) in a.row.iter().enumerate() {
            kkt[n + j][i] = value;
            kkt[i][n + j] = value;
        }
        rhs[n + j] = a.rhs;
    }
    let lu = Lu::factor(kkt.clone()).ok_or(NoSolution::Numerical)?;
    let mut solution = lu.solve(&rhs);
    for _ in 0..2 {
        let residual: Vec<f64> = kkt.iter().zip(&rhs).map(|(row, b)| b - dot(row, &solution)).collect();
        add_scaled(&mut solution, 1.0, &lu.solve(&residual));
    }
    solution.truncate(n);
    if solution.iter().all(|v| v.is_finite()) { Ok(solution) } else { Err(NoSolution::Numerical) }
}

/// Lower triangle of a positive definite matrix.
fn cholesky(a: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let n = a.len();
    let mut l = vec![vec![0.0; n]; n];
    for i in 0..n {
        for j in 0..=i {
            let sum = a[i][j] - dot(&l[i][..j], &l[j][..j]);
            if i == j {
                if sum.is_nan() || sum <= 0.0 {
                    return None;
                }
                l[i][i] = sum.sqrt();
            } else {
                l[i][j] = sum / l[j][j];
            }
        }
    }
    Some(l)
}

fn cholesky_solve(l: &[Vec<f64>], b: &[f64]) -> Vec<f64> {
    let n = l.len();
    let mut x = b.to_vec();
    for i in 0..n {
        x[i] = (x[i] - dot(&l[i][..i], &x[..i])) / l[i][i];
    }
    for i in (0..n).rev() {
        x[i] /= l[i][i];
        for j in 0..i {
            x[j] -= l[i][j] * x[i];
        }
    }
    x
}

/// A square matrix factored with row exchanges.
struct Lu {
    rows: Vec<Vec<f64>>,
    order: Vec<usize>,
}

impl Lu {
    fn factor(mut rows: Vec<Vec<f64>>) -> Option<Self> {
        let n = rows.len();
        let mut order: Vec<usize> = (0..n).collect();
        for k in 0..n {
            let pivot = (k..n).max_by(|&a, &b| rows[a][k].abs().total_cmp(&rows[b][k].abs()))?;
            if rows[pivot][k].is_nan() || rows[pivot][k] == 0.0 {
                return None;
            }
            rows.swap(k, pivot);
            order.swap(k, pivot);
            let (above, below) = rows.split_at_mut(k + 1);
            let pivot_row = &above[k];
            for row in below {
                let factor = row[k] / pivot_row[k];
                row[k] = factor;
                for j in k + 1..n {
                    row[j] -= factor * pivot_row[j];
                }
            }
        }
        Some(Self { rows, order })
    }

    fn solve(&self, b: &[f64]) -> Vec<f64> {
        let n = self.rows.len();
        let mut x: Vec<f64> = self.order.iter().map(|&i| b[i]).collect();
        for i in 0..n {
            x[i] -= dot(&self.rows[i][..i], &x[..i]);
        }
        for i in (0..n).rev() {
            x[i] = (x[i] - dot(&self.rows[i][i + 1..], &x[i + 1..])) / self.rows[i][i];
        }
        x
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn norm(a: &[f64]) -> f64 {
    dot(a, a).sqrt()
}

fn add_scaled(a: &mut [f64], factor: f64, b: &[f64]) {
    for (a, b) in a.iter_mut().zip(b) {
        *a += factor * b;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn identity(n: usize) -> Vec<Vec<f64>> {
        (0..n).map(|i| (0..n).map(|j| f64::from(u8::from(i == j))).collect()).collect()
    }

    fn condition(row: &[f64], rhs: f64) -> Condition {
        Condition { row: row.to_vec(), rhs }
    }

    /// Nearest point of a triangle to a point outside, by hand: (1, 0) to x + y = 3 with x <= 1 is (1, 2).
    #[test]
    fn exact_corner() {
        let x = minimise(
            &identity(2),
            &[-1.0, 0.0],
            &[condition(&[1.0, 1.0], 3.0)],
            &[condition(&[-1.0, 0.0], -1.0)],
        )
        .expect("feasible");
        assert!((x[0] - 1.0).abs() < 1e-14 && (x[1] - 2.0).abs() < 1e-14, "{x:?}");
    }

    #[test]
    fn exact_infeasible_is_said() {
        let at_least = [condition(&[1.0, 0.0], 1.0), condition(&[-1.0, 0.0], 0.0)];
        assert_eq!(minimise(&identity(2), &[0.0, 0.0], &[], &at_least), Err(NoSolution::Infeasible));
        let equal = [condition(&[1.0, 1.0], 1.0), condition(&[2.0, 2.0], 3.0)];
        assert_eq!(minimise(&identity(2), &[0.0, 0.0], &equal, &[]), Err(NoSolution::Infeasible));
    }
}
