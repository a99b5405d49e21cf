//! A quantity as somebody typed it: tolerance and basis only where they wrote them. Leaves out the usual
//! tolerances, which belong to whoever knows the part.

use crate::{Basis, Quantity, Reading};

/// What a text such as `46.0 mm ± 0.05, measured` says, and nothing it does not say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Typed<Q> {
    /// The number.
    pub value: Q,
    /// The tolerance, if one was written; never negative. A difference, for a temperature too.
    pub tolerance: Option<Q>,
    /// The basis, if one was written.
    pub basis: Option<Basis>,
}

impl<Q: Quantity> Typed<Q> {
    /// Only a value.
    pub fn bare(value: Q) -> Self {
        Self { value, tolerance: None, basis: None }
    }

    /// The reading this makes: `basis` where none was written, then the usual tolerance of the basis where
    /// none was written.
    pub fn reading(self, basis: Basis, usual_tolerance: impl FnOnce(Basis) -> Q) -> Reading<Q> {
        let basis = self.basis.unwrap_or(basis);
        let tolerance = self.tolerance.unwrap_or_else(|| usual_tolerance(basis));
        Reading { value: self.value, tolerance, basis }
    }
}

impl<Q> From<Reading<Q>> for Typed<Q> {
    fn from(reading: Reading<Q>) -> Self {
        Self { value: reading.value, tolerance: Some(reading.tolerance), basis: Some(reading.basis) }
    }
}
