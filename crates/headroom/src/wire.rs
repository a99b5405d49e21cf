//! Answers as JSON: lengths in millimetres, angles in degrees, chances from 0 to 1, each with its unit in its name.

use parts::Duty;
use serde::Serialize;
use units::Length;
use units::length::millimeter;

use crate::assumed::Assumed;
use crate::check::CheckAnswer;
use crate::contact::Explained;
use crate::finding::{Cure, Finding, FirstContact, Seen, Status, Weakest};
use crate::payoff_wire::PayoffWire;
use crate::place::{PlaceSeen, Surface};
use crate::running_quench::RunningQuench;
use crate::verdict::SwapAnswer;
use crate::volumes_change::CylinderChange;

/// The number that says which shape of JSON this is; it grows when a field changes its meaning or goes.
pub const FORMAT: u32 = 1;

/// [`CheckAnswer`].
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct CheckWire {
    format: u32,
    name: String,
    status: Status,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    verdict: Vec<String>,
    findings: Vec<FindingWire>,
    assumed: Vec<AssumedWire>,
    notes: Vec<String>,
    running_quench: RunningQuenchWire,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    contacts: Vec<ContactWire>,
    cautions: Vec<&'static str>,
}

/// [`SwapAnswer`].
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct SwapWire {
    format: u32,
    base: String,
    name: String,
    parts_replaced: Vec<&'static str>,
    verdict: Vec<String>,
    fit: CheckWire,
    compression: Vec<CompressionWire>,
    /// Absent where it was not asked for, or cannot be reckoned; the verdict then says why.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "openapi", schema(ignore))]
    payoff: Option<PayoffWire>,
    notes: Vec<String>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct CompressionWire {
    cylinders: Vec<usize>,
    base_ratio: f64,
    base_tolerance: f64,
    candidate_ratio: f64,
    candidate_tolerance: f64,
    difference: f64,
    difference_tolerance: f64,
    shares: Vec<ShareWire>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct ShareWire {
    change: &'static str,
    share: f64,
    tolerance: f64,
}

/// [`Finding`].
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct FindingWire {
    check: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    valve: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    other_valve: Option<String>,
    status: Status,
    cylinders: Vec<usize>,
    #[serde(flatten)]
    seen: Option<SeenWire>,
    limit_mm: f64,
    limit_source: String,
    others: Vec<OtherWire>,
    cures: Vec<CureWire>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct SeenWire {
    gap_mm: f64,
    gap_tolerance_mm: f64,
    place: PlaceWire,
    #[serde(skip_serializing_if = "Option::is_none")]
    lift_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    crank_deg: Option<f64>,
    /// How much earlier than installed each phaser then stands that has moved.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    phaser: Vec<PhaserWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    first_contact: Option<FirstContactWire>,
    chance_of_hitting: f64,
    chance_under_limit: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    weakest_reading: Option<WeakestWire>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct PhaserWire {
    duty: &'static str,
    earlier_deg: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub(crate) struct PlaceWire {
    clock: u32,
    clockwise_from_front_deg: f64,
    from_bore_axis_mm: f64,
    above_deck_mm: f64,
    surface: Surface,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct FirstContactWire {
    lift_mm: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    interval_95_mm: Option<[f64; 2]>,
    place: PlaceWire,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct WeakestWire {
    path: String,
    basis: &'static str,
    share_of_variance: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct OtherWire {
    cylinders: Vec<usize>,
    gap_mm: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(tag = "change", rename_all = "snake_case")]
enum CureWire {
    LiftNoMoreThan { mm: f64 },
    GasketNoThinnerThan { mm: f64 },
    ValveNoLargerThan { mm: f64 },
    ReliefOf { mm: f64 },
    GasketOpeningLargerBy { mm: f64 },
    PocketDeeperBy { mm: f64 },
    PocketLargerBy { mm: f64 },
    Measure { path: &'static str },
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct AssumedWire {
    path: String,
    value_si: f64,
    tolerance_si: f64,
    rule: &'static str,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct RunningQuenchWire {
    rpm: f64,
    rpm_given: bool,
    takes_mm: f64,
    takes_tolerance_mm: f64,
    leaves_mm: f64,
}

impl From<&RunningQuench> for RunningQuenchWire {
    fn from(quench: &RunningQuench) -> Self {
        Self {
            rpm: quench.speed.get::<units::angular_velocity::revolution_per_minute>().round(),
            rpm_given: quench.speed_given,
            takes_mm: mm(quench.takes.value),
            takes_tolerance_mm: mm(quench.takes.tolerance),
            leaves_mm: mm(quench.leaves),
        }
    }
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct ContactWire {
    valve: String,
    cylinders: Vec<usize>,
    measured_lift_mm: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    moved_outward_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    moved_tolerance_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    problem: Option<String>,
}

impl From<&Explained> for ContactWire {
    fn from(explained: &Explained) -> Self {
        let moved = explained.moved.as_ref();
        Self {
            valve: explained.valve.clone(),
            cylinders: explained.cylinders.clone(),
            measured_lift_mm: mm(explained.contact_lift.value),
            moved_outward_mm: moved.ok().map(|moved| mm(moved.value)),
            moved_tolerance_mm: moved.ok().map(|moved| mm(moved.tolerance)),
            problem: moved.err().map(ToString::to_string),
        }
    }
}

fn mm(length: Length) -> f64 {
    // To a ten-thousandth of a millimetre: past that there is only the noise of the arithmetic.
    (length.get::<millimeter>() * 1e4).round() / 1e4
}

impl CheckWire {
    /// The answer with its verdict in words.
    pub fn new(answer: &CheckAnswer, verdict: Vec<String>) -> Self {
        Self {
            format: FORMAT,
            name: answer.name.clone(),
            status: answer.status(),
            verdict,
            findings: answer.findings.iter().map(FindingWire::from).collect(),
            assumed: answer.assumed.iter().map(AssumedWire::from).collect(),
            notes: answer.notes.clone(),
            running_quench: RunningQuenchWire::from(&answer.running_quench),
            contacts: answer.contacts.iter().map(ContactWire::from).collect(),
            cautions: crate::words::CAUTIONS.to_vec(),
        }
    }
}

impl SwapWire {
    /// The answer with its verdict in words.
    pub fn new(base: &str, answer: &SwapAnswer, verdict: Vec<String>) -> Self {
        let fit_verdict = Vec::new();
        Self {
            format: FORMAT,
            base: base.to_owned(),
            name: answer.name.clone(),
            parts_replaced: answer.parts_replaced.iter().map(|part| part.key()).collect(),
            verdict,
            fit: CheckWire::new(&answer.fit, fit_verdict),
            compression: answer.compression.groups.iter().map(CompressionWire::from).collect(),
            payoff: None,
            notes: answer.notes.clone(),
        }
    }

    /// The same with what the swap does to torque.
    pub fn with_payoff(self, payoff: PayoffWire) -> Self {
        Self { payoff: Some(payoff), ..self }
    }
}

impl From<&CylinderChange> for CompressionWire {
    fn from(change: &CylinderChange) -> Self {
        Self {
            cylinders: change.cylinders.clone(),
            base_ratio: change.base.value.value,
            base_tolerance: change.base.tolerance.value,
            candidate_ratio: change.candidate.value.value,
            candidate_tolerance: change.candidate.tolerance.value,
            difference: change.difference.value.value,
            difference_tolerance: change.difference.tolerance.value,
            shares: change
                .shares
                .iter()
                .map(|share| ShareWire {
                    change: share.change.words(),
                    share: share.share.value.value,
                    tolerance: share.share.tolerance.value,
                })
                .collect(),
        }
    }
}

impl From<&Finding> for FindingWire {
    fn from(finding: &Finding) -> Self {
        Self {
            check: finding.check.key(),
            valve: finding.valve.clone(),
            other_valve: finding.other_valve.clone(),
            status: finding.status,
            cylinders: finding.cylinders.clone(),
            seen: finding.seen.as_ref().map(SeenWire::from),
            limit_mm: mm(finding.limit),
            limit_source: finding.limit_source.clone(),
            others: finding
                .others
                .iter()
                .map(|(cylinders, gap)| OtherWire { cylinders: cylinders.clone(), gap_mm: mm(*gap) })
                .collect(),
            cures: finding.cures.iter().map(CureWire::from).collect(),
        }
    }
}

impl From<&Seen> for SeenWire {
    fn from(seen: &Seen) -> Self {
        Self {
            gap_mm: mm(seen.gap),
            gap_tolerance_mm: mm(seen.tolerance),
            place: PlaceWire::from(&seen.place),
            lift_mm: seen.lift.map(mm),
            crank_deg: seen.crank.map(|crank| (crank.degrees() * 100.0).round() / 100.0),
            phaser: seen
                .phaser
                .iter()
                .map(|(duty, by)| PhaserWire {
                    duty: match duty {
                        Duty::Intake => "intake",
                        Duty::Exhaust => "exhaust",
                    },
                    earlier_deg: (by.degrees() * 100.0).round() / 100.0,
                })
                .collect(),
            first_contact: seen.first_contact.as_ref().map(FirstContactWire::from),
            chance_of_hitting: seen.chance_of_hitting,
            chance_under_limit: seen.chance_under_limit,
            weakest_reading: seen.weakest.as_ref().map(WeakestWire::from),
        }
    }
}

impl From<&PlaceSeen> for PlaceWire {
    fn from(place: &PlaceSeen) -> Self {
        let round = |value: f64, per_unit: f64| (value * per_unit).round() / per_unit;
        Self {
            clock: place.clock(),
            clockwise_from_front_deg: round(place.clockwise_deg, 100.0),
            from_bore_axis_mm: round(place.radius_m * 1e3, 1e4),
            above_deck_mm: round(place.height_m * 1e3, 1e4),
            surface: place.on,
        }
    }
}

impl From<&FirstContact> for FirstContactWire {
    fn from(contact: &FirstContact) -> Self {
        Self {
            lift_mm: mm(contact.lift),
            interval_95_mm: contact.interval.map(|ends| ends.map(mm)),
            place: PlaceWire::from(&contact.place),
        }
    }
}

impl From<&Weakest> for WeakestWire {
    fn from(weakest: &Weakest) -> Self {
        Self { path: weakest.path.clone(), basis: weakest.basis.word(), share_of_variance: weakest.share }
    }
}

impl From<&Cure> for CureWire {
    fn from(cure: &Cure) -> Self {
        match cure {
            Cure::LiftNoMoreThan(lift) => Self::LiftNoMoreThan { mm: mm(*lift) },
            Cure::GasketNoThinnerThan(thickness) => Self::GasketNoThinnerThan { mm: mm(*thickness) },
            Cure::ValveNoLargerThan(diameter) => Self::ValveNoLargerThan { mm: mm(*diameter) },
            Cure::ReliefOf(depth) => Self::ReliefOf { mm: mm(*depth) },
            Cure::OpeningLargerBy(by) => Self::GasketOpeningLargerBy { mm: mm(*by) },
            Cure::PocketDeeperBy(by) => Self::PocketDeeperBy { mm: mm(*by) },
            Cure::PocketLargerBy(by) => Self::PocketLargerBy { mm: mm(*by) },
            Cure::Measure(path) => Self::Measure { path },
        }
    }
}

impl From<&Assumed> for AssumedWire {
    fn from(assumed: &Assumed) -> Self {
        Self {
            path: assumed.path.clone(),
            value_si: assumed.value_si,
            tolerance_si: assumed.tolerance_si,
            rule: assumed.rule,
        }
    }
}
