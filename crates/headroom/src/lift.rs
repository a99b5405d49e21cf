//! How the valves are moved: lift, events, overlap, what rides on the lobe, and whether the springs keep up. Leaves out what
//! the valves meet on the way, which is the question of `check`.

use motion::spring_speed::{Surge, effective_mass, lift_off_margin, lift_off_speed, surge, surge_frequency};
use motion::{
    CamSurface, Contact, ContactPeak, Events, FlatTappetCheck, LiftArea, Material, Rider, SpringLoad,
    TrainState, ValveMotion, cam_surface, coil_bind_margin, contact_peak, fit_lobe, flat_tappet,
    lobe_separation, overlap, retainer_to_seal,
};
use parts::spring::ValveSprings;
use parts::train::Follower;
use parts::{Build, Duty, ValveGear};
use units::angular_velocity::revolution_per_minute;
use units::length::{inch, millimeter};
use units::{AngularVelocity, CrankAngle, Force, Length, Mass, Reading};

use crate::lift_trouble::{Trouble, troubles};

/// What is asked.
#[derive(Clone, Copy, Debug, Default)]
pub struct LiftOptions {
    /// The highest engine speed used; margins are judged there.
    pub revs: Option<AngularVelocity>,
}

/// How the valves of a build are moved. All cylinders have the same valve gear.
#[derive(Clone, Debug)]
pub struct LiftAnswer {
    /// Name of the build.
    pub build: String,
    /// What was asked.
    pub revs: Option<AngularVelocity>,
    /// Duties whose lobe is known.
    pub duties: Vec<DutyLift>,
    /// Duties whose lobe or train could not be used, and why.
    pub refused: Vec<(Duty, String)>,
    /// Duties whose lobe the sheet does not describe.
    pub unknown: Vec<Duty>,
    /// Both together, where both are known.
    pub together: Option<Together>,
    /// What stands in the way, the worst first.
    pub troubles: Vec<Trouble>,
}

/// What intake and exhaust have together.
#[derive(Clone, Debug, PartialEq)]
pub struct Together {
    /// Half the crank angle between the centrelines.
    pub separation: CrankAngle,
    /// Overlap at each level.
    pub overlap: Vec<(Level, CrankAngle)>,
}

/// The valves of one duty.
#[derive(Clone, Debug)]
pub struct DutyLift {
    /// Which.
    pub duty: Duty,
    /// The motion, at running temperature.
    pub motion: ValveMotion,
    /// Travel that the sheet states for the first of these valves.
    pub stated: Reading<Length>,
    /// Travel that lobe and ratio give at most.
    pub full: Reading<Length>,
    /// Greatest lift of the curve.
    pub greatest: Length,
    /// Lift 10 degrees before, at and 10 degrees after the top dead centre of the overlap.
    pub near_tdc: [(CrankAngle, Length); 3],
    /// The two ends of a variable phaser: how much earlier than installed, the centreline and the lift at top dead centre there.
    /// Empty for a fixed cam.
    pub phased: Vec<Phased>,
    /// Opening and closing at each level; none where the valve does not get there.
    pub events: Vec<(Level, Events)>,
    /// Where the nose stands, as cards say it: after top dead centre for intake, before it for exhaust.
    pub centreline: CrankAngle,
    /// Area under the lift curve.
    pub area: Option<LiftArea>,
    /// Flat followers: the lobe against the width of its tappet.
    pub flat: Option<FlatTappetCheck>,
    /// The lobe's surface, where the base circle is known.
    pub surface: Option<CamSurface>,
    /// What rides on the lobe.
    pub rider: Rider,
    /// The springs, or why they cannot be used; `None` where there are none.
    pub springs: Option<Result<SpringsAnswer, String>>,
    /// What the fit of the lobe has to say.
    pub notes: Vec<String>,
}

/// A lobe at one end of its phaser.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Phased {
    /// How much earlier than installed; negative for later.
    pub advance: CrankAngle,
    /// As cards say it.
    pub centreline: CrankAngle,
    /// Lift at the top dead centre of the overlap.
    pub at_tdc: Length,
}

/// A lift at which events are told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Level {
    /// Where the valve leaves its seat and comes back to it.
    Seat,
    /// 0.050 in of the tappet.
    FiftyThou,
    /// 1 mm of the valve.
    OneMillimetre,
}

/// The springs of one valve.
#[derive(Clone, Debug)]
pub struct SpringsAnswer {
    /// Load with the valve seated.
    pub seat: Force,
    /// Load at the greatest lift.
    pub nose: Force,
    /// Left to solid at the greatest lift.
    pub bind: Option<Length>,
    /// Left between retainer and seal there.
    pub seal: Option<Length>,
    /// Mass at the valve that has the inertia of the whole train.
    pub mass: Mass,
    /// Speed at which the rigid train comes apart, and where in the cycle.
    pub lift_off: Option<(AngularVelocity, CrankAngle)>,
    /// Least force left in the train at a few speeds.
    pub margins: Vec<(AngularVelocity, Force)>,
    /// Surge of each spring whose wire is known.
    pub surges: Vec<SurgeAnswer>,
    /// Hardest contact of lobe and follower, cranked by hand and at the speed the answer is judged at.
    pub contact: Option<[ContactPeak; 2]>,
}

/// A spring's own frequency against the cam.
#[derive(Clone, Copy, Debug)]
pub struct SurgeAnswer {
    /// Whether it is the inner spring.
    pub inner: bool,
    /// Its lowest frequency; one cycle counts as one revolution.
    pub frequency: AngularVelocity,
    /// The cam's speed taken from this crank speed.
    pub at: AngularVelocity,
    /// Against the cam at that speed.
    pub surge: Surge,
}

impl Level {
    /// All levels, in the order of the answer.
    pub const ALL: [Self; 3] = [Self::FiftyThou, Self::OneMillimetre, Self::Seat];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Seat => "the seat",
            Self::FiftyThou => "0.050 in of the tappet",
            Self::OneMillimetre => "1 mm of the valve",
        }
    }

    fn events(self, motion: &ValveMotion) -> Option<Events> {
        match self {
            Self::Seat => motion.events_at(Length::default()),
            Self::FiftyThou => motion.events_at_tappet(Length::new::<inch>(0.050)),
            Self::OneMillimetre => motion.events_at(Length::new::<millimeter>(1.0)),
        }
    }
}

impl LiftAnswer {
    /// One duty, where its lobe is known.
    pub fn of(&self, duty: Duty) -> Option<&DutyLift> {
        self.duties.iter().find(|one| one.duty == duty)
    }
}

/// The word of a duty.
pub fn duty_word(duty: Duty) -> &'static str {
    match duty {
        Duty::Intake => "intake",
        Duty::Exhaust => "exhaust",
    }
}

/// Crank angle of the top dead centre between exhaust and intake strokes.
pub const OVERLAP_TDC_DEG: f64 = 360.0;
/// Speeds of the table of margins: every thousand revolutions a minute from the first on, up to a few beyond lift-off.
const FIRST_RPM: f64 = 3000.0;
const STEP_RPM: f64 = 1000.0;
const MOST_SPEEDS: usize = 12;

/// Answers how the valves of a build are moved.
pub fn lift(build: &Build, options: &LiftOptions) -> LiftAnswer {
    let mut answer = LiftAnswer {
        build: build.name.clone(),
        revs: options.revs,
        duties: Vec::new(),
        refused: Vec::new(),
        unknown: Vec::new(),
        together: None,
        troubles: Vec::new(),
    };
    let cylinder = &build.cylinders[0];
    for duty in [Duty::Intake, Duty::Exhaust] {
        let Some(gear) = cylinder.gear.of(duty) else {
            answer.unknown.push(duty);
            continue;
        };
        let valve = cylinder.head.valves.iter().find(|valve| valve.duty == duty);
        let stated = valve.map_or_else(|| gear.full_lift(), |valve| valve.lift);
        match duty_lift(duty, gear, stated, options) {
            Ok(known) => answer.duties.push(known),
            Err(why) => answer.refused.push((duty, why)),
        }
    }
    answer.together = together(&answer);
    answer.troubles = troubles(&answer, &build.limits);
    answer
}

fn together(answer: &LiftAnswer) -> Option<Together> {
    let [intake, exhaust] = [Duty::Intake, Duty::Exhaust].map(|duty| answer.of(duty));
    let (intake, exhaust) = (intake?, exhaust?);
    let at = |one: &DutyLift, level: Level| {
        one.events.iter().find(|(known, _)| *known == level).map(|(_, events)| *events)
    };
    let both = |level: Level| Some((at(intake, level)?, at(exhaust, level)?));
    let overlaps = Level::ALL.into_iter().filter_map(|level| {
        let (intake, exhaust) = both(level)?;
        Some((level, overlap(&intake, &exhaust)))
    });
    let separation = both(Level::FiftyThou)
        .map(|(intake, exhaust)| lobe_separation(&intake, &exhaust))
        .unwrap_or((intake.centreline + exhaust.centreline) * 0.5);
    Some(Together { separation, overlap: overlaps.collect() })
}

fn duty_lift(
    duty: Duty,
    gear: &ValveGear,
    stated: Reading<Length>,
    options: &LiftOptions,
) -> Result<DutyLift, String> {
    let fitted = fit_lobe(duty, &gear.lobe, &gear.train).map_err(|error| error.to_string())?;
    let motion =
        ValveMotion::new(&fitted, &gear.train, TrainState::Hot).map_err(|error| error.to_string())?;
    let tdc = |after: f64| {
        let at = CrankAngle::from_degrees(OVERLAP_TDC_DEG + after);
        (CrankAngle::from_degrees(after), motion.lift_at(at))
    };
    let events = |level: Level| Some((level, level.events(&motion)?));
    let rider = Rider::of(&gear.train.follower);
    let flat = match gear.train.follower {
        Follower::Flat { diameter } => Some(flat_tappet(motion.lobe(), diameter.value)),
        Follower::Roller { .. } | Follower::Finger { .. } => None,
    };
    let centreline = |motion: &ValveMotion| {
        let from_tdc = motion.nose().degrees() - OVERLAP_TDC_DEG;
        CrankAngle::from_degrees(if duty == Duty::Intake { from_tdc } else { -from_tdc })
    };
    let phasing = gear.lobe.timing.phasing;
    let ends = [phasing.advance, -phasing.retard].into_iter().filter(|end| end.degrees() != 0.0);
    let phased = ends.map(|advance| {
        let motion = motion.advanced(advance);
        let at_tdc = motion.lift_at(CrankAngle::from_degrees(OVERLAP_TDC_DEG));
        Phased { advance, centreline: centreline(&motion), at_tdc }
    });
    let springs = gear.springs.as_ref().map(|springs| spring_answer(gear, springs, &motion, options));
    Ok(DutyLift {
        duty,
        stated,
        full: gear.full_lift(),
        greatest: motion.greatest_lift(),
        near_tdc: [-10.0, 0.0, 10.0].map(tdc),
        events: Level::ALL.into_iter().filter_map(events).collect(),
        phased: phased.collect(),
        centreline: centreline(&motion),
        area: motion.area_above(Length::default()),
        flat,
        surface: gear.lobe.base_radius.map(|base| cam_surface(motion.lobe(), base.value, rider)),
        rider,
        springs,
        notes: fitted.notes.iter().map(ToString::to_string).collect(),
        motion,
    })
}

fn spring_answer(
    gear: &ValveGear,
    springs: &ValveSprings,
    motion: &ValveMotion,
    options: &LiftOptions,
) -> Result<SpringsAnswer, String> {
    let load = SpringLoad::new(springs).map_err(|error| error.to_string())?;
    let greatest = motion.greatest_lift();
    let mass = effective_mass(&gear.train, springs);
    let lift_off = lift_off_speed(motion, &load, mass);
    let judged = options.revs.or(lift_off.map(|(speed, _)| speed));
    let speeds = speeds(options.revs, lift_off.map(|(speed, _)| speed));
    let margin = |speed: AngularVelocity| (speed, lift_off_margin(motion, &load, mass, speed).force);
    let coils = [(false, Some(&springs.outer)), (true, springs.inner.as_ref())];
    let surges = coils.into_iter().filter_map(|(inner, coil)| {
        let (frequency, at) = (surge_frequency(coil?)?, judged?);
        Some(SurgeAnswer { inner, frequency, at, surge: surge(motion, frequency, at) })
    });
    Ok(SpringsAnswer {
        seat: load.seat(),
        nose: load.at(greatest),
        bind: coil_bind_margin(springs, greatest),
        seal: retainer_to_seal(springs, greatest),
        mass,
        lift_off,
        margins: speeds.into_iter().map(margin).collect(),
        surges: surges.collect(),
        contact: contact(gear, motion, &load, mass, options.revs),
    })
}

/// Contact of lobe and follower cranked by hand and at the highest speed used; by hand twice where that is not given.
///
/// Flat followers run chilled iron on chilled iron, rollers and fingers steel on steel.
fn contact(
    gear: &ValveGear,
    motion: &ValveMotion,
    load: &SpringLoad,
    mass: Mass,
    revs: Option<AngularVelocity>,
) -> Option<[ContactPeak; 2]> {
    let rider = Rider::of(&gear.train.follower);
    let material = if rider == Rider::Flat { Material::chilled_iron() } else { Material::steel() };
    let contact = Contact {
        base_radius: gear.lobe.base_radius?.value,
        rider,
        width: gear.lobe.face_width?.value,
        materials: (material, material),
    };
    let by_hand = contact_peak(motion, &contact, load, mass, AngularVelocity::default())?;
    let at_speed = match revs {
        Some(revs) => contact_peak(motion, &contact, load, mass, revs)?,
        None => by_hand,
    };
    Some([by_hand, at_speed])
}

fn speeds(revs: Option<AngularVelocity>, lift_off: Option<AngularVelocity>) -> Vec<AngularVelocity> {
    let rpm = |speed: AngularVelocity| speed.get::<revolution_per_minute>();
    let last = lift_off.map_or(FIRST_RPM, rpm).max(revs.map_or(0.0, rpm)) + STEP_RPM;
    let mut all: Vec<f64> = (0..MOST_SPEEDS)
        .map(|idx| FIRST_RPM + idx as f64 * STEP_RPM)
        .take_while(|speed| *speed <= last)
        .collect();
    all.extend(revs.map(rpm));
    all.sort_by(f64::total_cmp);
    all.dedup();
    all.into_iter().map(AngularVelocity::new::<revolution_per_minute>).collect()
}
