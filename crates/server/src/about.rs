//! `/api/about`: which program and which shop this is; `/api/schema`: the JSON Schema of sheets.

use axum::Json;
use axum::extract::State;
use axum::response::IntoResponse;
use headroom::words::CAUTIONS;
use serde::Serialize;
use utoipa::ToSchema;

use crate::failure::Failure;
use crate::state::{Shared, on_disk};

/// Which program and which shop.
#[derive(Serialize, ToSchema)]
pub struct About {
    version: &'static str,
    /// Name of the shop file, without its folder.
    shop: String,
    /// Whether other devices can be paired with this bench.
    lan: bool,
    /// The cautions that go with every answer.
    cautions: Vec<&'static str>,
}

/// Which program and which shop.
#[utoipa::path(get, path = "/api/about", tag = "bench", responses((status = 200, body = About)))]
pub async fn about(State(bench): Shared) -> Result<Json<About>, Failure> {
    on_disk(&bench, |bench| {
        let name = bench.reader().path().file_name().map(|name| name.to_string_lossy().into_owned());
        Ok(Json(About {
            version: env!("CARGO_PKG_VERSION"),
            shop: name.unwrap_or_default(),
            lan: bench.guard.is_open_to_lan(),
            cautions: CAUTIONS.to_vec(),
        }))
    })
    .await
}

/// The JSON Schema of build sheets.
#[utoipa::path(get, path = "/api/schema/build", tag = "sheets", responses((status = 200, body = Object)))]
pub async fn build_schema() -> impl IntoResponse {
    Json(sheet::schema())
}

/// The JSON Schema of swap sheets.
#[utoipa::path(get, path = "/api/schema/swap", tag = "sheets", responses((status = 200, body = Object)))]
pub async fn swap_schema() -> impl IntoResponse {
    Json(sheet::swap_schema())
}
