//! What is wrong with a sheet: every problem with its place, what was found and what was expected, and the text a
//! person reads. Leaves out finding them.

use std::fmt::Write as _;
use std::ops::Range;

/// After this many the search is given up: a file of rubbish has thousands.
const MOST_KEPT: usize = 100;

/// Characters of a line shown on each side of the place.
const SHOWN_EACH_SIDE: usize = 60;

/// Which of the texts of one answer a problem lies in.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum File {
    /// The only sheet, or the base of a swap.
    Base,
    /// The candidate of a swap.
    Candidate,
    /// The sheet that a swap sheet takes parts from, by the name it is given there.
    Other(String),
}

/// One thing that is wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The text it lies in.
    pub file: File,
    /// First line is 1.
    pub line: usize,
    /// In characters, first is 1.
    pub column: usize,
    /// Bytes of the text, a byte-order mark not counted.
    pub span: Range<usize>,
    /// Which reading or section, such as `head.valve.exhaust.x`; empty when it is the file as a whole.
    pub path: String,
    /// What stands there.
    pub found: String,
    /// What should.
    pub expected: String,
    /// What to do, or the nearest valid name.
    pub help: Option<String>,
    /// The line of the text.
    pub line_text: String,
}

/// Everything wrong with a sheet, in the order of the text. Never empty when returned as an error.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Problems {
    list: Vec<Problem>,
    /// Whether the search was given up.
    more: bool,
}

impl Problems {
    /// The problems in the order of the text.
    pub fn list(&self) -> &[Problem] {
        &self.list
    }

    /// Whether there are more than those listed.
    pub fn more(&self) -> bool {
        self.more
    }

    /// Whether looking for more is of no use.
    pub(crate) fn is_full(&self) -> bool {
        self.list.len() >= MOST_KEPT
    }

    /// Whether nothing is wrong.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// The text for people, when all problems lie in one file of this name.
    pub fn render(&self, file_name: &str) -> String {
        self.render_named(&|_| file_name.to_owned())
    }

    /// The text for people; `name` says what to call each file.
    pub fn render_named(&self, name: &dyn Fn(&File) -> String) -> String {
        let mut out = String::new();
        for problem in &self.list {
            problem.render(&mut out, &name(&problem.file));
        }
        if self.more {
            out.push_str("and more; these are the first\n");
        }
        out
    }

    /// Says that there may be more.
    pub(crate) fn give_up(&mut self) {
        self.more = true;
    }

    /// Adds a problem unless the same one is there already, as when every cylinder meets the same common reading.
    pub(crate) fn push(&mut self, problem: Problem) {
        if self.list.contains(&problem) {
            return;
        }
        if self.is_full() {
            self.more = true;
        } else {
            self.list.push(problem);
        }
    }

    /// Adds those of `other` that say something new about their place, whatever path they give it.
    pub(crate) fn extend(&mut self, other: Self) {
        for problem in other.list {
            let known = |old: &Problem| {
                (&old.file, &old.span, &old.found) == (&problem.file, &problem.span, &problem.found)
            };
            if !self.list.iter().any(known) {
                self.push(problem);
            }
        }
        self.more |= other.more;
    }

    /// In the order of the text.
    pub(crate) fn sorted(mut self) -> Self {
        self.list.sort_by(|a, b| (&a.file, a.span.start).cmp(&(&b.file, b.span.start)));
        self
    }
}

impl From<Problem> for Problems {
    fn from(problem: Problem) -> Self {
        Self { list: vec![problem], more: false }
    }
}

impl std::fmt::Display for Problems {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.render_named(&|file| match file {
            File::Base => "sheet".to_owned(),
            File::Candidate => "candidate".to_owned(),
            File::Other(name) => name.clone(),
        }))
    }
}

impl std::error::Error for Problems {}

impl Problem {
    fn render(&self, out: &mut String, file_name: &str) {
        let what = if self.path.is_empty() { "this file cannot be read" } else { &self.path };
        let margin = " ".repeat(self.line.to_string().len());
        let (shown, pad) = window(&self.line_text, self.column);
        let width = self.caret_width(&shown, &pad);
        let _ = writeln!(out, "{file_name}:{}:{}: {what}", self.line, self.column);
        if !self.line_text.trim().is_empty() {
            let _ = writeln!(out, "{margin} |");
            let _ = writeln!(out, "{} | {shown}", self.line);
            let _ = writeln!(out, "{margin} | {pad}{}", "^".repeat(width));
        }
        let _ = writeln!(out, "{margin} found:    {}", self.found);
        let _ = writeln!(out, "{margin} expected: {}", self.expected);
        if let Some(help) = &self.help {
            let _ = writeln!(out, "{margin} help:     {help}");
        }
        out.push('\n');
    }

    fn caret_width(&self, shown: &str, pad: &str) -> usize {
        let start = self.column - 1;
        let spanned = self.line_text.chars().skip(start).scan(0, |bytes, c| {
            *bytes += c.len_utf8();
            Some(*bytes)
        });
        let width = spanned.take_while(|bytes| *bytes <= self.span.len()).count();
        let left = shown.chars().count().saturating_sub(pad.chars().count());
        width.min(left).max(1)
    }
}

/// The part of a line around a column, and the blanks (tabs kept) that lead to that column below it.
fn window(line: &str, column: usize) -> (String, String) {
    let skipped = (column - 1).saturating_sub(SHOWN_EACH_SIDE);
    let visible = |c: char| if c == '\t' || !c.is_control() { c } else { '\u{fffd}' };
    let cut = if skipped > 0 { "..." } else { "" };
    let mut shown: String = cut.to_owned();
    shown.extend(line.chars().skip(skipped).take(2 * SHOWN_EACH_SIDE).map(visible));
    if line.chars().count() > skipped + 2 * SHOWN_EACH_SIDE {
        shown.push_str("...");
    }
    let lead = cut.len() + column - 1 - skipped;
    let pad = shown.chars().take(lead).map(|c| if c == '\t' { '\t' } else { ' ' }).collect();
    (shown, pad)
}
