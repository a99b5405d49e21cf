//! A lift curve that meets every number of a cam card exactly. Leaves out timing, which only turns the curve.
//!
//! A card says little between its numbers, so the curve is the calmest one that fits: of all velocity curves with a
//! single hump on each flank, the one with the least mean square jerk.

use thiserror::Error;

use crate::bspline::Basis;
use crate::lobe::{CAM_TURN_DEG, LiftCurve, Piece, shifted};
use crate::lobe_flank::Problem;

/// What is known of one flank, seen from the nose outward; millimetres and cam degrees.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct FlankNumbers {
    /// Distance from the nose and lift there, in any order.
    pub points: Vec<FlankPoint>,
    /// Constant-velocity ramp between base circle and flank.
    pub ramp: Option<RampNumbers>,
}

/// One lift that the flank has to pass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct FlankPoint {
    pub from_nose_deg: f64,
    pub lift_mm: f64,
}

/// A ramp of constant velocity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct RampNumbers {
    pub height_mm: f64,
    pub mm_per_deg: f64,
}

/// Numbers that no lobe can have.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum CardError {
    /// Nothing but the lift is given.
    #[error("a cam card needs at least one duration at a stated lift")]
    NoDuration,
    /// The lift is zero, negative or not a number.
    #[error("lobe lift of {lift_mm} mm cannot be")]
    Lift {
        /// The lift.
        lift_mm: f64,
    },
    /// A lift of the card is not between base circle and nose, or its angle not between nose and half a turn.
    #[error(
        "lift of {lift_mm} mm at {from_nose_deg} cam degrees from the nose is outside a lobe of {lobe_mm} mm"
    )]
    Outside {
        /// The lift.
        lift_mm: f64,
        /// Its distance from the nose.
        from_nose_deg: f64,
        /// The lobe lift.
        lobe_mm: f64,
    },
    /// A greater lift stands farther from the nose than a smaller one.
    #[error(
        "lift of {high_mm} mm at {high_deg} cam degrees from the nose contradicts {low_mm} mm at {low_deg}: \
         the flank would have to fall and rise again"
    )]
    Order {
        /// The greater lift.
        high_mm: f64,
        /// Its distance from the nose.
        high_deg: f64,
        /// The smaller lift.
        low_mm: f64,
        /// Its distance from the nose.
        low_deg: f64,
    },
    /// The ramp has no height, no rise, or reaches above a number that is not on it.
    #[error("ramp of {height_mm} mm at {mm_per_deg} mm per cam degree does not fit the other numbers")]
    Ramp {
        /// Its height.
        height_mm: f64,
        /// Its rise per cam degree.
        mm_per_deg: f64,
    },
    /// Opening and closing together take more than a turn.
    #[error("flanks of {opening_deg} and {closing_deg} cam degrees leave no base circle")]
    NoBaseCircle {
        /// Length of the opening side.
        opening_deg: f64,
        /// Length of the closing side.
        closing_deg: f64,
    },
    /// No flank that only rises meets all numbers.
    #[error(
        "no smooth flank passes all of {n_points} lifts between {nearest_deg} and {farthest_deg} cam degrees"
    )]
    NoCurve {
        /// How many lifts were asked for.
        n_points: usize,
        /// Nearest to the nose.
        nearest_deg: f64,
        /// Farthest from it.
        farthest_deg: f64,
    },
}

/// A fitted card.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct CardFit {
    pub curve: LiftCurve,
    /// The velocity of a flank has more than one hump: the numbers are odd, though a curve meets them.
    pub wavy: bool,
}

/// Degree of the velocity; the lift is one higher and its fourth derivative still continuous.
pub(crate) const VELOCITY_DEGREE: usize = 4;
/// Longest piece of a flank.
const PIECE_DEG: f64 = 3.5;
/// Fewest pieces between two numbers.
const PIECES_BETWEEN: usize = 3;
/// Velocity on the lowest part of a lobe whose card gives no ramp: 0.0005 in per cam degree, in the middle of the
/// usual 0.0002 to 0.0008 (cam design texts, from memory).
const USUAL_RAMP_MM_PER_DEG: f64 = 0.0127;
/// Height up to which that velocity is taken: 0.006 in, where cards measure seat duration.
const USUAL_RAMP_MM: f64 = 0.1524;
/// The foot is longer than lift over ramp velocity because the ramp has to be rounded off.
const FOOT_STRETCH: f64 = 1.4;
/// Flank acceleration in units of lobe lift over flank length squared: 0.35 in over 57 degrees with 0.0005 in/deg2.
const USUAL_ACCELERATION: f64 = 4.5;
/// Longer than any flank: half a turn less something for the base circle.
const LONGEST_FLANK_DEG: f64 = 178.0;
/// A ramp is rounded into the base circle over this many cam degrees, fewer on a short ramp.
const RAMP_BLEND_DEG: f64 = 4.0;
/// Two lifts on a ramp agree when they are off by less.
const SAME_DEG: f64 = 1e-6;

/// The curve through all numbers of both flanks.
pub(crate) fn fit_card(
    lobe_mm: f64,
    opening: &FlankNumbers,
    closing: &FlankNumbers,
) -> Result<CardFit, CardError> {
    if !lobe_mm.is_finite() || lobe_mm <= 0.0 {
        return Err(CardError::Lift { lift_mm: lobe_mm });
    }
    let open = Flank::lay_out(lobe_mm, opening)?;
    let close = if opening == closing { open.clone() } else { Flank::lay_out(lobe_mm, closing)? };
    let (opening_deg, closing_deg) = (open.foot_deg(), close.foot_deg());
    if opening_deg + closing_deg >= CAM_TURN_DEG {
        return Err(CardError::NoBaseCircle { opening_deg, closing_deg });
    }
    let mut open_fit = open.solve(None)?;
    let mut close_fit = if opening == closing { open_fit.clone() } else { close.solve(None)? };
    if opening != closing {
        // Both sides of the nose must bend alike for the second derivative to be continuous there.
        let bend = 0.5 * (open_fit.nose_bend + close_fit.nose_bend);
        open_fit = open.solve(Some(bend))?;
        close_fit = close.solve(Some(bend))?;
    }
    let wavy = open_fit.wavy || close_fit.wavy;
    let (mut breaks, mut pieces) = mirrored(&open.to_pieces(&open_fit));
    let (closing_breaks, closing_pieces) = close.to_pieces(&close_fit);
    breaks.extend_from_slice(&closing_breaks[1..]);
    pieces.extend(closing_pieces);
    for piece in &mut pieces {
        for c in piece {
            *c *= 1e-3;
        }
    }
    Ok(CardFit { curve: LiftCurve::from_pieces(breaks, pieces), wavy })
}

/// One flank laid out for the fit: distances from the nose outward.
#[derive(Clone, Debug)]
pub(crate) struct Flank {
    pub lobe_mm: f64,
    /// Nearest the nose first; all above the ramp.
    pub points: Vec<FlankPoint>,
    ramp: Option<RampNumbers>,
    /// Where the flank meets ramp or base circle.
    pub end_deg: f64,
}

/// Coefficients of the velocity toward the nose, mm per cam degree.
#[derive(Clone, Debug)]
struct FlankFit {
    coefficients: Vec<f64>,
    /// Slope of that velocity at the nose.
    nose_bend: f64,
    wavy: bool,
}

impl Flank {
    fn lay_out(lobe_mm: f64, numbers: &FlankNumbers) -> Result<Self, CardError> {
        let mut points = numbers.points.clone();
        for p in &points {
            let inside = 0.0 < p.lift_mm && p.lift_mm < lobe_mm;
            if !(inside && 0.0 < p.from_nose_deg && p.from_nose_deg < LONGEST_FLANK_DEG) {
                let (lift_mm, from_nose_deg) = (p.lift_mm, p.from_nose_deg);
                return Err(CardError::Outside { lift_mm, from_nose_deg, lobe_mm });
            }
        }
        points.sort_by(|a, b| a.from_nose_deg.total_cmp(&b.from_nose_deg));
        points.dedup();
        for pair in points.windows(2) {
            let (near, far) = (pair[0], pair[1]);
            if far.lift_mm >= near.lift_mm || far.from_nose_deg <= near.from_nose_deg {
                return Err(CardError::Order {
                    high_mm: far.lift_mm,
                    high_deg: far.from_nose_deg,
                    low_mm: near.lift_mm,
                    low_deg: near.from_nose_deg,
                });
            }
        }
        if points.is_empty() {
            return Err(CardError::NoDuration);
        }
        match numbers.ramp {
            Some(ramp) => Self::end_on_ramp(lobe_mm, points, ramp),
            None => Ok(Self::end_on_base_circle(lobe_mm, points)),
        }
    }

    fn end_on_ramp(lobe_mm: f64, mut points: Vec<FlankPoint>, ramp: RampNumbers) -> Result<Self, CardError> {
        let RampNumbers { height_mm, mm_per_deg } = ramp;
        let misfit = CardError::Ramp { height_mm, mm_per_deg };
        if !(height_mm > 0.0 && height_mm < lobe_mm && mm_per_deg > 0.0 && mm_per_deg.is_finite()) {
            return Err(misfit);
        }
        // Lifts on the straight part of the ramp say where it ends.
        let straight_mm = 0.5 * mm_per_deg * ramp.blend_deg();
        if straight_mm >= height_mm {
            return Err(misfit);
        }
        let mut end_deg: Option<f64> = None;
        while let Some(&p) = points.last().filter(|p| p.lift_mm <= height_mm) {
            let end = p.from_nose_deg - (height_mm - p.lift_mm) / mm_per_deg;
            let agrees = end_deg.is_none_or(|other| (other - end).abs() <= SAME_DEG);
            if p.lift_mm < straight_mm || !agrees {
                return Err(misfit);
            }
            end_deg = Some(end);
            points.pop();
        }
        let nearest = points.last().map_or(0.0, |p| p.from_nose_deg);
        let end_deg = match end_deg {
            Some(end) if end > nearest => end,
            Some(_) => return Err(misfit),
            None => {
                let p = points[points.len() - 1];
                p.from_nose_deg + rise_deg(lobe_mm, p, height_mm, mm_per_deg)
            }
        };
        Ok(Self { lobe_mm, points, ramp: Some(ramp), end_deg })
    }

    fn end_on_base_circle(lobe_mm: f64, points: Vec<FlankPoint>) -> Self {
        let lowest = points[points.len() - 1];
        let foot_mm = lowest.lift_mm.min(USUAL_RAMP_MM);
        let mut tail = FOOT_STRETCH * foot_mm / USUAL_RAMP_MM_PER_DEG;
        if lowest.lift_mm > foot_mm {
            tail += rise_deg(lobe_mm, lowest, foot_mm, USUAL_RAMP_MM_PER_DEG);
        }
        let end_deg = lowest.from_nose_deg + tail;
        Self { lobe_mm, points, ramp: None, end_deg }
    }

    fn foot_deg(&self) -> f64 {
        self.end_deg + self.ramp.map_or(0.0, |ramp| ramp.length_deg())
    }

    pub fn end_lift_mm(&self) -> f64 {
        self.ramp.map_or(0.0, |ramp| ramp.height_mm)
    }

    pub fn end_velocity(&self) -> f64 {
        self.ramp.map_or(0.0, |ramp| ramp.mm_per_deg)
    }

    fn basis(&self) -> Basis {
        let mut ends: Vec<f64> = self.points.iter().map(|p| p.from_nose_deg).collect();
        ends.insert(0, 0.0);
        ends.push(self.end_deg);
        let mut breaks = vec![0.0];
        for pair in ends.windows(2) {
            let n = ((pair[1] - pair[0]) / PIECE_DEG).ceil().max(PIECES_BETWEEN as f64) as usize;
            breaks.extend((1..n).map(|i| pair[0] + (pair[1] - pair[0]) * i as f64 / n as f64));
            breaks.push(pair[1]);
        }
        Basis::clamped(&breaks, VELOCITY_DEGREE)
    }

    /// The calmest velocity that meets all numbers, with one hump if possible.
    fn solve(&self, nose_bend: Option<f64>) -> Result<FlankFit, CardError> {
        let basis = self.basis();
        let problem = Problem::new(self, &basis, nose_bend);
        let (coefficients, wavy) = match problem.single_hump() {
            Some(coefficients) => (coefficients, false),
            None => match problem.solve(&problem.never_backward()) {
                Ok(coefficients) => (coefficients, true),
                Err(_) => {
                    return Err(CardError::NoCurve {
                        n_points: self.points.len(),
                        nearest_deg: self.points.first().map_or(0.0, |p| p.from_nose_deg),
                        farthest_deg: self.points.last().map_or(0.0, |p| p.from_nose_deg),
                    });
                }
            },
        };
        let nose_bend = (coefficients[1] - coefficients[0]) / basis.step(1);
        Ok(FlankFit { coefficients, nose_bend, wavy })
    }

    /// Lift from the nose outward: minus the integral of the velocity, then the ramp.
    fn to_pieces(&self, fit: &FlankFit) -> (Vec<f64>, Vec<Piece>) {
        let basis = self.basis();
        let (mut breaks, velocity) = basis.to_pieces(&fit.coefficients);
        let mut lift = self.lobe_mm;
        let mut pieces = Vec::with_capacity(velocity.len() + 2);
        for (v, pair) in velocity.iter().zip(breaks.windows(2)) {
            let piece = [lift, -v[0], -v[1] / 2.0, -v[2] / 3.0, -v[3] / 4.0, -v[4] / 5.0];
            let width = pair[1] - pair[0];
            lift = piece.iter().rev().fold(0.0, |sum, c| sum * width + c);
            pieces.push(piece);
        }
        if let Some(ramp) = self.ramp {
            let blend = ramp.blend_deg();
            let straight_end = self.end_deg + ramp.length_deg() - blend;
            pieces.push([ramp.height_mm, -ramp.mm_per_deg, 0.0, 0.0, 0.0, 0.0]);
            breaks.push(straight_end);
            pieces.extend(ramp.blend_pieces());
            breaks.extend([straight_end + blend / 2.0, straight_end + blend]);
        }
        (breaks, pieces)
    }
}

impl RampNumbers {
    /// Over how long the ramp is rounded into the base circle.
    fn blend_deg(&self) -> f64 {
        RAMP_BLEND_DEG.min(self.height_mm / self.mm_per_deg)
    }

    /// From the base circle to the end of the ramp. The rounded part gains half of what the straight one would.
    fn length_deg(&self) -> f64 {
        self.height_mm / self.mm_per_deg + self.blend_deg() / 2.0
    }

    /// From the straight part outward to the base circle in two pieces, smooth to the third derivative.
    ///
    /// With u running from 0 at the base circle to 1 at the straight part the velocity is the ramp's times a smooth
    /// step: S(u) = 8u^3 - 8u^4 below one half and 1 - S(1 - u) above. Slope and curvature of S vanish at both ends
    /// and its first three derivatives agree in the middle.
    fn blend_pieces(&self) -> [Piece; 2] {
        let (w, s) = (self.blend_deg(), self.mm_per_deg);
        // Outer half, as lift against u: s w (2u^4 - 8u^5/5).
        let outer_in_u = [0.0, 0.0, 0.0, 0.0, 2.0 * s * w, -1.6 * s * w];
        // Inner half, by the symmetry of the step, as lift against 1 - u = y: s w (1/2 - y + 2y^4 - 8y^5/5).
        let inner_in_y = [0.5 * s * w, -s * w, 0.0, 0.0, 2.0 * s * w, -1.6 * s * w];
        let mut inner = [0.0; 6];
        for (k, c) in inner.iter_mut().enumerate() {
            *c = inner_in_y[k] / w.powi(k as i32);
        }
        // The outer half runs from u = 1/2 down: shift to the distance from there.
        let shifted = shifted(&outer_in_u, 0.5);
        let mut outer = [0.0; 6];
        for (k, c) in outer.iter_mut().enumerate() {
            *c = shifted[k] * (-1f64).powi(k as i32) / w.powi(k as i32);
        }
        [inner, outer]
    }
}

/// Cam degrees to climb from a lift and velocity to a point of the flank at the usual acceleration.
fn rise_deg(lobe_mm: f64, point: FlankPoint, from_mm: f64, from_mm_per_deg: f64) -> f64 {
    let acceleration = USUAL_ACCELERATION * lobe_mm / point.from_nose_deg.powi(2);
    let end = (from_mm_per_deg.powi(2) + 2.0 * acceleration * (point.lift_mm - from_mm)).sqrt();
    (end - from_mm_per_deg) / acceleration
}

/// Pieces of an outward curve as pieces of the same curve running the other way, for the flank before the nose.
fn mirrored((breaks, pieces): &(Vec<f64>, Vec<Piece>)) -> (Vec<f64>, Vec<Piece>) {
    let mirrored = pieces.iter().zip(breaks.windows(2)).rev().map(|(piece, pair)| {
        let mut piece = shifted(piece, pair[1] - pair[0]);
        for odd in [1, 3, 5] {
            piece[odd] = -piece[odd];
        }
        piece
    });
    (breaks.iter().rev().map(|b| -b).collect(), mirrored.collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Flank as Side;
    use proptest::prelude::*;

    const INCH_MM: f64 = 25.4;
    /// A card number is met when the curve is off by less, millimetres: far below what any instrument shows, and some
    /// hundred times rounding.
    const MET_MM: f64 = 1e-9;

    fn point(from_nose_deg: f64, lift_mm: f64) -> FlankPoint {
        FlankPoint { from_nose_deg, lift_mm }
    }

    /// Durations 280 at 0.006, 230 at 0.050, 144 at 0.200 in.
    fn road_cam() -> FlankNumbers {
        let points = [(280.0, 0.006), (230.0, 0.050), (144.0, 0.200)]
            .map(|(crank, inch)| point(crank / 4.0, inch * INCH_MM));
        FlankNumbers { points: points.to_vec(), ramp: None }
    }

    /// Lifts, monotone flanks, nose and smoothness of a fitted curve.
    fn check(curve: &LiftCurve, lobe_mm: f64, opening: &FlankNumbers, closing: &FlankNumbers) {
        let off = |deg: f64, lift_mm: f64| (curve.lift_m(deg) * 1e3 - lift_mm).abs();
        assert!(off(0.0, lobe_mm) < MET_MM);
        for (sign, numbers) in [(-1.0, opening), (1.0, closing)] {
            for p in &numbers.points {
                let off = off(sign * p.from_nose_deg, p.lift_mm);
                assert!(off < MET_MM, "{} mm is missed by {off} mm", p.lift_mm);
            }
        }
        let (lo, hi) = (curve.foot(Side::Opening).degrees(), curve.foot(Side::Closing).degrees());
        // The velocity may be short of zero by rounding.
        let rounding = 1e-13 * lobe_mm;
        for i in 0..=2000 {
            let deg = lo + (hi - lo) * f64::from(i) / 2000.0;
            let slope = curve.jet_m(deg)[1];
            let backward = if deg < 0.0 { -slope } else { slope };
            assert!(backward < rounding, "flank falls by {backward} m/deg at {deg}");
        }
        // Value and three derivatives agree where pieces meet, at the nose and at the feet. Each is compared with
        // its own size on the lobe.
        let largest = |k: usize| {
            let jets = (0..=400).map(|i| curve.jet_m(lo + (hi - lo) * f64::from(i) / 400.0)[k].abs());
            jets.fold(0.0, f64::max)
        };
        let sizes = [0, 1, 2, 3].map(largest);
        for b in curve.breaks() {
            let (left, right) = (curve.jet_m(b.degrees() - 1e-9), curve.jet_m(b.degrees() + 1e-9));
            for k in 0..4 {
                let step = (left[k] - right[k]).abs();
                // The third derivative itself changes over the 2e-9 degrees between the two places.
                assert!(step < 1e-6 * sizes[k], "derivative {k} jumps by {step} at {}", b.degrees());
            }
        }
    }

    #[test]
    fn exact_numbers_of_a_road_cam() {
        let lobe_mm = 0.35 * INCH_MM;
        let fit = fit_card(lobe_mm, &road_cam(), &road_cam()).expect("a lobe");
        assert!(!fit.wavy);
        check(&fit.curve, lobe_mm, &road_cam(), &road_cam());
        // Velocity and acceleration are those of such lobes: at most 0.0076 in/deg and 0.00033 in/deg2.
        let peak = |k: usize| {
            (0..900)
                .map(|i| fit.curve.jet_m(f64::from(i) / 10.0)[k].abs() * 1e3 / INCH_MM)
                .fold(0.0, f64::max)
        };
        assert!((0.0070..0.0080).contains(&peak(1)), "{}", peak(1));
        assert!((0.00025..0.00040).contains(&peak(2)), "{}", peak(2));
    }

    /// Numbers a fraction of a degree apart whose slopes go up and down: met exactly, and called wavy.
    #[test]
    fn exact_close_numbers_are_met() {
        let free = fit_card(0.35 * INCH_MM, &road_cam(), &road_cam()).expect("a lobe").curve;
        let mut opening = road_cam();
        for (deg, more_mm) in [(58.0, 0.034), (53.0, 0.051), (48.0, 0.051)] {
            opening.points.push(point(deg, free.lift_m(deg) * 1e3 + more_mm));
        }
        let fit = fit_card(0.35 * INCH_MM, &opening, &road_cam()).expect("a lobe");
        assert!(fit.wavy);
        check(&fit.curve, 0.35 * INCH_MM, &opening, &road_cam());
    }

    #[test]
    fn exact_ramps() {
        let lobe_mm = 0.35 * INCH_MM;
        let ramp = Some(RampNumbers { height_mm: 0.006 * INCH_MM, mm_per_deg: 0.0006 * INCH_MM });
        let opening = FlankNumbers { ramp, ..road_cam() };
        let fit = fit_card(lobe_mm, &opening, &road_cam()).expect("a lobe");
        check(&fit.curve, lobe_mm, &opening, &road_cam());
        for deg in [-70.0, -72.0, -75.0] {
            let [_, slope, acceleration, _] = fit.curve.jet_m(deg);
            assert!((slope * 1e3 - 0.0006 * INCH_MM).abs() < 1e-12, "{deg}: {slope}");
            assert!(acceleration.abs() < 1e-12);
        }
    }

    #[test]
    fn exact_contradictions_are_named() {
        let numbers = |points: &[FlankPoint]| FlankNumbers { points: points.to_vec(), ramp: None };
        let check = |points: &[FlankPoint]| {
            fit_card(9.0, &numbers(points), &numbers(points)).expect_err("a contradiction")
        };
        assert_eq!(check(&[]), CardError::NoDuration);
        assert!(matches!(check(&[point(60.0, 1.0), point(70.0, 1.2)]), CardError::Order { .. }));
        assert!(matches!(check(&[point(60.0, 9.5)]), CardError::Outside { .. }));
        assert!(matches!(check(&[point(60.0, f64::NAN)]), CardError::Outside { .. }));
        assert!(matches!(check(&[point(176.0, 1.0)]), CardError::NoBaseCircle { .. }));
        let road = numbers(&[point(60.0, 1.0)]);
        assert!(matches!(fit_card(f64::NAN, &road, &road), Err(CardError::Lift { .. })));
    }

    /// A flank of some lobe: lift (1 - u^a)^b of the lobe's, u from 0 at the nose to 1 at the foot.
    fn some_flank() -> impl Strategy<Value = (Vec<f64>, Vec<f64>)> {
        let shares = proptest::collection::vec(0.01..0.95f64, 1..6);
        (60.0..95.0f64, 1.9..2.6f64, 2.5..4.5f64, shares).prop_map(|(foot, a, b, mut shares)| {
            shares.sort_by(f64::total_cmp);
            // Numbers on a card stand apart.
            shares.dedup_by(|x, y| (*x - *y).abs() < 0.02);
            let angles = shares.iter().map(|lift| foot * (1.0 - lift.powf(1.0 / b)).powf(1.0 / a));
            (angles.collect(), shares.clone())
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]

        #[test]
        fn exact_numbers_of_random_cards(
            lobe_mm in 4.0..12.0f64,
            opening in some_flank(),
            closing in some_flank(),
            symmetric in any::<bool>(),
        ) {
            let numbers = |(angles, shares): &(Vec<f64>, Vec<f64>)| FlankNumbers {
                points: angles.iter().zip(shares).map(|(a, s)| point(*a, s * lobe_mm)).collect(),
                ramp: None,
            };
            let opening = numbers(&opening);
            let closing = if symmetric { opening.clone() } else { numbers(&closing) };
            let fit = fit_card(lobe_mm, &opening, &closing).map_err(|e| TestCaseError::fail(e.to_string()))?;
            check(&fit.curve, lobe_mm, &opening, &closing);
            prop_assert!(!fit.wavy);
        }

        #[test]
        fn exact_no_numbers_panic(
            lobe_mm in -1.0..15.0f64,
            points in proptest::collection::vec((-10.0..200.0f64, -1.0..16.0f64), 0..6),
            ramp in proptest::option::of((-0.1..1.0f64, -0.01..0.2f64)),
        ) {
            let points = points.into_iter().map(|(a, l)| point(a, l)).collect();
            let ramp = ramp.map(|(height_mm, mm_per_deg)| RampNumbers { height_mm, mm_per_deg });
            let numbers = FlankNumbers { points, ramp };
            if let Ok(fit) = fit_card(lobe_mm, &numbers, &numbers) {
                prop_assert!(fit.curve.nose_lift().value.is_finite());
            }
        }
    }
}
