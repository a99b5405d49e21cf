//! `/api/compare`: stored pulls laid over each other, and whether a change made a difference.

use axum::Json;
use axum::extract::State;
use headroom::pulls_words;
use pulls::{CompareOptions, Measure, Pull, compare, read_pull};
use serde::{Deserialize, Serialize};
use shop::Drawer;
use utoipa::ToSchema;

use crate::answer::Units;
use crate::extract::Body;
use crate::failure::Failure;
use crate::state::{Bench, Shared, on_processor};

/// Which pulls, and how.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedCompare {
    /// Numbers of stored pulls; each says which part of the test it belongs to.
    #[schema(min_items = 1, max_items = 200)]
    pulls: Vec<i64>,
    /// What is averaged and told.
    #[serde(default)]
    of: Told,
    /// As measured, without a correction to standard air.
    #[serde(default)]
    as_measured: bool,
    /// Units of the sentences.
    #[serde(default)]
    units: Units,
}

/// What is told of pulls.
#[derive(Clone, Copy, Debug, Default, Deserialize, PartialEq, Eq, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Told {
    /// Torque.
    #[default]
    Torque,
    /// Power.
    Power,
}

/// What the pulls say together.
#[derive(Serialize, ToSchema)]
pub struct Compared {
    verdict: Vec<String>,
    /// What has to be said with it.
    findings: Vec<String>,
    band_rpm: [f64; 2],
    /// In the order of time.
    curves: Vec<ComparedCurve>,
    /// B against A, speed by speed; empty without both.
    by_speed: Vec<ComparedSpeed>,
    cautions: Vec<&'static str>,
}

/// One pull, corrected, at the common speeds.
#[derive(Serialize, ToSchema)]
struct ComparedCurve {
    name: String,
    /// A, B or A2.
    group: &'static str,
    speed_rpm: Vec<f64>,
    torque_n_m: Vec<f64>,
    /// How far its mean lies off the fit.
    off_percent: Option<f64>,
}

/// What B gained at one speed.
#[derive(Serialize, ToSchema)]
struct ComparedSpeed {
    speed_rpm: f64,
    percent: f64,
    /// Ends of the interval for that speed alone.
    interval_percent: Option<[f64; 2]>,
}

/// Most pulls at once.
const MOST_PULLS: usize = 200;

/// Lays pulls over each other.
#[utoipa::path(post, path = "/api/compare", tag = "answers", request_body = AskedCompare,
    responses((status = 200, body = Compared)))]
pub async fn pulls_of(
    State(bench): Shared,
    Body(asked): Body<AskedCompare>,
) -> Result<Json<Compared>, Failure> {
    if !(1..=MOST_PULLS).contains(&asked.pulls.len()) {
        return Err(Failure::not_sensible(format!(
            "{} pulls: from 1 to {MOST_PULLS} are compared",
            asked.pulls.len()
        )));
    }
    on_processor(&bench, move |bench| compared(bench, &asked).map(Json)).await
}

fn compared(bench: &Bench, asked: &AskedCompare) -> Result<Compared, Failure> {
    let read = asked.pulls.iter().map(|id| stored(bench, *id)).collect::<Result<Vec<Pull>, Failure>>()?;
    let usual = CompareOptions::default();
    let options = CompareOptions {
        standard: usual.standard.filter(|_| !asked.as_measured),
        measure: match asked.of {
            Told::Torque => Measure::Torque,
            Told::Power => Measure::Power,
        },
        ..usual
    };
    let comparison = compare(&read, &options).map_err(|error| Failure::not_sensible(error.to_string()))?;
    let system = asked.units.system();
    Ok(Compared {
        verdict: pulls_words::verdict(&comparison, system),
        findings: comparison.findings.iter().map(|finding| pulls_words::finding(finding, system)).collect(),
        band_rpm: [comparison.band_rpm.0, comparison.band_rpm.1],
        curves: comparison
            .pulls
            .iter()
            .map(|pull| ComparedCurve {
                name: pull.name.clone(),
                group: pull.group.key(),
                speed_rpm: pull.curve.speed_rpm.clone(),
                torque_n_m: pull.curve.torque_nm.clone(),
                off_percent: pull.off_percent,
            })
            .collect(),
        by_speed: comparison
            .by_speed
            .iter()
            .map(|one| ComparedSpeed {
                speed_rpm: one.speed_rpm,
                percent: one.percent,
                interval_percent: one.interval_percent.map(|(low, high)| [low, high]),
            })
            .collect(),
        cautions: vec![pulls_words::CAUTION],
    })
}

fn stored(bench: &Bench, id: i64) -> Result<Pull, Failure> {
    let entry = bench.reader().get(Drawer::Pull, id)?;
    read_pull(entry.text.as_bytes())
        .map_err(|error| Failure::not_sensible(format!("{} cannot be read: {error}", entry.name)))
}
