//! Why a text is no quantity, with the place in the text. Leaves out the file and line, which the reader of
//! the sheet knows.

use std::ops::Range;

use crate::quantity::{Expected, with_article};

/// Why a text could not be read. Every variant points at bytes of the text, see [`QuantityError::span`].
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[expect(missing_docs, reason = "the message above each variant says what its fields are")]
pub enum QuantityError {
    /// Nothing but blanks.
    #[error("nothing found, expected {expected}")]
    Empty { expected: Expected, span: Range<usize> },
    /// Longer than any quantity.
    #[error("{length} bytes long, a quantity takes at most {cap}")]
    TooLong { length: usize, cap: usize },
    /// No number where one has to stand.
    #[error("found `{found}`, expected a number, then {expected}")]
    NotANumber { found: String, expected: Expected, span: Range<usize> },
    /// A comma inside a number.
    #[error("found `{found}`, write {rewrite}: the comma is not read as a decimal point")]
    DecimalComma { found: String, rewrite: String, span: Range<usize> },
    /// A fraction over zero, or `4 9/8`.
    #[error("found the fraction `{found}`, {reason}")]
    BadFraction { found: String, reason: &'static str, span: Range<usize> },
    /// Degrees, minutes and seconds that do not fit together.
    #[error("found `{found}`, minutes and seconds have to be under 60")]
    BadMinutes { found: String, span: Range<usize> },
    /// A number without its unit.
    #[error("found {found} without a unit, expected {expected}")]
    MissingUnit { found: String, expected: Expected, span: Range<usize> },
    /// A unit nobody knows.
    #[error("unknown unit `{found}`{}, expected {expected}", did_you_mean(.nearest))]
    UnknownUnit { found: String, nearest: Option<&'static str>, expected: Expected, span: Range<usize> },
    /// A good unit of the wrong kind.
    #[error("found {} ({found}), expected {expected}", with_article(.found_kind))]
    OtherKind { found: String, found_kind: &'static str, expected: Expected, span: Range<usize> },
    /// A number too big or too small to keep.
    #[error("`{found}` is {} for a number to hold", if *.too_big { "too big" } else { "too close to zero" })]
    OutOfRange { found: String, too_big: bool, span: Range<usize> },
    /// Under what can exist, such as absolute zero.
    #[error("`{found}` is under the least {kind} there is")]
    UnderLeast { found: String, kind: &'static str, span: Range<usize> },
    /// A tolerance with a minus sign.
    #[error("found the tolerance `{found}`, a tolerance is a half-width and is not negative")]
    NegativeTolerance { found: String, span: Range<usize> },
    /// A tolerance in percent where it could mean two things or nothing.
    #[error("found the tolerance `{found}`, write it as a number: {reason}")]
    PercentTolerance { found: String, reason: &'static str, span: Range<usize> },
    /// A word after the comma that is no basis.
    #[error("found `{found}` after the comma, expected measured, catalogue or assumed")]
    UnknownBasis { found: String, span: Range<usize> },
    /// Something after the end.
    #[error("cannot read `{found}` after `{after}`")]
    Trailing { found: String, after: String, span: Range<usize> },
}

impl QuantityError {
    /// The bytes of the text it is about; within the text and on character boundaries.
    pub fn span(&self) -> Range<usize> {
        match self {
            Self::TooLong { length, cap: _ } => 0..*length,
            Self::Empty { span, .. }
            | Self::NotANumber { span, .. }
            | Self::DecimalComma { span, .. }
            | Self::BadFraction { span, .. }
            | Self::BadMinutes { span, .. }
            | Self::MissingUnit { span, .. }
            | Self::UnknownUnit { span, .. }
            | Self::OtherKind { span, .. }
            | Self::OutOfRange { span, .. }
            | Self::UnderLeast { span, .. }
            | Self::NegativeTolerance { span, .. }
            | Self::PercentTolerance { span, .. }
            | Self::UnknownBasis { span, .. }
            | Self::Trailing { span, .. } => span.clone(),
        }
    }
}

fn did_you_mean(nearest: &Option<&'static str>) -> String {
    nearest.map(|unit| format!(", did you mean {unit}")).unwrap_or_default()
}
