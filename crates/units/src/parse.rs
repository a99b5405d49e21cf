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

use crate::parse_number::{DegreesMinutes, Magnitude, Number, leading_number, whole_degrees_minutes};
use crate::quantity_units::KINDS;
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

/// Brings a typed unit to the form the tables use: `in³` and `in^3` to `in3`, `lbf·ft` to `lbf ft`, `µm` to
/// `um`, typographic quotes to plain ones, one blank between words and none beside a stroke or after `°`.
pub fn reduce_unit(text: &str) -> String {
    let mut reduced = String::with_capacity(text.len());
    for letter in text.chars() {
        let letter = match letter {
            '²' => '2',
            '³' => '3',
            'µ' | 'μ' => 'u',
            '″' | '”' | '“' => '"',
            '′' | '’' => '\'',
            'º' | '˚' => '°',
            '·' | '⋅' | '*' | '-' => ' ',
            '.' | '^' => continue,
            letter if letter.is_whitespace() => ' ',
            letter => letter,
        };
        if letter == ' ' && (reduced.is_empty() || reduced.ends_with([' ', '/', '°'])) {
            continue;
        }
        if letter == '/' && reduced.ends_with(' ') {
            reduced.pop();
        }
        reduced.push(letter);
    }
    reduced.truncate(reduced.trim_end().len());
    reduced
}

/// Part of the text without the blanks around it, and where it starts.
#[derive(Clone, Copy)]
struct Piece<'a> {
    text: &'a str,
    start: usize,
}

impl<'a> Piece<'a> {
    fn new(whole: &'a str, range: Range<usize>) -> Self {
        let text = &whole[range.clone()];
        let blanks = text.len() - text.trim_start().len();
        Self { text: text.trim(), start: range.start + blanks }
    }

    fn part(self, range: Range<usize>) -> Self {
        let inner = Self::new(self.text, range);
        Self { text: inner.text, start: self.start + inner.start }
    }

    fn span(self) -> Range<usize> {
        self.start..self.start + self.text.len()
    }

    fn owned(self) -> String {
        self.text.to_owned()
    }
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

/// Refuses `2,5 mm`, `,5 mm` and `1,234 mm`: in a comma before a digit one shop sees a decimal point and
/// another thousands.
fn refuse_decimal_comma(text: &str) -> Result<(), QuantityError> {
    let bytes = text.as_bytes();
    let inside_number = |&comma: &usize| {
        let digit_follows = bytes.get(comma + 1).is_some_and(u8::is_ascii_digit);
        let before = text[..comma].chars().next_back();
        let number_before =
            before.is_none_or(|c| c.is_ascii_digit() || c.is_whitespace() || "+-±\u{2212}".contains(c));
        digit_follows && number_before
    };
    let Some(comma) = text.match_indices(',').map(|(at, _)| at).find(inside_number) else {
        return Ok(());
    };
    let of_number = |byte: &u8| byte.is_ascii_digit() || *byte == b',' || *byte == b'.';
    let start = comma - bytes[..comma].iter().rev().take_while(|byte| of_number(byte)).count();
    let end = comma + bytes[comma..].iter().take_while(|byte| of_number(byte)).count();
    let found = &text[start..end];
    Err(QuantityError::DecimalComma {
        found: found.to_owned(),
        rewrite: without_comma(found),
        span: start..end,
    })
}

/// How to write a number with commas so that it means one thing: `2,5` as `2.5`, `1,234.5` as `1234.5`, and
/// both readings of `1,234`.
fn without_comma(found: &str) -> String {
    let no_marks = |text: &str| text.replace([',', '.'], "");
    let commas = found.matches(',').count();
    let last_mark = found.rfind([',', '.']).unwrap_or(0);
    let as_point = format!("{}.{}", no_marks(&found[..last_mark]), no_marks(&found[last_mark..]));
    let as_point = if as_point.starts_with('.') { format!("0{as_point}") } else { as_point };
    if commas > 1 && !found.contains('.') {
        return no_marks(found);
    }
    let may_be_thousands =
        commas == 1 && !found.contains('.') && last_mark > 0 && found.len() - last_mark == 4;
    if may_be_thousands && !found.starts_with('0') {
        return format!("{} or {as_point}", no_marks(found));
    }
    as_point
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

fn number_value(piece: Piece<'_>, number: Number<'_>) -> Result<f64, QuantityError> {
    let magnitude = match number.magnitude {
        Magnitude::Decimal(text) => decimal_value(piece, text)?,
        Magnitude::Fraction { whole, over, under } => {
            let refuse =
                |reason| Err(QuantityError::BadFraction { found: piece.owned(), reason, span: piece.span() });
            let over = decimal_value(piece, over)?;
            let under = decimal_value(piece, under)?;
            if under == 0.0 {
                return refuse("its denominator is zero");
            }
            if whole.is_some() && over >= under {
                return refuse("after a whole number it has to be under one");
            }
            whole.map_or(Ok(0.0), |whole| decimal_value(piece, whole))? + over / under
        }
    };
    Ok(if number.negative { -magnitude } else { magnitude })
}

fn decimal_value(piece: Piece<'_>, text: &str) -> Result<f64, QuantityError> {
    let out_of_range =
        |too_big| QuantityError::OutOfRange { found: piece.owned(), too_big, span: piece.span() };
    // The grammar passes digits, a point and an exponent only, all of which Rust reads too.
    let value: f64 = text.parse().map_err(|_| out_of_range(true))?;
    let mantissa = text.split(['e', 'E']).next().unwrap_or(text);
    let meant_zero = !mantissa.bytes().any(|byte| byte.is_ascii_digit() && byte != b'0');
    match value {
        _ if value.is_infinite() => Err(out_of_range(true)),
        _ if value == 0.0 && !meant_zero => Err(out_of_range(false)),
        _ => Ok(value),
    }
}

fn degrees(piece: Piece<'_>, angle: DegreesMinutes<'_>) -> Result<f64, QuantityError> {
    let whole = decimal_value(piece, angle.degrees)?;
    let minutes = decimal_value(piece, angle.minutes)?;
    let seconds = angle.seconds.map_or(Ok(0.0), |seconds| decimal_value(piece, seconds))?;
    let broken_minutes = angle.seconds.is_some() && minutes.fract() != 0.0;
    if minutes >= 60.0 || seconds >= 60.0 || broken_minutes {
        return Err(QuantityError::BadMinutes { found: piece.owned(), span: piece.span() });
    }
    let degrees = whole + (minutes * 60.0 + seconds) / 3600.0;
    Ok(if angle.negative { -degrees } else { degrees })
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

fn is_percent(text: &str) -> bool {
    ["%", "percent", "pct"].contains(&reduce_unit(text).as_str())
}

/// The unit written in `piece`, behind the number of `amount`.
fn find_unit<Q: Quantity>(amount: Piece<'_>, piece: Piece<'_>) -> Result<&'static Unit, QuantityError> {
    let reduced = reduce_unit(piece.text);
    // A text of nothing but points reduces to nothing and is no missing unit.
    let spells_one = !reduced.is_empty() || piece.text.is_empty();
    if let Some(unit) = unit_among(Q::UNITS, &reduced).filter(|_| spells_one) {
        return Ok(unit);
    }
    if piece.text.is_empty() {
        return Err(QuantityError::MissingUnit {
            found: amount.owned(),
            expected: Q::expected(),
            span: amount.span(),
        });
    }
    let other = KINDS.iter().find(|(_, units)| spells_one && unit_among(units, &reduced).is_some());
    if let Some((found_kind, _)) = other {
        return Err(QuantityError::OtherKind {
            found: piece.owned(),
            found_kind,
            expected: Q::expected(),
            span: piece.span(),
        });
    }
    if let Some(rest) = rest_behind_unit::<Q>(piece) {
        let after = amount.part(0..rest.start - amount.start).owned();
        return Err(QuantityError::Trailing { found: rest.owned(), after, span: rest.span() });
    }
    Err(QuantityError::UnknownUnit {
        found: piece.owned(),
        nearest: nearest_unit(Q::UNITS, &reduced),
        expected: Q::expected(),
        span: piece.span(),
    })
}

/// What cannot belong to a unit: all of `000 mm`, the end of `mm deep`, `mm +0.05/-0.02` or `°30`.
fn rest_behind_unit<Q: Quantity>(piece: Piece<'_>) -> Option<Piece<'_>> {
    let starts_no_unit = |c: char| c.is_ascii_digit() || ".,+-/±\u{2212}".contains(c);
    if piece.text.starts_with(starts_no_unit) {
        return Some(piece);
    }
    let may_break = |&(at, c): &(usize, char)| {
        let behind_sign = piece.text[..at].ends_with(|before: char| !before.is_ascii_alphanumeric());
        c.is_whitespace() || "+±".contains(c) || (c.is_ascii_digit() && behind_sign)
    };
    let breaks = piece.text.char_indices().skip(1).filter(may_break).map(|(at, _)| at);
    // The longest unit wins: `deg cam` before `deg`.
    breaks
        .filter(|&at| unit_among(Q::UNITS, &reduce_unit(&piece.text[..at])).is_some())
        .last()
        .map(|at| piece.part(at..piece.text.len()))
}

/// The unit of a table that a reduced text spells.
fn unit_among(units: &'static [Unit], reduced: &str) -> Option<&'static Unit> {
    let exact = |unit: &&Unit| spellings(unit).any(|spelling| spelling == reduced);
    let folded = |unit: &&Unit| spellings(unit).any(|spelling| spelling.eq_ignore_ascii_case(reduced));
    units.iter().find(exact).or_else(|| if may_fold_case(reduced) { units.iter().find(folded) } else { None })
}

fn spellings(unit: &Unit) -> impl Iterator<Item = &'static str> + use<> {
    std::iter::once(unit.symbol).chain(unit.spellings.iter().copied())
}

/// Whether a unit may be read in another case: `PSI`, `psi` and `Psi` may. A single letter may not (`C` and
/// `c`, `K` and `k` differ), and neither may a mixture, where an SI prefix could hide (`mPa`, `Mm`).
fn may_fold_case(unit: &str) -> bool {
    let letters: Vec<char> = unit.chars().filter(|c| c.is_ascii_alphabetic()).collect();
    let all_upper = letters.iter().all(char::is_ascii_uppercase);
    let rest_lower = letters.iter().skip(1).all(char::is_ascii_lowercase);
    let all_lower = rest_lower && letters.first().is_some_and(char::is_ascii_lowercase);
    match letters.len() {
        0 | 1 => false,
        2 => all_upper || all_lower,
        _ => all_upper || rest_lower,
    }
}

fn nearest_unit(units: &'static [Unit], reduced: &str) -> Option<&'static str> {
    let reduced = reduced.to_lowercase();
    let letters = reduced.chars().count();
    let farthest = (letters / 3).max(1);
    units
        .iter()
        .filter(|unit| !unit.symbol.is_empty())
        .flat_map(|unit| spellings(unit).map(move |spelling| (spelling, unit.symbol)))
        .map(|(spelling, symbol)| (strsim::osa_distance(&reduced, &spelling.to_lowercase()), symbol))
        .filter(|&(distance, _)| distance <= farthest && distance < letters)
        .min_by_key(|&(distance, _)| distance)
        .map(|(_, symbol)| symbol)
}
