//! `/api/pulls`: dyno runs as the text they came in. What stands in them is not looked at here.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use serde::{Deserialize, Serialize};
use shop::{Drawer, Entry, NewEntry};
use utoipa::ToSchema;

use crate::entries::{self, ChangedSheet, OfRevision, Received, Sent};
use crate::extract::{Asked, Body, InPath};
use crate::failure::Failure;
use crate::state::{Bench, Shared};

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

impl Received for NewPull {
    fn entry(&self) -> NewEntry<'_> {
        NewEntry { name: &self.name, text: &self.text, build_id: self.build, kind: None }
    }
}

/// All pulls.
#[utoipa::path(get, path = "/api/pulls", tag = "shelf", responses((status = 200, body = Vec<PullDetail>)))]
pub async fn list(State(bench): Shared) -> Result<Json<Vec<PullDetail>>, Failure> {
    entries::list(&bench, Drawer::Pull).await
}

/// One pull.
#[utoipa::path(get, path = "/api/pulls/{id}", tag = "shelf", params(("id" = i64, Path)),
    responses((status = 200, body = PullDetail)))]
pub async fn get(State(bench): Shared, InPath(id): InPath<i64>) -> Result<Json<PullDetail>, Failure> {
    entries::get(&bench, Drawer::Pull, id).await
}

/// Puts a pull into the shop.
#[utoipa::path(post, path = "/api/pulls", tag = "shelf", request_body = NewPull,
    responses((status = 201, body = PullDetail)))]
pub async fn add(
    State(bench): Shared,
    Body(new): Body<NewPull>,
) -> Result<(StatusCode, Json<PullDetail>), Failure> {
    entries::add(&bench, Drawer::Pull, new).await
}

/// Changes name or text of a pull. Refused with 409 when somebody else changed it in the meantime.
#[utoipa::path(put, path = "/api/pulls/{id}", tag = "shelf", params(("id" = i64, Path)), request_body = ChangedSheet,
    responses((status = 200, body = PullDetail), (status = 409, body = Failure, description = "Changed in the meantime")))]
pub async fn put(
    State(bench): Shared,
    InPath(id): InPath<i64>,
    Body(changed): Body<ChangedSheet>,
) -> Result<Json<PullDetail>, Failure> {
    entries::put(&bench, Drawer::Pull, id, changed).await
}

/// Takes a pull out of the shop; undo brings it back.
#[utoipa::path(delete, path = "/api/pulls/{id}", tag = "shelf", params(("id" = i64, Path), OfRevision),
    responses((status = 204, description = "Removed")))]
pub async fn remove(
    State(bench): Shared,
    InPath(id): InPath<i64>,
    Asked(asked): Asked<OfRevision>,
) -> Result<StatusCode, Failure> {
    entries::remove(&bench, Drawer::Pull, id, asked).await
}

impl Sent for PullDetail {
    fn of(_: &Bench, entry: Entry) -> Result<Self, Failure> {
        let Entry { id, name, text, revision, changed_at, build_id, .. } = entry;
        Ok(Self { id, name, build: build_id, text, revision, changed_at })
    }
}
