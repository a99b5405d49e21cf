//! A plan of combinations, and the rows of any range of them.

use std::path::PathBuf;

use headroom::search::run::CHUNK;
use headroom::search::{Question, row, run_range};
use pyo3::prelude::*;

use crate::errors::SheetError;
use crate::sheets;

/// A search plan with its combinations numbered from 0.
#[pyclass(frozen, module = "headroom")]
pub struct Plan {
    question: Question,
}

/// Reads a plan from a file; sheets it names lie beside it.
#[pyfunction]
pub fn read_plan(py: Python<'_>, path: PathBuf) -> PyResult<Plan> {
    let plan = sheets::plan(py, &path)?;
    let name = path.display();
    let question = Question::new(plan).map_err(|error| SheetError::new_err(format!("{name}: {error}")))?;
    Ok(Plan { question })
}

#[pymethods]
impl Plan {
    /// Its name.
    #[getter]
    fn name(&self) -> &str {
        &self.question.plan.name
    }

    /// Names the plan with everything it was read from and the rules by which rows are made.
    #[getter]
    fn digest(&self) -> &str {
        &self.question.digest
    }

    /// Head line of the table, its end included.
    #[getter]
    fn header(&self) -> String {
        row::header(&self.question)
    }

    fn __len__(&self) -> usize {
        usize::try_from(self.question.n()).expect("numbers of combinations fit a word")
    }

    fn __repr__(&self) -> String {
        format!("<Plan {:?}, {} combinations>", self.question.plan.name, self.question.n())
    }

    /// Lines of the table for the combinations from `start` up to `stop`, at `screen` fidelity: the same whichever range a
    /// combination is asked in, on any number of threads. Looks now and then whether Python wants to stop.
    fn run_range(&self, py: Python<'_>, start: u64, stop: u64) -> PyResult<String> {
        let stop = stop.min(self.question.n());
        let mut lines = String::new();
        let mut from = start;
        while from < stop {
            let to = ((from / CHUNK + 1) * CHUNK).min(stop);
            let rows = py.detach(|| run_range(&self.question, from..to));
            lines.extend(rows.iter().map(|one| row::line(&self.question, one)));
            py.check_signals()?;
            from = to;
        }
        Ok(lines)
    }
}
