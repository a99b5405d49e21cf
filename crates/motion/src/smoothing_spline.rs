//! The smooth curve behind noisy lifts. Leaves out bad rows, which have to be gone before.

use crate::bspline::Basis;
use crate::lobe::Piece;

/// Lifts to be smoothed; angles rise. Outside `lo_deg..hi_deg` the curve is zero.
pub(crate) struct Noisy<'a> {
    pub angles_deg: &'a [f64],
    pub lifts_mm: &'a [f64],
    pub lo_deg: f64,
    pub hi_deg: f64,
    /// Standard deviation of one lift, when known.
    pub noise_mm: Option<f64>,
}

/// The smooth curve and what it says about the noise.
pub(crate) struct Smooth {
    pub breaks_deg: Vec<f64>,
    /// Millimetres and degrees.
    pub pieces: Vec<Piece>,
    /// Standard deviation of the lifts about the curve.
    pub noise_mm: f64,
}

/// Quintic: its third derivative is as smooth as a parabola and the penalty is on that derivative.
const DEGREE: usize = 5;
/// The penalised derivative.
const PENALISED: usize = 3;
/// Narrowest and widest pieces. A flank's acceleration pulse is at least about 10 cam degrees wide.
const PIECE_DEG: (f64, f64) = (1.0, 5.0);
/// Weight of the degrees of freedom in the cross-validation score; 1 is plain cross-validation, which now and then
/// smooths far too little. Kim and Gu (2004), "Smoothing spline Gaussian regression", J. R. Statist. Soc. B 66,
/// 337-356, from memory, advise 1.4; the worst accelerations of a hundred noisy tables each of three known lobes come out
/// best at 2.
const FREEDOM_WEIGHT: f64 = 2.0;
/// How often the penalty is weighed anew.
const ADAPTATIONS: usize = 2;
/// The third derivative is averaged over this far to each side before it sets the local weight.
const ADAPT_REACH_DEG: f64 = 8.0;
/// Local weight is (square of the third derivative over its mean + floor)^-power.
const ADAPT_FLOOR: f64 = 0.03;
const ADAPT_POWER: f64 = 0.4;
/// Decades of the smoothing weight that are searched, and steps in each.
const DECADES: (f64, f64) = (-9.0, 9.0);
const STEPS_PER_DECADE: usize = 1;
/// Golden-section rounds within the best step.
const REFINEMENTS: usize = 10;

/// Smooths lifts by the quintic spline with the least of: sum of squares + weight x integral of (third derivative)^2.
///
/// Smoothing spline with its normal equations in B-splines: Reinsch (1967), Numer. Math. 10, 177-183, and de Boor
/// (1978), "A Practical Guide to Splines" ch. XIV, from memory; the penalty is on the third instead of the second
/// derivative because the acceleration is what is wanted. The weight is chosen
/// - with known noise sd s: least SSR + 2 w s^2 freedom, the unbiased estimate of the risk;
/// - else by generalised cross-validation, least m SSR / (m - w freedom)^2 for m lifts;
///
/// both from Craven and Wahba (1979), Numer. Math. 31, 377-403, from memory, there with w = 1.
///
/// The penalty is then weighed down where the third derivative is large and up where it is small, and the curve fitted
/// again: one weight for a whole lobe blurs the flank's pulse or leaves ripple on the nose. After Storlie, Bondell and
/// Reich (2010), "A locally adaptive penalty for estimation of functions with varying roughness", J. Comput. Graph.
/// Statist. 19, 569-589, from memory; reach, floor and power are our own choice, made on noisy tables of known lobes.
///
/// How well the acceleration can come out: a parabola through the rows of a window of width W, h apart, tells the second
/// derivative with a standard deviation of s sqrt(720 h / W^5) (Savitzky and Golay (1964), Anal. Chem. 36, 1627-1639, from
/// memory, for many rows). A flank's pulse rises within some 10 cam degrees, which leaves W about 18 before its shape is
/// lost: with s = 0.0127 mm (0.0005 in) that is 0.0002 mm/deg^2 at h = 0.5 and 0.0003 at h = 1, 2 and 3 % of a usual peak of
/// 0.009. A lobe has about ten such windows, and the worst of ten is off by some two standard deviations: 4 to 5 % of the
/// peak from half-degree rows, 6 % from whole-degree ones, 8 % from rows two degrees apart. Less takes more rows, or a better
/// indicator.
///
/// Freedom is the trace of the matrix from lifts to fitted lifts, from the inverse's central bands alone: Hutchinson
/// and de Hoog (1985), Numer. Math. 47, 99-106, from memory.
pub(crate) fn smooth(noisy: &Noisy) -> Option<Smooth> {
    smooth_adapting(noisy, ADAPTATIONS)
}

/// The same with one weight throughout: enough to see where a lobe begins and ends.
pub(crate) fn smooth_evenly(noisy: &Noisy) -> Option<Smooth> {
    smooth_adapting(noisy, 0)
}

fn smooth_adapting(noisy: &Noisy, n_adaptations: usize) -> Option<Smooth> {
    let mut system = System::new(noisy)?;
    let mut fit = system.best(noisy)?;
    for _ in 0..n_adaptations {
        system.adapt_penalty(&fit.coefficients);
        fit = system.best(noisy)?;
    }
    let (breaks_deg, pieces) = system.basis.to_pieces(&system.all_coefficients(&fit.coefficients));
    let left = (noisy.lifts_mm.len() as f64 - fit.freedom).max(1.0);
    Some(Smooth { breaks_deg, pieces, noise_mm: (fit.squares / left).sqrt() })
}

/// Place of the least score on the searched decades.
fn least(score: impl Fn(f64) -> f64) -> f64 {
    let step = 1.0 / STEPS_PER_DECADE as f64;
    let n = ((DECADES.1 - DECADES.0) / step) as usize;
    let mut best = (DECADES.0, f64::INFINITY);
    for i in 0..=n {
        let at = DECADES.0 + i as f64 * step;
        let value = score(at);
        if value < best.1 {
            best = (at, value);
        }
    }
    let golden = 0.5 * (5f64.sqrt() - 1.0);
    let (mut lo, mut hi) = (best.0 - step, best.0 + step);
    let (mut a, mut b) = (hi - golden * (hi - lo), lo + golden * (hi - lo));
    let (mut at_a, mut at_b) = (score(a), score(b));
    for _ in 0..REFINEMENTS {
        if at_a <= at_b {
            (hi, b, at_b) = (b, a, at_a);
            a = hi - golden * (hi - lo);
            at_a = score(a);
        } else {
            (lo, a, at_a) = (a, b, at_b);
            b = lo + golden * (hi - lo);
            at_b = score(b);
        }
    }
    0.5 * (lo + hi)
}

/// Lower bands of a symmetric matrix: `rows[i][k]` is element (i, i - k).
type Bands = Vec<[f64; DEGREE + 1]>;

struct System {
    basis: Basis,
    breaks: Vec<f64>,
    n: usize,
    normal: Bands,
    penalty: Bands,
    right: Vec<f64>,
    rows: Vec<(usize, [f64; DEGREE + 1])>,
    lifts: Vec<f64>,
}

struct Fit {
    coefficients: Vec<f64>,
    squares: f64,
    freedom: f64,
}

impl System {
    /// Functions that touch the ends are left out, so the curve comes out of zero with four derivatives.
    fn new(noisy: &Noisy) -> Option<Self> {
        let span = noisy.hi_deg - noisy.lo_deg;
        let m = noisy.angles_deg.len();
        if m < 2 || !span.is_finite() || span <= 0.0 {
            return None;
        }
        let step = (noisy.angles_deg[m - 1] - noisy.angles_deg[0]) / (m - 1) as f64;
        let n_pieces = (span / step.clamp(PIECE_DEG.0, PIECE_DEG.1)).round().max(2.0 * DEGREE as f64);
        let n_pieces = n_pieces as usize;
        let breaks: Vec<f64> =
            (0..=n_pieces).map(|i| noisy.lo_deg + span * i as f64 / n_pieces as f64).collect();
        let basis = Basis::clamped(&breaks, DEGREE);
        let n = basis.len() - 2 * DEGREE;
        let mut system = Self {
            n,
            normal: vec![[0.0; DEGREE + 1]; n],
            penalty: vec![[0.0; DEGREE + 1]; n],
            right: vec![0.0; n],
            rows: Vec::with_capacity(m),
            lifts: noisy.lifts_mm.to_vec(),
            basis,
            breaks,
        };
        for (&angle, &lift) in noisy.angles_deg.iter().zip(noisy.lifts_mm) {
            let local = system.basis.local(angle.clamp(noisy.lo_deg, noisy.hi_deg), 0);
            system.rows.push((local.first, local.at[0]));
            add_outer(&mut system.normal, local.first, &local.at[0], 1.0);
            for (j, value) in local.at[0].iter().enumerate() {
                if let Some(i) = (local.first + j).checked_sub(DEGREE).filter(|&i| i < n) {
                    system.right[i] += value * lift;
                }
            }
        }
        system.set_penalty(&vec![1.0; n_pieces]);
        Some(system)
    }

    /// Sets the penalty with one weight a piece. Three Gauss points are exact for the square of a parabola. Scaled so
    /// that a weight of 1 balances the two parts.
    fn set_penalty(&mut self, weights: &[f64]) {
        self.penalty = vec![[0.0; DEGREE + 1]; self.n];
        let spread = (3.0f64 / 5.0).sqrt() / 2.0;
        for (pair, piece_weight) in self.breaks.windows(2).zip(weights) {
            let (mid, width) = (0.5 * (pair[0] + pair[1]), pair[1] - pair[0]);
            for (place, weight) in [(-spread, 5.0), (0.0, 8.0), (spread, 5.0)] {
                let local = self.basis.local(mid + place * width, PENALISED);
                let weight = weight / 18.0 * width * piece_weight;
                add_outer(&mut self.penalty, local.first, &local.at[PENALISED], weight);
            }
        }
        let trace = |bands: &Bands| bands.iter().map(|row| row[0]).sum::<f64>();
        let scale = trace(&self.normal) / trace(&self.penalty);
        for value in self.penalty.iter_mut().flatten() {
            *value *= scale;
        }
    }

    /// The fit with the least score over all weights of the penalty.
    fn best(&self, noisy: &Noisy) -> Option<Fit> {
        let m = noisy.lifts_mm.len() as f64;
        let score = |log_weight: f64| {
            let Some(fit) = self.fit(10f64.powf(log_weight)) else { return f64::INFINITY };
            match noisy.noise_mm {
                Some(sd) => fit.squares + 2.0 * FREEDOM_WEIGHT * sd * sd * fit.freedom,
                None if m > FREEDOM_WEIGHT * fit.freedom => {
                    m * fit.squares / (m - FREEDOM_WEIGHT * fit.freedom).powi(2)
                }
                None => f64::INFINITY,
            }
        };
        self.fit(10f64.powf(least(score)))
    }

    /// Coefficients of all functions of the basis; those at the ends are zero.
    fn all_coefficients(&self, coefficients: &[f64]) -> Vec<f64> {
        let mut all = vec![0.0; DEGREE];
        all.extend(coefficients);
        all.extend([0.0; DEGREE]);
        all
    }

    /// Weighs the penalty down where the curve of the last fit has much third derivative.
    fn adapt_penalty(&mut self, coefficients: &[f64]) {
        let breaks = self.breaks.clone();
        let all = self.all_coefficients(coefficients);
        let thirds: Vec<f64> = breaks
            .windows(2)
            .map(|pair| {
                let local = self.basis.local(0.5 * (pair[0] + pair[1]), PENALISED);
                (0..=DEGREE).map(|j| local.at[PENALISED][j] * all[local.first + j]).sum::<f64>()
            })
            .collect();
        let width = breaks[1] - breaks[0];
        let reach = (ADAPT_REACH_DEG / width).round() as usize;
        let local_square: Vec<f64> = (0..thirds.len())
            .map(|i| {
                let window = &thirds[i.saturating_sub(reach)..(i + reach + 1).min(thirds.len())];
                window.iter().map(|v| v * v).sum::<f64>() / window.len() as f64
            })
            .collect();
        let mean = local_square.iter().sum::<f64>() / thirds.len() as f64;
        if mean.is_nan() || mean <= 0.0 {
            return;
        }
        let weights: Vec<f64> =
            local_square.iter().map(|v| (v / mean + ADAPT_FLOOR).powf(-ADAPT_POWER)).collect();
        self.set_penalty(&weights);
    }

    fn fit(&self, weight: f64) -> Option<Fit> {
        let mut sum = self.normal.clone();
        for (row, penalty) in sum.iter_mut().flatten().zip(self.penalty.iter().flatten()) {
            *row += weight * penalty;
        }
        let factor = Factor::new(sum)?;
        let coefficients = factor.solve(&self.right);
        let mut squares = 0.0;
        for ((first, values), lift) in self.rows.iter().zip(&self.lifts) {
            let at = values.iter().enumerate().filter_map(|(j, value)| {
                let i = (first + j).checked_sub(DEGREE)?;
                Some(value * coefficients.get(i)?)
            });
            squares += (lift - at.sum::<f64>()).powi(2);
        }
        let inverse = factor.inverse_bands();
        let mut freedom = 0.0;
        for (row, inverse) in self.normal.iter().zip(&inverse) {
            freedom += row[0] * inverse[0];
            freedom += 2.0 * row[1..].iter().zip(&inverse[1..]).map(|(a, b)| a * b).sum::<f64>();
        }
        squares.is_finite().then_some(Fit { coefficients, squares, freedom })
    }
}

/// Adds weight x v v' for functions `first..`, of which the first `DEGREE` are not unknowns.
fn add_outer(bands: &mut Bands, first: usize, v: &[f64; DEGREE + 1], weight: f64) {
    let n = bands.len();
    for j in 0..=DEGREE {
        let Some(i) = (first + j).checked_sub(DEGREE).filter(|&i| i < n) else { continue };
        for k in 0..=j.min(i) {
            bands[i][k] += weight * v[j] * v[j - k];
        }
    }
}

/// A banded matrix as L D L', L with ones on its diagonal.
struct Factor {
    /// Element 0 of each row is D.
    rows: Bands,
}

impl Factor {
    fn new(mut a: Bands) -> Option<Self> {
        for i in 0..a.len() {
            for k in (1..=DEGREE.min(i)).rev() {
                let j = i - k;
                let mut sum = a[i][k];
                for m in k + 1..=DEGREE.min(i) {
                    if m - k <= DEGREE {
                        sum -= a[i][m] * a[j][m - k] * a[i - m][0];
                    }
                }
                a[i][k] = sum / a[j][0];
            }
            for k in 1..=DEGREE.min(i) {
                a[i][0] -= a[i][k] * a[i][k] * a[i - k][0];
            }
            if a[i][0].is_nan() || a[i][0] <= 0.0 {
                return None;
            }
        }
        Some(Self { rows: a })
    }

    fn solve(&self, b: &[f64]) -> Vec<f64> {
        let n = self.rows.len();
        let mut x = b.to_vec();
        for i in 0..n {
            for k in 1..=DEGREE.min(i) {
                x[i] -= self.rows[i][k] * x[i - k];
            }
        }
        for i in (0..n).rev() {
            x[i] /= self.rows[i][0];
            for k in 1..=DEGREE.min(n - 1 - i) {
                x[i] -= self.rows[i + k][k] * x[i + k];
            }
        }
        x
    }

    /// Bands of the inverse, from the last row up: Z = D^-1 L^-1 + (I - L') Z read on and above the diagonal.
    fn inverse_bands(&self) -> Bands {
        let n = self.rows.len();
        let mut z: Bands = vec![[0.0; DEGREE + 1]; n];
        for i in (0..n).rev() {
            let reach = DEGREE.min(n - 1 - i);
            for j in (1..=reach).rev() {
                let mut sum = 0.0;
                for k in 1..=reach {
                    let (hi, lo) = (i + k.max(j), i + k.min(j));
                    sum -= self.rows[i + k][k] * z[hi][hi - lo];
                }
                z[i + j][j] = sum;
            }
            let mut sum = 1.0 / self.rows[i][0];
            for k in 1..=reach {
                sum -= self.rows[i + k][k] * z[i + k][k];
            }
            z[i][0] = sum;
        }
        z
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(smooth: &Smooth, deg: f64, derivative: usize) -> f64 {
        let i = smooth.breaks_deg.partition_point(|&b| b <= deg) - 1;
        let t = deg - smooth.breaks_deg[i];
        let mut c = smooth.pieces[i].to_vec();
        for _ in 0..derivative {
            c = c.iter().enumerate().skip(1).map(|(k, v)| v * k as f64).collect();
        }
        c.iter().rev().fold(0.0, |sum, c| sum * t + c)
    }

    /// Without noise the curve goes through the lifts and has their derivatives.
    #[test]
    fn exact_lifts_are_kept() {
        let curve = |x: f64| (1.0 - (x / 60.0).powi(2)).max(0.0).powi(6);
        let angles: Vec<f64> = (-60..=60).map(f64::from).collect();
        let lifts: Vec<f64> = angles.iter().map(|&x| 8.0 * curve(x)).collect();
        let noisy =
            Noisy { angles_deg: &angles, lifts_mm: &lifts, lo_deg: -70.0, hi_deg: 70.0, noise_mm: None };
        let smooth = smooth(&noisy).expect("a curve");
        for (x, lift) in angles.iter().zip(&lifts) {
            assert!((at(&smooth, *x, 0) - lift).abs() < 1e-5);
        }
        let h = 1e-3;
        let second = 8.0 * (curve(20.0 + h) - 2.0 * curve(20.0) + curve(20.0 - h)) / (h * h);
        assert!((at(&smooth, 20.0, 2) - second).abs() < 1e-6, "{} {second}", at(&smooth, 20.0, 2));
    }

    /// The bands of the inverse are those of the inverse found column by column.
    #[test]
    fn exact_inverse_bands() {
        let n = 12;
        let rows: Bands = (0..n).map(|i| [9.0 + i as f64, 2.0, -1.0, 0.5, 0.25, -0.5]).collect();
        let mut rows = rows;
        for (i, row) in rows.iter_mut().enumerate() {
            for value in &mut row[i.min(DEGREE) + 1..] {
                *value = 0.0;
            }
        }
        let factor = Factor::new(rows).expect("positive");
        let z = factor.inverse_bands();
        for j in 0..n {
            let mut unit = vec![0.0; n];
            unit[j] = 1.0;
            let column = factor.solve(&unit);
            for i in j..n.min(j + DEGREE + 1) {
                assert!((column[i] - z[i][i - j]).abs() < 1e-14);
            }
        }
    }
}
