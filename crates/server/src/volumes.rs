//! `/api/volumes`: every cc, the compression they make, and what a swap does to it.

use axum::extract::State;
use headroom::volumes::volumes;
use headroom::volumes_change::compression_change;
use headroom::volumes_effective::effective_compressions;
use headroom::volumes_wire::VolumesWire;
use headroom::volumes_words;
use serde::Deserialize;
use units::CrankAngle;
use utoipa::IntoParams;

use crate::answer::{Kept, Question, answer};
use crate::extract::Asked;
use crate::failure::Failure;
use crate::state::Shared;

/// Which build.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct AskedVolumes {
    /// The build.
    build: i64,
    /// A swap on it: what it does to compression.
    swap: Option<i64>,
    /// When the intake valve closes, in crank degrees after bottom dead centre: adds effective compression.
    #[param(minimum = 0, maximum = 180)]
    intake_closes_deg: Option<f64>,
}

/// Every cc.
#[utoipa::path(get, path = "/api/volumes", tag = "answers", params(AskedVolumes), responses((status = 200, body = VolumesWire)))]
pub async fn of_build(State(bench): Shared, Asked(asked): Asked<AskedVolumes>) -> Result<Kept, Failure> {
    let AskedVolumes { build, swap, intake_closes_deg: closes } = asked;
    if closes.is_some_and(|closes| !(0.0..=180.0).contains(&closes)) {
        return Err(Failure::not_sensible(
            "intake_closes_deg is from 0 to 180 degrees after bottom dead centre",
        ));
    }
    let question = Question { kind: "volumes", asked: format!("{closes:?}"), build, swap };
    answer(&bench, question, move |subject| {
        let answer = volumes(subject.build());
        let change =
            subject.candidate.as_ref().map(|candidate| compression_change(&subject.base.build, candidate));
        let mut verdict = change.as_ref().map_or_else(Vec::new, volumes_words::change_verdict);
        verdict.extend(volumes_words::verdict(&answer).into_iter().skip(usize::from(change.is_some())));
        let effective = match closes {
            Some(closes) => effective_compressions(subject.build(), CrankAngle::from_degrees(closes))
                .map_err(|error| Failure::not_sensible(error.to_string()))?,
            None => Vec::new(),
        };
        Ok(VolumesWire::new(&answer, change.as_ref(), &effective, verdict))
    })
    .await
}
