//! The screens: files built into the program, or a page that says how to build them.

use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::http::{StatusCode, Uri};
use axum::response::{IntoResponse, Response};
use rust_embed::Embed;

use crate::failure::Failure;

/// What `npm run build` made of `web/`; nothing where it did not run before this was compiled.
#[derive(Embed)]
#[folder = "../../web/dist"]
#[allow_missing = true]
struct Screens;

/// Shown in place of screens that were not built.
const NOT_BUILT: &str = include_str!("not_built.html");

/// The file of that path; the front page for every path that is no file, since the screens have addresses of their own.
pub async fn asset(uri: Uri) -> Response {
    let path = uri.path().trim_start_matches('/');
    if path.starts_with("api/") || path == "api" {
        return Failure::new(StatusCode::NOT_FOUND, "there is no such resource").into_response();
    }
    if let Some(file) = Screens::get(path).filter(|_| !path.is_empty()) {
        // Names under assets/ hold a digest of their content.
        let cache =
            if path.starts_with("assets/") { "public, max-age=31536000, immutable" } else { "no-cache" };
        let kind = file.metadata.mimetype().to_owned();
        return ([(CONTENT_TYPE, kind), (CACHE_CONTROL, cache.to_owned())], file.data).into_response();
    }
    if path.rsplit('/').next().is_some_and(|last| last.contains('.')) {
        return Failure::new(StatusCode::NOT_FOUND, "there is no such file").into_response();
    }
    let html = [(CONTENT_TYPE, "text/html; charset=utf-8"), (CACHE_CONTROL, "no-cache")];
    match Screens::get("index.html") {
        Some(page) => (html, page.data).into_response(),
        None => (html, NOT_BUILT).into_response(),
    }
}
