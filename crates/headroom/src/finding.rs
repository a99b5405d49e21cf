//! One line of an answer: what was found, the limit, how sure, and what to do about it.

use parts::Duty;
use parts::limit::{Check, Limit};
use serde::Serialize;
use units::{Basis, CrankAngle, Length};

use crate::place::PlaceSeen;

/// How a gap stands to its limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "lowercase")]
pub enum Status {
    /// At or over the limit.
    Clear,
    /// A reading that the check cannot do without is missing.
    Unmeasured,
    /// Positive, but under the limit.
    Tight,
    /// The parts run into each other.
    Hits,
}

impl Status {
    /// From a nominal gap and its limit.
    pub fn of(gap: Length, limit: Length) -> Self {
        if gap.value <= 0.0 {
            Self::Hits
        } else if gap < limit {
            Self::Tight
        } else {
            Self::Clear
        }
    }

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Clear => "clear",
            Self::Unmeasured => "unmeasured",
            Self::Tight => "tight",
            Self::Hits => "hits",
        }
    }
}

/// One check at the cylinder where it comes out worst.
#[derive(Clone, Debug)]
pub struct Finding {
    /// What was checked.
    pub check: Check,
    /// Which valve, where it is about one.
    pub valve: Option<String>,
    /// The other valve, where it is about two.
    pub other_valve: Option<String>,
    /// The worst cylinder, and those that are exactly like it.
    pub cylinders: Vec<usize>,
    /// Gaps of the cylinders that differ from the worst, each group once.
    pub others: Vec<(Vec<usize>, Length)>,
    /// How it stands.
    pub status: Status,
    /// The limit in force.
    pub limit: Length,
    /// Who says so.
    pub limit_source: String,
    /// What was found; `None` when a needed reading is missing.
    pub seen: Option<Seen>,
    /// What would bring it to its limit, or make it known.
    pub cures: Vec<Cure>,
}

/// A gap with its surroundings.
#[derive(Clone, Debug)]
pub struct Seen {
    /// Least gap, nominal; negative for interference.
    pub gap: Length,
    /// 95 % half-width of the gap.
    pub tolerance: Length,
    /// Where the gap is least.
    pub place: PlaceSeen,
    /// Lift at which it is least, where lift matters.
    pub lift: Option<Length>,
    /// Where the crank then stands, for parts that move with it.
    pub crank: Option<CrankAngle>,
    /// Phasers that have to stand elsewhere than installed for it, and how much earlier.
    pub phaser: Vec<(Duty, CrankAngle)>,
    /// Where the parts first touch; only when they do.
    pub first_contact: Option<FirstContact>,
    /// Chance that the parts touch, from 0 to 1.
    pub chance_of_hitting: f64,
    /// Chance that the gap is under its limit, from 0 to 1.
    pub chance_under_limit: f64,
    /// The reading whose tolerance matters most to the gap; `None` when nothing is uncertain.
    pub weakest: Option<Weakest>,
}

impl Finding {
    /// A check that cannot be made before that reading is taken.
    pub fn unmeasured(check: Check, valve: Option<String>, limit: Limit, needed: &'static str) -> Self {
        Self {
            check,
            valve,
            other_valve: None,
            cylinders: Vec::new(),
            others: Vec::new(),
            status: Status::Unmeasured,
            limit: limit.least,
            limit_source: limit.source,
            seen: None,
            cures: vec![Cure::Measure(needed)],
        }
    }

    /// Nominal gap, where one is known.
    pub fn gap(&self) -> Option<Length> {
        self.seen.as_ref().map(|seen| seen.gap)
    }
}

/// Where the parts first touch.
#[derive(Clone, Debug)]
pub struct FirstContact {
    /// Nominal lift.
    pub lift: Length,
    /// Lifts between which it comes 95 times in 100 of the cases where it comes at all.
    pub interval: Option<[Length; 2]>,
    /// Where.
    pub place: PlaceSeen,
}

/// The reading that makes a gap most uncertain.
#[derive(Clone, Debug, PartialEq)]
pub struct Weakest {
    /// Its path below the cylinder.
    pub path: String,
    /// Where it comes from.
    pub basis: Basis,
    /// Its share of the gap's variance, from 0 to 1.
    pub share: f64,
}

/// A change that would just bring a gap to its limit, all else staying as it is.
#[derive(Clone, Debug, PartialEq)]
pub enum Cure {
    /// Keep the valve's travel below this.
    LiftNoMoreThan(Length),
    /// Compress the gasket to no less than this.
    GasketNoThinnerThan(Length),
    /// Make the valve's head no larger than this.
    ValveNoLargerThan(Length),
    /// Cut a relief this deep where the gap is least.
    ReliefOf(Length),
    /// Open the gasket by this much on the side where it is least.
    OpeningLargerBy(Length),
    /// Cut the pocket in the crown this much deeper.
    PocketDeeperBy(Length),
    /// Make the pocket in the crown this much larger in diameter.
    PocketLargerBy(Length),
    /// Measure this reading, which the check cannot do without.
    Measure(&'static str),
}
