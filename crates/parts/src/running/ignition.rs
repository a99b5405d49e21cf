//! When the charge is lit, and where.

use units::{AngularVelocity, CrankAngle, Length, Ratio, Reading};

use crate::readings::visit_readings;

/// Spark timing and plug.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ignition {
    /// How the timing is chosen.
    pub choice: Option<SparkChoice>,
    /// Spark before top dead centre by engine speed, in rising order of speed; for a given timing.
    pub table: Vec<SparkAt>,
    /// Crank angle after top dead centre at which half is burned; for a timing that aims at that.
    pub half_burned_at: Option<Reading<CrankAngle>>,
    /// Largest knock integral that a knock limited spark allows; 1 is knock.
    pub knock_integral: Option<Reading<Ratio>>,
    /// Plug gap along the crank from the bore axis, positive to the front.
    pub plug_x: Option<Reading<Length>>,
    /// Plug gap across the engine from the bore axis, positive to the left.
    pub plug_y: Option<Reading<Length>>,
}

/// How the timing is chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SparkChoice {
    /// By the table.
    Given,
    /// So that half is burned at a given angle.
    HalfBurned,
    /// For best torque.
    Best,
    /// For best torque, or as early as the fuel allows.
    KnockLimited,
}

/// Timing at one speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SparkAt {
    /// Engine speed.
    pub speed: AngularVelocity,
    /// Before top dead centre.
    pub advance: CrankAngle,
}

visit_readings!(Ignition { ; half_burned_at?, knock_integral?, plug_x?, plug_y? });
