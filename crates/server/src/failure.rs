//! What a request that cannot be answered gets: one shape for all of them, with what is wrong and what to do.

use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Serialize;
use sheet::{File, Problem, Problems};
use shop::{Entry, ShopError};
use utoipa::ToSchema;

/// Why there is no answer.
#[derive(Debug, Serialize, ToSchema)]
pub struct Failure {
    /// The HTTP status.
    #[schema(minimum = 400, maximum = 599)]
    status: u16,
    /// What is wrong, in a sentence.
    what: String,
    /// Places in sheets, where sheets are what is wrong.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    problems: Vec<ProblemWire>,
    /// How the thing stands now, where it was changed in the meantime.
    #[serde(skip_serializing_if = "Option::is_none")]
    current: Option<Box<CurrentWire>>,
}

/// One thing that is wrong with a sheet.
#[derive(Debug, Serialize, ToSchema)]
pub struct ProblemWire {
    /// `base`, `candidate`, or the name of the sheet that the candidate takes parts from.
    file: String,
    /// First line is 1.
    line: usize,
    /// In characters, first is 1.
    column: usize,
    /// Bytes of the text: from, to.
    span: [usize; 2],
    /// Which reading or section; empty when it is the sheet as a whole.
    path: String,
    found: String,
    expected: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    help: Option<String>,
    line_text: String,
}

/// A thing as it stands now.
#[derive(Debug, Serialize, ToSchema)]
pub struct CurrentWire {
    id: i64,
    name: String,
    text: String,
    revision: i64,
    changed_at: String,
}

impl Failure {
    /// A failure with a sentence.
    pub fn new(status: StatusCode, what: impl Into<String>) -> Self {
        Self { status: status.as_u16(), what: what.into(), problems: Vec::new(), current: None }
    }

    /// A request that is well formed and asks for something there is not.
    pub fn not_sensible(what: impl Into<String>) -> Self {
        Self::new(StatusCode::UNPROCESSABLE_ENTITY, what)
    }

    /// Something went wrong on this side.
    pub fn internal(what: impl Into<String>) -> Self {
        Self::new(StatusCode::INTERNAL_SERVER_ERROR, what)
    }

    /// The sentence.
    pub fn what(&self) -> &str {
        &self.what
    }
}

impl IntoResponse for Failure {
    fn into_response(self) -> Response {
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        (status, Json(self)).into_response()
    }
}

impl From<Problems> for Failure {
    fn from(problems: Problems) -> Self {
        let n = problems.list().len();
        let what = match problems.list() {
            [only] => format!("the sheet cannot be read: {}, found {}", named(&only.path), only.found),
            _ => format!("the sheet cannot be read: {n} things are wrong in it"),
        };
        Self { problems: problem_wires(&problems), ..Self::not_sensible(what) }
    }
}

fn named(path: &str) -> &str {
    if path.is_empty() { "the sheet as a whole" } else { path }
}

/// Problems for the screen.
pub fn problem_wires(problems: &Problems) -> Vec<ProblemWire> {
    problems.list().iter().map(ProblemWire::from).collect()
}

impl From<&Problem> for ProblemWire {
    fn from(problem: &Problem) -> Self {
        Self {
            file: match &problem.file {
                File::Base => "base".to_owned(),
                File::Candidate => "candidate".to_owned(),
                File::Other(name) => name.clone(),
            },
            line: problem.line,
            column: problem.column,
            span: [problem.span.start, problem.span.end],
            path: problem.path.clone(),
            found: problem.found.clone(),
            expected: problem.expected.clone(),
            help: problem.help.clone(),
            line_text: problem.line_text.clone(),
        }
    }
}

impl From<ShopError> for Failure {
    fn from(error: ShopError) -> Self {
        let status = match &error {
            ShopError::NoSuch { .. } => StatusCode::NOT_FOUND,
            ShopError::Stale { .. }
            | ShopError::NotLast { .. }
            | ShopError::NameTaken { .. }
            | ShopError::Needed { .. } => StatusCode::CONFLICT,
            ShopError::BadName { .. } | ShopError::BadText { .. } => StatusCode::UNPROCESSABLE_ENTITY,
            ShopError::Full { .. } => StatusCode::INSUFFICIENT_STORAGE,
            ShopError::Busy { .. } | ShopError::ReadOnly { .. } => StatusCode::SERVICE_UNAVAILABLE,
            ShopError::NotAShop { .. }
            | ShopError::Newer { .. }
            | ShopError::Damaged { .. }
            | ShopError::CannotOpen { .. }
            | ShopError::Failed { .. } => StatusCode::INTERNAL_SERVER_ERROR,
        };
        let mut failure = Self::new(status, error.to_string());
        if let ShopError::Stale { current, .. } = error {
            failure.current = Some(Box::new(CurrentWire::from(*current)));
        }
        failure
    }
}

impl From<Entry> for CurrentWire {
    fn from(entry: Entry) -> Self {
        let Entry { id, name, text, revision, changed_at, .. } = entry;
        Self { id, name, text, revision, changed_at }
    }
}
