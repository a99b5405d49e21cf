//! A reading: one number somebody took from a part, a catalogue or an estimate, and how far to trust it.

/// Where a reading comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Basis {
    /// Filled in by a documented estimate because nobody gave it.
    Assumed,
    /// From a maker's sheet; the part itself was not measured.
    Catalogue,
    /// Taken from the part with an instrument.
    Measured,
}

/// Two standard deviations cover 95 % of a normal distribution: a tolerance over this is one standard deviation.
pub const SDS_IN_TOLERANCE: f64 = 1.959_963_984_540_054;

/// One number with its tolerance and basis.
///
/// The tolerance is the 95 % half-width of a normal distribution around `value`, in the same unit and never
/// negative.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading<Q> {
    /// The number itself.
    pub value: Q,
    /// 95 % half-width.
    pub tolerance: Q,
    /// Where it comes from.
    pub basis: Basis,
}

impl<Q> Reading<Q> {
    /// A reading taken from the part.
    pub fn measured(value: Q, tolerance: Q) -> Self {
        Self { value, tolerance, basis: Basis::Measured }
    }

    /// A reading from a maker's sheet.
    pub fn catalogue(value: Q, tolerance: Q) -> Self {
        Self { value, tolerance, basis: Basis::Catalogue }
    }

    /// An estimate.
    pub fn assumed(value: Q, tolerance: Q) -> Self {
        Self { value, tolerance, basis: Basis::Assumed }
    }
}
