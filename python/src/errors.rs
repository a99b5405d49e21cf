//! Exceptions by cause: what can go wrong from Python's side. Leaves out files that cannot be opened, which are Python's own
//! `OSError` with the file's name.

use pyo3::create_exception;
use pyo3::exceptions::{PyException, PyOSError};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList};
use sheet::{File, Problems};
use std::io;
use std::path::Path;

create_exception!(headroom, HeadroomError, PyException, "Whatever goes wrong here is one of these.");
create_exception!(
    headroom,
    SheetError,
    HeadroomError,
    "A sheet or plan cannot be read. `problems` lists every one: file, line, column, path, found, expected, help."
);
create_exception!(
    headroom,
    RequestError,
    HeadroomError,
    "Something is asked for that is not there or has no meaning: a reading, a cylinder, a fidelity, a standard."
);
create_exception!(
    headroom,
    EngineError,
    HeadroomError,
    "The parts are read, but make no engine that runs; the message says what is missing."
);

/// A sheet's problems, each with its place; `name` says what to call each file.
pub fn sheet_error(problems: &Problems, name: &dyn Fn(&File) -> String) -> PyErr {
    let error = SheetError::new_err(problems.render_named(name));
    let listed = Python::attach(|py| -> PyResult<()> {
        let all = PyList::empty(py);
        for problem in problems.list() {
            let one = PyDict::new(py);
            one.set_item("file", name(&problem.file))?;
            one.set_item("line", problem.line)?;
            one.set_item("column", problem.column)?;
            one.set_item("path", &problem.path)?;
            one.set_item("found", &problem.found)?;
            one.set_item("expected", &problem.expected)?;
            one.set_item("help", problem.help.as_deref())?;
            all.append(one)?;
        }
        error.value(py).setattr("problems", all)
    });
    listed.err().unwrap_or(error)
}

/// A file that cannot be opened, as Python says it: `FileNotFoundError` and the like, with number and name.
pub fn os_error(error: &io::Error, path: &Path) -> PyErr {
    let text = error.to_string();
    let text = text.split(" (os error").next().unwrap_or(&text).to_owned();
    PyOSError::new_err((error.raw_os_error(), text, path.display().to_string()))
}
