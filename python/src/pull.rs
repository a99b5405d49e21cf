//! A predicted pull as arrays over speed.

use cycle::speed_point::{Outcome, SpeedPoint};
use headroom::pull::PullAnswer;
use headroom::pull_wire::PullWire;
use headroom::{pull_csv, pull_words};
use numpy::{PyArray1, ToPyArray};
use pyo3::prelude::*;
use pyo3::types::{PyAny, PyDict};
use units::UnitSystem;

use crate::answers::as_python;

/// A predicted pull: one value a speed.
#[pyclass(frozen, module = "headroom")]
pub struct Pull {
    answer: PullAnswer,
}

impl Pull {
    /// Wraps an answer.
    pub fn new(answer: PullAnswer) -> Self {
        Self { answer }
    }

    fn column<'py>(&self, py: Python<'py>, of: impl Fn(&SpeedPoint) -> f64) -> Bound<'py, PyArray1<f64>> {
        let broke = |point: &SpeedPoint| matches!(point.outcome, Outcome::Broke(_));
        let points = self.answer.points.iter();
        points.map(|point| if broke(point) { f64::NAN } else { of(point) }).collect::<Vec<_>>().to_pyarray(py)
    }
}

#[pymethods]
impl Pull {
    /// Name of the build.
    #[getter]
    fn name(&self) -> &str {
        &self.answer.name
    }

    /// Speeds, rpm.
    #[getter]
    fn rpm<'py>(&self, py: Python<'py>) -> Bound<'py, PyArray1<f64>> {
        self.answer.points.iter().map(|point| point.rpm).collect::<Vec<_>>().to_pyarray(py)
    }

    /// Torque at the crankshaft, N m; not a number where the march broke off.
    #[getter]
    fn torque_n_m<'py>(&self, py: Python<'py>) -> Bound<'py, PyArray1<f64>> {
        self.column(py, |point| point.torque_n_m)
    }

    /// Power, kW; not a number where the march broke off.
    #[getter]
    fn power_kw<'py>(&self, py: Python<'py>) -> Bound<'py, PyArray1<f64>> {
        self.column(py, |point| 1e-3 * point.power_w)
    }

    /// Whether each speed settled to the error that was asked.
    #[getter]
    fn settled(&self) -> Vec<bool> {
        self.answer.points.iter().map(|point| point.outcome == Outcome::Converged).collect()
    }

    /// What torque and power are multiplied by to correct them to the standard that was asked for; the arrays are as run.
    #[getter]
    fn correction_factor(&self) -> Option<f64> {
        self.answer.correction.as_ref().map(|correction| correction.factor)
    }

    /// Every column of `headroom pull --csv` as an array, by name with unit, not rounded.
    fn columns<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let all = PyDict::new(py);
        all.set_item("rpm", self.rpm(py))?;
        for (name, of) in pull_csv::columns() {
            all.set_item(name, self.column(py, of))?;
        }
        Ok(all)
    }

    /// The whole answer, as `headroom pull --format json` says it.
    fn answer<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        let verdict = pull_words::verdict(&self.answer, UnitSystem::Metric);
        as_python(py, &PullWire::new(&self.answer, verdict))
    }

    fn __repr__(&self) -> String {
        format!("<Pull of {:?}, {} speeds>", self.answer.name, self.answer.points.len())
    }

    fn __len__(&self) -> usize {
        self.answer.points.len()
    }
}
