//! Which unit a text spells, and what to say when it spells none. Leaves out the tables of units.

use crate::quantity_units::KINDS;
use crate::text_piece::Piece;
use crate::{Quantity, QuantityError, Unit};

/// The unit written in `piece`, behind the number of `amount`.
pub(crate) fn find_unit<Q: Quantity>(
    amount: Piece<'_>,
    piece: Piece<'_>,
) -> Result<&'static Unit, QuantityError> {
    let reduced = reduce_unit(piece.text);
    let spells_one = joins_words_only(piece.text);
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

/// Whether a text says percent.
pub(crate) fn is_percent(text: &str) -> bool {
    ["%", "percent", "pct"].contains(&reduce_unit(text).as_str())
}

/// Brings a typed unit to the form the tables use: `in³` and `in^3` to `in3`, `lbf·ft` to `lbf ft`, `µm` to
/// `um`, typographic quotes to plain ones, one blank between words and none beside a stroke or after `°`.
pub fn reduce_unit(text: &str) -> String {
    let mut reduced = String::with_capacity(text.len());
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        let letter = match letter {
            '²' => '2',
            '³' => '3',
            'µ' | 'μ' => 'u',
            '″' | '”' | '“' => '"',
            '′' | '’' => '\'',
            'º' | '˚' => '°',
            '·' | '⋅' | '*' | '-' => ' ',
            '.' => continue,
            '^' if letters.peek().is_some_and(char::is_ascii_digit) => continue,
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

/// Whether the signs that `reduce_unit` drops stand inside the unit: `46 -mm` is not 46 mm.
fn joins_words_only(text: &str) -> bool {
    const JOINTS: [char; 5] = ['^', '*', '·', '⋅', '-'];
    !text.starts_with('.') && !text.starts_with(JOINTS) && !text.ends_with(JOINTS)
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
