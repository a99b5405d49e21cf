//! What is done to everything in a drawer of the shop file, whatever it is: list, get, add, put, remove. Leaves out how each
//! thing looks when it is sent.

use std::sync::Arc;

use axum::Json;
use axum::http::StatusCode;
use serde::Deserialize;
use shop::{Drawer, Entry, NewEntry};
use utoipa::{IntoParams, ToSchema};

use crate::failure::Failure;
use crate::state::{Bench, on_disk};

/// A thing of a drawer as it is sent.
pub trait Sent: Sized + Send + 'static {
    /// From what the shop file holds; no connection is held meanwhile.
    fn of(bench: &Bench, entry: Entry) -> Result<Self, Failure>;
}

/// A new thing as it came in.
pub trait Received: Send + 'static {
    /// As the shop file takes it.
    fn entry(&self) -> NewEntry<'_>;
}

/// A changed sheet.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ChangedSheet {
    /// Up to 80 characters that may stand in the name of a file.
    #[schema(min_length = 1, max_length = 80)]
    pub name: String,
    /// Kept as it is, readable or not.
    pub text: String,
    /// The revision this was made from.
    pub revision: i64,
}

/// The revision that is meant.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct OfRevision {
    /// The revision that was read.
    pub revision: i64,
}

/// Everything in a drawer.
pub async fn list<W: Sent>(bench: &Arc<Bench>, drawer: Drawer) -> Result<Json<Vec<W>>, Failure> {
    on_disk(bench, move |bench| {
        let all = bench.reader().list(drawer)?;
        Ok(Json(all.into_iter().map(|entry| W::of(bench, entry)).collect::<Result<_, _>>()?))
    })
    .await
}

/// One thing.
pub async fn get<W: Sent>(bench: &Arc<Bench>, drawer: Drawer, id: i64) -> Result<Json<W>, Failure> {
    on_disk(bench, move |bench| {
        let entry = bench.reader().get(drawer, id)?;
        Ok(Json(W::of(bench, entry)?))
    })
    .await
}

/// A new thing put in.
pub async fn add<W: Sent>(
    bench: &Arc<Bench>,
    drawer: Drawer,
    new: impl Received,
) -> Result<(StatusCode, Json<W>), Failure> {
    on_disk(bench, move |bench| {
        let entry = bench.writer().add(drawer, &new.entry())?;
        Ok((StatusCode::CREATED, Json(W::of(bench, entry)?)))
    })
    .await
}

/// Another name or text for a thing, made from a revision of it.
pub async fn put<W: Sent>(
    bench: &Arc<Bench>,
    drawer: Drawer,
    id: i64,
    changed: ChangedSheet,
) -> Result<Json<W>, Failure> {
    on_disk(bench, move |bench| {
        let ChangedSheet { name, text, revision } = changed;
        let entry = bench.writer().put(drawer, id, revision, &name, &text)?;
        Ok(Json(W::of(bench, entry)?))
    })
    .await
}

/// A thing taken out.
pub async fn remove(
    bench: &Arc<Bench>,
    drawer: Drawer,
    id: i64,
    asked: OfRevision,
) -> Result<StatusCode, Failure> {
    on_disk(bench, move |bench| {
        bench.writer().remove(drawer, id, asked.revision)?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}
