//! `/api/pair`: a device on the same network says the code that the bench printed.

use axum::extract::State;
use axum::http::StatusCode;
use axum::http::header::SET_COOKIE;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use utoipa::ToSchema;

use crate::extract::Body;
use crate::failure::Failure;
use crate::guard::{COOKIE, Paired};
use crate::state::Shared;

/// The code.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Pair {
    /// Eight digits; blanks do not matter.
    code: String,
}

/// Pairs this device.
#[utoipa::path(post, path = "/api/pair", tag = "bench", request_body = Pair, responses((status = 204, description = "Paired")))]
pub async fn pair(State(bench): Shared, Body(asked): Body<Pair>) -> Result<Response, Failure> {
    let paired = bench.guard.pair(&asked.code).map_err(|error| Failure::internal(error.to_string()))?;
    match paired {
        Paired::Token(token) => {
            let cookie = format!("{COOKIE}={token}; Path=/; HttpOnly; SameSite=Strict; Max-Age=2592000");
            Ok((StatusCode::NO_CONTENT, [(SET_COOKIE, cookie)]).into_response())
        }
        Paired::NotNeeded => Ok(StatusCode::NO_CONTENT.into_response()),
        Paired::Wrong => Err(Failure::new(StatusCode::FORBIDDEN, "that is not the code the bench printed")),
        Paired::Closed => Err(Failure::new(
            StatusCode::TOO_MANY_REQUESTS,
            "too many wrong codes: stop the bench and start it again for a new one",
        )),
    }
}
