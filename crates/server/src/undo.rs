//! `/api/undo`: what was changed last, and taking it back.

use axum::Json;
use axum::extract::State;
use serde::{Deserialize, Serialize};
use shop::Change;
use utoipa::ToSchema;

use crate::extract::Body;
use crate::failure::Failure;
use crate::state::{Shared, on_disk};

/// A change of the shop.
#[derive(Serialize, ToSchema)]
#[schema(as = ShopChange)]
pub struct ChangeWire {
    id: i64,
    at: String,
    /// Such as `changed build heron`.
    what: String,
}

/// What can be taken back, or was.
#[derive(Serialize, ToSchema)]
pub struct LastChange {
    /// Null when there is none.
    change: Option<ChangeWire>,
}

/// Which change to take back.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Undo {
    /// The change that is meant; refused with 409 when another one came after it.
    change: i64,
}

/// The change that undo would take back.
#[utoipa::path(get, path = "/api/undo", tag = "bench", responses((status = 200, body = LastChange)))]
pub async fn last(State(bench): Shared) -> Result<Json<LastChange>, Failure> {
    on_disk(&bench, |bench| Ok(Json(LastChange::from(bench.reader().last_change()?)))).await
}

/// Takes the last change back. Again, it goes one further back.
#[utoipa::path(post, path = "/api/undo", tag = "bench", request_body = Undo,
    responses((status = 200, body = LastChange, description = "What was taken back"),
        (status = 409, body = Failure, description = "Another change came after it")))]
pub async fn undo(State(bench): Shared, Body(asked): Body<Undo>) -> Result<Json<LastChange>, Failure> {
    on_disk(&bench, move |bench| Ok(Json(LastChange::from(bench.writer().undo(Some(asked.change))?)))).await
}

impl From<Option<Change>> for LastChange {
    fn from(change: Option<Change>) -> Self {
        Self { change: change.map(|Change { id, at, what }| ChangeWire { id, at, what }) }
    }
}
