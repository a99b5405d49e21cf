//! Sheets and plans from files, and what is wrong with them as exceptions. Leaves out what is asked of them.

use std::fs;
use std::path::Path;

use pyo3::prelude::*;
use sheet::{Candidate, File, Plan, Sheet, read_build_bytes, read_candidate_bytes, read_plan_bytes};

use crate::errors::{os_error, sheet_error};

/// A build sheet.
pub fn build(py: Python<'_>, path: &Path) -> PyResult<Sheet> {
    let bytes = bytes(path)?;
    let read = py.detach(|| read_build_bytes(&bytes));
    read.map_err(|problems| sheet_error(&problems, &|_| path.display().to_string()))
}

/// A swap sheet, or a second build sheet, against a base. Sheets it names lie beside it.
pub fn candidate(py: Python<'_>, base: &Path, candidate: &Path) -> PyResult<Candidate> {
    let (of_base, of_candidate) = (bytes(base)?, bytes(candidate)?);
    let read =
        py.detach(|| read_candidate_bytes(&of_base, &of_candidate, &mut |name| beside(candidate, name)));
    read.map_err(|problems| {
        sheet_error(&problems, &|file| match file {
            File::Base => base.display().to_string(),
            File::Candidate => candidate.display().to_string(),
            File::Other(name) => candidate.with_file_name(name).display().to_string(),
        })
    })
}

/// A plan. Sheets it names lie beside it.
pub fn plan(py: Python<'_>, path: &Path) -> PyResult<Plan> {
    let bytes = bytes(path)?;
    let read = py.detach(|| read_plan_bytes(&bytes, &mut |name| beside(path, name)));
    read.map_err(|problems| {
        sheet_error(&problems, &|file| match file {
            File::Base | File::Candidate => path.display().to_string(),
            File::Other(name) => path.with_file_name(name).display().to_string(),
        })
    })
}

fn beside(path: &Path, name: &str) -> Result<Vec<u8>, String> {
    fs::read(path.with_file_name(name)).map_err(|error| error.to_string())
}

fn bytes(path: &Path) -> PyResult<Vec<u8>> {
    fs::read(path).map_err(|error| os_error(&error, path))
}
