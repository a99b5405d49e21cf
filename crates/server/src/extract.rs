//! Bodies, paths and queries of requests; what cannot be read gets a [`Failure`].

use axum::extract::rejection::{JsonRejection, PathRejection, QueryRejection};
use axum::extract::{FromRequest, FromRequestParts};

use crate::failure::Failure;

/// A JSON body.
#[derive(FromRequest)]
#[from_request(via(axum::Json), rejection(Failure))]
pub struct Body<T>(pub T);

/// What stands in the path.
#[derive(FromRequestParts)]
#[from_request(via(axum::extract::Path), rejection(Failure))]
pub struct InPath<T>(pub T);

/// What stands behind the question mark.
#[derive(FromRequestParts)]
#[from_request(via(axum::extract::Query), rejection(Failure))]
pub struct Asked<T>(pub T);

impl From<JsonRejection> for Failure {
    fn from(rejection: JsonRejection) -> Self {
        Self::new(rejection.status(), rejection.body_text())
    }
}

impl From<PathRejection> for Failure {
    fn from(rejection: PathRejection) -> Self {
        Self::new(rejection.status(), rejection.body_text())
    }
}

impl From<QueryRejection> for Failure {
    fn from(rejection: QueryRejection) -> Self {
        Self::new(rejection.status(), rejection.body_text())
    }
}
