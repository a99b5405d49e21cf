//! Sheets from files: reading them, and saying what is wrong with them.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result, anyhow};
use parts::cam::LobeTable;
use parts::train::Train;
use sheet::{Candidate, File, Sheet, read_build_bytes, read_candidate_bytes, read_lobe_csv};

/// A build sheet.
pub fn build(path: &Path) -> Result<Sheet> {
    let name = path.display().to_string();
    read_build_bytes(&bytes(path)?).map_err(|problems| anyhow!(problems.render(&name)))
}

/// A swap sheet, or a second build sheet, against a base. Sheets it names lie beside it.
pub fn candidate(base: &Path, candidate: &Path) -> Result<Candidate> {
    let mut resolve =
        |name: &str| fs::read(candidate.with_file_name(name)).map_err(|error| error.to_string());
    let read = read_candidate_bytes(&bytes(base)?, &bytes(candidate)?, &mut resolve);
    read.map_err(|problems| {
        let name = |file: &File| match file {
            File::Base => base.display().to_string(),
            File::Candidate => candidate.display().to_string(),
            File::Other(name) => candidate.with_file_name(name).display().to_string(),
        };
        anyhow!(problems.render_named(&name))
    })
}

/// A measured lobe from a CSV file, taken through this train where its lifts are those of the valve.
pub fn lobe_table(path: &Path, train: &Train) -> Result<LobeTable> {
    let name = path.display().to_string();
    read_lobe_csv(&bytes(path)?, train).map_err(|problems| anyhow!(problems.render(&name)))
}

fn bytes(path: &Path) -> Result<Vec<u8>> {
    fs::read(path).with_context(|| format!("{} cannot be read", path.display()))
}
