//! Which request goes where, and what all of them go through.

use std::sync::Arc;
use std::time::Duration;

use axum::extract::DefaultBodyLimit;
use axum::http::StatusCode;
use axum::middleware;
use axum::response::{IntoResponse as _, Response};
use axum::{Router, routing};
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::timeout::TimeoutLayer;
use utoipa::openapi::OpenApi;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::failure::Failure;
use crate::state::Bench;
use crate::{
    about, assets, builds, check, compare, dye, gap, guard, jobs, lift, openapi, pair, parts_on_shelf, pulls,
    readings, relief, scene, slack, swaps, undo, validate, verdict, volumes,
};

/// A sheet of the largest size that is read, with every character of it escaped.
const MOST_BODY_BYTES: usize = 6_100_000;

/// Longer answers are jobs.
const LONGEST: Duration = Duration::from_secs(60);

/// Every resource, with its description.
pub fn resources() -> (Router<Arc<Bench>>, OpenApi) {
    let (router, described) = OpenApiRouter::new()
        .routes(routes!(about::about))
        .routes(routes!(pair::pair))
        .routes(routes!(undo::last, undo::undo))
        .routes(routes!(builds::list, builds::add))
        .routes(routes!(builds::get, builds::put, builds::remove))
        .routes(routes!(readings::of_build, readings::record_of_build))
        .routes(routes!(swaps::list, swaps::add))
        .routes(routes!(swaps::get, swaps::put, swaps::remove))
        .routes(routes!(validate::validate))
        .routes(routes!(about::build_schema))
        .routes(routes!(about::swap_schema))
        .routes(routes!(check::check))
        .routes(routes!(verdict::of_swap))
        .routes(routes!(volumes::of_build))
        .routes(routes!(slack::of_build))
        .routes(routes!(lift::of_build))
        .routes(routes!(relief::of_build))
        .routes(routes!(scene::of_build))
        .routes(routes!(gap::now))
        .routes(routes!(dye::of_cylinder))
        .routes(routes!(compare::pulls_of))
        .routes(routes!(pulls::list, pulls::add))
        .routes(routes!(pulls::get, pulls::put, pulls::remove))
        .routes(routes!(parts_on_shelf::list, parts_on_shelf::add))
        .routes(routes!(parts_on_shelf::get, parts_on_shelf::put, parts_on_shelf::remove))
        .routes(routes!(readings::of_part, readings::record_of_part))
        .routes(routes!(jobs::list, jobs::start))
        .routes(routes!(jobs::get, jobs::cancel))
        .routes(routes!(jobs::result))
        .routes(routes!(jobs::events))
        .split_for_parts();
    (router, openapi::finished(described))
}

/// The whole server.
pub fn router(bench: Arc<Bench>) -> Router {
    let (resources, _) = resources();
    resources
        .route("/api/openapi.json", routing::get(openapi::openapi))
        .fallback(routing::get(assets::asset))
        .method_not_allowed_fallback(not_allowed)
        .layer(CatchPanicLayer::custom(panicked))
        .layer(DefaultBodyLimit::max(MOST_BODY_BYTES))
        .layer(TimeoutLayer::with_status_code(StatusCode::GATEWAY_TIMEOUT, LONGEST))
        .layer(CompressionLayer::new())
        .layer(middleware::from_fn_with_state(Arc::clone(&bench), guard::guard))
        .with_state(bench)
}

async fn not_allowed() -> Failure {
    Failure::new(StatusCode::METHOD_NOT_ALLOWED, "this resource does not answer to that method")
}

fn panicked(_: Box<dyn std::any::Any + Send + 'static>) -> Response {
    Failure::internal("the answer could not be worked out; this is a fault of the program").into_response()
}
