//! How far a cycle still is from repeating itself, and a shorter way there.
//!
//! One cycle maps the state x at its start to G(x) at its end; r = G(x) - x. The last few cycles say how r changes
//! with x, which gives both an estimate of the true error and the mixed state of D. G. Anderson (1965), J. ACM 12:547.
//! Leaves out what the numbers of a state mean.

/// Differences of cycles that are looked at together.
const MOST_DEPTH: usize = 3;

/// Largest ratio of successive changes that is believed: a larger one would make any noise a large error.
const MOST_RATIO: f64 = 0.95;

/// Least factor on the last change of a quantity: a quantity that happens to stand still while the state still moves has not
/// settled. Ours; with twice the estimate it covers all of 156 marches of the demos, wide open and throttled.
const LEAST_SERIES: f64 = 1.0;

/// The last cycles of one engine.
#[derive(Clone, Debug, Default)]
pub struct Convergence {
    /// Newest last, at most `MOST_DEPTH + 1`.
    cycles: Vec<Cycle>,
}

#[derive(Clone, Debug)]
struct Cycle {
    /// State at the end.
    end: Vec<f64>,
    /// End less start, weighted.
    residual: Vec<f64>,
    given: Given,
}

/// What a cycle gave beside its state.
#[derive(Clone, Debug, Default)]
pub struct Given {
    /// Quantities whose true error is wanted, in any units.
    pub quantities: Vec<f64>,
    /// What the error of each is taken over. Those of the last cycle count for all: a quantity over a scale that moves with
    /// it would seem to stand still.
    pub scales: Vec<f64>,
    /// What goes with the state at the end and is mixed like it, but has no say in how.
    pub extra: Vec<f64>,
}

/// How far a cycle is from repeating itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Estimated true error of the worst quantity, relative; infinite while there is only one cycle.
    pub quantities: f64,
    /// The same of the state: the root of its mean square.
    pub state: f64,
    /// Change of the state over the cycle.
    pub change: f64,
    /// Ratio of the last two changes of the state.
    pub ratio: f64,
}

impl Convergence {
    /// Nothing known.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes in a cycle and says how far it is from repeating itself.
    ///
    /// `weights` make the numbers of a state comparable: the sum of (weight x relative change)^2 is a mean square.
    /// With one difference of cycles this is change x lambda / (1 - lambda), lambda the ratio of successive changes
    /// (the sum of the geometric series to come); with the least-squares combination gamma of the residuals'
    /// differences it is the change to where the residual vanishes, Sum gamma dq. The greater of both is given, never less than the
    /// last change itself, and what no combination explains is added.
    pub fn after_cycle(&mut self, start: &[f64], end: &[f64], weights: &[f64], given: Given) -> Estimate {
        let residual = end.iter().zip(start).zip(weights).map(|((e, s), w)| w * (e - s)).collect();
        if self.cycles.len() > MOST_DEPTH {
            self.cycles.remove(0);
        }
        self.cycles.push(Cycle { end: end.to_vec(), residual, given });
        self.estimate(weights)
    }

    fn estimate(&self, weights: &[f64]) -> Estimate {
        let Some(last) = self.cycles.last() else {
            return Estimate {
                quantities: f64::INFINITY,
                state: f64::INFINITY,
                change: f64::INFINITY,
                ratio: 1.0,
            };
        };
        let change = norm(&last.residual);
        let Some(before) = self.cycles.len().checked_sub(2).map(|i| &self.cycles[i]) else {
            return Estimate { quantities: f64::INFINITY, state: f64::INFINITY, change, ratio: 1.0 };
        };
        let ratio = if change > 0.0 { change / norm(&before.residual) } else { 0.0 };
        let bounded = ratio.min(MOST_RATIO);
        let series = bounded / (1.0 - bounded);
        let scales = &last.given.scales;
        let moved = largest(&last.given.quantities, &before.given.quantities, scales);
        let mut quantities = moved * series.max(LEAST_SERIES);
        let mut state = change * series;
        for depth in 1..self.cycles.len() {
            let mix = self.combination(depth);
            let to_come = (0..scales.len())
                .map(|q| {
                    let at = |cycle: &Cycle| cycle.given.quantities[q] / scales[q];
                    mix.iter()
                        .enumerate()
                        .map(|(j, g)| g * (at(self.back(j)) - at(self.back(j + 1))))
                        .sum::<f64>()
                        .abs()
                })
                .fold(0.0, f64::max);
            quantities = quantities.max(to_come + moved * self.unexplained(&mix));
            state = state.max(self.correction(&mix, weights));
        }
        Estimate { quantities, state, change, ratio }
    }

    /// A state that is nearer to the solution than the end of the last cycle, and what goes with it, if enough cycles are
    /// known.
    pub fn mixed(&self) -> Option<(Vec<f64>, Vec<f64>)> {
        let depth = self.cycles.len().checked_sub(1).filter(|&d| d > 0)?;
        let mix = self.combination(depth);
        let of = |what: fn(&Cycle) -> &[f64]| {
            let mut numbers = what(self.back(0)).to_vec();
            for (j, g) in mix.iter().enumerate() {
                for ((x, a), b) in numbers.iter_mut().zip(what(self.back(j))).zip(what(self.back(j + 1))) {
                    *x -= g * (a - b);
                }
            }
            numbers
        };
        Some((of(|cycle| &cycle.end), of(|cycle| &cycle.given.extra)))
    }

    /// The cycle `n` before the last.
    fn back(&self, n: usize) -> &Cycle {
        &self.cycles[self.cycles.len() - 1 - n]
    }

    /// gamma of the least squares |r - Sum gamma_j (r_j - r_{j+1})|, newest difference first.
    fn combination(&self, depth: usize) -> Vec<f64> {
        let difference = |j: usize| -> Vec<f64> {
            self.back(j).residual.iter().zip(&self.back(j + 1).residual).map(|(a, b)| a - b).collect()
        };
        let columns: Vec<Vec<f64>> = (0..depth).map(difference).collect();
        let newest = &self.back(0).residual;
        let mut matrix = vec![vec![0.0; depth + 1]; depth];
        for i in 0..depth {
            for j in 0..depth {
                matrix[i][j] = dot(&columns[i], &columns[j]);
            }
            matrix[i][depth] = dot(&columns[i], newest);
        }
        // A touch on the diagonal, so that differences that nearly agree do not cancel with large factors.
        for (i, row) in matrix.iter_mut().enumerate() {
            row[i] = row[i] * (1.0 + 1e-8) + f64::MIN_POSITIVE;
        }
        solve(matrix)
    }

    /// Share of the last residual that a combination leaves.
    fn unexplained(&self, mix: &[f64]) -> f64 {
        let newest = &self.back(0).residual;
        let mut left = newest.clone();
        for (j, g) in mix.iter().enumerate() {
            for ((x, a), b) in left.iter_mut().zip(&self.back(j).residual).zip(&self.back(j + 1).residual) {
                *x -= g * (a - b);
            }
        }
        let all = norm(newest);
        if all > 0.0 { norm(&left) / all } else { 0.0 }
    }

    fn correction(&self, mix: &[f64], weights: &[f64]) -> f64 {
        let mut sum = 0.0;
        for (i, w) in weights.iter().enumerate() {
            let step: f64 = mix
                .iter()
                .enumerate()
                .map(|(j, g)| g * (self.back(j).end[i] - self.back(j + 1).end[i]))
                .sum();
            sum += (w * step) * (w * step);
        }
        sum.sqrt()
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

fn norm(a: &[f64]) -> f64 {
    dot(a, a).sqrt()
}

fn largest(a: &[f64], b: &[f64], scales: &[f64]) -> f64 {
    a.iter().zip(b).zip(scales).map(|((x, y), scale)| (x - y).abs() / scale).fold(0.0, f64::max)
}

/// Solves a small positive definite system given with its right side as last column.
fn solve(mut rows: Vec<Vec<f64>>) -> Vec<f64> {
    let n = rows.len();
    for i in 0..n {
        let pivot = rows[i].clone();
        for row in rows.iter_mut().skip(i + 1) {
            let factor = row[i] / pivot[i];
            for (x, p) in row.iter_mut().zip(&pivot).skip(i) {
                *x -= factor * p;
            }
        }
    }
    let mut answer = vec![0.0; n];
    for i in (0..n).rev() {
        let known: f64 = (i + 1..n).map(|j| rows[i][j] * answer[j]).sum();
        answer[i] = (rows[i][n] - known) / rows[i][i];
    }
    answer
}

#[cfg(test)]
mod tests {
    use super::*;

    fn given(quantity: f64) -> Given {
        Given { quantities: vec![quantity], scales: vec![1.0], extra: Vec::new() }
    }

    /// x -> x* + J (x - x*) with eigenvalues given, in a skewed basis.
    fn map(x: &[f64], ratios: &[f64]) -> Vec<f64> {
        // Modes: y = x - x*, in pairs mixed by a shear; x* is all ones.
        let n = x.len();
        let mut modes: Vec<f64> = x.iter().map(|v| v - 1.0).collect();
        for i in 1..n {
            modes[i] -= 0.5 * modes[i - 1];
        }
        for (mode, ratio) in modes.iter_mut().zip(ratios) {
            *mode *= ratio;
        }
        for i in (1..n).rev() {
            modes[i] += 0.5 * modes[i - 1];
        }
        modes.iter().map(|v| v + 1.0).collect()
    }

    /// One slow mode: the estimate is the true error, though the change is a ninth of it.
    #[test]
    fn exact_one_mode() {
        let ratios = [0.9, 0.0, 0.0];
        let weights = [1.0; 3];
        let mut x = vec![1.5, 1.25, 1.125];
        let mut judge = Convergence::new();
        let mut estimate = None;
        for _ in 0..4 {
            let end = map(&x, &ratios);
            estimate = Some(judge.after_cycle(&x, &end, &weights, given(x[0])));
            x = end;
        }
        // The quantity of the last cycle belongs to the state it began with.
        let truth = (x[0] - 1.0) / 0.9;
        let found = estimate.map_or(f64::NAN, |e| e.quantities);
        assert!((found / truth - 1.0).abs() < 0.12, "{found} for {truth}");
        assert!(found / truth > 0.99, "{found} for {truth}");
        let mixed = judge.mixed().map(|mixed| mixed.0).unwrap_or_default();
        assert!(mixed.iter().all(|v| (v - 1.0).abs() < 1e-5), "{mixed:?}");
    }

    /// Three modes: mixing reaches in seven cycles what plain repetition would need fifty for.
    #[test]
    fn converges_with_mixing() {
        let ratios = [0.9, 0.5, -0.3];
        let weights = [1.0; 3];
        let mut x = vec![2.0, 1.8, 0.7];
        let mut judge = Convergence::new();
        for _ in 0..7 {
            let end = map(&x, &ratios);
            judge.after_cycle(&x, &end, &weights, given(x[0]));
            x = judge.mixed().map_or(end, |mixed| mixed.0);
        }
        assert!(x.iter().all(|v| (v - 1.0).abs() < 1e-5), "{x:?}");
    }
}
