//! `/api/scene`: everything there is to draw of a build.

use axum::extract::State;
use headroom::mock_up_wire::SceneWire;
use serde::Deserialize;
use utoipa::IntoParams;

use crate::answer::{Kept, Question, answer};
use crate::extract::Asked;
use crate::failure::Failure;
use crate::state::Shared;

/// A build, perhaps with a swap.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct AskedScene {
    /// The build.
    build: i64,
    /// A swap on it.
    swap: Option<i64>,
}

/// Bore, gasket, chamber, valves, pockets and lifts of every cylinder, in its bore frame.
#[utoipa::path(get, path = "/api/scene", tag = "answers", params(AskedScene), responses((status = 200, body = SceneWire)))]
pub async fn of_build(State(bench): Shared, Asked(asked): Asked<AskedScene>) -> Result<Kept, Failure> {
    let AskedScene { build, swap } = asked;
    let question = Question { kind: "scene", asked: String::new(), build, swap };
    answer(&bench, question, |subject| Ok(SceneWire::new(&subject.build().name, subject.mock_up()))).await
}
