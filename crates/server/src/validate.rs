//! `/api/validate`: what is wrong with a sheet that is being typed, without keeping it.

use axum::Json;
use axum::extract::State;
use serde::{Deserialize, Serialize};
use sheet::{read_build, read_candidate};
use shop::Drawer;
use utoipa::ToSchema;

use crate::extract::Body;
use crate::failure::{Failure, ProblemWire, problem_wires};
use crate::readings::{ReadingWire, readings};
use crate::state::{Shared, on_disk};
use crate::subject::other_sheet;

/// A sheet to look through.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Draft {
    /// The sheet.
    text: String,
    /// For a swap sheet: the build it starts from.
    build: Option<i64>,
}

/// What stands in a sheet.
#[derive(Serialize, ToSchema)]
pub struct Validated {
    /// What the sheet calls the engine; null while it cannot be read.
    title: Option<String>,
    /// Everything that is wrong, with line and column.
    problems: Vec<ProblemWire>,
    /// Whether there are more than those.
    more: bool,
    /// Every reading, what was assumed among them; empty while the sheet cannot be read.
    readings: Vec<ReadingWire>,
    notes: Vec<String>,
}

/// Looks a sheet through.
#[utoipa::path(post, path = "/api/validate", tag = "sheets", request_body = Draft,
    responses((status = 200, body = Validated)))]
pub async fn validate(State(bench): Shared, Body(draft): Body<Draft>) -> Result<Json<Validated>, Failure> {
    on_disk(&bench, move |bench| {
        let read = match draft.build {
            None => read_build(&draft.text).map(|sheet| (sheet.build, sheet.notes)),
            Some(build) => {
                let shop = bench.reader();
                let base = shop.get(Drawer::Build, build)?;
                read_candidate(&base.text, &draft.text, &mut |name| other_sheet(&shop, name))
                    .map(|candidate| (candidate.build, candidate.notes))
            }
        };
        Ok(Json(match read {
            Ok((build, notes)) => Validated {
                title: Some(build.name.clone()),
                problems: Vec::new(),
                more: false,
                readings: readings(&build),
                notes,
            },
            Err(problems) => Validated {
                title: None,
                problems: problem_wires(&problems),
                more: problems.more(),
                readings: Vec::new(),
                notes: Vec::new(),
            },
        }))
    })
    .await
}
