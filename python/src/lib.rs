//! Headroom from Python: builds, readings, fit, volumes, pulls, verdicts, and ranges of a search plan.
//!
//! Each class and function stands for one of the facade's questions; answers are dictionaries like the command's JSON, curves
//! are NumPy arrays. Long work lets other Python threads run. Leaves out tables, Parquet and clusters, which are Python's own
//! (`headroom/tables.py`, `headroom/sweep.py`).

use pyo3::prelude::*;

mod answers;
mod asked;
mod build;
mod errors;
mod plan;
mod pull;
mod sheets;
mod swap;

/// The compiled half of the `headroom` package.
#[pymodule]
mod _headroom {
    #[pymodule_export]
    use super::build::{Build, read_build};
    #[pymodule_export]
    use super::errors::{EngineError, HeadroomError, RequestError, SheetError};
    #[pymodule_export]
    use super::plan::{Plan, read_plan};
    #[pymodule_export]
    use super::pull::Pull;
    #[pymodule_export]
    use super::swap::{read_candidate, swap};
}
