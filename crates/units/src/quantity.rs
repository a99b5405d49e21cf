//! What makes a type a quantity: a name, the units people write it in, and its SI value. Leaves out the
//! tables themselves (`quantity_units.rs`), parsing and printing.

use std::fmt;

/// One unit of a quantity and the ways people spell it.
///
/// The SI value of `x` in this unit is `(x + offset) * factor`; a difference or a tolerance has no offset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// How it is printed and named in messages; empty for a bare number.
    pub symbol: &'static str,
    /// Other accepted spellings, already in the form [`reduce_unit`](crate::parse_unit::reduce_unit) makes.
    pub spellings: &'static [&'static str],
    /// SI units in one of this.
    pub factor: f64,
    /// Added to a number in this unit before scaling; nonzero for degrees Celsius and Fahrenheit only.
    pub offset: f64,
    /// Decimals it is usually printed with.
    pub decimals: usize,
}

impl Unit {
    /// SI value of a number in this unit.
    pub fn to_si(&self, number: f64) -> f64 {
        // Adding a zero offset would turn -0 into 0.
        if self.offset == 0.0 { number * self.factor } else { (number + self.offset) * self.factor }
    }

    /// SI size of a difference given in this unit.
    pub fn difference_to_si(&self, number: f64) -> f64 {
        number * self.factor
    }

    /// Number in this unit of an SI value.
    pub fn from_si(&self, si: f64) -> f64 {
        si / self.factor - self.offset
    }

    /// Number in this unit of an SI difference.
    pub fn difference_from_si(&self, si: f64) -> f64 {
        si / self.factor
    }
}

/// A kind of number that people type and read with a unit.
///
/// A tolerance of a quantity has the quantity's own type and holds a difference: for a temperature its
/// [`Quantity::si`] is in kelvins of difference, not kelvins above absolute zero.
pub trait Quantity: Copy + PartialEq + fmt::Debug + 'static {
    /// Name for messages, such as `length`.
    const KIND: &'static str;
    /// Every accepted unit. One of them is the SI unit itself, with factor 1 and no offset.
    const UNITS: &'static [Unit];
    /// The units to name in a message, most used first.
    const EXAMPLES: &'static str;
    /// The unit for metric output.
    const METRIC: Unit;
    /// The unit for inch output.
    const INCH: Unit;
    /// Whether `12°30'` is read.
    const DEGREES_MINUTES: bool = false;
    /// The least SI value that exists, such as absolute zero.
    const LEAST_SI: f64 = f64::NEG_INFINITY;

    /// The quantity of an SI value.
    fn from_si(si: f64) -> Self;

    /// The SI value.
    fn si(self) -> f64;

    /// What a message says was expected.
    fn expected() -> Expected {
        Expected { kind: Self::KIND, examples: Self::EXAMPLES }
    }
}

/// What a field wants, for a message: `a length (mm, in, thou, cm, m)`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Expected {
    /// Name of the kind.
    pub kind: &'static str,
    /// Units that are meant.
    pub examples: &'static str,
}

impl fmt::Display for Expected {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({})", with_article(self.kind), self.examples)
    }
}

/// `a length`, `an angle`.
pub fn with_article(kind: &str) -> String {
    let article = if kind.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    format!("{article} {kind}")
}
