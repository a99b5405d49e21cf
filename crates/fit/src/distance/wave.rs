//! Lowest points and zeros of the waves that straight and square functions draw along a circle. Leaves out distances.

use std::f64::consts::TAU;

/// `mean + cos * cos t + sin * sin t`: a linear function of the points of a ring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wave {
    /// Over the whole turn.
    pub mean: f64,
    /// Factor of cos t.
    pub cos: f64,
    /// Factor of sin t.
    pub sin: f64,
}

impl Wave {
    /// Half its height.
    #[inline]
    pub fn swing(&self) -> f64 {
        (self.cos * self.cos + self.sin * self.sin).sqrt()
    }

    /// Value at the angle of that cos and sin.
    #[inline]
    pub fn at(&self, [cos, sin]: [f64; 2]) -> f64 {
        self.mean + self.cos * cos + self.sin * sin
    }

    /// cos and sin of the angle where it is lowest; a flat wave is lowest at 0.
    #[inline]
    pub fn lowest(&self) -> [f64; 2] {
        let swing = self.swing();
        if swing > 0.0 { [-self.cos / swing, -self.sin / swing] } else { [1.0, 0.0] }
    }

    /// The two angles where it is zero, falling first; `None` when it never is.
    #[inline]
    pub fn zeros(&self) -> Option<[f64; 2]> {
        let swing = self.swing();
        if swing <= self.mean.abs() {
            return None;
        }
        let top = self.sin.atan2(self.cos);
        let away = (-self.mean / swing).acos();
        Some([top + away, top - away])
    }
}

/// The square of a vector that is a wave along a ring, less a constant:
/// `mean + cos * cos t + sin * sin t + cos2 * cos 2t + sin2 * sin 2t`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SquareWave {
    mean: f64,
    cos: f64,
    sin: f64,
    cos2: f64,
    sin2: f64,
}

/// Looks around the turn that part its rises from its falls: it has at most four of them.
const N_LOOKS: usize = 16;

/// Steps after which a bracket between two looks is exhausted.
const MAX_STEPS: usize = 40;

/// Zeros are found to this angle: a hundredth of a nanometre on any ring here.
const ANGLE_ACCURACY: f64 = 1e-9;

/// Up to four angles.
pub type Angles = ([f64; 4], usize);

impl SquareWave {
    /// Of `|at_mean + to_cos cos t + to_sin sin t|^2 - less`, given by its scalar products.
    #[inline]
    pub fn of(at_mean: glam::DVec3, to_cos: glam::DVec3, to_sin: glam::DVec3, less: f64) -> Self {
        let (cos_sq, sin_sq) = (to_cos.length_squared(), to_sin.length_squared());
        Self {
            mean: at_mean.length_squared() - less + 0.5 * (cos_sq + sin_sq),
            cos: 2.0 * at_mean.dot(to_cos),
            sin: 2.0 * at_mean.dot(to_sin),
            cos2: 0.5 * (cos_sq - sin_sq),
            sin2: to_cos.dot(to_sin),
        }
    }

    /// Value at the angle of that cos and sin.
    #[inline]
    pub fn at(&self, [c, s]: [f64; 2]) -> f64 {
        self.mean + self.cos * c + self.sin * s + self.cos2 * (c * c - s * s) + self.sin2 * 2.0 * s * c
    }

    #[inline]
    fn slope(&self, [c, s]: [f64; 2]) -> f64 {
        self.sin * c - self.cos * s + 2.0 * (self.sin2 * (c * c - s * s) - self.cos2 * 2.0 * s * c)
    }

    /// Farthest it swings from its mean.
    #[inline]
    fn reach(&self) -> f64 {
        (self.cos * self.cos + self.sin * self.sin).sqrt()
            + (self.cos2 * self.cos2 + self.sin2 * self.sin2).sqrt()
    }

    /// The angles where it is highest among their neighbours.
    pub fn tops(&self) -> Angles {
        let mut found = ([0.0; 4], 0);
        self.for_each_turn(|angle, is_top| {
            if is_top {
                push(&mut found, angle);
            }
        });
        found
    }

    /// The angles where it is zero.
    pub fn zeros(&self) -> Angles {
        let mut found = ([0.0; 4], 0);
        if self.reach() < self.mean.abs() {
            return found;
        }
        let (mut turns, mut n_turns) = ([0.0; 8], 0);
        self.for_each_turn(|angle, _| {
            if n_turns < turns.len() {
                turns[n_turns] = angle;
                n_turns += 1;
            }
        });
        // From each turning point to the next it only rises or only falls.
        for idx in 0..n_turns {
            let from = turns[idx];
            let to = if idx + 1 < n_turns { turns[idx + 1] } else { turns[0] + TAU };
            let value = |angle: f64| self.at(cos_sin(angle));
            let (low, high) = (value(from), value(to));
            if (low < 0.0) != (high < 0.0) {
                push(&mut found, zero_between(value, [from, to], [low, high]));
            }
        }
        found
    }

    /// Shows `see` every turning point in order, and whether it is a top.
    fn for_each_turn(&self, mut see: impl FnMut(f64, bool)) {
        let slope = |angle: f64| self.slope(cos_sin(angle));
        let mut before = self.slope(LOOKS[0]);
        for idx in 1..=N_LOOKS {
            let here = self.slope(LOOKS[idx % N_LOOKS]);
            if (before > 0.0) != (here > 0.0) {
                let step = TAU / N_LOOKS as f64;
                let ends = [(idx - 1) as f64 * step, idx as f64 * step];
                see(zero_between(slope, ends, [before, here]), before > 0.0);
            }
            before = here;
        }
    }
}

#[inline]
fn push(found: &mut Angles, angle: f64) {
    if found.1 < found.0.len() {
        found.0[found.1] = angle;
        found.1 += 1;
    }
}

/// cos and sin of an angle.
#[inline]
pub fn cos_sin(angle: f64) -> [f64; 2] {
    let (sin, cos) = angle.sin_cos();
    [cos, sin]
}

/// The zero of a function between two places where it has different signs: regula falsi with the Illinois weights
/// (Dowell and Jarratt 1971, BIT 11, 168-174).
fn zero_between(f: impl Fn(f64) -> f64, [mut a, mut b]: [f64; 2], [mut fa, mut fb]: [f64; 2]) -> f64 {
    for _ in 0..MAX_STEPS {
        if (b - a).abs() < ANGLE_ACCURACY || fa == fb {
            break;
        }
        let middle = (a * fb - b * fa) / (fb - fa);
        let value = f(middle);
        if value == 0.0 {
            return middle;
        }
        if (value < 0.0) == (fb < 0.0) {
            fa *= 0.5;
        } else {
            (a, fa) = (b, fb);
        }
        let moved = (middle - b).abs();
        (b, fb) = (middle, value);
        if moved < ANGLE_ACCURACY {
            break;
        }
    }
    b
}

/// cos and sin of the looks.
static LOOKS: [[f64; 2]; N_LOOKS] = {
    /// cos and sin of an eighth of a right angle times two: 22.5 and 45 degrees.
    const C: f64 = 0.923_879_532_511_286_7;
    const S: f64 = 0.382_683_432_365_089_8;
    const H: f64 = std::f64::consts::FRAC_1_SQRT_2;
    [
        [1.0, 0.0],
        [C, S],
        [H, H],
        [S, C],
        [0.0, 1.0],
        [-S, C],
        [-H, H],
        [-C, S],
        [-1.0, 0.0],
        [-C, -S],
        [-H, -H],
        [-S, -C],
        [0.0, -1.0],
        [S, -C],
        [H, -H],
        [C, -S],
    ]
};

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DVec3;
    use proptest::prelude::*;

    #[test]
    fn exact_wave() {
        let wave = Wave { mean: 1.0, cos: 3.0, sin: 4.0 };
        assert!((wave.at(wave.lowest()) + 4.0).abs() < 1e-15);
        for angle in wave.zeros().expect("it swings through zero") {
            assert!(wave.at(cos_sin(angle)).abs() < 1e-14);
        }
        assert_eq!(Wave { mean: 6.0, ..wave }.zeros(), None);
    }

    proptest! {
        /// Zeros and tops against a fine look around the turn.
        #[test]
        fn exact_square_wave(c in -1.0..1.0f64, e in -0.6..0.6f64, tilt in -0.5..0.5f64, radius in 0.4..1.6f64) {
            let wave = SquareWave::of(
                DVec3::new(e, 0.3 * c, 0.0),
                DVec3::new(tilt.cos(), 0.0, 0.0),
                DVec3::new(0.1 * c, 1.0, 0.0),
                radius * radius,
            );
            let (zeros, n_zeros) = wave.zeros();
            for &angle in &zeros[..n_zeros] {
                prop_assert!(wave.at(cos_sin(angle)).abs() < 1e-8);
            }
            let n = 20_000;
            let value = |idx: usize| wave.at(cos_sin(idx as f64 * TAU / n as f64));
            let crossings = (0..n).filter(|&idx| (value(idx) < 0.0) != (value(idx + 1) < 0.0)).count();
            prop_assert_eq!(crossings, n_zeros);
            let (tops, n_tops) = wave.tops();
            let highest = (0..n).map(value).fold(f64::NEG_INFINITY, f64::max);
            let found = tops[..n_tops].iter().map(|&angle| wave.at(cos_sin(angle))).fold(f64::NEG_INFINITY, f64::max);
            prop_assert!((found - highest).abs() < 1e-6, "{found} {highest}");
        }
    }
}
