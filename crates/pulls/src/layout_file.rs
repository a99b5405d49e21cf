//! Layouts confirmed before, as a text of ours. Leaves out where that text is kept.
//!
//! ```text
//! format = 1
//! [[layout]]
//! header = "af63dc4c8601ec8c"
//! decimal = "comma"
//! column = [{ name = "Drehzahl", written_unit = "1/min", kind = "speed", unit = "rpm" }]
//! ```

use toml::{Table, Value};

use crate::cell_number::Decimal;
use crate::column_kind::ColumnKind;
use crate::column_unit::unit_for;
use crate::layout::{Column, Layout, Why};

/// Number of the format.
pub const LAYOUT_FORMAT: i64 = 1;

/// Why a text holds no layouts.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LayoutFileError {
    /// No TOML.
    #[error("found no TOML: {0}")]
    Toml(String),
    /// Another format.
    #[error("found format {found}, expected {LAYOUT_FORMAT}")]
    Format {
        /// What was found.
        found: String,
    },
    /// A key that is missing or something else.
    #[error("layout {number}: found no usable `{key}`, expected {expected}")]
    Key {
        /// Which layout, from 1.
        number: usize,
        /// Which key.
        key: &'static str,
        /// What it should be.
        expected: &'static str,
    },
}

/// Reads layouts.
pub fn read_layouts(text: &str) -> Result<Vec<Layout>, LayoutFileError> {
    let table: Table =
        text.parse().map_err(|wrong: toml::de::Error| LayoutFileError::Toml(wrong.message().to_owned()))?;
    match table.get("format") {
        Some(Value::Integer(LAYOUT_FORMAT)) => {}
        other => {
            let found = other.map_or("none".to_owned(), Value::to_string);
            return Err(LayoutFileError::Format { found });
        }
    }
    let none = Vec::new();
    let layouts = table.get("layout").and_then(Value::as_array).unwrap_or(&none);
    layouts.iter().enumerate().map(|(idx, layout)| read_one(idx + 1, layout)).collect()
}

fn read_one(number: usize, value: &Value) -> Result<Layout, LayoutFileError> {
    let wrong = |key, expected| LayoutFileError::Key { number, key, expected };
    let text = |value: &Value, key: &'static str| value.get(key).and_then(Value::as_str).map(str::to_owned);
    let digest = text(value, "header").ok_or(wrong("header", "the digest of a header"))?;
    let decimal = match text(value, "decimal").as_deref() {
        Some("point") => Decimal::Point,
        Some("comma") => Decimal::Comma,
        _ => return Err(wrong("decimal", "point or comma")),
    };
    let columns =
        value.get("column").and_then(Value::as_array).ok_or(wrong("column", "a list of columns"))?;
    let columns = columns.iter().map(|column| {
        let name = text(column, "name").ok_or(wrong("name", "the name of a column"))?;
        let written_unit = text(column, "written_unit").unwrap_or_default();
        let kind = text(column, "kind").and_then(|key| ColumnKind::parse(&key));
        let kind = kind.ok_or(wrong("kind", "a kind of column such as torque"))?;
        let unit = text(column, "unit").filter(|unit| !unit.is_empty());
        let unit = unit
            .map(|unit| unit_for(kind, &unit).ok_or(wrong("unit", "a unit of the column's kind")))
            .transpose()?;
        if unit.is_none() && !kind.units().is_empty() {
            return Err(wrong("unit", "a unit of the column's kind"));
        }
        Ok(Column { name, written_unit, kind, unit, why: Why::Remembered })
    });
    Ok(Layout { digest, decimal, columns: columns.collect::<Result<_, _>>()? })
}

/// Writes layouts; reading the text gives them back.
pub fn write_layouts(layouts: &[Layout]) -> String {
    let mut out = format!(
        "# What the columns of the brake's files are, as confirmed. A layout is found again by its header.\nformat = {LAYOUT_FORMAT}\n"
    );
    let quoted = |text: &str| Value::String(text.to_owned()).to_string();
    for layout in layouts {
        out.push_str(&format!(
            "\n[[layout]]\nheader = {}\ndecimal = {}\ncolumn = [\n",
            quoted(&layout.digest),
            quoted(layout.decimal.key())
        ));
        for column in &layout.columns {
            out.push_str(&format!(
                "  {{ name = {}, written_unit = {}, kind = {}, unit = {} }},\n",
                quoted(&column.name),
                quoted(&column.written_unit),
                quoted(column.kind.key()),
                quoted(column.unit.map_or("", |unit| unit.symbol()))
            ));
        }
        out.push_str("]\n");
    }
    out
}

/// Puts a layout among those known, in the place of one with the same header.
pub fn remember(layouts: &mut Vec<Layout>, layout: Layout) {
    match layouts.iter_mut().find(|known| known.digest == layout.digest) {
        Some(known) => *known = layout,
        None => layouts.push(layout),
    }
}
