//! `/api/builds`: build sheets, as text and as the readings that stand in it.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use parts::Build;
use serde::{Deserialize, Serialize};
use sheet::read_build;
use shop::{Drawer, Entry, NewEntry};
use utoipa::ToSchema;

use crate::entries::{self, ChangedSheet, OfRevision, Received, Sent};
use crate::extract::{Asked, Body, InPath};
use crate::failure::{Failure, ProblemWire, problem_wires};
use crate::readings::{ReadingWire, readings};
use crate::state::{Bench, Shared};

/// A sheet in a list.
#[derive(Serialize, ToSchema)]
pub struct BuildRow {
    id: i64,
    /// What its file would be called.
    name: String,
    /// What the sheet calls the engine; null while it cannot be read.
    title: Option<String>,
    revision: i64,
    changed_at: String,
    /// How many things are wrong in it.
    problems: usize,
}

/// A build sheet with everything in it.
#[derive(Serialize, ToSchema)]
pub struct BuildDetail {
    id: i64,
    /// What its file would be called.
    name: String,
    /// What the sheet calls the engine; null while it cannot be read.
    title: Option<String>,
    /// The sheet, byte for byte.
    text: String,
    /// Grows with every change; send it back with yours.
    revision: i64,
    changed_at: String,
    cylinders: usize,
    /// Every reading, what was assumed among them; empty while the sheet cannot be read.
    readings: Vec<ReadingWire>,
    /// What is wrong in the sheet.
    problems: Vec<ProblemWire>,
    /// What the reader of the sheet did that you should know.
    notes: Vec<String>,
}

/// A new sheet.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NewBuild {
    /// Up to 80 characters that may stand in the name of a file.
    #[schema(min_length = 1, max_length = 80)]
    name: String,
    /// Kept as it is, readable or not.
    text: String,
}

impl Received for NewBuild {
    fn entry(&self) -> NewEntry<'_> {
        NewEntry { name: &self.name, text: &self.text, ..NewEntry::default() }
    }
}

/// All build sheets.
#[utoipa::path(get, path = "/api/builds", tag = "sheets", responses((status = 200, body = Vec<BuildRow>)))]
pub async fn list(State(bench): Shared) -> Result<Json<Vec<BuildRow>>, Failure> {
    entries::list(&bench, Drawer::Build).await
}

/// One build sheet.
#[utoipa::path(get, path = "/api/builds/{id}", tag = "sheets", params(("id" = i64, Path)),
    responses((status = 200, body = BuildDetail)))]
pub async fn get(State(bench): Shared, InPath(id): InPath<i64>) -> Result<Json<BuildDetail>, Failure> {
    entries::get(&bench, Drawer::Build, id).await
}

/// Puts a new build sheet into the shop.
#[utoipa::path(post, path = "/api/builds", tag = "sheets", request_body = NewBuild,
    responses((status = 201, body = BuildDetail)))]
pub async fn add(
    State(bench): Shared,
    Body(new): Body<NewBuild>,
) -> Result<(StatusCode, Json<BuildDetail>), Failure> {
    entries::add(&bench, Drawer::Build, new).await
}

/// Changes a build sheet. Refused with 409 and the sheet as it stands when somebody else changed it in the meantime.
#[utoipa::path(put, path = "/api/builds/{id}", tag = "sheets", params(("id" = i64, Path)), request_body = ChangedSheet,
    responses((status = 200, body = BuildDetail), (status = 409, body = Failure, description = "Changed in the meantime")))]
pub async fn put(
    State(bench): Shared,
    InPath(id): InPath<i64>,
    Body(changed): Body<ChangedSheet>,
) -> Result<Json<BuildDetail>, Failure> {
    entries::put(&bench, Drawer::Build, id, changed).await
}

/// Takes a build sheet out of the shop; undo brings it back.
#[utoipa::path(delete, path = "/api/builds/{id}", tag = "sheets", params(("id" = i64, Path), OfRevision),
    responses((status = 204, description = "Removed")))]
pub async fn remove(
    State(bench): Shared,
    InPath(id): InPath<i64>,
    Asked(asked): Asked<OfRevision>,
) -> Result<StatusCode, Failure> {
    entries::remove(&bench, Drawer::Build, id, asked).await
}

impl Sent for BuildRow {
    fn of(_: &Bench, entry: Entry) -> Result<Self, Failure> {
        let (title, problems) = match read_build(&entry.text) {
            Ok(sheet) => (Some(sheet.build.name), 0),
            Err(problems) => (None, problems.list().len()),
        };
        let Entry { id, name, revision, changed_at, .. } = entry;
        Ok(Self { id, name, title, revision, changed_at, problems })
    }
}

impl Sent for BuildDetail {
    fn of(_: &Bench, entry: Entry) -> Result<Self, Failure> {
        let read = read_build(&entry.text);
        let build: Option<&Build> = read.as_ref().ok().map(|sheet| &sheet.build);
        let Entry { id, name, text, revision, changed_at, .. } = entry;
        Ok(Self {
            id,
            name,
            title: build.map(|build| build.name.clone()),
            text,
            revision,
            changed_at,
            cylinders: build.map_or(0, |build| build.cylinders.len()),
            readings: build.map_or_else(Vec::new, readings),
            notes: read.as_ref().map_or_else(|_| Vec::new(), |sheet| sheet.notes.clone()),
            problems: read.err().map_or_else(Vec::new, |problems| problem_wires(&problems)),
        })
    }
}
