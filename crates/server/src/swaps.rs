//! `/api/swaps`: swap sheets, each on a build.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use serde::{Deserialize, Serialize};
use sheet::{Problems, read_candidate};
use shop::{Drawer, Entry, NewEntry};
use utoipa::ToSchema;

use crate::entries::{self, ChangedSheet, OfRevision, Received, Sent};
use crate::extract::{Asked, Body, InPath};
use crate::failure::{Failure, ProblemWire, problem_wires};
use crate::state::{Bench, Shared};
use crate::subject::other_sheet;

/// A swap sheet.
#[derive(Serialize, ToSchema)]
pub struct SwapDetail {
    id: i64,
    /// What its file would be called.
    name: String,
    /// What the sheet calls the candidate; null while it cannot be read.
    title: Option<String>,
    /// The build it starts from.
    build: i64,
    /// The sheet, byte for byte.
    text: String,
    /// Grows with every change; send it back with yours.
    revision: i64,
    changed_at: String,
    /// Parts that differ from the build.
    parts_replaced: Vec<&'static str>,
    /// What is wrong in the sheet, or in the build it starts from.
    problems: Vec<ProblemWire>,
}

/// A new swap sheet.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewSwap {
    /// Up to 80 characters that may stand in the name of a file.
    #[schema(min_length = 1, max_length = 80)]
    name: String,
    /// The build it starts from.
    build: i64,
    /// Kept as it is, readable or not.
    text: String,
}

impl Received for NewSwap {
    fn entry(&self) -> NewEntry<'_> {
        NewEntry { name: &self.name, text: &self.text, build_id: Some(self.build), kind: None }
    }
}

/// All swap sheets.
#[utoipa::path(get, path = "/api/swaps", tag = "sheets", responses((status = 200, body = Vec<SwapDetail>)))]
pub async fn list(State(bench): Shared) -> Result<Json<Vec<SwapDetail>>, Failure> {
    entries::list(&bench, Drawer::Swap).await
}

/// One swap sheet.
#[utoipa::path(get, path = "/api/swaps/{id}", tag = "sheets", params(("id" = i64, Path)),
    responses((status = 200, body = SwapDetail)))]
pub async fn get(State(bench): Shared, InPath(id): InPath<i64>) -> Result<Json<SwapDetail>, Failure> {
    entries::get(&bench, Drawer::Swap, id).await
}

/// Puts a new swap sheet into the shop.
#[utoipa::path(post, path = "/api/swaps", tag = "sheets", request_body = NewSwap,
    responses((status = 201, body = SwapDetail)))]
pub async fn add(
    State(bench): Shared,
    Body(new): Body<NewSwap>,
) -> Result<(StatusCode, Json<SwapDetail>), Failure> {
    entries::add(&bench, Drawer::Swap, new).await
}

/// Changes a swap sheet. Refused with 409 and the sheet as it stands when somebody else changed it in the meantime.
#[utoipa::path(put, path = "/api/swaps/{id}", tag = "sheets", params(("id" = i64, Path)), request_body = ChangedSheet,
    responses((status = 200, body = SwapDetail), (status = 409, body = Failure, description = "Changed in the meantime")))]
pub async fn put(
    State(bench): Shared,
    InPath(id): InPath<i64>,
    Body(changed): Body<ChangedSheet>,
) -> Result<Json<SwapDetail>, Failure> {
    entries::put(&bench, Drawer::Swap, id, changed).await
}

/// Takes a swap sheet out of the shop; undo brings it back.
#[utoipa::path(delete, path = "/api/swaps/{id}", tag = "sheets", params(("id" = i64, Path), OfRevision),
    responses((status = 204, description = "Removed")))]
pub async fn remove(
    State(bench): Shared,
    InPath(id): InPath<i64>,
    Asked(asked): Asked<OfRevision>,
) -> Result<StatusCode, Failure> {
    entries::remove(&bench, Drawer::Swap, id, asked).await
}

impl Sent for SwapDetail {
    fn of(bench: &Bench, entry: Entry) -> Result<Self, Failure> {
        let shop = bench.reader();
        let build = entry.build_id.unwrap_or_default();
        let base = shop.get(Drawer::Build, build)?;
        let read = read_candidate(&base.text, &entry.text, &mut |name| other_sheet(&shop, name));
        let (title, parts_replaced) = match &read {
            Ok(candidate) => (
                Some(candidate.name.clone()),
                candidate.parts_replaced.iter().map(|part| part.key()).collect(),
            ),
            Err(_) => (None, Vec::new()),
        };
        let problems = read.err().map_or_else(Vec::new, |problems: Problems| problem_wires(&problems));
        let Entry { id, name, text, revision, changed_at, .. } = entry;
        Ok(Self { id, name, title, build, text, revision, changed_at, parts_replaced, problems })
    }
}
