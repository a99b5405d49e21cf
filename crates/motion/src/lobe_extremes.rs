//! Where something about a lobe is greatest or least. Leaves out what that something is.

use crate::lobe::{Jet, LiftCurve};

/// Looks per piece of the curve; pieces are a few degrees wide and nothing about them has narrower peaks.
const LOOKS_PER_PIECE: usize = 8;
/// Halvings of the best interval: far below any angle that matters.
const HALVINGS: usize = 60;

/// Place in cam degrees from the nose, and size, of the greatest value of `of` over the lobe.
///
/// Looks at eight places in every piece, then closes in by golden section: exact to about 1e-8 of the place for anything
/// with one peak between looks.
pub(crate) fn greatest(curve: &LiftCurve, of: impl Fn(Jet) -> f64) -> (f64, f64) {
    let breaks = curve.breaks_deg();
    let value = |deg: f64| of(curve.jet_m(deg));
    let mut best = (breaks[0], f64::NEG_INFINITY);
    let mut width = 0.0;
    for pair in breaks.windows(2) {
        let step = (pair[1] - pair[0]) / LOOKS_PER_PIECE as f64;
        for i in 0..=LOOKS_PER_PIECE {
            let deg = pair[0] + i as f64 * step;
            let at = value(deg);
            if at > best.1 {
                best = (deg, at);
                width = step;
            }
        }
    }
    let golden = 0.5 * (5f64.sqrt() - 1.0);
    let (mut lo, mut hi) = (best.0 - width, best.0 + width);
    for _ in 0..HALVINGS {
        let (a, b) = (hi - golden * (hi - lo), lo + golden * (hi - lo));
        if value(a) >= value(b) { hi = b } else { lo = a }
    }
    let refined = 0.5 * (lo + hi);
    let at = value(refined);
    if at > best.1 { (refined, at) } else { best }
}
