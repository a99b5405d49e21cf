//! How far a valve is open at a crank angle, and a valve that does not quite follow its cam down. Leaves out what it meets.

use motion::ValveMotion;
use units::CrankAngle;

/// Degrees of a cycle.
pub const CYCLE_DEG: f64 = 720.0;

/// How far a valve is open at a crank angle.
pub trait LiftLaw {
    /// Lift in metres; crank angle in degrees, 0 at the top of the firing stroke.
    fn lift_m(&self, crank_deg: f64) -> f64;

    /// Crank angle of the greatest lift, in degrees.
    fn nose_deg(&self) -> f64;
}

impl LiftLaw for ValveMotion {
    fn lift_m(&self, crank_deg: f64) -> f64 {
        self.lift_at(CrankAngle::from_degrees(crank_deg)).value
    }

    fn nose_deg(&self) -> f64 {
        self.nose().degrees()
    }
}

/// A valve that does not quite follow its cam down: an allowance for loft and float.
///
/// From the nose on it stands farther open by `loft_m`, which grows in the first [`LOFT_GROWS_DEG`] after the
/// nose and goes again with the last of the lift, so that a seated valve is seated. An allowance, not a model
/// of float; usual limits hold some already (common practice, no source).
#[derive(Clone, Copy, Debug)]
pub struct Lofted<L> {
    /// What it should do.
    pub law: L,
    /// How much farther it is open.
    pub loft_m: f64,
}

/// Crank degrees from the nose in which loft grows to its full amount.
pub const LOFT_GROWS_DEG: f64 = 20.0;

impl<L: LiftLaw> LiftLaw for Lofted<L> {
    fn lift_m(&self, crank_deg: f64) -> f64 {
        let lift = self.law.lift_m(crank_deg);
        let past_nose =
            (crank_deg - self.law.nose_deg() + 0.5 * CYCLE_DEG).rem_euclid(CYCLE_DEG) - 0.5 * CYCLE_DEG;
        if self.loft_m <= 0.0 || past_nose <= 0.0 || lift <= 0.0 {
            return lift;
        }
        lift + self.loft_m.min(lift) * (past_nose / LOFT_GROWS_DEG).min(1.0)
    }

    fn nose_deg(&self) -> f64 {
        self.law.nose_deg()
    }
}
