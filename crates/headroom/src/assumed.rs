//! Readings that nobody gave, and what was taken for them.

use parts::Build;
use parts::readings::{Kind, Visit};
use units::{Basis, UnitSystem};

/// One assumed reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumed {
    /// Its path below a cylinder, such as `head.valve.intake.recess`.
    pub path: String,
    /// Value in SI.
    pub value_si: f64,
    /// 95 % half-width in SI.
    pub tolerance_si: f64,
    /// The kind of quantity.
    pub kind: Kind,
    /// The rule it was taken by.
    pub rule: &'static str,
}

/// Readings assumed on the first cylinder, in the order of the sheet; what is assumed on one is assumed on all that do not
/// say otherwise.
pub fn assumed(build: &Build) -> Vec<Assumed> {
    let mut found = Vec::new();
    build.cylinders[0].clone().visit("", &mut |path, reading| {
        if reading.basis == Basis::Assumed {
            found.push(Assumed {
                path: path.to_owned(),
                value_si: *reading.value_si,
                tolerance_si: reading.tolerance_si,
                kind: reading.kind,
                rule: parts::estimate::rule(path).unwrap_or("given as assumed"),
            });
        }
    });
    found
}

impl Assumed {
    /// Value and tolerance for people.
    pub fn shown(&self, system: UnitSystem) -> String {
        self.kind.shown(self.value_si, self.tolerance_si, system)
    }
}
