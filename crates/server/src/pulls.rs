//! `/api/pulls`: dyno runs as the text they came in. What stands in them is not looked at here.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use serde::{Deserialize, Serialize};
use shop::{Drawer, Entry, NewEntry};
use utoipa::ToSchema;

use crate::builds::{ChangedSheet, OfRevision};
use crate::extract::{Asked, Body, InPath};
use crate::failure::Failure;
use crate::state::{Shared, on_disk};

/// A pull.
#[derive(Serialize, ToSchema)]
pub struct PullDetail {
    id: i64,
    name: String,
    /// The build it is of, where that is known.
    build: Option<i64>,
    text: String,
    revision: i64,
    changed_at: String,
}

/// A new pull.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewPull {
    /// Up to 80 characters that may stand in the name of a file.
    #[schema(min_length = 1, max_length = 80)]
    name: String,
    /// The build it is of, where that is known.
    build: Option<i64>,
    /// Kept as it is.
    text: String,
}

/// All pulls.
#[utoipa::path(get, path = "/api/pulls", tag = "shelf", responses((status = 200, body = Vec<PullDetail>)))]
pub async fn list(State(bench): Shared) -> Result<Json<Vec<PullDetail>>, Failure> {
    on_disk(&bench, |bench| {
        let all = bench.reader().list(Drawer::Pull)?;
        Ok(Json(all.into_iter().map(PullDetail::from).collect()))
    })
    .await
}

/// One pull.
#[utoipa::path(get, path = "/api/pulls/{id}", tag = "shelf", params(("id" = i64, Path)),
    responses((status = 200, body = PullDetail)))]
pub async fn get(State(bench): Shared, InPath(id): InPath<i64>) -> Result<Json<PullDetail>, Failure> {
    on_disk(&bench, move |bench| Ok(Json(bench.reader().get(Drawer::Pull, id)?.into()))).await
}

/// Puts a pull into the shop.
#[utoipa::path(post, path = "/api/pulls", tag = "shelf", request_body = NewPull,
    responses((status = 201, body = PullDetail)))]
pub async fn add(
    State(bench): Shared,
    Body(new): Body<NewPull>,
) -> Result<(StatusCode, Json<PullDetail>), Failure> {
    on_disk(&bench, move |bench| {
        let new = NewEntry { name: &new.name, text: &new.text, build_id: new.build, kind: None };
        let entry = bench.writer().add(Drawer::Pull, &new)?;
        Ok((StatusCode::CREATED, Json(entry.into())))
    })
    .await
}

/// Changes name or text of a pull. Refused with 409 when somebody else changed it in the meantime.
#[utoipa::path(put, path = "/api/pulls/{id}", tag = "shelf", params(("id" = i64, Path)), request_body = ChangedSheet,
    responses((status = 200, body = PullDetail), (status = 409, body = Failure, description = "Changed in the meantime")))]
pub async fn put(
    State(bench): Shared,
    InPath(id): InPath<i64>,
    Body(changed): Body<ChangedSheet>,
) -> Result<Json<PullDetail>, Failure> {
    on_disk(&bench, move |bench| {
        let entry = bench.writer().put(Drawer::Pull, id, changed.revision, &changed.name, &changed.text)?;
        Ok(Json(entry.into()))
    })
    .await
}

/// Takes a pull out of the shop; undo brings it back.
#[utoipa::path(delete, path = "/api/pulls/{id}", tag = "shelf", params(("id" = i64, Path), OfRevision),
    responses((status = 204, description = "Removed")))]
pub async fn remove(
    State(bench): Shared,
    InPath(id): InPath<i64>,
    Asked(asked): Asked<OfRevision>,
) -> Result<StatusCode, Failure> {
    on_disk(&bench, move |bench| {
        bench.writer().remove(Drawer::Pull, id, asked.revision)?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

impl From<Entry> for PullDetail {
    fn from(entry: Entry) -> Self {
        let Entry { id, name, text, revision, changed_at, build_id, .. } = entry;
        Self { id, name, build: build_id, text, revision, changed_at }
    }
}
