//! Answers as Python's own dictionaries, the same as the command's `--format json`.

use pyo3::prelude::*;
use pyo3::types::PyAny;
use serde::Serialize;

/// An answer as dictionaries and lists; what JSON has no number for is `None`.
pub fn as_python<'py>(py: Python<'py>, answer: &impl Serialize) -> PyResult<Bound<'py, PyAny>> {
    let text = serde_json::to_string(answer).expect("answers have text for keys and write to memory");
    py.import("json")?.call_method1("loads", (text,))
}
