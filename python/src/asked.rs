//! What was asked for by a word: fidelities and standards.

use headroom::pull::Fidelity;
use pulls::Standard;
use pyo3::prelude::*;

use crate::errors::RequestError;

/// How finely to compute.
pub fn fidelity(name: &str) -> PyResult<Fidelity> {
    match name {
        "screen" => Ok(Fidelity::Screen),
        "normal" => Ok(Fidelity::Normal),
        "fine" => Ok(Fidelity::Fine),
        other => Err(RequestError::new_err(format!("fidelity {other:?}, expected screen, normal or fine"))),
    }
}

/// What to correct torque and power to.
pub fn standard(name: &str) -> PyResult<Standard> {
    Standard::parse(name).ok_or_else(|| {
        let keys: Vec<&str> = Standard::ALL.iter().map(|one| one.key()).collect();
        RequestError::new_err(format!("standard {name:?}, expected one of {}", keys.join(", ")))
    })
}
