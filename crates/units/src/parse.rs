//! Reads `46.0 mm ± 0.05, measured` and its relatives into a quantity. Leaves out the usual tolerances and
//! what a sensible value would be.
//!
//! ```text
//! typed     = amount [ ("±" | "+/-" | "+-") tolerance ] [ "," basis ]
//! amount    = number unit | degrees-minutes
//! tolerance = amount | number | number "%"        a bare number takes the unit of the value
//! basis     = "measured" | "catalogue" | "assumed"
//! ```

use std::ops::Range;

use crate::decimal_comma::refuse_decimal_comma;
use crate::number_value::{degrees, number_value};
use crate::parse_number::{leading_number, whole_degrees_minutes};
use crate::parse_unit::{find_unit, is_percent};
use crate::text_piece::Piece;
use crate::{Basis, Quantity, QuantityError, Typed, Unit};

/// Bytes a quantity may take; a longer text is refused unread.
pub const LONGEST_TEXT: usize = 200;

/// Reads a value that has neither tolerance nor basis, such as `0.400 in`.
pub fn parse<Q: Quantity>(text: &str) -> Result<Q, QuantityError> {
    let typed = parse_typed::<Q>(text)?;
    if typed.tolerance.is_none() && typed.basis.is_none() {
        return Ok(typed.value);
    }
    let layout = Layout::of(text);
    let end = layout.value.span().end;
    let rest = Piece::new(text, end..text.len());
    Err(QuantityError::Trailing {
        found: rest.text.to_owned(),
        after: layout.value.text.to_owned(),
        span: rest.span(),
    })
}

/// Reads a value with the tolerance and the basis somebody wrote behind it.
///
/// Never panics and never changes a number: what cannot be kept exactly as meant is an error that points
/// at the bytes it is about.
pub fn parse_typed<Q: Quantity>(text: &str) -> Result<Typed<Q>, QuantityError> {
    if text.len() > LONGEST_TEXT {
        return Err(QuantityError::TooLong { length: text.len(), cap: LONGEST_TEXT });
    }
    refuse_decimal_comma(text)?;
    let layout = Layout::of(text);
    let (value, unit) = read_value::<Q>(layout.value)?;
    let tolerance = layout.tolerance.map(|piece| read_tolerance::<Q>(piece, value, unit)).transpose()?;
    let basis = layout.basis.map(read_basis).transpose()?;
    Ok(Typed { value: Q::from_si(value), tolerance: tolerance.map(Q::from_si), basis })
}

/// The pieces of a text: value, tolerance, basis.
struct Layout<'a> {
    value: Piece<'a>,
    tolerance: Option<Piece<'a>>,
    basis: Option<Piece<'a>>,
}

impl<'a> Layout<'a> {
    fn of(text: &'a str) -> Self {
        let (amounts_end, basis) = match text.find(',') {
            Some(comma) => (comma, Some(Piece::new(text, comma + 1..text.len()))),
            None => (text.len(), None),
        };
        let (value_end, tolerance) = match find_plus_minus(&text[..amounts_end]) {
            Some(mark) => (mark.start, Some(Piece::new(text, mark.end..amounts_end))),
            None => (amounts_end, None),
        };
        Self { value: Piece::new(text, 0..value_end), tolerance, basis }
    }
}

fn find_plus_minus(text: &str) -> Option<Range<usize>> {
    ["±", "+/-", "+/\u{2212}", "+-", "+\u{2212}"]
        .into_iter()
        .filter_map(|mark| text.find(mark).map(|start| start..start + mark.len()))
        .min_by_key(|range| range.start)
}

/// The SI value of the amount and the unit it was written in.
fn read_value<Q: Quantity>(piece: Piece<'_>) -> Result<(f64, &'static Unit), QuantityError> {
    let (number, unit_piece) = read_number::<Q>(piece)?;
    let unit = match unit_piece {
        UnitPiece::Degrees => degree_unit::<Q>(),
        UnitPiece::Written(unit_piece) => find_unit::<Q>(piece, unit_piece)?,
    };
    let si = unit.to_si(number);
    check_range(piece, number, si, unit)?;
    if si < Q::LEAST_SI {
        return Err(QuantityError::UnderLeast { found: piece.owned(), kind: Q::KIND, span: piece.span() });
    }
    Ok((si, unit))
}

/// The SI size of the tolerance. `value` is the SI value it belongs to, `value_unit` the unit of that.
fn read_tolerance<Q: Quantity>(
    piece: Piece<'_>,
    value: f64,
    value_unit: &Unit,
) -> Result<f64, QuantityError> {
    let (number, unit_piece) = read_number::<Q>(piece)?;
    if number.is_sign_negative() {
        return Err(QuantityError::NegativeTolerance { found: piece.owned(), span: piece.span() });
    }
    let unit = match unit_piece {
        UnitPiece::Degrees => degree_unit::<Q>(),
        UnitPiece::Written(written) if written.text.is_empty() => value_unit,
        UnitPiece::Written(written) if is_percent(written.text) && value_unit.symbol != "%" => {
            return percent_of::<Q>(piece, number, value);
        }
        UnitPiece::Written(written) => find_unit::<Q>(piece, written)?,
    };
    let si = unit.difference_to_si(number);
    check_range(piece, number, si, &Unit { offset: 0.0, ..*unit })?;
    Ok(si)
}

fn percent_of<Q: Quantity>(piece: Piece<'_>, percent: f64, value: f64) -> Result<f64, QuantityError> {
    let refuse =
        |reason| Err(QuantityError::PercentTolerance { found: piece.owned(), reason, span: piece.span() });
    if Q::UNITS.iter().any(|unit| unit.symbol == "%") {
        return refuse("percent of the value and hundredths are not the same");
    }
    if Q::UNITS.iter().any(|unit| unit.offset != 0.0) {
        return refuse("its percentage depends on where the scale starts");
    }
    let si = value.abs() * (percent / 100.0);
    if !si.is_finite() || (si == 0.0 && percent != 0.0 && value != 0.0) {
        let too_big = si != 0.0;
        return Err(QuantityError::OutOfRange { found: piece.owned(), too_big, span: piece.span() });
    }
    Ok(si)
}

fn read_basis(piece: Piece<'_>) -> Result<Basis, QuantityError> {
    Basis::from_word(piece.text)
        .ok_or_else(|| QuantityError::UnknownBasis { found: piece.owned(), span: piece.span() })
}

/// What stands behind a number.
enum UnitPiece<'a> {
    /// A unit as written, perhaps nothing.
    Written(Piece<'a>),
    /// Nothing: the number was in degrees and minutes.
    Degrees,
}

fn read_number<Q: Quantity>(piece: Piece<'_>) -> Result<(f64, UnitPiece<'_>), QuantityError> {
    if piece.text.is_empty() {
        return Err(QuantityError::Empty { expected: Q::expected(), span: piece.span() });
    }
    if Q::DEGREES_MINUTES
        && let Some(angle) = whole_degrees_minutes(piece.text)
    {
        return Ok((degrees(piece, angle)?, UnitPiece::Degrees));
    }
    let Some((number, rest)) = leading_number(piece.text) else {
        return Err(QuantityError::NotANumber {
            found: piece.owned(),
            expected: Q::expected(),
            span: piece.span(),
        });
    };
    let number_end = piece.text.len() - rest.len();
    let value = number_value(piece.part(0..number_end), number)?;
    Ok((value, UnitPiece::Written(piece.part(number_end..piece.text.len()))))
}

/// Kinds that read degrees and minutes are shown in degrees.
fn degree_unit<Q: Quantity>() -> &'static Unit {
    const { &Q::METRIC }
}

fn check_range(piece: Piece<'_>, number: f64, si: f64, unit: &Unit) -> Result<(), QuantityError> {
    let lost = si == 0.0 && number != 0.0 && unit.offset == 0.0;
    if si.is_finite() && !lost {
        return Ok(());
    }
    Err(QuantityError::OutOfRange { found: piece.owned(), too_big: !lost, span: piece.span() })
}
