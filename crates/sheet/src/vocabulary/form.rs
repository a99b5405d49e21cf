//! What a word of the sheet is made of: keys, sections, forms of value, ranges. Leaves out the words themselves.

use std::marker::PhantomData;

use units::{Quantity, QuantityError, Unit};

use super::Usual;

/// A key that holds a reading of the quantity `Q`.
#[derive(Debug)]
pub struct Field<Q> {
    /// The key, without its type.
    pub entry: Entry,
    quantity: PhantomData<fn() -> Q>,
}

/// The words about a key.
#[derive(Clone, Copy, Debug)]
pub struct Words {
    /// As typed in the sheet.
    pub key: &'static str,
    /// What it is, with its sign convention; a phrase without a full stop.
    pub meaning: &'static str,
    /// How it is measured; a phrase without a full stop.
    pub measure: &'static str,
    /// A value that could stand there.
    pub example: &'static str,
}

/// One key.
#[derive(Debug)]
pub struct Entry {
    /// The words about it.
    pub words: Words,
    /// What value it holds.
    pub form: Form,
    /// What happens without it.
    pub missing: Missing,
    /// Whether a mirrored cylinder turns the sign of the common value.
    pub turns_in_mirror: bool,
}

/// What a key holds.
#[derive(Debug)]
pub enum Form {
    /// A quantity with a unit; tolerance and basis may follow.
    Reading {
        /// The kind of quantity.
        reads: Reads,
        /// Where its value makes sense.
        range: Range,
        /// The tolerance it gets when none is typed.
        usual: Usual,
    },
    /// The least length a check may show: a length, or a table with `least` and `source`.
    Limit,
    /// Free text.
    Text,
    /// A name, used in paths: letters, digits, `_` and `-`.
    Name,
    /// Several names out of a fixed list.
    Names(&'static [&'static str]),
    /// A whole number within bounds, both included.
    Count {
        /// The least.
        least: i64,
        /// The most.
        most: i64,
    },
    /// `true` or `false`.
    Flag,
    /// One of a few words.
    Choice(&'static [&'static str]),
    /// The word of a length's unit.
    LengthUnit,
    /// A list of corners `[x, y]`.
    Corners,
    /// A list of rows `[angle, lift]`.
    Rows,
    /// A list of rows of two numbers.
    Pairs(&'static Pairs),
    /// A list of finite numbers.
    Numbers,
    /// A list of lists of cylinder numbers.
    Groups,
}

/// What a list of rows of two numbers is made of.
#[derive(Clone, Copy, Debug)]
pub struct Pairs {
    /// One of them, such as `row`.
    pub one: &'static str,
    /// Its form, such as `[lift, flow]`.
    pub form: &'static str,
    /// The least rows.
    pub least: usize,
    /// The most rows.
    pub most: usize,
}

impl Form {
    /// Whether its value stands without quotes.
    pub fn is_bare(&self) -> bool {
        matches!(
            self,
            Self::Count { .. }
                | Self::Flag
                | Self::Corners
                | Self::Rows
                | Self::Pairs(_)
                | Self::Numbers
                | Self::Groups
                | Self::Names(_)
        )
    }
}

/// The kind of a reading, without its type.
#[derive(Clone, Copy)]
pub struct Reads {
    /// Such as `length`.
    pub kind: &'static str,
    /// Such as `mm, in, thou, cm, m`.
    pub examples: &'static str,
    /// Every unit that is read.
    pub units: &'static [Unit],
    /// Ranges and usual tolerances are given in this one.
    pub metric: Unit,
    /// Parses a text to SI value and, if typed, SI tolerance.
    pub parse: ParseSi,
}

/// Parses a text to SI value and, if typed, SI tolerance.
pub type ParseSi = fn(&str) -> Result<(f64, Option<f64>), QuantityError>;

impl std::fmt::Debug for Reads {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.kind)
    }
}

/// An open or half-open stretch of numbers, in the metric unit of the quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Values lie above this.
    pub above: f64,
    /// Values lie below this.
    pub below: f64,
    /// Whether `above` itself belongs to it.
    pub or_equal: bool,
}

impl Range {
    /// Values strictly between two numbers.
    pub const fn open(above: f64, below: f64) -> Self {
        Self { above, below, or_equal: false }
    }

    /// Values from the first number on, below the second.
    pub const fn from(least: f64, below: f64) -> Self {
        Self { above: least, below, or_equal: true }
    }

    /// Whether a value lies in it; NaN does not.
    pub fn contains(&self, value: f64) -> bool {
        value < self.below && (self.above < value || (self.or_equal && value == self.above))
    }

    /// For a message: `above 0.1 mm and below 10000 mm`.
    pub fn describe(&self, unit: &Unit) -> String {
        let least = if self.or_equal { "at least" } else { "above" };
        let with_unit = |number: f64| format!("{number} {}", unit.symbol).trim_end().to_owned();
        format!("{least} {} and below {}", with_unit(self.above), with_unit(self.below))
    }
}

/// What happens when a key is not there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Missing {
    /// The sheet cannot be read without it.
    Required,
    /// It is estimated by the rule that [`parts::estimate::rule`] gives for this path.
    Estimated(&'static str),
    /// It is taken as the text says.
    Taken(&'static str),
}

/// A table of the sheet.
#[derive(Debug)]
pub struct Section {
    /// As typed in the sheet.
    pub key: &'static str,
    /// What it describes.
    pub meaning: &'static str,
    /// Whether it stands once, several times or under names.
    pub shape: Shape,
    /// Its keys.
    pub entries: &'static [&'static Entry],
    /// The tables within it.
    pub sections: &'static [&'static Self],
}

/// How often a table stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// `[section]`.
    Once,
    /// `[[section]]`, any number of times.
    List,
    /// `[section.NAME]`, the name being that of a valve.
    Named,
}

impl<Q: Quantity> Field<Q> {
    /// A reading.
    pub const fn new(words: Words, range: Range, usual: Usual, missing: Missing) -> Self {
        let reads = Reads {
            kind: Q::KIND,
            examples: Q::EXAMPLES,
            units: Q::UNITS,
            metric: Q::METRIC,
            parse: parse_si::<Q>,
        };
        let form = Form::Reading { reads, range, usual };
        Self { entry: Entry { words, form, missing, turns_in_mirror: false }, quantity: PhantomData }
    }

    /// The same, of which a mirrored cylinder turns the sign.
    pub const fn turning(mut self) -> Self {
        self.entry.turns_in_mirror = true;
        self
    }

    /// As typed in the sheet.
    pub const fn key(&self) -> &'static str {
        self.entry.words.key
    }

    /// The usual tolerance of a basis.
    pub fn usual_tolerance(&self, basis: units::Basis) -> Q {
        match &self.entry.form {
            Form::Reading { usual, reads, .. } => Q::from_si(reads.metric.difference_to_si(usual.of(basis))),
            _ => Q::from_si(0.0),
        }
    }
}

impl Entry {
    /// A key that holds no reading.
    pub const fn new(words: Words, form: Form, missing: Missing) -> Self {
        Self { words, form, missing, turns_in_mirror: false }
    }
}

fn parse_si<Q: Quantity>(text: &str) -> Result<(f64, Option<f64>), QuantityError> {
    units::parse_typed::<Q>(text).map(|typed| (typed.value.si(), typed.tolerance.map(Q::si)))
}
