//! The file in which a search keeps what it has done: opened, checked against the plan, appended to.

use std::fs::{self, File, OpenOptions};
use std::io::{Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use headroom::search::Question;
use headroom::search::journal::{Journal, first_line};

/// The file, ready to be appended to.
pub struct JournalFile {
    file: File,
    path: PathBuf,
}

impl JournalFile {
    /// Opens the journal of a plan, with what it holds. Half a block at its end, from a search that was killed, is cut off.
    /// One of another plan is an error unless `fresh`, which empties it.
    pub fn open(path: &Path, question: &Question, fresh: bool) -> Result<(Journal, Self)> {
        let named = || path.display().to_string();
        let text = match fs::read(path) {
            Ok(bytes) if !fresh => String::from_utf8_lossy(&bytes).into_owned(),
            Ok(_) => String::new(),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => String::new(),
            Err(error) => return Err(error).with_context(|| format!("{} cannot be read", named())),
        };
        let (journal, n_whole) = Journal::read(question, &text)
            .with_context(|| format!("{}; --fresh begins anew, --journal names another file", named()))?;
        let cannot = || format!("{} cannot be written", named());
        let mut file =
            OpenOptions::new().create(true).write(true).truncate(false).open(path).with_context(cannot)?;
        file.set_len(n_whole as u64).with_context(cannot)?;
        file.seek(SeekFrom::End(0)).with_context(cannot)?;
        let mut opened = Self { file, path: path.to_owned() };
        if n_whole == 0 {
            opened.append(&first_line(question)).map_err(anyhow::Error::msg)?;
        }
        Ok((journal, opened))
    }

    /// Adds text and waits until it is on the disk.
    pub fn append(&mut self, text: &str) -> Result<(), String> {
        let written = self.file.write_all(text.as_bytes()).and_then(|()| self.file.sync_data());
        written.map_err(|error| format!("{}: {error}", self.path.display()))
    }
}
