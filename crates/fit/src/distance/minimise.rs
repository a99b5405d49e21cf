//! The minimum of a function of one variable inside a bracket.

/// Where a function is least, and its value there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Minimum {
    /// Argument.
    pub at: f64,
    /// Value.
    pub value: f64,
}

/// The golden section of an interval, counted from the nearer end.
const GOLDEN: f64 = 0.381_966_011_250_105_1;

/// Steps after which a bracket of any sensible size is exhausted: 0.618^60 is 3e-13.
const MAX_STEPS: usize = 60;

/// The minimum of `f` between `low` and `high`, starting from the best known point `start`, where `f` is
/// `start_value`. Stops when the place is known to `place_accuracy`.
///
/// Brent (1973), Algorithms for Minimization without Derivatives, chapter 5: parabolas through the three best points,
/// golden sections when they do not serve.
#[inline]
pub fn least_in(
    mut f: impl FnMut(f64) -> f64,
    [mut low, mut high]: [f64; 2],
    start: Minimum,
    place_accuracy: f64,
) -> Minimum {
    // Brent's letters: x best, w second best, v the one before; d the last step, e the one before it.
    let mut x = start;
    let (mut w, mut v) = (x, x);
    let (mut d, mut e) = (0.0_f64, 0.0_f64);
    for _ in 0..MAX_STEPS {
        let middle = 0.5 * (low + high);
        if (x.at - middle).abs() + 0.5 * (high - low) <= 2.0 * place_accuracy {
            break;
        }
        let (mut p, mut q) = (0.0, 0.0);
        if e.abs() > place_accuracy {
            let r = (x.at - w.at) * (x.value - v.value);
            q = (x.at - v.at) * (x.value - w.value);
            p = (x.at - v.at) * q - (x.at - w.at) * r;
            q = 2.0 * (q - r);
            if q > 0.0 {
                p = -p;
            }
            q = q.abs();
        }
        let before = e;
        let parabola_serves =
            q > 0.0 && p.abs() < (0.5 * q * before).abs() && q * (low - x.at) < p && p < q * (high - x.at);
        if parabola_serves {
            e = d;
            d = p / q;
        } else {
            e = if x.at < middle { high - x.at } else { low - x.at };
            d = GOLDEN * e;
        }
        let step = if d.abs() >= place_accuracy { d } else { place_accuracy.copysign(d) };
        let u = Minimum { at: x.at + step, value: f(x.at + step) };
        if u.value <= x.value {
            if u.at < x.at {
                high = x.at;
            } else {
                low = x.at;
            }
            (v, w, x) = (w, x, u);
        } else {
            if u.at < x.at {
                low = u.at;
            } else {
                high = u.at;
            }
            if u.value <= w.value || w.at == x.at {
                (v, w) = (w, u);
            } else if u.value <= v.value || v.at == x.at || v.at == w.at {
                v = u;
            }
        }
    }
    x
}
