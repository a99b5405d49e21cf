//! Rows and cells of an XLSX workbook. Leaves out formats, colours and formulas; a formula counts as the value stored with it.

use std::io::Cursor;

use calamine::{Data, DataRef, Reader as _, Xlsx, open_workbook_from_rs};

use crate::import_error::ImportError;
use crate::table::{Cell, MOST_COLUMNS, MOST_ROWS, Row, Table};

/// Whether bytes begin as a workbook does (a zip archive).
pub fn is_workbook(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04")
}

/// The sheets of a workbook, in its own order; those without a cell are left out.
pub fn tables_of_workbook(bytes: &[u8]) -> Result<Vec<Table>, ImportError> {
    let broken = |wrong: calamine::XlsxError| ImportError::Workbook { reason: wrong.to_string() };
    let mut book: Xlsx<_> = open_workbook_from_rs(Cursor::new(bytes)).map_err(broken)?;
    let mut tables = Vec::new();
    for sheet in book.sheet_names() {
        // A chart sheet has no cells to read.
        let Ok(mut cells) = book.worksheet_cells_reader(&sheet) else { continue };
        let mut rows: Vec<Row> = Vec::new();
        // Cell by cell: a stray cell at the far corner must not become a table of seventeen thousand million cells.
        while let Some(cell) = cells.next_cell().map_err(broken)? {
            let (row, column) = cell.get_position();
            let (row, column) = (row as usize, column as usize);
            let cell = cell_of(cell.get_value());
            if cell.is_blank() {
                continue;
            }
            if row >= MOST_ROWS {
                return Err(ImportError::TooBig { found: row + 1, what: "rows", most: MOST_ROWS });
            }
            if column >= MOST_COLUMNS {
                return Err(ImportError::TooBig { found: column + 1, what: "columns", most: MOST_COLUMNS });
            }
            if rows.last().is_none_or(|last| last.line != row + 1) {
                rows.push(Row { line: row + 1, cells: Vec::new() });
            }
            let Some(last) = rows.last_mut() else { continue };
            if last.cells.len() <= column {
                last.cells.resize(column + 1, Cell::default());
            }
            last.cells[column] = cell;
        }
        if !rows.is_empty() {
            tables.push(Table { sheet, rows, separator: "workbook", encoding: "XLSX" });
        }
    }
    Ok(tables)
}

fn cell_of(value: &DataRef<'_>) -> Cell {
    let value: Data = value.clone().into();
    let numeric =
        |number: f64| Cell { text: format!("{number}"), number: Some(number).filter(|n| n.is_finite()) };
    match value {
        Data::Float(number) => numeric(number),
        Data::Int(number) => numeric(number as f64),
        Data::String(text) => Cell { text, number: None },
        Data::DateTime(serial) => {
            // Days since 1899-12-30; a time of day alone is a fraction of one.
            let serial = serial.as_f64();
            let seconds = (serial.fract() * 86_400.0 * 1e3).round() / 1e3;
            let clock = format!(
                "{:02}:{:02}:{:06.3}",
                (seconds / 3600.0) as u32,
                (seconds / 60.0) as u32 % 60,
                seconds % 60.0
            );
            match crate::when::date_of_serial(serial.floor()) {
                Some(date) if serial >= 1.0 => Cell { text: format!("{date} {clock}"), number: None },
                _ => Cell { text: clock, number: None },
            }
        }
        Data::DateTimeIso(text) | Data::DurationIso(text) => Cell { text, number: None },
        Data::Bool(yes) => Cell { text: yes.to_string(), number: None },
        Data::Error(_) => Cell { text: "n/a".to_owned(), number: None },
        Data::Empty => Cell::default(),
    }
}
