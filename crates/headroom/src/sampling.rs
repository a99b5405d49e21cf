//! Quasi-random samples of readings: the same ones every time, evenly spread.

use statrs::distribution::{ContinuousCDF, Normal};

/// Most dimensions one set of samples may have.
pub const MOST_DIMENSIONS: u32 = sobol_burley::NUM_DIMENSIONS;

/// Samples in one scrambled sequence; more are taken from further scramblings.
const SEQUENCE: u32 = 1 << 16;

/// Standard normal deviations of one sample.
///
/// Owen-scrambled Sobol points (Burley 2020, Journal of Computer Graphics Techniques 9(4), "Practical Hash-based Owen
/// Scrambling") through the inverse of the normal distribution.
pub fn deviations(sample_idx: u32, out: &mut [f64]) {
    let normal = Normal::standard();
    let (point, seed) = (sample_idx % SEQUENCE, sample_idx / SEQUENCE);
    for (dimension, deviation) in out.iter_mut().enumerate() {
        let uniform = f64::from(sobol_burley::sample(point, dimension as u32 % MOST_DIMENSIONS, seed));
        // Points are multiples of 2^-24 in [0, 1); the middle of each cell keeps 0 away from the inverse.
        *deviation = normal.inverse_cdf(uniform + 0.5 / f64::from(1_u32 << 24));
    }
}

/// Chance that a normal number with that mean and standard deviation is below a limit.
pub fn chance_below(limit: f64, mean: f64, sd: f64) -> f64 {
    if sd > 0.0 {
        Normal::standard().cdf((limit - mean) / sd)
    } else if mean < limit {
        1.0
    } else {
        0.0
    }
}

/// The values below which the lowest 2.5 % and 97.5 % of some numbers lie; `None` of too few.
pub fn interval_95(mut values: Vec<f64>) -> Option<[f64; 2]> {
    const FEWEST: usize = 40;
    if values.len() < FEWEST {
        return None;
    }
    values.sort_by(f64::total_cmp);
    let at = |share: f64| values[((values.len() - 1) as f64 * share).round() as usize];
    Some([at(0.025), at(0.975)])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn converges_to_the_normal_moments() {
        let n = 4096;
        let mut sums = [[0.0; 2]; 16];
        for sample_idx in 0..n {
            let mut out = [0.0; 16];
            deviations(sample_idx, &mut out);
            for (sum, deviation) in sums.iter_mut().zip(out) {
                sum[0] += deviation;
                sum[1] += deviation * deviation;
            }
        }
        for [first, second] in sums {
            // Evenly spread points: far closer than the 1.6 % of random ones.
            assert!((first / f64::from(n)).abs() < 2e-3, "mean {}", first / f64::from(n));
            assert!((second / f64::from(n) - 1.0).abs() < 5e-3, "variance {}", second / f64::from(n));
        }
    }
}
