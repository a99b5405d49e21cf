//! How the valves of a cylinder move, and the same motion with its readings a little off. Leaves out what they meet.

use motion::{LobeFit, TrainState, ValveMotion, fit_lobe};
use parts::gear::{Gear, ValveGear, lobe_lift};
use parts::train::Lash;
use parts::{Cylinder, Duty};
use units::{CrankAngle, Length, Ratio};

/// The motion of both duties, or why it is not known.
#[derive(Clone, Debug)]
pub struct Motions {
    intake: Result<ValveMotion, String>,
    exhaust: Result<ValveMotion, String>,
    /// What the fits of the lobes have to say.
    pub notes: Vec<String>,
}

impl Motions {
    /// Fits the lobes of a cylinder. Dear beside everything else, so do it once for all cylinders with the same gear.
    pub fn new(gear: &Gear) -> Self {
        let mut notes = Vec::new();
        let mut of = |duty: Duty| match gear.of(duty) {
            None => Err(format!("no lobe for the {} valves", word(duty))),
            Some(gear) => moved(duty, gear, &mut notes),
        };
        Self { intake: of(Duty::Intake), exhaust: of(Duty::Exhaust), notes }
    }

    /// The motion of one duty.
    pub fn of(&self, duty: Duty) -> Result<&ValveMotion, &str> {
        match duty {
            Duty::Intake => self.intake.as_ref(),
            Duty::Exhaust => self.exhaust.as_ref(),
        }
        .map_err(String::as_str)
    }

    /// The same with the lobe of one duty fitted anew, for a gear in which only that duty is another.
    pub fn refitted(&self, duty: Duty, gear: &Gear) -> Self {
        let mut other = self.clone();
        let motion = match gear.of(duty) {
            None => Err(format!("no lobe for the {} valves", word(duty))),
            Some(gear) => moved(duty, gear, &mut other.notes),
        };
        match duty {
            Duty::Intake => other.intake = motion,
            Duty::Exhaust => other.exhaust = motion,
        }
        other
    }

    /// The same with the motion of one duty changed; as it is where that is not known.
    pub fn with(&self, duty: Duty, change: impl Fn(&ValveMotion) -> ValveMotion) -> Self {
        let mut other = self.clone();
        let motion = match duty {
            Duty::Intake => &mut other.intake,
            Duty::Exhaust => &mut other.exhaust,
        };
        if let Ok(known) = motion {
            *known = change(known);
        }
        other
    }

    /// The motion when a reading of its gear, by its path below a cylinder, is off by so much in SI; the same where that
    /// reading does not move the valve.
    pub fn off_by(&self, cylinder: &Cylinder, path: &str, by_si: f64) -> Self {
        let duty = if path.contains(".exhaust") { Duty::Exhaust } else { Duty::Intake };
        let mut other = self.clone();
        let Some(gear) = cylinder.gear.of(duty) else { return other };
        let motion = match duty {
            Duty::Intake => &mut other.intake,
            Duty::Exhaust => &mut other.exhaust,
        };
        if let Ok(known) = motion
            && let Some(changed) = changed(known, gear, path, by_si)
        {
            *motion = Ok(changed);
        }
        other
    }
}

fn word(duty: Duty) -> &'static str {
    match duty {
        Duty::Intake => "intake",
        Duty::Exhaust => "exhaust",
    }
}

fn moved(duty: Duty, gear: &ValveGear, notes: &mut Vec<String>) -> Result<ValveMotion, String> {
    let fitted: LobeFit = fit_lobe(duty, &gear.lobe, &gear.train).map_err(|error| error.to_string())?;
    notes.extend(fitted.notes.iter().map(|note| format!("{} lobe: {note}", word(duty))));
    // The nearest a valve comes to anything is with the least lash: a set gap when it is hot, a full element.
    let state = match gear.train.lash {
        Lash::Solid { .. } => TrainState::Hot,
        Lash::Hydraulic { .. } => TrainState::PumpedUp,
    };
    ValveMotion::new(&fitted, &gear.train, state).map_err(|error| error.to_string())
}

/// Readings of the gear that move the whole curve; single durations are taken to stretch it, which is what a tolerance on
/// them does to a lobe of one family.
fn changed(known: &ValveMotion, gear: &ValveGear, path: &str, by_si: f64) -> Option<ValveMotion> {
    let name = path.rsplit('.').next().unwrap_or(path);
    let timing = ["centreline", "lobe_separation", "ground_advance", "installed_advance"];
    if timing.contains(&name) {
        return Some(known.advanced(CrankAngle::from_radians(by_si)));
    }
    if name == "ratio" {
        let ratio = gear.train.ratio.value + Ratio::new::<units::ratio::ratio>(by_si);
        return (ratio.value > 0.0).then(|| known.with_ratio(ratio));
    }
    let hot_known = matches!(gear.train.lash, Lash::Solid { hot: Some(_), .. });
    if name == if hot_known { "lash_hot" } else { "lash_cold" } {
        return Some(known.with_more_lash(Length::new::<units::length::meter>(by_si)));
    }
    if name == "lobe_lift" {
        let whole = lobe_lift(&gear.lobe.source).value.value;
        return (whole > 0.0).then(|| known.with_lobe_lift_scaled(1.0 + by_si / whole));
    }
    None
}
