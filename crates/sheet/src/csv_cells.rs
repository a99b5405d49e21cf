//! The lines and cells of a CSV file and where they stand. Leaves out what they mean.

use crate::source::Place;
use crate::tree::shortened;

/// One line that says something.
pub(crate) struct Line<'t> {
    /// Its number in the file.
    pub number: usize,
    end: Place,
    cells: Vec<(Place, &'t str)>,
}

/// The lines that say something, cut into cells.
pub(crate) fn cells(text: &str, file: usize) -> Vec<Line<'_>> {
    let mut lines = Vec::new();
    let mut start = 0;
    for (idx, line) in text.split('\n').enumerate() {
        let said = line.trim();
        if !said.is_empty() && !said.starts_with('#') {
            let mut at = start;
            let cells = line.split([',', ';', '\t']).map(|cell| {
                let lead = cell.len() - cell.trim_start().len();
                let trimmed = cell.trim();
                let place = Place { file, start: at + lead, end: at + lead + trimmed.len() };
                at += cell.len() + 1;
                (place, trimmed)
            });
            let cells = cells.collect();
            let end = start + line.trim_end().len();
            lines.push(Line { number: idx + 1, end: Place { file, start: end, end }, cells });
        }
        start += line.len() + 1;
    }
    lines
}

impl Line<'_> {
    /// Whether a cell holds that word, in any case.
    pub fn is(&self, idx: usize, name: &str) -> bool {
        self.cells.get(idx).is_some_and(|(_, cell)| cell.trim_matches('"').eq_ignore_ascii_case(name))
    }

    /// A finite number of ordinary size in a cell.
    pub fn number(&self, idx: usize) -> Option<f64> {
        let number: f64 = self.cells.get(idx)?.1.parse().ok()?;
        (number.is_finite() && number.abs() < 1e6).then_some(number)
    }

    /// Where a cell stands, or where the line ends.
    pub fn place(&self, idx: usize) -> Place {
        self.cells.get(idx).map_or(self.end, |(place, _)| *place)
    }

    /// What stands in a cell, for a message.
    pub fn found(&self, idx: usize) -> String {
        self.cells.get(idx).map_or("nothing".to_owned(), |(_, cell)| format!("\"{}\"", shortened(cell)))
    }
}
