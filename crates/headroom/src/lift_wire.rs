//! Cam and springs as JSON, each number with its unit in its name.

use motion::{ContactPeak, Events, Rider};
use parts::Duty;
use serde::Serialize;
use units::angle::degree;
use units::angular_velocity::{revolution_per_minute, revolution_per_second};
use units::force::newton;
use units::length::millimeter;
use units::mass::gram;
use units::pressure::megapascal;
use units::{AngularVelocity, Length};

use crate::Status;
use crate::lift::{DutyLift, Level, LiftAnswer, SpringsAnswer, duty_word};
use crate::lift_words::CAUTION;
use crate::wire::FORMAT;

/// [`LiftAnswer`].
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct LiftWire {
    format: u32,
    name: String,
    verdict: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    revs_rpm: Option<f64>,
    valves: Vec<DutyWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    lobe_separation_deg: Option<f64>,
    overlap: Vec<OverlapWire>,
    refused: Vec<RefusedWire>,
    not_described: Vec<&'static str>,
    troubles: Vec<TroubleWire>,
    notes: Vec<String>,
    cautions: Vec<&'static str>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct OverlapWire {
    at: &'static str,
    overlap_deg: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct RefusedWire {
    duty: &'static str,
    reason: String,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct TroubleWire {
    status: Status,
    duty: &'static str,
    text: String,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct DutyWire {
    duty: &'static str,
    greatest_lift_mm: f64,
    stated_lift_mm: f64,
    stated_lift_tolerance_mm: f64,
    lobe_times_ratio_mm: f64,
    lift_near_tdc: Vec<NearTdcWire>,
    centreline_deg: f64,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    phased: Vec<PhasedWire>,
    events: Vec<EventsWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    area_mm_deg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    flat_tappet: Option<FlatWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    surface: Option<SurfaceWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    springs: Option<SpringsWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    springs_refused: Option<String>,
    notes: Vec<String>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct PhasedWire {
    advance_deg: f64,
    centreline_deg: f64,
    lift_at_tdc_mm: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct NearTdcWire {
    after_tdc_deg: f64,
    lift_mm: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct EventsWire {
    at: &'static str,
    duration_deg: f64,
    opens_before_dead_centre_deg: f64,
    closes_after_dead_centre_deg: f64,
    centreline_deg: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct FlatWire {
    greatest_mm_per_cam_deg: f64,
    limit_mm_per_cam_deg: f64,
    edge_margin_mm: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct SurfaceWire {
    #[serde(skip_serializing_if = "Option::is_none")]
    pressure_angle_deg: Option<f64>,
    least_convex_radius_mm: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    least_hollow_radius_mm: Option<f64>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct SpringsWire {
    seat_n: f64,
    nose_n: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    coil_bind_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    retainer_to_seal_mm: Option<f64>,
    effective_mass_g: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    lift_off_rpm: Option<f64>,
    margins: Vec<MarginWire>,
    surges: Vec<SurgeWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    contact_by_hand: Option<ContactWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    contact_at_revs: Option<ContactWire>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct MarginWire {
    rpm: f64,
    least_force_n: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct SurgeWire {
    spring: &'static str,
    frequency_hz: f64,
    at_rpm: f64,
    times_cam_speed: f64,
    nearest_harmonic: usize,
    share_of_lift: f64,
    resonance_rpm: f64,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema), schema(as = LiftContactWire))]
struct ContactWire {
    pressure_mpa: f64,
    force_n: f64,
    crank_deg: f64,
}

impl LiftWire {
    /// The answer with its verdict in words.
    pub fn new(answer: &LiftAnswer, verdict: Vec<String>, notes: Vec<String>) -> Self {
        let overlap = answer.together.iter().flat_map(|together| &together.overlap);
        Self {
            format: FORMAT,
            name: answer.build.clone(),
            verdict,
            revs_rpm: answer.revs.map(rpm),
            valves: answer.duties.iter().map(DutyWire::from).collect(),
            lobe_separation_deg: answer.together.as_ref().map(|both| rounded(both.separation.degrees())),
            overlap: overlap
                .map(|(level, angle)| OverlapWire { at: key(*level), overlap_deg: rounded(angle.degrees()) })
                .collect(),
            refused: answer
                .refused
                .iter()
                .map(|(duty, reason)| RefusedWire { duty: duty_word(*duty), reason: reason.clone() })
                .collect(),
            not_described: answer.unknown.iter().map(|duty| duty_word(*duty)).collect(),
            troubles: answer
                .troubles
                .iter()
                .map(|trouble| TroubleWire {
                    status: trouble.status,
                    duty: duty_word(trouble.duty),
                    text: trouble.text.clone(),
                })
                .collect(),
            notes,
            cautions: vec![CAUTION],
        }
    }
}

/// Levels without blanks.
fn key(level: Level) -> &'static str {
    match level {
        Level::Seat => "seat",
        Level::FiftyThou => "tappet_0.050_in",
        Level::OneMillimetre => "valve_1_mm",
    }
}

impl From<&DutyLift> for DutyWire {
    fn from(one: &DutyLift) -> Self {
        let springs = one.springs.as_ref().and_then(|springs| springs.as_ref().ok());
        Self {
            duty: duty_word(one.duty),
            greatest_lift_mm: mm(one.greatest),
            stated_lift_mm: mm(one.stated.value),
            stated_lift_tolerance_mm: mm(one.stated.tolerance),
            lobe_times_ratio_mm: mm(one.full.value),
            lift_near_tdc: one
                .near_tdc
                .iter()
                .map(|(after, lift)| NearTdcWire {
                    after_tdc_deg: rounded(after.degrees()),
                    lift_mm: mm(*lift),
                })
                .collect(),
            centreline_deg: rounded(one.centreline.degrees()),
            phased: one
                .phased
                .iter()
                .map(|end| PhasedWire {
                    advance_deg: rounded(end.advance.degrees()),
                    centreline_deg: rounded(end.centreline.degrees()),
                    lift_at_tdc_mm: mm(end.at_tdc),
                })
                .collect(),
            events: one.events.iter().map(|(level, events)| events_wire(*level, events, one.duty)).collect(),
            area_mm_deg: one.area.map(|area| rounded(area.millimetre_degrees())),
            flat_tappet: one.flat.as_ref().map(|flat| FlatWire {
                greatest_mm_per_cam_deg: mm(flat.per_cam_degree),
                limit_mm_per_cam_deg: mm(flat.limit),
                edge_margin_mm: mm(flat.edge_margin),
            }),
            surface: one.surface.as_ref().map(|surface| SurfaceWire {
                pressure_angle_deg: (one.rider != Rider::Flat)
                    .then(|| rounded(surface.pressure_angle.get::<degree>())),
                least_convex_radius_mm: mm(surface.least_convex),
                least_hollow_radius_mm: surface.least_hollow.map(mm),
            }),
            springs: springs.map(SpringsWire::from),
            springs_refused: one.springs.as_ref().and_then(|springs| springs.as_ref().err()).cloned(),
            notes: one.notes.clone(),
        }
    }
}

fn events_wire(level: Level, events: &Events, duty: Duty) -> EventsWire {
    EventsWire {
        at: key(level),
        duration_deg: rounded(events.duration().degrees()),
        opens_before_dead_centre_deg: rounded(events.opens_before_dead_centre(duty).degrees()),
        closes_after_dead_centre_deg: rounded(events.closes_after_dead_centre(duty).degrees()),
        centreline_deg: rounded(events.centreline(duty).degrees()),
    }
}

impl From<&SpringsAnswer> for SpringsWire {
    fn from(springs: &SpringsAnswer) -> Self {
        let margin = |(speed, force): &(AngularVelocity, units::Force)| MarginWire {
            rpm: rpm(*speed),
            least_force_n: rounded(force.get::<newton>()),
        };
        let contact = |idx: usize| springs.contact.as_ref().map(|contact| ContactWire::from(&contact[idx]));
        Self {
            seat_n: rounded(springs.seat.get::<newton>()),
            nose_n: rounded(springs.nose.get::<newton>()),
            coil_bind_mm: springs.bind.map(mm),
            retainer_to_seal_mm: springs.seal.map(mm),
            effective_mass_g: rounded(springs.mass.get::<gram>()),
            lift_off_rpm: springs.lift_off.map(|(speed, _)| rpm(speed)),
            margins: springs.margins.iter().map(margin).collect(),
            surges: springs
                .surges
                .iter()
                .map(|surge| SurgeWire {
                    spring: if surge.inner { "inner" } else { "outer" },
                    frequency_hz: rounded(surge.frequency.get::<revolution_per_second>()),
                    at_rpm: rpm(surge.at),
                    times_cam_speed: rounded(surge.surge.order),
                    nearest_harmonic: surge.surge.harmonic,
                    share_of_lift: rounded(surge.surge.share),
                    resonance_rpm: rpm(surge.surge.resonance),
                })
                .collect(),
            contact_by_hand: contact(0),
            contact_at_revs: contact(1),
        }
    }
}

impl From<&ContactPeak> for ContactWire {
    fn from(peak: &ContactPeak) -> Self {
        Self {
            pressure_mpa: rounded(peak.pressure.get::<megapascal>()),
            force_n: rounded(peak.force.get::<newton>()),
            crank_deg: rounded(peak.at.degrees()),
        }
    }
}

/// Rounded where only the noise of the arithmetic follows.
fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6 + 0.0
}

fn mm(length: Length) -> f64 {
    rounded(length.get::<millimeter>())
}

fn rpm(speed: AngularVelocity) -> f64 {
    rounded(speed.get::<revolution_per_minute>())
}
