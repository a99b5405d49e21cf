//! Writing answers: aligned columns, a little colour on a terminal, JSON, complaints.

use std::io::Write as _;

use anstyle::{AnsiColor, Style};
use anyhow::Result;
use comfy_table::{CellAlignment, ContentArrangement, Table};
use headroom::Status;
use serde::Serialize;

/// Widest line of an answer.
const LINE: usize = 100;

/// Prints text as it is. A reader that has gone away is not an error.
pub fn print(text: &str) {
    let _ = anstream::stdout().write_all(text.as_bytes());
}

/// Prints an answer as JSON.
pub fn print_json(answer: &impl Serialize) -> Result<()> {
    let mut text = serde_json::to_string_pretty(answer)?;
    text.push('\n');
    print(&text);
    Ok(())
}

/// Says on standard error what is wrong.
pub fn complain(wrong: &anyhow::Error) {
    let text = format!("{wrong:#}");
    let _ = writeln!(anstream::stderr(), "headroom: {}", text.trim_end());
}

/// Says on standard error how far something is.
pub fn say(text: &str) {
    let _ = writeln!(anstream::stderr(), "{text}");
}

/// The word of a status, wide enough for all of them.
pub fn status(status: Status) -> String {
    format!("{:<10}", status.word().to_uppercase())
}

/// Colours the status words that begin lines; `anstream` drops the colour where it is not wanted.
pub fn coloured(text: &str) -> String {
    const STATUSES: [Status; 4] = [Status::Hits, Status::Tight, Status::Unmeasured, Status::Clear];
    let mut out = text.to_owned();
    for status in STATUSES {
        let style = match status {
            Status::Hits => Style::new().bold().fg_color(Some(AnsiColor::Red.into())),
            Status::Tight => Style::new().bold().fg_color(Some(AnsiColor::Yellow.into())),
            Status::Unmeasured => Style::new().dimmed(),
            Status::Clear => Style::new().fg_color(Some(AnsiColor::Green.into())),
        };
        let word = status.word().to_uppercase();
        out = out.replace(&format!("\n  {word} "), &format!("\n  {style}{word}{style:#} "));
    }
    out
}

/// A heading.
pub fn heading(text: &str) -> String {
    let style = Style::new().bold();
    format!("\n{style}{text}{style:#}\n")
}

/// Rows of cells, the first row a head, aligned; columns listed in `right` end at the right.
pub fn table(rows: &[Vec<String>], right: &[usize]) -> String {
    let mut table = Table::new();
    table.load_style(comfy_table::presets::NOTHING);
    table.set_content_arrangement(ContentArrangement::Disabled);
    for row in rows {
        table.add_row(row);
    }
    for (idx, column) in table.column_iter_mut().enumerate() {
        column.set_padding((if idx == 0 { 2 } else { 0 }, 2));
        if right.contains(&idx) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let lines = table.lines().map(|line| line.trim_end().to_owned());
    lines.flat_map(|line| [line, "\n".to_owned()]).collect()
}

/// Text broken into lines of at most [`LINE`] characters. The first line keeps the blanks it begins with, the others are
/// set in by `indent`.
pub fn wrapped(text: &str, indent: usize) -> String {
    let first = text.chars().take_while(|c| *c == ' ').count();
    let mut out = " ".repeat(first);
    let mut column = first;
    for (idx, word) in text.split_whitespace().enumerate() {
        let width = word.chars().count();
        if idx > 0 && column + 1 + width > LINE {
            out.push('\n');
            out.push_str(&" ".repeat(indent));
            column = indent;
        } else if idx > 0 {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += width;
    }
    out.push('\n');
    out
}
