//! Where the header of a table is: names, units, first row of readings, and the lines above. Leaves out what the names mean.

use crate::column_kind::{ColumnKind, kind_of_name};
use crate::column_unit::{is_some_unit, split_name, unit_for, without_brackets};
use crate::import_error::ImportError;
use crate::table::{Row, Table};

/// The header of a table.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Header {
    /// Names, without units.
    pub names: Vec<String>,
    /// Units as written; empty for none.
    pub units: Vec<String>,
    /// Names and units exactly as they stand, for knowing the header again further down.
    pub as_written: Vec<String>,
    /// Line of the names.
    pub line: usize,
    /// Index of the first row of readings.
    pub first_data: usize,
    /// Index of the first row that belongs to the header.
    pub first: usize,
}

/// Rows looked at behind the first row of readings; all but one have to be readings too.
const N_LOOKED_AT: usize = 3;

/// Finds it. A table without a header gets the numbers of its columns for names.
pub(crate) fn find_header(table: &Table) -> Result<Header, ImportError> {
    let rows = &table.rows;
    let first_data = (0..rows.len())
        .find(|idx| {
            // One bad row among the first must not push the beginning behind it.
            let next = &rows[idx + 1..rows.len().min(idx + 1 + N_LOOKED_AT)];
            let n_data = next.iter().filter(|row| row.is_data()).count();
            rows[*idx].is_data() && n_data + 1 >= next.len()
        })
        .ok_or_else(|| ImportError::NoTable { line: rows.first().map_or(1, |row| row.line) })?;
    let n_columns = rows[first_data..].iter().map(|row| row.cells.len()).max().unwrap_or(0);
    if first_data == 0 {
        let names = (1..=n_columns).map(|number| number.to_string()).collect();
        let line = rows[0].line;
        let blank = vec![String::new(); n_columns];
        return Ok(Header { names, units: blank.clone(), as_written: blank, line, first_data, first: 0 });
    }
    let above = first_data - 1;
    let unit_row =
        is_unit_row(&rows[above]) && above > 0 && names_speed(&texts(&rows[above - 1], n_columns), &[]);
    let unit_row = unit_row
        || is_unit_row(&rows[above])
            && above > 1
            && names_speed(&joined(&rows[above - 2], &rows[above - 1], n_columns), &[]);
    let names_at = if unit_row { above - 1 } else { above };
    let units = if unit_row { texts(&rows[above], n_columns) } else { vec![String::new(); n_columns] };
    let mut written = texts(&rows[names_at], n_columns);
    let mut first = names_at;
    // Names over two lines: the upper one is taken in where only both together name a speed.
    if !names_speed(&written, &units) && names_at > 0 {
        let both = joined(&rows[names_at - 1], &rows[names_at], n_columns);
        if names_speed(&both, &units) {
            written = both;
            first -= 1;
        }
    }
    let as_written = texts(&rows[names_at], n_columns);
    let split = written.iter().zip(&units).map(|(name, unit)| {
        let unit = without_brackets(unit).to_owned();
        if !unit.is_empty() {
            return (name.clone(), unit);
        }
        let split = split_name(name, kind_of_name);
        if split.name.is_empty() { (name.clone(), String::new()) } else { (split.name, split.unit) }
    });
    let (names, units) = split.unzip();
    Ok(Header { names, units, as_written, line: rows[names_at].line, first_data, first })
}

fn texts(row: &Row, n_columns: usize) -> Vec<String> {
    (0..n_columns.max(row.cells.len())).map(|column| row.text(column).to_owned()).collect()
}

fn joined(upper: &Row, lower: &Row, n_columns: usize) -> Vec<String> {
    let both = |column| format!("{} {}", upper.text(column), lower.text(column)).trim().to_owned();
    (0..n_columns).map(both).collect()
}

/// Whether every cell that says something says a unit.
fn is_unit_row(row: &Row) -> bool {
    let mut filled = row.cells.iter().filter(|cell| !cell.is_blank()).peekable();
    filled.peek().is_some() && filled.all(|cell| is_some_unit(&cell.text))
}

/// Whether one of the names says engine speed, by itself or by being its unit.
fn names_speed(names: &[String], units: &[String]) -> bool {
    names.iter().enumerate().any(|(idx, name)| {
        let split = split_name(name, kind_of_name);
        let unit = units.get(idx).map_or("", String::as_str);
        kind_of_name(&split.name).or_else(|| kind_of_name(name)) == Some(ColumnKind::Speed)
            || unit_for(ColumnKind::Speed, &split.unit).is_some()
            || unit_for(ColumnKind::Speed, without_brackets(name)).is_some()
            || (!unit.is_empty() && unit_for(ColumnKind::Speed, without_brackets(unit)).is_some())
    })
}
