//! The number at the front of a text: `46.0`, `.040`, `-5`, `1e3`, `1/2`, `4 1/8`, `4-1/8`, `12°30'15"`.
//! Leaves out the unit behind it and what the number is checked against.

use winnow::ModalResult;
use winnow::Parser;
use winnow::ascii::{digit1, space0, space1};
use winnow::combinator::{alt, opt, preceded};
use winnow::token::one_of;

/// A number as written, before anybody asks whether it fits a double.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Number<'a> {
    /// Whether a minus sign stands before it.
    pub negative: bool,
    /// What follows the sign.
    pub magnitude: Magnitude<'a>,
}

/// The part of a number after its sign.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Magnitude<'a> {
    /// `46.0`, `.040`, `5.`, `1e3`.
    Decimal(&'a str),
    /// `1/2` or, with a whole part, `4 1/8`.
    Fraction {
        /// Digits before the fraction.
        whole: Option<&'a str>,
        /// Digits above the stroke.
        over: &'a str,
        /// Digits under the stroke.
        under: &'a str,
    },
}

/// The number at the front of `text` and what is left behind it; nothing when there is none.
pub fn leading_number(text: &str) -> Option<(Number<'_>, &str)> {
    let mut rest = text;
    let number = number.parse_next(&mut rest).ok()?;
    Some((number, rest))
}

/// Degrees, minutes and seconds as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DegreesMinutes<'a> {
    /// Whether a minus sign stands before the degrees; it holds for all three.
    pub negative: bool,
    /// Whole degrees.
    pub degrees: &'a str,
    /// Minutes, under 60.
    pub minutes: &'a str,
    /// Seconds, under 60.
    pub seconds: Option<&'a str>,
}

/// Degrees and minutes, when the whole of `text` is `12°30'`, `12 deg 30 min` or `12°30'15"`.
pub fn whole_degrees_minutes(text: &str) -> Option<DegreesMinutes<'_>> {
    degrees_minutes.parse(text).ok()
}

fn number<'a>(input: &mut &'a str) -> ModalResult<Number<'a>> {
    // A decimal alone would eat the 4 of 4 1/8, so the longer forms come first.
    (sign, alt((mixed_fraction, fraction, decimal)))
        .map(|(negative, magnitude)| Number { negative, magnitude })
        .parse_next(input)
}

fn sign(input: &mut &str) -> ModalResult<bool> {
    opt(one_of(['+', '-', '\u{2212}'])).map(|sign| matches!(sign, Some('-' | '\u{2212}'))).parse_next(input)
}

fn mixed_fraction<'a>(input: &mut &'a str) -> ModalResult<Magnitude<'a>> {
    (digit1, alt((space1, "-")), digit1, '/', digit1)
        .map(|(whole, _, over, _, under)| Magnitude::Fraction { whole: Some(whole), over, under })
        .parse_next(input)
}

fn fraction<'a>(input: &mut &'a str) -> ModalResult<Magnitude<'a>> {
    (digit1, '/', digit1)
        .map(|(over, _, under)| Magnitude::Fraction { whole: None, over, under })
        .parse_next(input)
}

fn decimal<'a>(input: &mut &'a str) -> ModalResult<Magnitude<'a>> {
    let exponent = (one_of(['e', 'E']), opt(one_of(['+', '-'])), digit1).void();
    (plain_decimal, opt(exponent)).take().map(Magnitude::Decimal).parse_next(input)
}

fn plain_decimal<'a>(input: &mut &'a str) -> ModalResult<&'a str> {
    alt(((digit1, opt(('.', opt(digit1)))).void(), ('.', digit1).void())).take().parse_next(input)
}

fn degrees_minutes<'a>(input: &mut &'a str) -> ModalResult<DegreesMinutes<'a>> {
    let degree_mark = alt(("degrees", "degree", "deg", "Deg", "DEG", "°", "º", "˚"));
    let minute_mark = alt(("minutes", "minute", "min", "Min", "MIN", "'", "′", "’"));
    let second_mark = alt(("seconds", "second", "sec", "Sec", "SEC", "\"", "″", "”", "''"));
    let minutes = preceded((space0, degree_mark, space0), plain_decimal);
    let seconds = (preceded(space0, plain_decimal), space0, second_mark).map(|(seconds, _, _)| seconds);
    (sign, digit1, minutes, space0, minute_mark, opt(seconds))
        .map(|(negative, degrees, minutes, _, _, seconds)| DegreesMinutes {
            negative,
            degrees,
            minutes,
            seconds,
        })
        .parse_next(input)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn decimal(text: &str) -> Magnitude<'_> {
        Magnitude::Decimal(text)
    }

    fn check(text: &str, negative: bool, magnitude: Magnitude<'_>, rest: &str) {
        assert_eq!(leading_number(text), Some((Number { negative, magnitude }, rest)), "{text}");
    }

    #[test]
    fn exact_numbers_end_where_they_end() {
        check("46.0 mm", false, decimal("46.0"), " mm");
        check(".040in", false, decimal(".040"), "in");
        check("5. mm", false, decimal("5."), " mm");
        check("\u{2212}5 thou", true, decimal("5"), " thou");
        check("+1.5E-3 m", false, decimal("1.5E-3"), " m");
        check("5 1/min", false, decimal("5"), " 1/min");
        check("1.2.3", false, decimal("1.2"), ".3");
        check("1/2 in", false, Magnitude::Fraction { whole: None, over: "1", under: "2" }, " in");
        check("-4-1/8\"", true, Magnitude::Fraction { whole: Some("4"), over: "1", under: "8" }, "\"");
        for text in ["", "mm", "nan", "inf", ".", "-", "- 5", "e5", "٣ mm"] {
            assert_eq!(leading_number(text), None, "{text}");
        }
    }

    #[test]
    fn exact_degrees_minutes_take_the_whole_text() {
        let angle = DegreesMinutes { negative: true, degrees: "12", minutes: "30", seconds: None };
        for text in ["-12°30'", "-12 deg 30 min", "-12° 30′", "\u{2212}12DEG30MIN"] {
            assert_eq!(whole_degrees_minutes(text), Some(angle), "{text}");
        }
        assert_eq!(whole_degrees_minutes("12°30'7.5\"").and_then(|angle| angle.seconds), Some("7.5"));
        for text in ["12.5°30'", "12°", "12°30", "12°30' 5", "12°30'x"] {
            assert_eq!(whole_degrees_minutes(text), None, "{text}");
        }
    }
}
