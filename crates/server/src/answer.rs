//! Answers about a subject: worked out once for each content, kept in the shop file, sent as they are kept.

use std::sync::Arc;

use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use serde::{Deserialize, Serialize};
use units::UnitSystem;
use utoipa::ToSchema;

use crate::failure::Failure;
use crate::state::{Bench, on_processor};
use crate::subject::Subject;

/// Units in which sentences are worded; numbers are always millimetres, degrees and cc.
#[derive(Clone, Copy, Debug, Default, Deserialize, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Units {
    /// Millimetres, cc.
    #[default]
    Metric,
    /// Inches, cubic inches.
    Inch,
}

impl Units {
    /// The system of units.
    pub fn system(self) -> UnitSystem {
        match self {
            Self::Metric => UnitSystem::Metric,
            Self::Inch => UnitSystem::Inch,
        }
    }
}

/// JSON that is text already.
pub struct Kept(String);

impl Kept {
    /// Text that is JSON.
    pub fn new(json: String) -> Self {
        Self(json)
    }
}

impl IntoResponse for Kept {
    fn into_response(self) -> Response {
        ([(CONTENT_TYPE, "application/json")], self.0).into_response()
    }
}

/// What is asked, about what.
pub struct Question {
    /// The answer's name; it and everything in `asked` go into the digest.
    pub kind: &'static str,
    /// Everything else the answer depends on.
    pub asked: String,
    /// The build.
    pub build: i64,
    /// The swap on it.
    pub swap: Option<i64>,
}

/// The kept answer, or the one that `make` gives, which is kept then.
pub async fn answer<W: Serialize>(
    bench: &Arc<Bench>,
    question: Question,
    make: impl FnOnce(&Subject) -> Result<W, Failure> + Send + 'static,
) -> Result<Kept, Failure> {
    on_processor(bench, move |bench| {
        let subject = bench.subjects.get(&bench.reader(), question.build, question.swap)?;
        let digest = digest(bench, &question, &subject);
        if let Some(kept) = bench.reader().kept_result(&digest)? {
            return Ok(Kept(kept));
        }
        let text = json(&make(&subject)?)?;
        // An answer that cannot be kept is an answer all the same: it is made again next time.
        let _ = bench.writer().keep_result(&digest, question.kind, &text);
        Ok(Kept(text))
    })
    .await
}

/// The digest of everything the answer comes from.
pub fn digest(bench: &Bench, question: &Question, subject: &Subject) -> [u8; 32] {
    shop::digest(&[&bench.program, question.kind.as_bytes(), question.asked.as_bytes(), &subject.texts])
}

/// An answer as text.
pub fn json(answer: &impl Serialize) -> Result<String, Failure> {
    serde_json::to_string(answer).map_err(|error| Failure::internal(error.to_string()))
}
