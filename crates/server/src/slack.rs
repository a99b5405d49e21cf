//! `/api/slack`: how far each adjustment may still go, and what stops it.

use axum::extract::State;
use headroom::slack::{rev_slack, slack};
use headroom::slack_wire::SlackWire;
use headroom::slack_words;
use serde::Deserialize;
use utoipa::IntoParams;

use crate::answer::{Kept, Question, Units, answer};
use crate::extract::Asked;
use crate::failure::Failure;
use crate::state::Shared;

/// A build, perhaps with a swap.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct AskedSlack {
    /// The build.
    build: i64,
    /// A swap on it.
    swap: Option<i64>,
    /// Units of the sentences.
    #[serde(default)]
    #[param(inline)]
    units: Units,
}

/// How far each adjustment may go.
#[utoipa::path(get, path = "/api/slack", tag = "answers", params(AskedSlack), responses((status = 200, body = SlackWire)))]
pub async fn of_build(State(bench): Shared, Asked(asked): Asked<AskedSlack>) -> Result<Kept, Failure> {
    let AskedSlack { build, swap, units } = asked;
    let question = Question { kind: "slack", asked: format!("{units:?}"), build, swap };
    answer(&bench, question, move |subject| {
        let build = subject.build();
        let (slacks, revs) = (slack(build), rev_slack(build));
        let verdict = slack_words::verdict(&slacks, revs.as_ref(), units.system());
        Ok(SlackWire::new(&build.name, &slacks, revs.as_ref(), verdict))
    })
    .await
}
