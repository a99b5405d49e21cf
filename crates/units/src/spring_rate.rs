//! How stiff a spring is: force for each length it is pressed. Leaves out where the spring sits.

use std::ops::{Add, Mul};

use uom::si::f64::{Force, Length};
use uom::si::force::newton;
use uom::si::length::meter;

/// Force gained for each length of compression.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct SpringRate {
    newtons_per_metre: f64,
}

impl SpringRate {
    /// From newtons a metre.
    pub fn from_newtons_per_metre(newtons_per_metre: f64) -> Self {
        Self { newtons_per_metre }
    }

    /// In newtons a metre.
    pub fn newtons_per_metre(self) -> f64 {
        self.newtons_per_metre
    }

    /// The same, to be written to.
    pub fn newtons_per_metre_mut(&mut self) -> &mut f64 {
        &mut self.newtons_per_metre
    }

    /// The rate of a spring that gains `force` over `travel`; infinite or not a number at no travel.
    pub fn over(force: Force, travel: Length) -> Self {
        Self::from_newtons_per_metre(force.get::<newton>() / travel.get::<meter>())
    }

    pub(crate) fn from_base(si: f64) -> Self {
        Self::from_newtons_per_metre(si)
    }

    pub(crate) fn base(self) -> f64 {
        self.newtons_per_metre
    }
}

/// Springs side by side: an inner and an outer one share the travel and add their rates.
impl Add for SpringRate {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::from_newtons_per_metre(self.newtons_per_metre + other.newtons_per_metre)
    }
}

/// Force gained over a travel.
impl Mul<Length> for SpringRate {
    type Output = Force;
    fn mul(self, travel: Length) -> Force {
        Force::new::<newton>(self.newtons_per_metre * travel.get::<meter>())
    }
}

impl Mul<f64> for SpringRate {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self::from_newtons_per_metre(self.newtons_per_metre * factor)
    }
}
