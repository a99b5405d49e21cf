//! What a number as written is worth, or why no double can hold it. Leaves out its unit.

use crate::QuantityError;
use crate::parse_number::{DegreesMinutes, Magnitude, Number};
use crate::text_piece::Piece;

/// The worth of a number written in `piece`.
pub(crate) fn number_value(piece: Piece<'_>, number: Number<'_>) -> Result<f64, QuantityError> {
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

/// The worth in degrees of degrees, minutes and seconds.
pub(crate) fn degrees(piece: Piece<'_>, angle: DegreesMinutes<'_>) -> Result<f64, QuantityError> {
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
