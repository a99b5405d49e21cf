//! When a valve opens and closes, for how long and how much. Leaves out float, which moves the closing.

use parts::Duty;
use units::length::{inch, meter, millimeter};
use units::{CrankAngle, Length};

use crate::lobe::Flank;
use crate::lobe_fit::OVERLAP_TDC_DEG;
use crate::valve_motion::{CYCLE_DEG, ValveMotion};

/// Opening and closing of a valve at one lift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Events {
    /// Passes the lift on the way up; 0 is the top dead centre of the firing stroke. May be negative.
    pub opens: CrankAngle,
    /// Passes it on the way down; never before `opens`, so it may exceed 720 degrees.
    pub closes: CrankAngle,
}

/// Area under a lift curve: lift times crank angle.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct LiftArea {
    metre_degrees: f64,
}

impl LiftArea {
    /// In millimetres times crank degrees.
    pub fn millimetre_degrees(self) -> f64 {
        self.metre_degrees * Length::new::<meter>(1.0).get::<millimeter>()
    }

    /// In inches times crank degrees.
    pub fn inch_degrees(self) -> f64 {
        self.metre_degrees * Length::new::<meter>(1.0).get::<inch>()
    }
}

impl Events {
    /// Crank angle between opening and closing.
    pub fn duration(&self) -> CrankAngle {
        self.closes - self.opens
    }

    /// Midway between opening and closing.
    pub fn midpoint(&self) -> CrankAngle {
        (self.opens + self.closes) * 0.5
    }

    /// Opening as cards give it: before top dead centre for an intake, before bottom for an exhaust. Negative after it.
    pub fn opens_before_dead_centre(&self, duty: Duty) -> CrankAngle {
        CrankAngle::from_degrees(wrapped(opening_dead_centre(duty) - self.opens.degrees()))
    }

    /// Closing as cards give it: after bottom dead centre for an intake, after top for an exhaust. Negative before it.
    pub fn closes_after_dead_centre(&self, duty: Duty) -> CrankAngle {
        CrankAngle::from_degrees(wrapped(self.closes.degrees() - closing_dead_centre(duty)))
    }

    /// The midpoint as cards give a lobe centreline: after top dead centre for an intake, before it for an exhaust.
    pub fn centreline(&self, duty: Duty) -> CrankAngle {
        let after = wrapped(self.midpoint().degrees() - OVERLAP_TDC_DEG);
        CrankAngle::from_degrees(match duty {
            Duty::Intake => after,
            Duty::Exhaust => -after,
        })
    }
}

/// Crank angle during which both valves are open at the lifts the events were taken at; negative when the exhaust
/// closes before the intake opens. Identity: opening before top plus closing after top.
pub fn overlap(intake: &Events, exhaust: &Events) -> CrankAngle {
    intake.opens_before_dead_centre(Duty::Intake) + exhaust.closes_after_dead_centre(Duty::Exhaust)
}

/// Half the angle between the two centrelines: the lobe separation.
pub fn lobe_separation(intake: &Events, exhaust: &Events) -> CrankAngle {
    (intake.centreline(Duty::Intake) + exhaust.centreline(Duty::Exhaust)) * 0.5
}

fn opening_dead_centre(duty: Duty) -> f64 {
    match duty {
        Duty::Intake => OVERLAP_TDC_DEG,
        Duty::Exhaust => 0.25 * CYCLE_DEG,
    }
}

fn closing_dead_centre(duty: Duty) -> f64 {
    match duty {
        Duty::Intake => 0.75 * CYCLE_DEG,
        Duty::Exhaust => OVERLAP_TDC_DEG,
    }
}

/// Into -360..360.
fn wrapped(deg: f64) -> f64 {
    (deg + 0.5 * CYCLE_DEG).rem_euclid(CYCLE_DEG) - 0.5 * CYCLE_DEG
}

/// Five-point Gauss rule on -1..1 (Abramowitz and Stegun 1964, table 25.4, from memory): places and weights.
const GAUSS: [(f64, f64); 5] = [
    (0.0, 0.568_888_888_888_888_9),
    (-0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (-0.906_179_845_938_664, 0.236_926_885_056_189_1),
    (0.906_179_845_938_664, 0.236_926_885_056_189_1),
];

impl ValveMotion {
    /// Opening and closing at a lift of the valve; at no lift, where it leaves the seat and comes back to it. `None`
    /// when the valve never has the lift, or is never without it.
    ///
    /// Without lash the seat events are the feet of the lobe's curve, some degrees outside anything an instrument shows;
    /// cards compare events at 0.006 or 0.050 in.
    pub fn events_at(&self, lift: Length) -> Option<Events> {
        let lobe_m = self.lobe_lift_m(lift.get::<meter>());
        self.events_at_lobe_lift(lobe_m, lift.value == 0.0)
    }

    /// Opening and closing at a lift of the tappet, which is where most cards state durations.
    pub fn events_at_tappet(&self, lift: Length) -> Option<Events> {
        self.events_at_lobe_lift(lift.get::<meter>() / self.lift_scale(), false)
    }

    fn events_at_lobe_lift(&self, lobe_m: f64, seat: bool) -> Option<Events> {
        let place = |flank| {
            if seat && lobe_m == 0.0 {
                return Some(self.lobe().foot(flank).degrees());
            }
            self.lobe().flank_angle_deg(lobe_m, flank)
        };
        let opens = self.crank_deg(place(Flank::Opening)?);
        let closes = self.crank_deg(place(Flank::Closing)?);
        Some(Events { opens: CrankAngle::from_degrees(opens), closes: CrankAngle::from_degrees(closes) })
    }

    /// Area under the lift curve between opening and closing at a lift of the valve; `None` where those do not exist.
    ///
    /// Gauss's rule between the places where pieces of the lobe meet: exact for a plain ratio, to rounding for one
    /// that varies.
    pub fn area_above(&self, lift: Length) -> Option<LiftArea> {
        let events = self.events_at(lift)?;
        let (opens, closes) = (events.opens.degrees(), events.closes.degrees());
        let inner = self.lobe().breaks_deg().iter().map(|&b| self.crank_deg(b));
        let mut ends = vec![opens];
        ends.extend(inner.filter(|&b| opens < b && b < closes));
        ends.push(closes);
        let mut metre_degrees = 0.0;
        for pair in ends.windows(2) {
            let (mid, half) = (0.5 * (pair[0] + pair[1]), 0.5 * (pair[1] - pair[0]));
            metre_degrees += GAUSS.iter().map(|(x, w)| half * w * self.lift_m(mid + half * x)).sum::<f64>();
        }
        Some(LiftArea { metre_degrees })
    }
}
