//! A build and what can be asked of it.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use headroom::pull::{MOST_POINTS, PullError, PullOptions, pull_watched};
use headroom::volumes_wire::VolumesWire;
use headroom::wire::CheckWire;
use headroom::{CheckOptions, check, volumes, volumes_words, words};
use parts::readings::Visit;
use pyo3::exceptions::PyKeyboardInterrupt;
use pyo3::prelude::*;
use pyo3::types::{PyAny, PyDict};
use units::{Basis, UnitSystem};

use crate::answers::as_python;
use crate::errors::{EngineError, RequestError};
use crate::pull::Pull;
use crate::{asked, sheets};

/// One complete engine, read from a build sheet.
#[pyclass(frozen, module = "headroom")]
#[derive(Clone)]
pub struct Build {
    pub(crate) build: parts::Build,
}

/// Reads a build sheet from a file.
#[pyfunction]
pub fn read_build(py: Python<'_>, path: PathBuf) -> PyResult<Build> {
    Ok(Build { build: sheets::build(py, &path)?.build })
}

#[pymethods]
impl Build {
    /// Its name.
    #[getter]
    fn name(&self) -> &str {
        &self.build.name
    }

    /// Number of cylinders.
    #[getter]
    fn n_cylinders(&self) -> usize {
        self.build.cylinders.len()
    }

    fn __repr__(&self) -> String {
        format!("<Build {:?}, {} cylinders>", self.build.name, self.build.cylinders.len())
    }

    /// Every reading of a cylinder (from 1), by its path: `value` and `tolerance` in SI, `basis`, `kind`.
    #[pyo3(signature = (cylinder = 1))]
    fn readings<'py>(&self, py: Python<'py>, cylinder: usize) -> PyResult<Bound<'py, PyDict>> {
        let all = PyDict::new(py);
        let mut problem = Ok(());
        self.cylinder(cylinder)?.clone().visit("", &mut |path, reading| {
            let put = || -> PyResult<()> {
                let one = PyDict::new(py);
                one.set_item("value", *reading.value_si)?;
                one.set_item("tolerance", reading.tolerance_si)?;
                one.set_item("basis", basis_word(reading.basis))?;
                one.set_item("kind", format!("{:?}", reading.kind))?;
                all.set_item(path, one)
            };
            if problem.is_ok() {
                problem = put();
            }
        });
        problem.map(|()| all)
    }

    /// The same build with readings changed, given by path in SI, on one cylinder or on all.
    #[pyo3(signature = (changes, cylinder = None))]
    fn with_readings(&self, changes: BTreeMap<String, f64>, cylinder: Option<usize>) -> PyResult<Self> {
        let mut build = self.build.clone();
        let mut found = BTreeSet::new();
        if let Some(number) = cylinder {
            self.cylinder(number)?;
        }
        for (idx, one) in build.cylinders.iter_mut().enumerate() {
            if cylinder.is_some_and(|number| number != idx + 1) {
                continue;
            }
            one.visit("", &mut |path, reading| {
                if let Some(value) = changes.get(path) {
                    *reading.value_si = *value;
                    found.insert(path.to_owned());
                }
            });
        }
        match changes.iter().find(|(path, value)| !found.contains(*path) || !value.is_finite()) {
            None => Ok(Self { build }),
            Some((path, value)) if found.contains(path) => {
                Err(RequestError::new_err(format!("{path} = {value}: expected a finite number in SI")))
            }
            Some((path, _)) => Err(RequestError::new_err(format!(
                "{path}: no such reading in {:?}; expected one that Build.readings() lists",
                self.build.name
            ))),
        }
    }

    /// Whether everything clears, as `headroom check --format json` says it.
    #[pyo3(signature = (samples = CheckOptions::default().n_samples))]
    fn check<'py>(&self, py: Python<'py>, samples: u32) -> PyResult<Bound<'py, PyAny>> {
        let answer = py.detach(|| check(&self.build, &CheckOptions { n_samples: samples.max(1) }));
        let verdict = words::verdict(&answer, self.build.cylinders.len(), UnitSystem::Metric);
        as_python(py, &CheckWire::new(&answer, verdict))
    }

    /// Every cc and the compression they make, as `headroom volumes --format json` says it.
    fn volumes<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        let answer = py.detach(|| volumes::volumes(&self.build));
        let verdict = volumes_words::verdict(&answer);
        as_python(py, &VolumesWire::new(&answer, None, &[], verdict))
    }

    /// The predicted pull. Speeds are evenly spread from `from_rpm` to `to_rpm`, the sheet's band when left out; `step_rpm`
    /// takes the place of `points`. Fidelity is "screen", "normal" or "fine"; `corrected` names a standard such as "sae".
    #[pyo3(signature = (
        *,
        from_rpm = None,
        to_rpm = None,
        points = PullOptions::default().n_points,
        step_rpm = None,
        fidelity = "normal",
        corrected = None,
    ))]
    #[expect(clippy::too_many_arguments, reason = "Python names them")]
    fn pull(
        &self,
        py: Python<'_>,
        from_rpm: Option<f64>,
        to_rpm: Option<f64>,
        points: usize,
        step_rpm: Option<f64>,
        fidelity: &str,
        corrected: Option<&str>,
    ) -> PyResult<Pull> {
        if !(2..=MOST_POINTS).contains(&points) {
            return Err(RequestError::new_err(format!("{points} speeds, expected 2 to {MOST_POINTS}")));
        }
        let options = PullOptions {
            from_rpm,
            to_rpm,
            n_points: points,
            step_rpm,
            fidelity: asked::fidelity(fidelity)?,
            corrected_to: corrected.map(asked::standard).transpose()?,
            ..PullOptions::default()
        };
        let mut stop = Ok(());
        let answer = py.detach(|| {
            pull_watched(&self.build, &options, &mut |_| {
                stop = Python::attach(|py| py.check_signals());
                stop.is_ok()
            })
        });
        stop?;
        let name = &self.build.name;
        match answer {
            Ok(Some(answer)) => Ok(Pull::new(answer)),
            Ok(None) => Err(PyKeyboardInterrupt::new_err("the pull was ended")),
            Err(error @ (PullError::Build(_) | PullError::Plan(_))) => {
                Err(EngineError::new_err(format!("{name}: {error}")))
            }
            Err(error) => Err(RequestError::new_err(format!("{name}: {error}"))),
        }
    }
}

impl Build {
    fn cylinder(&self, number: usize) -> PyResult<&parts::Cylinder> {
        let n = self.build.cylinders.len();
        number
            .checked_sub(1)
            .and_then(|idx| self.build.cylinders.get(idx))
            .ok_or_else(|| RequestError::new_err(format!("cylinder {number}: expected one from 1 to {n}")))
    }
}

fn basis_word(basis: Basis) -> &'static str {
    match basis {
        Basis::Measured => "measured",
        Basis::Catalogue => "catalogue",
        Basis::Assumed => "assumed",
    }
}
