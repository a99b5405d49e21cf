//! `/api/parts`: parts on the shelf, each a section of a sheet as text.

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

/// A part on the shelf.
#[derive(Serialize, ToSchema)]
pub struct PartDetail {
    id: i64,
    name: String,
    kind: PartKind,
    /// Its section of a sheet.
    text: String,
    revision: i64,
    changed_at: String,
}

/// Kinds of part, named as their sections in a sheet.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum PartKind {
    Block,
    Gasket,
    Head,
    Piston,
    Cam,
    Train,
    Spring,
    Port,
    Flow,
    Induction,
    Exhaust,
    Boost,
    Fuel,
    Spark,
    Burning,
    Walls,
    Friction,
}

/// A new part.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewPart {
    /// Up to 80 characters that may stand in the name of a file.
    #[schema(min_length = 1, max_length = 80)]
    name: String,
    kind: PartKind,
    /// Its section of a sheet, kept as it is.
    text: String,
}

impl Received for NewPart {
    fn entry(&self) -> NewEntry<'_> {
        NewEntry { name: &self.name, text: &self.text, build_id: None, kind: Some(self.kind.word()) }
    }
}

/// All parts on the shelf.
#[utoipa::path(get, path = "/api/parts", tag = "shelf", responses((status = 200, body = Vec<PartDetail>)))]
pub async fn list(State(bench): Shared) -> Result<Json<Vec<PartDetail>>, Failure> {
    entries::list(&bench, Drawer::Part).await
}

/// One part.
#[utoipa::path(get, path = "/api/parts/{id}", tag = "shelf", params(("id" = i64, Path)),
    responses((status = 200, body = PartDetail)))]
pub async fn get(State(bench): Shared, InPath(id): InPath<i64>) -> Result<Json<PartDetail>, Failure> {
    entries::get(&bench, Drawer::Part, id).await
}

/// Puts a part on the shelf.
#[utoipa::path(post, path = "/api/parts", tag = "shelf", request_body = NewPart,
    responses((status = 201, body = PartDetail)))]
pub async fn add(
    State(bench): Shared,
    Body(new): Body<NewPart>,
) -> Result<(StatusCode, Json<PartDetail>), Failure> {
    entries::add(&bench, Drawer::Part, new).await
}

/// Changes name or text of a part. Refused with 409 when somebody else changed it in the meantime.
#[utoipa::path(put, path = "/api/parts/{id}", tag = "shelf", params(("id" = i64, Path)), request_body = ChangedSheet,
    responses((status = 200, body = PartDetail), (status = 409, body = Failure, description = "Changed in the meantime")))]
pub async fn put(
    State(bench): Shared,
    InPath(id): InPath<i64>,
    Body(changed): Body<ChangedSheet>,
) -> Result<Json<PartDetail>, Failure> {
    entries::put(&bench, Drawer::Part, id, changed).await
}

/// Takes a part off the shelf; undo brings it back.
#[utoipa::path(delete, path = "/api/parts/{id}", tag = "shelf", params(("id" = i64, Path), OfRevision),
    responses((status = 204, description = "Removed")))]
pub async fn remove(
    State(bench): Shared,
    InPath(id): InPath<i64>,
    Asked(asked): Asked<OfRevision>,
) -> Result<StatusCode, Failure> {
    entries::remove(&bench, Drawer::Part, id, asked).await
}

impl Sent for PartDetail {
    fn of(_: &Bench, entry: Entry) -> Result<Self, Failure> {
        let Entry { id, name, text, revision, changed_at, kind, .. } = entry;
        let kind = PartKind::ALL.into_iter().find(|known| kind.as_deref() == Some(known.word()));
        // The file refuses any other word.
        Ok(Self { id, name, kind: kind.unwrap_or(PartKind::Block), text, revision, changed_at })
    }
}

impl PartKind {
    const ALL: [Self; shop::PART_KINDS.len()] = [
        Self::Block,
        Self::Gasket,
        Self::Head,
        Self::Piston,
        Self::Cam,
        Self::Train,
        Self::Spring,
        Self::Port,
        Self::Flow,
        Self::Induction,
        Self::Exhaust,
        Self::Boost,
        Self::Fuel,
        Self::Spark,
        Self::Burning,
        Self::Walls,
        Self::Friction,
    ];

    fn word(self) -> &'static str {
        shop::PART_KINDS[self as usize]
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    #[test]
    fn exact_kinds_are_worded_as_they_are_sent() {
        for kind in PartKind::ALL {
            assert_eq!(serde_json::to_string(&kind).unwrap(), format!("\"{}\"", kind.word()));
        }
    }
}
