//! How far a lobe lifts its follower at any angle of the cam, and how that changes. Leaves out how the curve was
//! found and what sits on the lobe.

use units::length::{meter, millimeter};
use units::{CamAngle, Length};

use crate::bspline::MAX_DEGREE;

/// Degrees in a turn of the cam.
pub(crate) const CAM_TURN_DEG: f64 = 360.0;
/// Width of the slots that lead from an angle to its piece.
const SLOT_DEG: f64 = 0.5;
/// Share of a piece's width at which a root is taken as found.
const ROOT: f64 = 1e-15;

/// Coefficients of one piece in rising powers of the angle past its left end, metres and cam degrees.
pub(crate) type Piece = [f64; MAX_DEGREE + 1];

/// Lift of the follower against the angle of the cam from the nose, once per turn.
///
/// Angles before the nose (negative) are on the opening flank. The curve is piecewise polynomial, its first three
/// derivatives are continuous, and outside its pieces it is zero: the base circle.
#[derive(Clone, Debug, PartialEq)]
pub struct LiftCurve {
    /// Ends of the pieces in cam degrees from the nose, rising; one more than pieces.
    breaks_deg: Vec<f64>,
    pieces: Vec<Piece>,
    /// First piece that reaches into each slot of `SLOT_DEG`, counted from the first break.
    slots: Vec<u32>,
    nose_lift_m: f64,
}

/// Lift and its derivatives at one angle of the cam.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LiftJet {
    /// Lift.
    pub lift: Length,
    /// Gained in one degree.
    pub per_deg: Length,
    /// Gained in one degree by the gain in one degree.
    pub per_deg2: Length,
    /// Third derivative, per degree cubed.
    pub per_deg3: Length,
}

/// Lift and three derivatives in metres and degrees.
pub(crate) type Jet = [f64; 4];

impl LiftJet {
    pub(crate) fn from_m(jet: Jet) -> Self {
        let [lift, per_deg, per_deg2, per_deg3] = jet.map(Length::new::<meter>);
        Self { lift, per_deg, per_deg2, per_deg3 }
    }
}

/// The two sides of a lobe.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flank {
    /// Before the nose.
    Opening,
    /// After the nose.
    Closing,
}

impl LiftCurve {
    /// From pieces between breaks within half a turn of the nose, which is at 0.
    pub(crate) fn from_pieces(breaks_deg: Vec<f64>, pieces: Vec<Piece>) -> Self {
        debug_assert!(breaks_deg.len() == pieces.len() + 1);
        debug_assert!(breaks_deg.is_sorted());
        let (first, last) = (breaks_deg[0], breaks_deg[pieces.len()]);
        let n_slots = ((last - first) / SLOT_DEG).ceil() as usize + 1;
        let slots = (0..n_slots)
            .map(|slot| {
                let left = first + slot as f64 * SLOT_DEG;
                let piece = breaks_deg.partition_point(|&b| b <= left).saturating_sub(1);
                piece.min(pieces.len() - 1) as u32
            })
            .collect();
        let mut curve = Self { breaks_deg, pieces, slots, nose_lift_m: 0.0 };
        curve.nose_lift_m = curve.jet_m(0.0)[0];
        curve
    }

    /// Lift at an angle from the nose.
    pub fn lift(&self, from_nose: CamAngle) -> Length {
        Length::new::<meter>(self.lift_m(from_nose.degrees()))
    }

    /// Lift and its first three derivatives per cam degree.
    pub fn jet(&self, from_nose: CamAngle) -> LiftJet {
        LiftJet::from_m(self.jet_m(from_nose.degrees()))
    }

    /// Greatest lift.
    pub fn nose_lift(&self) -> Length {
        Length::new::<meter>(self.nose_lift_m)
    }

    /// Where the curve leaves the base circle and where it is back, from the nose.
    pub fn foot(&self, flank: Flank) -> CamAngle {
        CamAngle::from_degrees(match flank {
            Flank::Opening => self.breaks_deg[0],
            Flank::Closing => self.breaks_deg[self.pieces.len()],
        })
    }

    /// Where a flank passes a lift, nearest the nose; `None` when the lobe never has it or has nothing else.
    pub fn flank_angle(&self, lift: Length, flank: Flank) -> Option<CamAngle> {
        self.flank_angle_deg(lift.get::<meter>(), flank).map(CamAngle::from_degrees)
    }

    /// Turn of the cam with more than this lift.
    pub fn duration(&self, lift: Length) -> Option<CamAngle> {
        let lift_m = lift.get::<meter>();
        let opening = self.flank_angle_deg(lift_m, Flank::Opening)?;
        Some(CamAngle::from_degrees(self.flank_angle_deg(lift_m, Flank::Closing)? - opening))
    }

    /// The places where pieces meet, from the nose: extremes are looked for between them.
    pub fn breaks(&self) -> impl Iterator<Item = CamAngle> {
        self.breaks_deg.iter().map(|&deg| CamAngle::from_degrees(deg))
    }

    /// The sum with another piecewise curve that lies within this one's feet.
    pub(crate) fn plus(&self, other_breaks: &[f64], other: &[Piece]) -> Self {
        let mut breaks = self.breaks_deg.clone();
        breaks.extend_from_slice(other_breaks);
        breaks.sort_by(f64::total_cmp);
        breaks.dedup();
        let piece_around = |breaks: &[f64], pieces: &[Piece], at: f64| {
            let i = breaks.partition_point(|&b| b <= at).checked_sub(1)?;
            Some(shifted(pieces.get(i)?, at - breaks[i]))
        };
        let pieces = breaks[..breaks.len() - 1]
            .iter()
            .map(|&at| {
                let mut sum = piece_around(&self.breaks_deg, &self.pieces, at).unwrap_or_default();
                let add = piece_around(other_breaks, other, at).unwrap_or_default();
                for (sum, add) in sum.iter_mut().zip(add) {
                    *sum += add;
                }
                sum
            })
            .collect();
        Self::from_pieces(breaks, pieces)
    }

    pub(crate) fn breaks_deg(&self) -> &[f64] {
        &self.breaks_deg
    }

    pub(crate) fn nose_lift_m(&self) -> f64 {
        self.nose_lift_m
    }

    /// The piece an angle falls in and how far past its left end; `None` on the base circle.
    fn find(&self, deg: f64) -> Option<(&Piece, f64)> {
        let first = self.breaks_deg[0];
        let mut past = deg - first;
        if !past.is_finite() {
            return None;
        }
        // Most angles are within a turn: adding is cheaper than dividing.
        if past < 0.0 {
            past += CAM_TURN_DEG;
        }
        if !(0.0..CAM_TURN_DEG).contains(&past) {
            past = past.rem_euclid(CAM_TURN_DEG);
        }
        let slot = (past / SLOT_DEG) as usize;
        let mut idx = *self.slots.get(slot)? as usize;
        let at = first + past;
        while at >= self.breaks_deg[idx + 1] {
            idx += 1;
            if idx == self.pieces.len() {
                return None;
            }
        }
        Some((&self.pieces[idx], at - self.breaks_deg[idx]))
    }

    pub(crate) fn lift_m(&self, deg: f64) -> f64 {
        let Some((piece, t)) = self.find(deg) else { return 0.0 };
        piece.iter().rev().fold(0.0, |sum, c| sum * t + c)
    }

    pub(crate) fn jet_m(&self, deg: f64) -> Jet {
        let Some((piece, t)) = self.find(deg) else { return [0.0; 4] };
        jet_of(piece, t)
    }

    pub(crate) fn flank_angle_deg(&self, lift_m: f64, flank: Flank) -> Option<f64> {
        if lift_m.is_nan() || lift_m <= 0.0 || lift_m >= self.nose_lift_m {
            return None;
        }
        let n = self.pieces.len();
        let nose = self.breaks_deg.partition_point(|&b| b < 0.0);
        let value_at_left = |i: usize| if i < n { self.pieces[i][0] } else { 0.0 };
        let idx = match flank {
            Flank::Opening => (0..nose).rev().find(|&i| value_at_left(i) <= lift_m)?,
            Flank::Closing => (nose.saturating_sub(1)..n)
                .find(|&i| self.breaks_deg[i + 1] > 0.0 && value_at_left(i + 1) <= lift_m)?,
        };
        let width = self.breaks_deg[idx + 1] - self.breaks_deg[idx];
        // A piece that holds the nose is searched on its own side of it.
        let nose_in_piece = (-self.breaks_deg[idx]).clamp(0.0, width);
        let (lo, hi) = match flank {
            Flank::Opening => (0.0, nose_in_piece),
            Flank::Closing if self.breaks_deg[idx] < 0.0 => (nose_in_piece, width),
            Flank::Closing => (0.0, width),
        };
        let piece = &self.pieces[idx];
        Some(self.breaks_deg[idx] + crossing(piece, lift_m, lo, hi))
    }
}

/// The same polynomial around another place: p(t + by) in powers of t.
pub(crate) fn shifted(piece: &Piece, by: f64) -> Piece {
    let mut c = *piece;
    for first in 0..c.len() {
        for k in (first..c.len() - 1).rev() {
            c[k] += by * c[k + 1];
        }
    }
    c
}

/// Value and three derivatives of a piece.
fn jet_of(piece: &Piece, t: f64) -> Jet {
    let [c0, c1, c2, c3, c4, c5] = *piece;
    [
        ((((c5 * t + c4) * t + c3) * t + c2) * t + c1) * t + c0,
        (((5.0 * c5 * t + 4.0 * c4) * t + 3.0 * c3) * t + 2.0 * c2) * t + c1,
        ((20.0 * c5 * t + 12.0 * c4) * t + 6.0 * c3) * t + 2.0 * c2,
        (60.0 * c5 * t + 24.0 * c4) * t + 6.0 * c3,
    ]
}

/// Where a piece passes a value between two places on either side of it: Newton's steps, halving when one would
/// leave the bracket.
fn crossing(piece: &Piece, value: f64, lo: f64, hi: f64) -> f64 {
    let (mut lo, mut hi) = (lo, hi);
    let rising = jet_of(piece, hi)[0] > jet_of(piece, lo)[0];
    let end = (hi - lo) * ROOT;
    let mut t = 0.5 * (lo + hi);
    for _ in 0..200 {
        let [at, slope, ..] = jet_of(piece, t);
        let short = at - value;
        if short == 0.0 {
            return t;
        }
        if (short > 0.0) == rising {
            hi = t;
        } else {
            lo = t;
        }
        let newton = t - short / slope;
        let next = if newton > lo && newton < hi { newton } else { 0.5 * (lo + hi) };
        if (next - t).abs() <= end {
            return next;
        }
        t = next;
    }
    t
}

impl std::fmt::Display for LiftJet {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let mm = |length: Length| length.get::<millimeter>();
        write!(
            f,
            "{:.4} mm, {:.5} mm/deg, {:.6} mm/deg2, {:.7} mm/deg3",
            mm(self.lift),
            mm(self.per_deg),
            mm(self.per_deg2),
            mm(self.per_deg3)
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// (1 - (x/60)^2)^2 on two pieces.
    fn bump() -> LiftCurve {
        let w = 60.0f64;
        let at = |x: f64| {
            let (w2, w4) = (w * w, w.powi(4));
            [
                (1.0 - x * x / w2).powi(2),
                -4.0 * x / w2 + 4.0 * x.powi(3) / w4,
                -2.0 / w2 + 6.0 * x * x / w4,
                4.0 * x / w4,
                1.0 / w4,
                0.0,
            ]
        };
        LiftCurve::from_pieces(vec![-60.0, 0.0, 60.0], vec![at(-60.0), at(0.0)])
    }

    #[test]
    fn exact_values_periods_and_base_circle() {
        let curve = bump();
        for deg in [-59.9, -30.0, -0.1, 0.0, 12.3, 59.0] {
            let x: f64 = deg / 60.0;
            assert!((curve.lift_m(deg) - (1.0 - x * x).powi(2)).abs() < 1e-14);
            assert!((curve.lift_m(deg + 360.0) - curve.lift_m(deg)).abs() < 1e-13);
            assert!((curve.lift_m(deg - 720.0) - curve.lift_m(deg)).abs() < 1e-13);
        }
        for deg in [60.0, 61.0, 180.0, -180.0, -60.1, 299.9, f64::NAN, f64::INFINITY] {
            assert_eq!(curve.lift_m(deg), 0.0, "{deg}");
        }
    }

    #[test]
    fn exact_flank_angles() {
        let curve = bump();
        let half = Length::new::<meter>(0.25);
        let deg = 60.0 * 0.5f64.sqrt();
        let opening = curve.flank_angle(half, Flank::Opening).expect("reached");
        let closing = curve.flank_angle(half, Flank::Closing).expect("reached");
        assert!((opening.degrees() + deg).abs() < 1e-12 && (closing.degrees() - deg).abs() < 1e-12);
        assert!(curve.flank_angle(Length::new::<meter>(1.5), Flank::Opening).is_none());
        assert!(curve.flank_angle(Length::new::<meter>(0.0), Flank::Opening).is_none());
    }
}
