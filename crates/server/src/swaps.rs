//! `/api/swaps`: swap sheets, each on a build.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use serde::{Deserialize, Serialize};
use sheet::{Problems, read_candidate};
use shop::{Drawer, Entry, NewEntry, Shop, ShopError};
use utoipa::ToSchema;

use crate::builds::{ChangedSheet, OfRevision};
use crate::extract::{Asked, Body, InPath};
use crate::failure::{Failure, ProblemWire, problem_wires};
use crate::state::{Shared, on_disk};
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

/// All swap sheets.
#[utoipa::path(get, path = "/api/swaps", tag = "sheets", responses((status = 200, body = Vec<SwapDetail>)))]
pub async fn list(State(bench): Shared) -> Result<Json<Vec<SwapDetail>>, Failure> {
    on_disk(&bench, |bench| {
        let shop = bench.reader();
        let all = shop.list(Drawer::Swap)?;
        let details: Result<Vec<SwapDetail>, ShopError> =
            all.into_iter().map(|entry| detail(&shop, entry)).collect();
        Ok(Json(details?))
    })
    .await
}

/// One swap sheet.
#[utoipa::path(get, path = "/api/swaps/{id}", tag = "sheets", params(("id" = i64, Path)),
    responses((status = 200, body = SwapDetail)))]
pub async fn get(State(bench): Shared, InPath(id): InPath<i64>) -> Result<Json<SwapDetail>, Failure> {
    on_disk(&bench, move |bench| {
        let shop = bench.reader();
        let entry = shop.get(Drawer::Swap, id)?;
        Ok(Json(detail(&shop, entry)?))
    })
    .await
}

/// Puts a new swap sheet into the shop.
#[utoipa::path(post, path = "/api/swaps", tag = "sheets", request_body = NewSwap,
    responses((status = 201, body = SwapDetail)))]
pub async fn add(
    State(bench): Shared,
    Body(new): Body<NewSwap>,
) -> Result<(StatusCode, Json<SwapDetail>), Failure> {
    on_disk(&bench, move |bench| {
        let new = NewEntry { name: &new.name, text: &new.text, build_id: Some(new.build), kind: None };
        let mut shop = bench.writer();
        let entry = shop.add(Drawer::Swap, &new)?;
        Ok((StatusCode::CREATED, Json(detail(&shop, entry)?)))
    })
    .await
}

/// Changes a swap sheet. Refused with 409 and the sheet as it stands when somebody else changed it in the meantime.
#[utoipa::path(put, path = "/api/swaps/{id}", tag = "sheets", params(("id" = i64, Path)), request_body = ChangedSheet,
    responses((status = 200, body = SwapDetail), (status = 409, body = Failure, description = "Changed in the meantime")))]
pub async fn put(
    State(bench): Shared,
    InPath(id): InPath<i64>,
    Body(changed): Body<ChangedSheet>,
) -> Result<Json<SwapDetail>, Failure> {
    on_disk(&bench, move |bench| {
        let mut shop = bench.writer();
        let entry = shop.put(Drawer::Swap, id, changed.revision, &changed.name, &changed.text)?;
        Ok(Json(detail(&shop, entry)?))
    })
    .await
}

/// Takes a swap sheet out of the shop; undo brings it back.
#[utoipa::path(delete, path = "/api/swaps/{id}", tag = "sheets", params(("id" = i64, Path), OfRevision),
    responses((status = 204, description = "Removed")))]
pub async fn remove(
    State(bench): Shared,
    InPath(id): InPath<i64>,
    Asked(asked): Asked<OfRevision>,
) -> Result<StatusCode, Failure> {
    on_disk(&bench, move |bench| {
        bench.writer().remove(Drawer::Swap, id, asked.revision)?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

fn detail(shop: &Shop, entry: Entry) -> Result<SwapDetail, ShopError> {
    let build = entry.build_id.unwrap_or_default();
    let base = shop.get(Drawer::Build, build)?;
    let read = read_candidate(&base.text, &entry.text, &mut |name| other_sheet(shop, name));
    let (title, parts_replaced) = match &read {
        Ok(candidate) => {
            (Some(candidate.name.clone()), candidate.parts_replaced.iter().map(|part| part.key()).collect())
        }
        Err(_) => (None, Vec::new()),
    };
    let problems = read.err().map_or_else(Vec::new, |problems: Problems| problem_wires(&problems));
    let Entry { id, name, text, revision, changed_at, .. } = entry;
    Ok(SwapDetail { id, name, title, build, text, revision, changed_at, parts_replaced, problems })
}
