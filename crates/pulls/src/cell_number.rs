//! Which number a cell writes: decimal point or comma, thousands, times of day. Leaves out its unit.

/// How a file writes decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decimal {
    /// `210.5`, thousands `1,234.5`.
    Point,
    /// `210,5`, thousands `1.234,5`.
    Comma,
}

impl Decimal {
    /// Decimal sign and sign of thousands.
    fn signs(self) -> (char, char) {
        match self {
            Self::Point => ('.', ','),
            Self::Comma => (',', '.'),
        }
    }

    /// How layout files name it.
    pub fn key(self) -> &'static str {
        match self {
            Self::Point => "point",
            Self::Comma => "comma",
        }
    }
}

/// What a file writes where there is no reading.
const MISSING: [&str; 13] =
    ["", "-", "--", "---", "n/a", "na", "#n/a", "nan", "null", "none", "k.a.", "?", "*"];

/// Whether a cell says that there is no reading.
pub fn is_missing(cell: &str) -> bool {
    MISSING.contains(&cell.trim().to_lowercase().as_str())
}

/// The number a cell writes, finite; `None` for anything else, in the other decimal notation too.
pub fn number(cell: &str, decimal: Decimal) -> Option<f64> {
    // Brakes pad with blanks, print typographic minus signs and blanks between thousands.
    let text: String = cell
        .trim()
        .chars()
        .filter(|c| !matches!(c, '\u{a0}' | '\u{202f}' | '\u{2009}' | '\''))
        .map(|c| if c == '\u{2212}' { '-' } else { c })
        .collect();
    let (sign, thousands) = decimal.signs();
    let body = text.strip_prefix(['-', '+']).unwrap_or(&text);
    if !body.starts_with(|c: char| c.is_ascii_digit() || c == sign) {
        return None;
    }
    let (mantissa, exponent) = match body.find(['e', 'E']) {
        Some(at) => (&body[..at], &body[at..]),
        None => (body, ""),
    };
    let (whole, fraction) = mantissa.split_once(sign).unwrap_or((mantissa, ""));
    if fraction.contains([sign, thousands]) || !fraction.chars().all(|c| c.is_ascii_digit()) {
        return None;
    }
    let mut groups = whole.split(thousands);
    let first = groups.next().unwrap_or("");
    let grouped: Vec<&str> = groups.collect();
    let digits = |text: &str| text.chars().all(|c| c.is_ascii_digit());
    let well_grouped = grouped.is_empty()
        || (1..=3).contains(&first.len()) && grouped.iter().all(|group| group.len() == 3 && digits(group));
    if !digits(first) || !well_grouped {
        return None;
    }
    let minus = if text.starts_with('-') { "-" } else { "" };
    let plain = format!("{minus}{first}{}.{fraction}{exponent}", grouped.concat());
    plain.parse().ok().filter(|number: &f64| number.is_finite())
}

/// What a cell says about the decimal sign of its file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DecimalEvidence {
    /// It can only be a decimal point.
    Point,
    /// It can only be a decimal comma.
    Comma,
    /// `3,000` may be three or three thousand.
    EitherComma,
    /// It says nothing.
    Nothing,
}

/// What a cell says about the decimal sign.
pub fn decimal_evidence(cell: &str) -> DecimalEvidence {
    match (number(cell, Decimal::Point), number(cell, Decimal::Comma)) {
        (Some(_), None) => DecimalEvidence::Point,
        (None, Some(_)) => DecimalEvidence::Comma,
        (Some(point), Some(comma)) if point != comma && cell.contains(',') => DecimalEvidence::EitherComma,
        _ => DecimalEvidence::Nothing,
    }
}

/// Seconds of a time such as `00:01:23.4`, `1:23,4` or the time of a date and time.
pub fn clock_seconds(cell: &str) -> Option<f64> {
    let text = cell.trim();
    let text = text.rsplit_once(['T', ' ']).map_or(text, |(_, time)| time);
    if !text.contains(':') {
        return None;
    }
    let mut seconds = 0.0;
    let parts: Vec<&str> = text.split(':').collect();
    if parts.len() > 3 {
        return None;
    }
    for (idx, part) in parts.iter().enumerate() {
        let last = idx + 1 == parts.len();
        let plain = part.replace(',', ".");
        if plain.is_empty() || !plain.chars().all(|c| c.is_ascii_digit() || (last && c == '.')) {
            return None;
        }
        seconds = 60.0 * seconds + plain.parse::<f64>().ok()?;
    }
    // Hours and minutes alone are a time of day; minutes and seconds of a run have a decimal or are three parts.
    let of_day = parts.len() == 2 && !parts[1].contains(['.', ',']);
    Some(if of_day { 60.0 * seconds } else { seconds })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_numbers_in_both_notations() {
        for (cell, decimal, expected) in [
            ("210.5", Decimal::Point, Some(210.5)),
            ("1,234.5", Decimal::Point, Some(1234.5)),
            ("1.234,5", Decimal::Comma, Some(1234.5)),
            ("210,5", Decimal::Comma, Some(210.5)),
            ("3,000", Decimal::Comma, Some(3.0)),
            ("3,000", Decimal::Point, Some(3000.0)),
            ("210,5", Decimal::Point, None),
            ("\u{2212}4.5", Decimal::Point, Some(-4.5)),
            ("1e3", Decimal::Point, Some(1000.0)),
            ("12O3", Decimal::Point, None),
            ("1e999", Decimal::Point, None),
            ("inf", Decimal::Point, None),
            ("", Decimal::Point, None),
            (".", Decimal::Point, None),
        ] {
            assert_eq!(number(cell, decimal), expected, "{cell}");
        }
    }

    #[test]
    fn exact_clock_times() {
        assert_eq!(clock_seconds("00:01:23.4"), Some(83.4));
        assert_eq!(clock_seconds("1:23,5"), Some(83.5));
        assert_eq!(clock_seconds("2025-05-03 10:42:01"), Some(38521.0));
        assert_eq!(clock_seconds("10:42"), Some(38520.0));
        assert_eq!(clock_seconds("12.5"), None);
    }
}
