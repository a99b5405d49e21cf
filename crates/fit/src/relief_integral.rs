//! The integral of a function of one variable with a promised error. Leaves out what is integrated.

/// Abscissae of the fifteen Kronrod points on [-1, 1], positive half; odd entries (from 1) are the seven Gauss
/// points.
///
/// Piessens, de Doncker-Kapenga, Ueberhuber and Kahaner (1983), QUADPACK, Springer, routine QK15 (from memory; the
/// tests recover exact integrals of polynomials up to the degrees that the rules have).
const POINTS: [f64; 8] = [
    0.991_455_371_120_812_6,
    0.949_107_912_342_758_5,
    0.864_864_423_359_769_1,
    0.741_531_185_599_394_4,
    0.586_087_235_467_691_1,
    0.405_845_151_377_397_2,
    0.207_784_955_007_898_47,
    0.0,
];

/// Kronrod weights of those points.
const KRONROD: [f64; 8] = [
    0.022_935_322_010_529_224,
    0.063_092_092_629_978_56,
    0.104_790_010_322_250_19,
    0.140_653_259_715_525_92,
    0.169_004_726_639_267_9,
    0.190_350_578_064_785_4,
    0.204_432_940_075_298_89,
    0.209_482_141_084_727_82,
];

/// Gauss weights of the odd points, from the outside in.
const GAUSS: [f64; 4] =
    [0.129_484_966_168_869_7, 0.279_705_391_489_276_64, 0.381_830_050_505_118_9, 0.417_959_183_673_469_4];

/// Times an interval is halved before what is left is taken as it is.
const DEEPEST: usize = 40;

/// Integral of `f` over an interval cut into equal panels, to an absolute `accuracy`.
///
/// A panel whose two rules differ by more than its share of the accuracy is halved. Kinks and roots at ends are met
/// by halving too. The difference of the rules overstates the error of the better one, which is the one returned.
pub fn integral(f: &mut impl FnMut(f64) -> f64, [from, to]: [f64; 2], n_panels: usize, accuracy: f64) -> f64 {
    if to <= from {
        return 0.0;
    }
    let width = (to - from) / n_panels as f64;
    let share = accuracy / n_panels as f64;
    (0..n_panels)
        .map(|idx| {
            let left = from + width * idx as f64;
            refined(f, left, left + width, share, DEEPEST)
        })
        .sum()
}

fn refined(f: &mut impl FnMut(f64) -> f64, from: f64, to: f64, accuracy: f64, deepest: usize) -> f64 {
    let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
    let at_middle = f(middle);
    let (mut by_gauss, mut by_kronrod) = (GAUSS[3] * at_middle, KRONROD[7] * at_middle);
    for idx in 0..7 {
        let pair = f(middle - half * POINTS[idx]) + f(middle + half * POINTS[idx]);
        by_kronrod += KRONROD[idx] * pair;
        if idx % 2 == 1 {
            by_gauss += GAUSS[idx / 2] * pair;
        }
    }
    let error = half * (by_kronrod - by_gauss).abs();
    if error <= accuracy || deepest == 0 {
        return half * by_kronrod;
    }
    refined(f, from, middle, 0.5 * accuracy, deepest - 1)
        + refined(f, middle, to, 0.5 * accuracy, deepest - 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_polynomials_up_to_the_degree_of_the_rule() {
        for degree in 0..=22 {
            let found = integral(&mut |x: f64| x.powi(degree), [0.0, 2.0], 1, f64::INFINITY);
            let expected = 2.0_f64.powi(degree + 1) / f64::from(degree + 1);
            assert!((found / expected - 1.0).abs() < 1e-14, "degree {degree}: {found}, expected {expected}");
        }
    }

    #[test]
    fn exact_inner_rule_has_seven_points() {
        // With a tiny accuracy the two rules must agree on degree 13, so that one panel is enough.
        let mut n_calls = 0;
        let mut count = |x: f64| {
            n_calls += 1;
            x.powi(13)
        };
        let found = integral(&mut count, [0.0, 1.0], 1, 1e-14);
        assert!((found - 1.0 / 14.0).abs() < 1e-15);
        assert_eq!(n_calls, 15);
    }

    #[test]
    fn converges_as_promised_on_kinks_and_roots() {
        for accuracy in [1e-3, 1e-5, 1e-7, 1e-9] {
            let kink = integral(&mut |x: f64| (x - 0.3).max(0.0), [0.0, 1.0], 1, accuracy);
            assert!((kink - 0.245).abs() < accuracy, "kink at {accuracy}: {kink}");
            let root = integral(&mut |x: f64| x.sqrt(), [0.0, 1.0], 1, accuracy);
            assert!((root - 2.0 / 3.0).abs() < accuracy, "root at {accuracy}: {root}");
        }
    }
}
