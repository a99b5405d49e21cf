//! Rows and cells of a text file: what separates them. Leaves out encodings and workbooks.

use crate::import_error::ImportError;
use crate::table::{Cell, MOST_COLUMNS, MOST_ROWS, Row, Table};
use crate::text_decode::Decoded;

/// What may separate cells, with how it is said.
const SEPARATORS: [(u8, &str); 4] = [(b';', "semicolon"), (b'\t', "tab"), (b',', "comma"), (b'|', "bar")];
/// Lines looked at to find the separator.
const N_PROBED: usize = 400;

/// Splits a text into cells.
pub fn table_of_text(decoded: &Decoded) -> Result<Table, ImportError> {
    let text = decoded.text.trim_end_matches('\u{1a}');
    let n_lines = text.lines().count();
    if n_lines > MOST_ROWS {
        return Err(ImportError::TooBig { found: n_lines, what: "lines", most: MOST_ROWS });
    }
    let probe: String = text.lines().take(N_PROBED).flat_map(|line| [line, "\n"]).collect();
    let mut best: Option<(usize, &str, Vec<Row>)> = None;
    for (byte, word) in SEPARATORS {
        let rows = split(&probe, byte)?;
        let score = score(&rows);
        if score > 0 && best.as_ref().is_none_or(|(most, _, _)| score > *most) {
            best = Some((score, word, split(text, byte)?));
        }
    }
    if best.is_none() {
        let rows = split_at_blanks(text);
        if score(&rows) > 0 {
            best = Some((1, "blanks", rows));
        }
    }
    let Some((_, separator, rows)) = best else {
        let line = text.lines().position(|line| !line.trim().is_empty()).map_or(1, |idx| idx + 1);
        return Err(ImportError::NoTable { line });
    };
    if let Some(row) = rows.iter().find(|row| row.cells.len() > MOST_COLUMNS) {
        return Err(ImportError::TooBig { found: row.cells.len(), what: "columns", most: MOST_COLUMNS });
    }
    Ok(Table { sheet: String::new(), rows, separator, encoding: decoded.encoding })
}

/// Numbers in rows of readings: the right separator leaves the most.
fn score(rows: &[Row]) -> usize {
    rows.iter()
        .filter(|row| row.is_data())
        .map(|row| row.cells.iter().filter(|cell| cell.is_number()).count())
        .sum()
}

/// The line a record is on. A record's position is where the one before it ended, ahead of blank lines between them.
fn line_of(text: &str, position: &csv::Position) -> usize {
    let from = text.as_bytes().get(position.byte() as usize..).unwrap_or_default();
    let blank = from.iter().take_while(|byte| matches!(byte, b'\r' | b'\n'));
    position.line() as usize + blank.filter(|byte| **byte == b'\n').count()
}

fn split(text: &str, separator: u8) -> Result<Vec<Row>, ImportError> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator)
        .trim(csv::Trim::None)
        .from_reader(text.as_bytes());
    let mut rows = Vec::new();
    let mut record = csv::StringRecord::new();
    loop {
        match reader.read_record(&mut record) {
            Ok(true) => {}
            Ok(false) => return Ok(rows),
            Err(wrong) => {
                let line = wrong.position().map_or(1, csv::Position::line);
                return Err(ImportError::NotText { line: line as usize });
            }
        }
        let line = record.position().map_or(1, |position| line_of(text, position));
        let cells = record.iter().map(|text| Cell { text: text.to_owned(), number: None }).collect();
        let row = Row::new(line, cells);
        if row.n_filled() > 0 {
            rows.push(row);
        }
    }
}

/// Cells between runs of blanks; two blanks or more also hold names of several words together.
fn split_at_blanks(text: &str) -> Vec<Row> {
    let mut rows = Vec::new();
    for (idx, line) in text.lines().enumerate() {
        let wide: Vec<&str> = line.split("  ").map(str::trim).filter(|cell| !cell.is_empty()).collect();
        let narrow: Vec<&str> = line.split_whitespace().collect();
        let numeric =
            narrow.iter().filter(|cell| cell.starts_with(|c: char| c.is_ascii_digit() || c == '-')).count();
        let parts = if wide.len() >= 2 && numeric * 2 < narrow.len() { wide } else { narrow };
        let cells = parts.into_iter().map(|text| Cell { text: text.to_owned(), number: None }).collect();
        let row = Row::new(idx + 1, cells);
        if row.n_filled() > 0 {
            rows.push(row);
        }
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_lines_are_counted_through_blank_ones() {
        let decoded = crate::text_decode::decode(b"Brake\r\n\r\n\r\nrpm;Nm\r\n2000;190\r\n\r\n2100;191\r\n")
            .expect("text");
        let table = table_of_text(&decoded).expect("a table");
        let lines: Vec<usize> = table.rows.iter().map(|row| row.line).collect();
        assert_eq!(lines, [1, 4, 5, 7]);
    }
}
