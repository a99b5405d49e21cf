//! What running does to the gap between crown and head: an estimate beside the cold finding. Leaves out crank bending.

use fit::piston_to_head::{
    Growth, RodMaterial, Running, running_growth, usual_reciprocating_mass, usual_rod_section_m2,
};
use parts::{Build, Cylinder};
use units::angular_velocity::revolution_per_minute;
use units::{AngularVelocity, Length, Reading};
use volume::quench;

/// The gap that is left at speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunningQuench {
    /// Speed it is reckoned at.
    pub speed: AngularVelocity,
    /// Whether the sheet gave that speed.
    pub speed_given: bool,
    /// What each effect takes.
    pub growth: Growth,
    /// All of it, with its honest tolerance.
    pub takes: Reading<Length>,
    /// Cold gap of the tightest cylinder, less that.
    pub leaves: Length,
}

/// Speed taken where the sheet gives none, in revolutions per minute (common practice, no source).
const USUAL_RPM: f64 = 6500.0;

/// The running gap of the cylinder with the least, steel rods taken.
pub fn running_quench(build: &Build) -> RunningQuench {
    let tightest = build
        .cylinders
        .iter()
        .min_by(|a, b| quench(a).value.total_cmp(&quench(b).value))
        .expect("a build has at least one cylinder");
    let given = build.used.rev_limit.map(|speed| speed.value);
    let speed = given.unwrap_or_else(|| AngularVelocity::new::<revolution_per_minute>(USUAL_RPM));
    let growth = growth_at(tightest, speed);
    let takes = growth.reading();
    RunningQuench {
        speed,
        speed_given: given.is_some(),
        growth,
        takes,
        leaves: quench(tightest) - takes.value,
    }
}

/// What running at a speed takes from piston to head on one cylinder, a steel rod taken.
pub fn growth_at(cylinder: &Cylinder, speed: AngularVelocity) -> Growth {
    let block = &cylinder.block;
    running_growth(&Running {
        throw: block.stroke.value / 2.0,
        rod_length: block.rod_length.value,
        rod_material: RodMaterial::Steel,
        rod_section_m2: usual_rod_section_m2(block.bore.value, RodMaterial::Steel),
        reciprocating_mass: usual_reciprocating_mass(block.bore.value),
        compression_height: cylinder.piston.compression_height.value,
        speed,
    })
}
