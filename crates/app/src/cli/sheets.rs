//! Sheets from files: reading them, and saying what is wrong with them.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result, anyhow};
use parts::cam::LobeTable;
use parts::train::Train;
use sheet::{
    Candidate, File, Plan, Sheet, read_build_bytes, read_candidate_bytes, read_lobe_csv, read_plan_bytes,
};

/// A build sheet.
pub fn build(path: &Path) -> Result<Sheet> {
    let name = path.display().to_string();
    read_build_bytes(&bytes(path)?).map_err(|problems| anyhow!(problems.render(&name)))
}

/// The text of a file as it was read.
#[derive(Clone, Debug)]
pub struct InputText {
    /// The file's name, without its folder.
    pub name: String,
    /// What is in it.
    pub bytes: Vec<u8>,
}

/// A swap sheet, or a second build sheet, against a base. Sheets it names lie beside it.
pub fn candidate(base: &Path, candidate: &Path) -> Result<Candidate> {
    candidate_with_texts(base, candidate).map(|(candidate, _)| candidate)
}

/// The same, with every text it was read from: base, candidate, then the sheets that names, in the order of reading.
pub fn candidate_with_texts(base: &Path, candidate: &Path) -> Result<(Candidate, Vec<InputText>)> {
    let mut texts = vec![input_text(base)?, input_text(candidate)?];
    let (of_base, of_candidate) = (texts[0].bytes.clone(), texts[1].bytes.clone());
    let mut resolve = |name: &str| {
        let bytes = fs::read(candidate.with_file_name(name)).map_err(|error| error.to_string())?;
        texts.push(InputText { name: name.to_owned(), bytes: bytes.clone() });
        Ok(bytes)
    };
    let read = read_candidate_bytes(&of_base, &of_candidate, &mut resolve).map_err(|problems| {
        let name = |file: &File| match file {
            File::Base => base.display().to_string(),
            File::Candidate => candidate.display().to_string(),
            File::Other(name) => candidate.with_file_name(name).display().to_string(),
        };
        anyhow!(problems.render_named(&name))
    })?;
    Ok((read, texts))
}

/// A plan. Sheets it names lie beside it.
pub fn plan(path: &Path) -> Result<Plan> {
    let mut resolve = |name: &str| fs::read(path.with_file_name(name)).map_err(|error| error.to_string());
    read_plan_bytes(&bytes(path)?, &mut resolve).map_err(|problems| {
        let name = |file: &File| match file {
            File::Base | File::Candidate => path.display().to_string(),
            File::Other(name) => path.with_file_name(name).display().to_string(),
        };
        anyhow!(problems.render_named(&name))
    })
}

/// A file's text with its name.
pub fn input_text(path: &Path) -> Result<InputText> {
    let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
    Ok(InputText { name, bytes: bytes(path)? })
}

/// A measured lobe from a CSV file, taken through this train where its lifts are those of the valve.
pub fn lobe_table(path: &Path, train: &Train) -> Result<LobeTable> {
    let name = path.display().to_string();
    read_lobe_csv(&bytes(path)?, train).map_err(|problems| anyhow!(problems.render(&name)))
}

fn bytes(path: &Path) -> Result<Vec<u8>> {
    fs::read(path).with_context(|| format!("{} cannot be read", path.display()))
}
