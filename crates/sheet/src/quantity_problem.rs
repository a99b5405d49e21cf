//! What the parser of quantities refused, as a problem of the sheet: its place moved into the file, found and expected
//! apart.

use units::QuantityError;

use crate::problem::Problem;
use crate::source::{Place, Sources};
use crate::tree::{Node, shortened};

/// The problem at the place in the file where the text stands.
pub(crate) fn quantity_problem(
    sources: &Sources,
    node: &Node,
    text: &str,
    error: &QuantityError,
    expected: &str,
    example: &str,
    path: &str,
) -> Problem {
    let place = inside(sources, node.place, text, error.span());
    let (found, expected, help) = quantity_words(error, expected, text);
    let mut problem = sources.problem(place, path, found, expected);
    problem.help = Some(help.unwrap_or_else(|| format!("for example \"{example}\"")));
    problem
}

/// The part of a quoted text at `span`, when the file has it as it is meant; else the whole of it.
fn inside(sources: &Sources, whole: Place, text: &str, span: std::ops::Range<usize>) -> Place {
    let raw = sources.at(whole);
    let quotes = if raw.starts_with("\"\"\"") || raw.starts_with("'''") { 3 } else { 1 };
    let as_typed = raw.len() >= 2 * quotes && raw.get(quotes..raw.len() - quotes) == Some(text);
    if !as_typed || span.is_empty() {
        return whole;
    }
    let start = whole.start + quotes;
    Place { file: whole.file, start: start + span.start, end: start + span.end }
}

fn quantity_words(error: &QuantityError, expected: &str, text: &str) -> (String, String, Option<String>) {
    let same = |found: String| (found, expected.to_owned(), None);
    match error {
        QuantityError::Empty { .. } => same("an empty text".into()),
        QuantityError::MissingUnit { found, .. } => same(format!("{found} without a unit")),
        QuantityError::NotANumber { found, .. } => {
            same(format!("\"{}\" in place of a number", shortened(found)))
        }
        QuantityError::OtherKind { found, found_kind, .. } => {
            same(format!("the unit {} of {} {found_kind}", shortened(found), article(found_kind)))
        }
        QuantityError::UnknownUnit { found, nearest, .. } => {
            let help = nearest.map(|unit| format!("the nearest valid unit is {unit}"));
            (format!("the unknown unit \"{}\"", shortened(found)), expected.to_owned(), help)
        }
        QuantityError::DecimalComma { found, rewrite, .. } => (
            format!("\"{}\" with a comma", shortened(found)),
            "a decimal point".into(),
            Some(format!("write {rewrite}")),
        ),
        QuantityError::UnknownBasis { found, .. } => {
            let found = format!("\"{}\" after the comma", shortened(found));
            (found, "measured, catalogue or assumed".into(), None)
        }
        QuantityError::NegativeTolerance { found, .. } => {
            (format!("the tolerance {}", shortened(found)), "a tolerance of 0 or more".into(), None)
        }
        QuantityError::OutOfRange { found, too_big, .. } => {
            let why = if *too_big { "too big" } else { "too close to zero" };
            same(format!("\"{}\", {why} for a number to hold", shortened(found)))
        }
        QuantityError::Trailing { found, after, .. } => (
            format!("\"{}\" after \"{}\"", shortened(found), shortened(after)),
            "nothing more, a tolerance as in \"± 0.05\", or a basis as in \", measured\"".into(),
            None,
        ),
        other => (format!("\"{}\"", shortened(text)), expected.to_owned(), Some(other.to_string())),
    }
}

/// `a` or `an`.
pub(crate) fn article(kind: &str) -> &'static str {
    if kind.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" }
}
