//! A candidate against its base: does it clear, is it better where the engine is used, and why.

use std::path::PathBuf;

use headroom::payoff_wire::PayoffWire;
use headroom::wire::SwapWire;
use headroom::{CheckOptions, PayoffOptions, payoff_words, verdict};
use pyo3::prelude::*;
use pyo3::types::PyAny;
use units::UnitSystem;

use crate::answers::as_python;
use crate::build::Build;
use crate::{asked, sheets};

/// The build that a swap sheet (or another build sheet) makes of a base.
#[pyfunction]
pub fn read_candidate(py: Python<'_>, base: PathBuf, candidate: PathBuf) -> PyResult<Build> {
    let candidate = sheets::candidate(py, &base, &candidate)?;
    Ok(Build { build: parts::Build { name: candidate.name, ..candidate.build } })
}

/// Whether a candidate clears, whether it is better and what it changes, as `headroom swap --format json` says it of one
/// candidate. `payoff=False` leaves the engines standing; `repeatability` is the dyno's, relative.
#[pyfunction]
#[pyo3(signature = (
    base,
    candidate,
    *,
    samples = CheckOptions::default().n_samples,
    payoff = true,
    fidelity = None,
    repeatability = None,
    payoff_samples = 0,
))]
#[expect(clippy::too_many_arguments, reason = "Python names them")]
pub fn swap<'py>(
    py: Python<'py>,
    base: PathBuf,
    candidate: PathBuf,
    samples: u32,
    payoff: bool,
    fidelity: Option<&str>,
    repeatability: Option<f64>,
    payoff_samples: u32,
) -> PyResult<Bound<'py, PyAny>> {
    let options = PayoffOptions {
        fidelity: fidelity.map(asked::fidelity).transpose()?,
        repeatability,
        n_samples: payoff_samples,
        ..PayoffOptions::default()
    };
    let candidate = sheets::candidate(py, &base, &candidate)?;
    let base = sheets::build(py, &base)?.build;
    let wire = py.detach(|| {
        let answer = headroom::swap(&base, &candidate, &CheckOptions { n_samples: samples.max(1) });
        let mut sentences = verdict::sentences(&answer, UnitSystem::Metric);
        if !payoff {
            return SwapWire::new(&base.name, &answer, sentences);
        }
        // Whether it clears comes first, then the one sentence on whether it is better.
        match headroom::payoff(&base, &candidate, &answer.fit, &options) {
            Ok(payoff) => {
                let more = payoff_words::sentences(&payoff, answer.fit.status(), UnitSystem::Metric);
                sentences.splice(1..1, more.first().cloned());
                SwapWire::new(&base.name, &answer, sentences).with_payoff(PayoffWire::new(
                    &payoff,
                    more,
                    UnitSystem::Metric,
                ))
            }
            Err(error) => {
                sentences.insert(1, format!("What it does to torque cannot be reckoned: {error}."));
                SwapWire::new(&base.name, &answer, sentences)
            }
        }
    });
    as_python(py, &wire)
}
