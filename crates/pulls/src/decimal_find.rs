//! Whether a table writes decimal points or commas. Leaves out reading a single number.

use crate::cell_number::{Decimal, DecimalEvidence, decimal_evidence, number};
use crate::import_error::ImportError;
use crate::table::Row;

/// The notation of the rows of readings. Where `3,000` alone would decide, the engine
/// speed does (its column, and what its numbers are times for rpm): an engine that turns
/// three times a minute does not run.
pub(crate) fn find_decimal(rows: &[Row], speed: Option<(usize, f64)>) -> Result<Decimal, ImportError> {
    let mut point: Option<(usize, &str)> = None;
    let mut comma: Option<(usize, &str)> = None;
    let mut either: Option<(usize, usize, &str)> = None;
    for row in rows.iter().filter(|row| row.is_data()) {
        for (column, cell) in row.cells.iter().enumerate().filter(|(_, cell)| cell.number.is_none()) {
            let here = (row.line, cell.text.trim());
            match decimal_evidence(&cell.text) {
                DecimalEvidence::Point => point = point.or(Some(here)),
                DecimalEvidence::Comma => comma = comma.or(Some(here)),
                DecimalEvidence::EitherComma => either = either.or(Some((column, here.0, here.1))),
                DecimalEvidence::Nothing => {}
            }
        }
    }
    match (point, comma, either) {
        (Some((line, found)), Some((other_line, other)), _) => {
            let (found, other) = (found.to_owned(), other.to_owned());
            Err(ImportError::MixedDecimals { line, found, other_line, other })
        }
        (None, Some(_), _) => Ok(Decimal::Comma),
        (Some(_), None, _) | (None, None, None) => Ok(Decimal::Point),
        (None, None, Some((_, line, found))) => {
            let undecided = || ImportError::EitherDecimal { line, found: found.to_owned() };
            let (column, times) = speed.ok_or_else(undecided)?;
            let fastest = |decimal| {
                let speeds = rows.iter().filter_map(|row| number(&row.cells.get(column)?.text, decimal));
                times * speeds.fold(0.0, f64::max)
            };
            match (runs(fastest(Decimal::Point)), runs(fastest(Decimal::Comma))) {
                (true, false) => Ok(Decimal::Point),
                (false, true) => Ok(Decimal::Comma),
                _ => Err(undecided()),
            }
        }
    }
}

/// Whether an engine turns that fast at full load.
fn runs(rpm: f64) -> bool {
    (500.0..=25_000.0).contains(&rpm)
}
