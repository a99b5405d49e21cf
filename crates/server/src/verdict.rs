//! `/api/verdict`: a swap against the build it starts from: does it clear, and what does it do to compression?

use axum::extract::State;
use headroom::wire::SwapWire;
use headroom::{CheckOptions, swap, verdict};
use serde::Deserialize;
use shop::Drawer;
use utoipa::IntoParams;

use crate::answer::{Kept, Question, Units, answer};
use crate::extract::Asked;
use crate::failure::Failure;
use crate::state::{Shared, on_disk};

/// Which swap.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct AskedVerdict {
    /// The swap.
    swap: i64,
    /// Units of the sentences.
    #[serde(default)]
    #[param(inline)]
    units: Units,
}

/// The verdict on a swap.
#[utoipa::path(get, path = "/api/verdict", tag = "answers", params(AskedVerdict), responses((status = 200, body = SwapWire)))]
pub async fn of_swap(State(bench): Shared, Asked(asked): Asked<AskedVerdict>) -> Result<Kept, Failure> {
    let AskedVerdict { swap: id, units } = asked;
    let entry = on_disk(&bench, move |bench| Ok(bench.reader().get(Drawer::Swap, id)?)).await?;
    let build = entry.build_id.unwrap_or_default();
    let question = Question { kind: "verdict", asked: format!("{units:?}"), build, swap: Some(id) };
    answer(&bench, question, move |subject| {
        let Some(candidate) = &subject.candidate else {
            return Err(Failure::internal("the swap was read without its candidate"));
        };
        let base = &subject.base.build;
        let answer = swap(base, candidate, &CheckOptions::default());
        Ok(SwapWire::new(&base.name, &answer, verdict::sentences(&answer, units.system())))
    })
    .await
}
