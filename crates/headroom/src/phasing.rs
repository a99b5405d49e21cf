//! Where variable phasers may stand. Leaves out what that does to a gap.

use parts::{Cylinder, Duty};
use units::CrankAngle;

/// Where both phasers stand: how much earlier than installed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Phase {
    /// Of the intake lobe.
    pub intake: CrankAngle,
    /// Of the exhaust lobe.
    pub exhaust: CrankAngle,
}

impl Phase {
    /// Both as installed.
    pub fn installed() -> Self {
        let none = CrankAngle::from_degrees(0.0);
        Self { intake: none, exhaust: none }
    }

    /// Of the lobe of a duty.
    pub fn of(&self, duty: Duty) -> CrankAngle {
        match duty {
            Duty::Intake => self.intake,
            Duty::Exhaust => self.exhaust,
        }
    }

    /// Whether the lobe of a duty stands as installed.
    pub fn is_installed(&self, duty: Duty) -> bool {
        self.of(duty).degrees() == 0.0
    }
}

/// Phasers are looked at in steps of no more than this, in crank degrees, ends and installed place included. Between two
/// steps a gap that is least there is less by no more than a lobe's nose bends in half a step.
const STEP_DEG: f64 = 10.0;

/// Places worth looking at, the installed one first: each phaser alone through its range, then both turned toward each
/// other as far as they go, and both apart.
pub fn phases(cylinder: &Cylinder) -> Vec<Phase> {
    let installed = Phase::installed();
    let mut all = vec![installed];
    let [intake, exhaust] = [Duty::Intake, Duty::Exhaust].map(|duty| range(cylinder, duty));
    all.extend(steps(intake).map(|by| Phase { intake: by, ..installed }));
    all.extend(steps(exhaust).map(|by| Phase { exhaust: by, ..installed }));
    for (of_intake, of_exhaust) in [(intake[1], exhaust[0]), (intake[0], exhaust[1])] {
        let both = [of_intake, of_exhaust].map(CrankAngle::from_degrees);
        if both.iter().all(|by| by.degrees() != 0.0) {
            all.push(Phase { intake: both[0], exhaust: both[1] });
        }
    }
    all
}

/// Latest and earliest place of a duty's lobe, in crank degrees before the installed one.
fn range(cylinder: &Cylinder, duty: Duty) -> [f64; 2] {
    let phasing = cylinder.gear.of(duty).map(|gear| gear.lobe.timing.phasing);
    phasing.map_or([0.0; 2], |phasing| [-phasing.retard.degrees(), phasing.advance.degrees()])
}

/// Even steps through a range with both its ends, the installed place left out.
fn steps([latest, earliest]: [f64; 2]) -> impl Iterator<Item = CrankAngle> {
    let side = |end: f64| {
        let n = (end.abs() / STEP_DEG).ceil() as u32;
        (1..=n).map(move |idx| CrankAngle::from_degrees(end * f64::from(idx) / f64::from(n)))
    };
    side(latest).chain(side(earliest))
}
