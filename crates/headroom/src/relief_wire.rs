//! Reliefs as JSON: lengths in millimetres, areas in square millimetres, volumes in cubic centimetres.

use serde::Serialize;
use units::area::square_millimeter;
use units::length::millimeter;
use units::volume::cubic_centimeter;
use units::{Angle, Length, Volume};

use crate::fallback::Fallback;
use crate::finding::Status;
use crate::relief::{Outcome, Proposed, ReliefAnswer, ValveRelief};
use crate::relief_fly_cut::{PistonRelief, ProposedPocket};
use crate::relief_left::LeftLine;
use crate::relief_standing::StandingCut;
use crate::wire::FORMAT;

/// [`ReliefAnswer`].
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ReliefWire {
    format: u32,
    name: String,
    outcome: &'static str,
    verdict: Vec<String>,
    reliefs: Vec<OneWire>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    standing_cuts: Vec<StandingWire>,
    notes: Vec<String>,
    cautions: Vec<&'static str>,
}

/// A cut that is there already.
#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct StandingWire {
    valve: String,
    in_crown: bool,
    cylinders: Vec<usize>,
    left: Vec<LeftWire>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct OneWire {
    check: &'static str,
    valve: String,
    cylinders: Vec<usize>,
    status: Status,
    gap_mm: f64,
    limit_mm: f64,
    limit_source: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    first_contact_lift_mm: Option<f64>,
    outcome: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    cut: Option<CutWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pocket: Option<PocketWire>,
    #[serde(skip_serializing_if = "Option::is_none")]
    no_cut: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    cut_survives_with: Vec<FallbackWire>,
    fallbacks: Vec<FallbackWire>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct CutWire {
    cutter_diameter_mm: f64,
    corner_radius_mm: f64,
    end_center_mm: [f64; 3],
    axis: [f64; 3],
    overhang_mm: f64,
    overhang_at_deck_mm: f64,
    chord_mm: f64,
    depth_mm: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    clockwise_from_front_deg: Option<f64>,
    deck_area_mm2: f64,
    volume_cc: f64,
    gap_after_mm: f64,
    compression_before: f64,
    compression_after: f64,
    left: Vec<LeftWire>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct PocketWire {
    cutter_diameter_mm: f64,
    floor_center_mm: [f64; 2],
    floor_depth_mm: f64,
    depth_mm: f64,
    breaks_edge: bool,
    volume_cc: f64,
    gap_after_mm: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    radial_gap_after_mm: Option<f64>,
    compression_before: f64,
    compression_after: f64,
    left: Vec<LeftWire>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct LeftWire {
    of: &'static str,
    cylinder: usize,
    left_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    tolerance_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    chance_under_limit: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    weakest_reading: Option<String>,
    limit_mm: f64,
    status: Status,
    survives: &'static str,
    source: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    needed: Option<&'static str>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct FallbackWire {
    changes: Vec<ChangedWire>,
    gap_mm: f64,
    compression_before: f64,
    compression_after: f64,
    curtain_area_percent: f64,
    head_area_percent: f64,
    rank_percent: f64,
    newly_under_limit: Vec<String>,
}

#[derive(Debug, Serialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
struct ChangedWire {
    change: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    by_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    to_mm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    by_deg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    by_ratio: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    to_ratio: Option<f64>,
    work: &'static str,
}

impl ReliefWire {
    /// The answer with its verdict in words.
    pub fn new(answer: &ReliefAnswer, verdict: Vec<String>) -> Self {
        let valves = answer.valves.iter().map(OneWire::from);
        Self {
            format: FORMAT,
            name: answer.name.clone(),
            outcome: outcome(answer.outcome()),
            verdict,
            reliefs: valves.chain(answer.pistons.iter().map(OneWire::from)).collect(),
            standing_cuts: answer.standing.iter().map(StandingWire::from).collect(),
            notes: answer.notes.clone(),
            cautions: crate::relief_words::CUT_CAUTIONS.to_vec(),
        }
    }
}

fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::ClearsAsItIs => "clears_as_it_is",
        Outcome::ClearsAfterCut => "clears_after_cut",
        Outcome::DoesNot => "does_not_survive",
    }
}

impl From<&StandingCut> for StandingWire {
    fn from(cut: &StandingCut) -> Self {
        Self {
            valve: cut.valve.clone(),
            in_crown: cut.in_crown,
            cylinders: cut.cylinders.clone(),
            left: cut.left.iter().map(LeftWire::from).collect(),
        }
    }
}

impl From<&ValveRelief> for OneWire {
    fn from(relief: &ValveRelief) -> Self {
        Self {
            check: relief.check.key(),
            valve: relief.valve.clone(),
            cylinders: relief.cylinders.clone(),
            status: relief.status,
            gap_mm: mm(relief.gap),
            limit_mm: mm(relief.limit),
            limit_source: relief.limit_source.clone(),
            first_contact_lift_mm: relief.first_contact.map(mm),
            outcome: outcome(relief.outcome()),
            cut: relief.cut.as_ref().ok().map(CutWire::from),
            pocket: None,
            no_cut: relief.cut.as_ref().err().cloned(),
            cut_survives_with: relief.with_cut.iter().map(FallbackWire::from).collect(),
            fallbacks: relief.fallbacks.iter().map(FallbackWire::from).collect(),
        }
    }
}

impl From<&PistonRelief> for OneWire {
    fn from(relief: &PistonRelief) -> Self {
        Self {
            check: relief.check.key(),
            valve: relief.valve.clone(),
            cylinders: vec![relief.cylinder],
            status: relief.status,
            gap_mm: mm(relief.gap),
            limit_mm: mm(relief.limit),
            limit_source: relief.limit_source.clone(),
            first_contact_lift_mm: None,
            outcome: outcome(relief.outcome()),
            cut: None,
            pocket: relief.cut.as_ref().ok().map(PocketWire::from),
            no_cut: relief.cut.as_ref().err().cloned(),
            cut_survives_with: Vec::new(),
            fallbacks: relief.fallbacks.iter().map(FallbackWire::from).collect(),
        }
    }
}

impl From<&Proposed> for CutWire {
    fn from(proposed: &Proposed) -> Self {
        let (cut, cutter) = (&proposed.cut, &proposed.cut.cutter);
        let clockwise = |azimuth: Angle| (-azimuth.value.to_degrees()).rem_euclid(360.0);
        Self {
            cutter_diameter_mm: rounded(2e3 * cutter.radius),
            corner_radius_mm: rounded(1e3 * cutter.corner),
            end_center_mm: (cutter.end * 1e3).to_array().map(rounded),
            axis: cutter.axis.to_array(),
            overhang_mm: mm(cut.overhang()),
            overhang_at_deck_mm: mm(cut.overhang_at_deck()),
            chord_mm: mm(cut.chord()),
            depth_mm: mm(cut.depth()),
            clockwise_from_front_deg: cut.azimuth().map(clockwise).map(rounded),
            deck_area_mm2: rounded(cut.deck_area().get::<square_millimeter>()),
            volume_cc: cc(proposed.volume),
            gap_after_mm: mm(proposed.gap_after),
            compression_before: proposed.compression[0],
            compression_after: proposed.compression[1],
            left: proposed.left.iter().map(LeftWire::from).collect(),
        }
    }
}

impl From<&ProposedPocket> for PocketWire {
    fn from(proposed: &ProposedPocket) -> Self {
        let cut = &proposed.cut;
        Self {
            cutter_diameter_mm: mm(cut.diameter()),
            floor_center_mm: cut.floor_center().map(mm),
            floor_depth_mm: mm(cut.floor_depth()),
            depth_mm: mm(cut.depth()),
            breaks_edge: cut.breaks_edge(),
            volume_cc: cc(proposed.volume),
            gap_after_mm: mm(proposed.gap_after),
            radial_gap_after_mm: proposed.radial_after.map(|[gap, _]| mm(gap)),
            compression_before: proposed.compression[0],
            compression_after: proposed.compression[1],
            left: proposed.left.iter().map(LeftWire::from).collect(),
        }
    }
}

impl From<&LeftLine> for LeftWire {
    fn from(line: &LeftLine) -> Self {
        Self {
            of: line.of.key(),
            cylinder: line.cylinder,
            left_mm: line.left.map(mm),
            tolerance_mm: line.left.map(|_| mm(line.tolerance)),
            chance_under_limit: line.chance_under_limit.map(rounded),
            weakest_reading: line.weakest.as_ref().map(|weakest| weakest.path.clone()),
            limit_mm: mm(line.limit),
            status: line.status,
            survives: line.word(),
            source: line.source.clone(),
            needed: line.needed,
        }
    }
}

impl From<&Fallback> for FallbackWire {
    fn from(fallback: &Fallback) -> Self {
        let price = &fallback.price;
        let short = fallback.newly_short.iter().map(|(check, valve)| match valve {
            Some(valve) => format!("{} of {valve}", check.key()),
            None => check.key().to_owned(),
        });
        let changes = fallback.changes.iter().map(|changed| {
            let (angle, ratio) = (changed.change.is_angle(), changed.change.is_ratio());
            ChangedWire {
                change: changed.change.key(),
                by_mm: (!angle && !ratio).then(|| rounded(1e3 * changed.by_si)),
                to_mm: changed.to_si.filter(|_| !ratio).map(|to| rounded(1e3 * to)),
                by_ratio: ratio.then(|| rounded(changed.by_si)),
                to_ratio: changed.to_si.filter(|_| ratio).map(rounded),
                by_deg: angle.then(|| rounded(changed.by_si.to_degrees())),
                work: changed.change.work(),
            }
        });
        Self {
            changes: changes.collect(),
            gap_mm: mm(fallback.gap),
            compression_before: price.compression[0],
            compression_after: price.compression[1],
            curtain_area_percent: price.curtain_percent,
            head_area_percent: price.head_area_percent,
            rank_percent: price.rank_percent,
            newly_under_limit: short.collect(),
        }
    }
}

fn mm(length: Length) -> f64 {
    rounded(length.get::<millimeter>())
}

fn cc(volume: Volume) -> f64 {
    rounded(volume.get::<cubic_centimeter>())
}

/// To a ten-thousandth: past that there is only the noise of the arithmetic.
fn rounded(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}
