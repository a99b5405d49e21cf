//! `/api/check`: does a build clear?

use axum::extract::State;
use headroom::wire::CheckWire;
use headroom::{CheckOptions, words};
use serde::Deserialize;
use utoipa::IntoParams;

use crate::answer::{Kept, Question, Units, answer};
use crate::extract::Asked;
use crate::failure::Failure;
use crate::state::Shared;

/// What to check, and how thoroughly.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct AskedCheck {
    /// The build.
    build: i64,
    /// A swap on it.
    swap: Option<i64>,
    /// Tolerance samples for each chance that is neither certain nor impossible; 1024 where nothing is said.
    #[param(minimum = 1, maximum = 4096)]
    samples: Option<u32>,
    /// Units of the sentences.
    #[serde(default)]
    #[param(inline)]
    units: Units,
}

/// Samples that are drawn while somebody waits; more is work for a job.
const MOST_SAMPLES: u32 = 4096;

/// Does it clear? Findings, worst first, with chances, cures and everything that was assumed.
#[utoipa::path(get, path = "/api/check", tag = "answers", params(AskedCheck), responses((status = 200, body = CheckWire)))]
pub async fn check(State(bench): Shared, Asked(asked): Asked<AskedCheck>) -> Result<Kept, Failure> {
    let n_samples = asked.samples.unwrap_or(CheckOptions::default().n_samples);
    if !(1..=MOST_SAMPLES).contains(&n_samples) {
        return Err(Failure::not_sensible(format!(
            "{n_samples} samples: from 1 to {MOST_SAMPLES} are drawn here"
        )));
    }
    let AskedCheck { build, swap, units, .. } = asked;
    let question = Question { kind: "check", asked: format!("{n_samples} {units:?}"), build, swap };
    answer(&bench, question, move |subject| {
        let build = subject.build();
        let answer = headroom::check(build, &CheckOptions { n_samples });
        let verdict = words::verdict(&answer, build.cylinders.len(), units.system());
        Ok(CheckWire::new(&answer, verdict))
    })
    .await
}
