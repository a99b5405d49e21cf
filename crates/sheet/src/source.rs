//! From bytes to text, and from a place in a text to its line and column. Leaves out what the text means.

use crate::problem::{File, Problem, Problems};

/// A sheet is a few kilobytes; more than this is some other file.
pub const MOST_BYTES: usize = 1_000_000;

/// A stretch of one of the texts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Place {
    /// Index into [`Sources`].
    pub file: usize,
    pub start: usize,
    pub end: usize,
}

/// The texts that one answer is read from.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sources {
    files: Vec<Source>,
}

/// One text.
#[derive(Clone, Debug)]
struct Source {
    file: File,
    text: String,
    /// Where each line begins.
    line_starts: Vec<usize>,
}

impl Sources {
    /// Takes in a text and returns its index.
    pub fn add(&mut self, file: File, text: &str) -> usize {
        self.files.push(Source { file, text: text.to_owned(), line_starts: line_starts(text) });
        self.files.len() - 1
    }

    /// The whole text.
    pub fn text(&self, file: usize) -> &str {
        &self.files[file].text
    }

    /// All texts, in the order they were taken in.
    pub fn texts(&self) -> impl Iterator<Item = &str> {
        self.files.iter().map(|file| file.text.as_str())
    }

    /// What stands at a place.
    pub fn at(&self, place: Place) -> &str {
        self.text(place.file).get(place.start..place.end).unwrap_or_default()
    }

    /// A problem at a place.
    pub fn problem(
        &self,
        place: Place,
        path: &str,
        found: impl Into<String>,
        expected: impl Into<String>,
    ) -> Problem {
        self.files[place.file].problem(place.start..place.end, path, found.into(), expected.into())
    }
}

/// The start of each line, the first being 0.
fn line_starts(text: &str) -> Vec<usize> {
    std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect()
}

impl Source {
    fn problem(&self, span: std::ops::Range<usize>, path: &str, found: String, expected: String) -> Problem {
        let text = &self.text;
        let start = floor_char(text, span.start);
        let line_idx = self.line_starts.partition_point(|line_start| *line_start <= start) - 1;
        let line_start = self.line_starts[line_idx];
        let line_end = self.line_starts.get(line_idx + 1).map_or(text.len(), |next| next - 1);
        Problem {
            file: self.file.clone(),
            line: line_idx + 1,
            column: text[line_start..start].chars().count() + 1,
            span,
            path: path.to_owned(),
            found,
            expected,
            help: None,
            line_text: text[line_start..line_end].trim_end_matches('\r').to_owned(),
        }
    }
}

/// A problem in a text that is not kept.
fn problem_in(
    file: File,
    text: &str,
    span: std::ops::Range<usize>,
    path: &str,
    found: String,
    expected: String,
) -> Problem {
    Source { file, text: text.to_owned(), line_starts: line_starts(text) }
        .problem(span, path, found, expected)
}

fn floor_char(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// The text in the bytes of a sheet, without a byte-order mark. UTF-8 only; anything else is named.
pub(crate) fn text_of(file: &File, bytes: &[u8]) -> Result<String, Problems> {
    if bytes.len() > MOST_BYTES {
        let found = format!("{} bytes", bytes.len());
        let expected = format!("a sheet of at most {MOST_BYTES} bytes");
        return Err(problem_in(file.clone(), "", 0..0, "", found, expected).into());
    }
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let expected = "text in UTF-8";
    if bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF") || looks_like_utf16(bytes) {
        let mut problem = problem_in(file.clone(), "", 0..0, "", "text in UTF-16".into(), expected.into());
        problem.help = Some("save the file again with the encoding UTF-8".into());
        return Err(problem.into());
    }
    if let Some(at) = bytes.iter().position(|byte| *byte == 0) {
        let start = String::from_utf8_lossy(&bytes[..at]).len();
        let found = format!("a zero byte at byte {at}, as in a binary file");
        let lossy = String::from_utf8_lossy(bytes);
        let mut problem = problem_in(file.clone(), &lossy, start..start + 1, "", found, expected.into());
        problem.span = at..at + 1;
        return Err(problem.into());
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text.to_owned()),
        Err(error) => {
            let good = error.valid_up_to();
            let byte = bytes[good];
            let (before, rest) =
                (String::from_utf8_lossy(&bytes[..good]), String::from_utf8_lossy(&bytes[good..]));
            let lossy = format!("{before}{rest}");
            let found = match byte {
                0xA0.. => format!("the byte 0x{byte:02X}, which is {} in Latin-1", char::from(byte)),
                _ => format!("the byte 0x{byte:02X}, which is not UTF-8"),
            };
            let mut problem = problem_in(file.clone(), &lossy, good..good + 1, "", found, expected.into());
            problem.help = Some("save the file again with the encoding UTF-8".into());
            Err(problem.into())
        }
    }
}

/// Text without a mark, most of whose bytes at odd or even places are zero.
fn looks_like_utf16(bytes: &[u8]) -> bool {
    let head = &bytes[..bytes.len().min(64)];
    let zeros = |first: usize| head.iter().skip(first).step_by(2).filter(|byte| **byte == 0).count();
    let pairs = head.len() / 2;
    let (even, odd) = (zeros(0), zeros(1));
    pairs >= 4 && ((odd * 4 > pairs * 3 && even == 0) || (even * 4 > pairs * 3 && odd == 0))
}
