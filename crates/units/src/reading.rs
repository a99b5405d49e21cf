//! A reading: one number somebody took from a part, a catalogue or an estimate, and how far to trust it.

use std::fmt;

use crate::Quantity;

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

impl Basis {
    /// Every basis, least trusted first.
    pub const ALL: [Self; 3] = [Self::Assumed, Self::Catalogue, Self::Measured];

    /// The word a build sheet uses.
    pub fn word(self) -> &'static str {
        match self {
            Self::Assumed => "assumed",
            Self::Catalogue => "catalogue",
            Self::Measured => "measured",
        }
    }

    /// The basis of a word, in any case; `catalog` is read too.
    pub fn from_word(word: &str) -> Option<Self> {
        let word = word.to_ascii_lowercase();
        match word.as_str() {
            "catalog" => Some(Self::Catalogue),
            word => Self::ALL.into_iter().find(|basis| basis.word() == word),
        }
    }
}

impl fmt::Display for Basis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// Two standard deviations cover 95 % of a normal distribution: a tolerance over this is one standard deviation.
pub const SDS_IN_TOLERANCE: f64 = 1.959_963_984_540_054;

/// One number with its tolerance and basis.
///
/// The tolerance is the 95 % half-width of a normal distribution around `value`, in the same unit and never
/// negative. A tolerance of a temperature is a difference in kelvins.
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

    /// The same reading in another type: `convert` is applied to the value and to the tolerance, so it has
    /// to be a pure scaling (a newtype, a doubling), without an offset or a bend.
    pub fn map<R>(self, convert: impl Fn(Q) -> R) -> Reading<R> {
        Reading { value: convert(self.value), tolerance: convert(self.tolerance), basis: self.basis }
    }
}

impl<Q: Quantity> Reading<Q> {
    /// One standard deviation.
    pub fn sd(&self) -> Q {
        Q::from_si(self.tolerance.si() / SDS_IN_TOLERANCE)
    }

    /// Tolerance as a fraction of the value; infinite at a value of zero, not a number when both are zero.
    pub fn relative(&self) -> f64 {
        self.tolerance.si() / self.value.si().abs()
    }

    /// The value less its tolerance.
    pub fn low(&self) -> Q {
        Q::from_si(self.value.si() - self.tolerance.si())
    }

    /// The value plus its tolerance.
    pub fn high(&self) -> Q {
        Q::from_si(self.value.si() + self.tolerance.si())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Length;
    use crate::length::millimeter;

    #[test]
    fn exact_limits_lie_one_tolerance_either_side() {
        let deck = Reading::measured(Length::new::<millimeter>(-0.5), Length::new::<millimeter>(0.25));
        assert_eq!(deck.low(), Length::new::<millimeter>(-0.75));
        assert_eq!(deck.high(), Length::new::<millimeter>(-0.25));
        assert_eq!(deck.relative(), 0.5);
        assert!((deck.sd().si() * SDS_IN_TOLERANCE - 0.25e-3).abs() < 1e-18);
        assert_eq!(deck.map(|length| length * 2.0).tolerance, Length::new::<millimeter>(0.5));
    }

    #[test]
    fn exact_every_basis_reads_its_own_word() {
        for basis in Basis::ALL {
            assert_eq!(Basis::from_word(basis.word()), Some(basis));
        }
        assert_eq!(Basis::from_word("Catalog"), Some(Basis::Catalogue));
        assert_eq!(Basis::from_word("guess"), None);
    }
}
