//! Whether a text has a comma inside a number, which is refused because it means two things. Leaves out the
//! comma before the basis.

use crate::QuantityError;

/// Refuses `2,5 mm`, `,5 mm` and `1,234 mm`: in a comma before a digit one shop sees a decimal point and
/// another thousands.
pub(crate) fn refuse_decimal_comma(text: &str) -> Result<(), QuantityError> {
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
