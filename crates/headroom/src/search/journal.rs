//! What a search has done so far, as text that a file can hold: blocks of rows, each whole or not there.
//!
//! The first line names the plan's digest. A block is a head, its lines and an end with their digest; a search that was
//! killed while it wrote leaves half a block, which is dropped. Leaves out the file.

use std::collections::BTreeMap;

use pulls::digest::digest;

use super::question::Question;

/// Blocks by name.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Journal {
    blocks: BTreeMap<String, String>,
}

/// A text that is no journal of this plan.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum JournalError {
    /// Of another plan, or the plan or a sheet it names was changed.
    #[error(
        "made for a plan with the digest {found}, expected {expected}: the plan or a sheet it names has changed"
    )]
    OtherPlan {
        /// The digest it names.
        found: String,
        /// The plan's.
        expected: String,
    },
    /// No journal at all.
    #[error("begins with \"{found}\", expected the first line of a search's journal")]
    NoJournal {
        /// How it begins.
        found: String,
    },
}

const HEAD: &str = "headroom search journal 1, plan ";

/// The line a journal begins with.
pub fn first_line(question: &Question) -> String {
    format!("{HEAD}{}\n", question.digest)
}

/// A block as it is appended; `body` is whole lines.
pub fn block(name: &str, body: &str) -> String {
    format!("[{name}]\n{body}[end {name} {}]\n", digest(body.as_bytes()))
}

impl Journal {
    /// Reads a journal; with it comes how many bytes of the text are whole. What follows those was being written when the
    /// search ended, and is to be cut off before more is appended. An empty text is an empty journal.
    pub fn read(question: &Question, text: &str) -> Result<(Self, usize), JournalError> {
        let mut journal = Self::default();
        let Some((first, _)) = text.split_once('\n') else {
            // Killed within the first line, or nothing there yet.
            return if HEAD.starts_with(text) || text.starts_with(HEAD) {
                Ok((journal, 0))
            } else {
                Err(JournalError::NoJournal { found: text.chars().take(60).collect() })
            };
        };
        let Some(found) = first.strip_prefix(HEAD) else {
            return Err(JournalError::NoJournal { found: first.chars().take(60).collect() });
        };
        if found != question.digest {
            return Err(JournalError::OtherPlan {
                found: found.to_owned(),
                expected: question.digest.clone(),
            });
        }
        let mut whole = first.len() + 1;
        while let Some((name, body, len)) = next_block(&text[whole..]) {
            journal.blocks.insert(name.to_owned(), body.to_owned());
            whole += len;
        }
        Ok((journal, whole))
    }

    /// The lines of a block.
    pub fn get(&self, name: &str) -> Option<&str> {
        self.blocks.get(name).map(String::as_str)
    }

    /// Adds a block.
    pub fn put(&mut self, name: String, body: String) {
        self.blocks.insert(name, body);
    }

    /// Number of blocks.
    pub fn len(&self) -> usize {
        self.blocks.len()
    }

    /// Whether nothing has been done.
    pub fn is_empty(&self) -> bool {
        self.blocks.is_empty()
    }
}

/// Name, body and length of the block a text begins with, if it is whole.
fn next_block(text: &str) -> Option<(&str, &str, usize)> {
    let rest = text.strip_prefix('[')?;
    let (name, rest) = rest.split_once("]\n")?;
    let end = format!("[end {name} ");
    let at = if rest.starts_with(&end) { 0 } else { rest.find(&format!("\n{end}"))? + 1 };
    let body = &rest[..at];
    let last = format!("{end}{}]\n", digest(body.as_bytes()));
    let start = text.len() - rest.len();
    rest[at..].starts_with(&last).then_some((name, body, start + at + last.len()))
}
