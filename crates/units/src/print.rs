//! Writes quantities for people, in metric or inch, and for the build sheet, where reading it back gives the
//! same bits. Leaves out tables, colours and which quantity deserves how many decimals.

use crate::{Quantity, Reading, Typed, Unit};

/// Which family of units output is written in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum UnitSystem {
    /// mm, cc, kPa, N, N m, kW, degC.
    #[default]
    Metric,
    /// in, in3, psi, lbf, lb-ft, hp, degF.
    Inch,
}

impl UnitSystem {
    /// The unit this system writes `Q` in.
    pub fn unit<Q: Quantity>(self) -> Unit {
        match self {
            Self::Metric => Q::METRIC,
            Self::Inch => Q::INCH,
        }
    }
}

/// Decimals beyond which a double has nothing to say at the sizes an engine has.
pub const MOST_DECIMALS: usize = 17;

/// The value with the usual decimals of its unit: `46.00 mm`, `1.811 in`.
pub fn show<Q: Quantity>(value: Q, system: UnitSystem) -> String {
    let unit = system.unit::<Q>();
    with_symbol(&rounded(unit.from_si(value.si()), unit.decimals), &unit)
}

/// The value with so many decimals, at most [`MOST_DECIMALS`].
pub fn show_decimals<Q: Quantity>(value: Q, system: UnitSystem, decimals: usize) -> String {
    let unit = system.unit::<Q>();
    with_symbol(&rounded(unit.from_si(value.si()), decimals), &unit)
}

/// The value in metric with inch in parentheses: `46.00 mm (1.811 in)`. Once only where both are written in
/// the same unit.
pub fn show_both<Q: Quantity>(value: Q) -> String {
    let metric = show(value, UnitSystem::Metric);
    if Q::METRIC == Q::INCH { metric } else { format!("{metric} ({})", show(value, UnitSystem::Inch)) }
}

/// The value with the digits its tolerance deserves: `46.00 mm ± 0.05`. The tolerance gets two significant
/// digits, one where the second is a zero, and the value ends at the same place. Without a tolerance above
/// zero the value gets the usual decimals of its unit.
pub fn show_with_tolerance<Q: Quantity>(value: Q, tolerance: Q, system: UnitSystem) -> String {
    let unit = system.unit::<Q>();
    let number = unit.from_si(value.si());
    let half_width = unit.difference_from_si(tolerance.si());
    if !(half_width.is_finite() && 0.0 < half_width) {
        return show(value, system);
    }
    let place = last_place(half_width);
    format!("{} ± {}", with_symbol(&to_place(number, place), &unit), to_place(half_width, place))
}

/// Text for the build sheet. `parse_typed` of it gives back `typed` bit for bit, for every finite value and
/// every finite tolerance that is not negative.
///
/// The number has as few digits as that allows. A double that no number in the system's own unit leads to
/// is written in the SI unit.
pub fn to_sheet_text<Q: Quantity>(typed: &Typed<Q>, system: UnitSystem) -> String {
    let (number, unit) = exact_value(typed.value, system);
    let mut text = with_symbol(&number, &unit);
    if let Some(tolerance) = typed.tolerance {
        text.push_str(" ± ");
        text.push_str(&exact_tolerance(tolerance, &unit));
    }
    if let Some(basis) = typed.basis {
        text.push_str(", ");
        text.push_str(basis.word());
    }
    text
}

/// Text of a whole reading for the build sheet, see [`to_sheet_text`].
pub fn reading_to_sheet_text<Q: Quantity>(reading: &Reading<Q>, system: UnitSystem) -> String {
    to_sheet_text(&Typed::from(*reading), system)
}

fn with_symbol(number: &str, unit: &Unit) -> String {
    if unit.symbol.is_empty() { number.to_owned() } else { format!("{number} {}", unit.symbol) }
}

fn rounded(number: f64, decimals: usize) -> String {
    let text = format!("{number:.*}", decimals.min(MOST_DECIMALS));
    let is_zero = text.bytes().all(|byte| matches!(byte, b'-' | b'0' | b'.'));
    if is_zero { text.replace('-', "") } else { text }
}

/// The power of ten of the last digit worth writing.
fn last_place(half_width: f64) -> i32 {
    let two_digits = format!("{half_width:.1e}");
    let (digits, power) = two_digits.split_once('e').unwrap_or((&two_digits, "0"));
    let power: i32 = power.parse().unwrap_or(0);
    if digits.ends_with('0') { power } else { power - 1 }
}

fn to_place(number: f64, place: i32) -> String {
    if place <= 0 {
        return rounded(number, place.unsigned_abs() as usize);
    }
    let step = 10f64.powi(place);
    rounded((number / step).round() * step, 0)
}

fn exact_value<Q: Quantity>(value: Q, system: UnitSystem) -> (String, Unit) {
    let unit = system.unit::<Q>();
    let leads_back = |number: f64| unit.to_si(number).to_bits() == value.si().to_bits();
    match shortest(unit.from_si(value.si()), leads_back) {
        Some(number) => (number, unit),
        None => (plain(value.si()), si_unit::<Q>()),
    }
}

fn exact_tolerance<Q: Quantity>(tolerance: Q, value_unit: &Unit) -> String {
    // A zero has no sign here: `-0` would be read as a negative tolerance.
    let si = if tolerance.si() == 0.0 { 0.0 } else { tolerance.si() };
    let leads_back = |number: f64| value_unit.difference_to_si(number).to_bits() == si.to_bits();
    shortest(value_unit.difference_from_si(si), leads_back)
        .unwrap_or_else(|| with_symbol(&plain(si), &si_unit::<Q>()))
}

/// The number with the fewest digits, near `number`, that leads back to the wanted bits.
fn shortest(number: f64, leads_back: impl Fn(f64) -> bool) -> Option<String> {
    const DIGITS_OF_A_DOUBLE: usize = 17;
    let neighbours = [number, number.next_up(), number.next_down()];
    let by_digits =
        (0..DIGITS_OF_A_DOUBLE).map(|decimals| format!("{number:.decimals$e}").parse().unwrap_or(number));
    by_digits.chain(neighbours).find(|&candidate| leads_back(candidate)).map(plain)
}

/// All the digits of a double and no more, with an exponent only where the zeros would be many.
fn plain(number: f64) -> String {
    const FEW_ZEROS: std::ops::Range<f64> = 1e-6..1e15;
    if number == 0.0 || FEW_ZEROS.contains(&number.abs()) {
        format!("{number}")
    } else {
        format!("{number:e}")
    }
}

fn si_unit<Q: Quantity>() -> Unit {
    let plain_si = |unit: &&Unit| unit.factor == 1.0 && unit.offset == 0.0;
    *Q::UNITS.iter().find(plain_si).expect("every table holds the SI unit, see the tests of quantity_units")
}
