//! How small a difference a test could have shown. Leaves out the test's own result.

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};
use statrs::function::gamma::ln_gamma;

/// Intervals of Simpson's rule over the estimate of the scatter: the chance is good to 1e-8.
const N_INTERVALS: usize = 400;
/// With one or two degrees of freedom the integrand is steep at its foot.
const N_INTERVALS_STEEP: usize = 1600;

/// Quantile of Student's t.
pub fn student_quantile(probability: f64, degrees_of_freedom: usize) -> f64 {
    StudentsT::new(0.0, 1.0, degrees_of_freedom.max(1) as f64)
        .map_or(f64::NAN, |student| student.inverse_cdf(probability))
}

/// Chance that a value of Student's t lies farther from 0 than `t`, on both sides.
pub fn two_sided_chance(t: f64, degrees_of_freedom: usize) -> f64 {
    StudentsT::new(0.0, 1.0, degrees_of_freedom.max(1) as f64)
        .map_or(f64::NAN, |student| 2.0 * student.cdf(-t.abs()))
}

/// Chance that a two-sided t-test at `confidence` finds a true difference of `shift` standard errors.
///
/// 1 - P(|T'| <= t_c) for noncentral T' with that shift. The scatter's estimate s, over its true value, has the density of
/// sqrt(chi2_nu / nu); given s the estimate is normal, so the chance is the integral over s of
/// Phi(shift - t_c s) + Phi(-shift - t_c s). Source: Johnson, Kotz & Balakrishnan (1995), Continuous Univariate Distributions
/// 2, chapter 31, eq. 31.1. Held against SciPy's `nct` in `checks/pulls_aba`.
pub fn chance_to_show(shift: f64, degrees_of_freedom: usize, confidence: f64) -> f64 {
    chance_beyond(shift, degrees_of_freedom, student_quantile(0.5 + 0.5 * confidence, degrees_of_freedom))
}

/// The same with the quantile t_c known.
fn chance_beyond(shift: f64, degrees_of_freedom: usize, critical: f64) -> f64 {
    let nu = degrees_of_freedom.max(1) as f64;
    let Ok(normal) = Normal::new(0.0, 1.0) else { return f64::NAN };
    // ln of 2 (nu/2)^(nu/2) / Gamma(nu/2), the constant of the density 2 (nu/2)^(nu/2)/Gamma(nu/2) s^(nu-1) exp(-nu s^2/2).
    let constant = std::f64::consts::LN_2 + 0.5 * nu * (0.5 * nu).ln() - ln_gamma(0.5 * nu);
    let density = |s: f64| {
        if s == 0.0 {
            if nu == 1.0 { constant.exp() } else { 0.0 }
        } else {
            (constant + (nu - 1.0) * s.ln() - 0.5 * nu * s * s).exp()
        }
    };
    let inner = |s: f64| density(s) * (normal.cdf(shift - critical * s) + normal.cdf(-shift - critical * s));
    // Beyond ten deviations above one nothing is left.
    let end = 1.0 + 10.0 / (2.0 * nu).sqrt();
    let n_intervals = if degrees_of_freedom < 3 { N_INTERVALS_STEEP } else { N_INTERVALS };
    let step = end / n_intervals as f64;
    let sum: f64 = (0..=n_intervals)
        .map(|idx| {
            let weight = if idx == 0 || idx == n_intervals {
                1.0
            } else if idx % 2 == 1 {
                4.0
            } else {
                2.0
            };
            weight * inner(idx as f64 * step)
        })
        .sum();
    (sum * step / 3.0).clamp(0.0, 1.0)
}

/// The true difference, in standard errors, that the test shows with `chance`; the chance is met to 1e-12.
///
/// False position with the Illinois rule: the chance rises with the difference, so one root lies between the ends.
pub fn smallest_shift(degrees_of_freedom: usize, confidence: f64, chance: f64) -> f64 {
    const ACCURACY: f64 = 1e-12;
    let critical = student_quantile(0.5 + 0.5 * confidence, degrees_of_freedom);
    let off = |shift| chance_beyond(shift, degrees_of_freedom, critical) - chance;
    let (mut low, mut high) = (0.0, 4.0);
    let (mut off_low, mut off_high) = (off(low), off(high));
    if off_low >= 0.0 {
        return 0.0;
    }
    while off_high < 0.0 && high < 1e6 {
        (low, off_low) = (high, off_high);
        high *= 2.0;
        off_high = off(high);
    }
    for _ in 0..100 {
        let middle = (low * off_high - high * off_low) / (off_high - off_low);
        let off_middle = off(middle);
        if off_middle.abs() < ACCURACY || high - low < ACCURACY * high {
            return middle;
        }
        if off_middle < 0.0 {
            (low, off_low) = (middle, off_middle);
            off_high *= 0.5;
        } else {
            (high, off_high) = (middle, off_middle);
            off_low *= 0.5;
        }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Without any difference the test cries wolf as often as it says.
    #[test]
    fn exact_no_difference_is_found_by_the_level_alone() {
        for nu in [1, 2, 6, 30] {
            let got = chance_to_show(0.0, nu, 0.95);
            assert!((got - 0.05).abs() < 1e-8, "{nu}: {got}");
        }
    }
}
