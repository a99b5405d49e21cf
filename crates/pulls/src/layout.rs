//! What the columns of one kind of file are: taken once, confirmed, and known again by the header. Leaves out how the guess is
//! made (`columns_take.rs`) and how layouts are kept (`layout_file.rs`).

use crate::cell_number::Decimal;
use crate::column_kind::ColumnKind;
use crate::column_unit::ColumnUnit;
use crate::digest::digest;

/// Columns of a file.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// Digest of names and units as the file writes them.
    pub digest: String,
    /// How decimals are written.
    pub decimal: Decimal,
    /// What each column is taken for, in the order of the file.
    pub columns: Vec<Column>,
}

/// A column and what it is taken for.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Its name without the unit.
    pub name: String,
    /// The unit as the file writes it; empty where it writes none.
    pub written_unit: String,
    /// What it is taken for.
    pub kind: ColumnKind,
    /// The unit it is read in; none for bare numbers.
    pub unit: Option<ColumnUnit>,
    /// What that rests on.
    pub why: Why,
}

/// What a column's meaning rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// Name and unit say so.
    Written,
    /// Somebody said so.
    Told,
    /// A layout confirmed before says so.
    Remembered,
    /// The name says so; the unit follows from torque times speed being power.
    Physics,
    /// The name says so; the unit follows from the size of the numbers.
    Size,
    /// The name says so; the unit is the usual one.
    Usual,
    /// Nothing is known of it, or it has no use here.
    NotUsed,
}

impl Why {
    /// In words, for the confirmation.
    pub fn words(self) -> &'static str {
        match self {
            Self::Written => "as the header says",
            Self::Told => "as told",
            Self::Remembered => "as confirmed before",
            Self::Physics => "unit assumed: torque times speed makes the power",
            Self::Size => "unit assumed: from the size of the numbers",
            Self::Usual => "unit assumed: the usual one",
            Self::NotUsed => "not used",
        }
    }

    /// Whether somebody should look twice.
    pub fn is_assumed(self) -> bool {
        matches!(self, Self::Physics | Self::Size | Self::Usual)
    }
}

impl Layout {
    /// The column of a kind that comes first.
    pub fn column(&self, kind: ColumnKind) -> Option<usize> {
        self.columns.iter().position(|column| column.kind == kind)
    }
}

/// Digest of a header: the same for the same names and units in the same order, whatever the case and the blanks.
pub fn header_digest(names: &[String], units: &[String]) -> String {
    let plain = |text: &String| text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    let joined: Vec<String> =
        names.iter().map(plain).chain(["|".to_owned()]).chain(units.iter().map(plain)).collect();
    digest(joined.join("\u{1f}").as_bytes())
}
