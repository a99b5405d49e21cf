//! A file as rows of cells with their line numbers, before anybody knows what they are. Leaves out what a cell means.

use crate::cell_number::{Decimal, is_missing, number};

/// More rows than this are no pull.
pub const MOST_ROWS: usize = 200_000;
/// More columns than this are no brake's table.
pub const MOST_COLUMNS: usize = 500;

/// A cell as it stands in the file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cell {
    /// Its text; for a number of a workbook, the shortest text that reads back the same.
    pub text: String,
    /// The number, where the file itself says that it is one (workbooks).
    pub number: Option<f64>,
}

impl Cell {
    /// The number in this notation.
    pub fn number(&self, decimal: Decimal) -> Option<f64> {
        self.number.or_else(|| number(&self.text, decimal))
    }

    /// Whether it is a number in any notation.
    pub fn is_number(&self) -> bool {
        self.number(Decimal::Point).is_some() || self.number(Decimal::Comma).is_some()
    }

    /// Whether there is no reading in it.
    pub fn is_missing(&self) -> bool {
        self.number.is_none() && is_missing(&self.text)
    }

    /// Whether it is blank.
    pub fn is_blank(&self) -> bool {
        self.text.trim().is_empty()
    }
}

/// A row and where it stood.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Row {
    /// Line of the file (or row of the sheet), from 1.
    pub line: usize,
    /// Its cells; blank ones at the end are left off.
    pub cells: Vec<Cell>,
}

impl Row {
    /// The row of a line.
    pub fn new(line: usize, mut cells: Vec<Cell>) -> Self {
        while cells.last().is_some_and(Cell::is_blank) {
            cells.pop();
        }
        Self { line, cells }
    }

    /// Text of a cell, empty beyond the end.
    pub fn text(&self, column: usize) -> &str {
        self.cells.get(column).map_or("", |cell| cell.text.trim())
    }

    /// Cells that say something.
    pub fn n_filled(&self) -> usize {
        self.cells.iter().filter(|cell| !cell.is_blank()).count()
    }

    /// Whether this is a row of readings: at least two numbers, and little else.
    pub fn is_data(&self) -> bool {
        let numbers = self.cells.iter().filter(|cell| cell.is_number()).count();
        let filled = self.cells.iter().filter(|cell| !cell.is_missing()).count();
        numbers >= 2 && numbers * 10 >= filled * 6
    }
}

/// A table of a file.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// Name of the sheet; empty for a text.
    pub sheet: String,
    /// Rows that are not blank.
    pub rows: Vec<Row>,
    /// What separates the cells, for saying so.
    pub separator: &'static str,
    /// How it was encoded, for saying so.
    pub encoding: &'static str,
}
