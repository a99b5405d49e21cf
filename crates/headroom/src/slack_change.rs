//! The adjustments whose slack is asked for: what each does to a cylinder, and how far it is looked at.
//! Leaves out the limits.

use motion::ValveMotion;
use parts::{Cylinder, Duty, Use};
use units::angular_velocity::revolution_per_minute;
use units::length::inch;
use units::{AngularVelocity, CrankAngle, Length, Ratio};

use crate::motions::Motions;

/// Something a shop can change, for all valves of a duty where it is of valves. By a positive amount it goes
/// the way its name says, by a negative one the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Adjustment {
    /// More lift at the valve, the lobe scaled up.
    Lift(Duty),
    /// More rocker ratio.
    Ratio(Duty),
    /// The lobe earlier.
    Advance(Duty),
    /// Both lobes earlier: the cam of one camshaft.
    AdvanceCam,
    /// A longer lobe about the same nose, told at 0.050 in of tappet lift.
    Duration(Duty),
    /// More taken off the head's face.
    Skim,
    /// More taken off the block's deck.
    Deck,
    /// A thicker gasket.
    GasketThickness,
    /// A larger valve head.
    ValveDiameter(Duty),
    /// A thicker margin, its seat where it is.
    Margin(Duty),
    /// The head farther to the front.
    HeadShiftX,
    /// The head farther to the left.
    HeadShiftY,
    /// A higher speed.
    Revs,
}

/// The unit an adjustment is told in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Metres in SI.
    Length,
    /// Crank radians in SI.
    CrankAngle,
    /// A bare number.
    Ratio,
    /// Radians a second in SI.
    Speed,
}

/// Tappet lift at which durations are told.
const DURATION_AT_IN: f64 = 0.050;

impl Adjustment {
    /// All of them, in the order of the answer.
    pub fn all() -> Vec<Self> {
        let mut all = Vec::new();
        for duty in [Duty::Intake, Duty::Exhaust] {
            all.extend([Self::Lift(duty), Self::Ratio(duty), Self::Advance(duty), Self::Duration(duty)]);
        }
        all.extend([Self::AdvanceCam, Self::Skim, Self::Deck, Self::GasketThickness]);
        for duty in [Duty::Intake, Duty::Exhaust] {
            all.extend([Self::ValveDiameter(duty), Self::Margin(duty)]);
        }
        all.extend([Self::HeadShiftX, Self::HeadShiftY, Self::Revs]);
        all
    }

    /// What it is told in.
    pub fn kind(self) -> Kind {
        match self {
            Self::Ratio(_) => Kind::Ratio,
            Self::Revs => Kind::Speed,
            Self::Advance(_) | Self::AdvanceCam | Self::Duration(_) => Kind::CrankAngle,
            _ => Kind::Length,
        }
    }

    /// How far it is looked at either way, in SI: as far as a shop would go without calling it another engine (common
    /// practice, no source).
    pub fn most_si(self) -> f64 {
        match self {
            Self::Lift(_) | Self::ValveDiameter(_) => 5e-3,
            Self::Ratio(_) => 0.4,
            Self::Advance(_) | Self::AdvanceCam => 20_f64.to_radians(),
            Self::Duration(_) => 50_f64.to_radians(),
            Self::Skim | Self::Deck | Self::GasketThickness | Self::Margin(_) => 2e-3,
            Self::HeadShiftX | Self::HeadShiftY => 1.5e-3,
            Self::Revs => AngularVelocity::new::<revolution_per_minute>(3000.0).value,
        }
    }

    /// To what its stops are found: half a micrometre, a thousandth of a degree, a hundred-thousandth of ratio, a tenth of a
    /// revolution a minute.
    pub fn accuracy_si(self) -> f64 {
        match self.kind() {
            Kind::Length => 5e-7,
            Kind::CrankAngle => 1e-3_f64.to_radians(),
            Kind::Ratio => 1e-5,
            Kind::Speed => AngularVelocity::new::<revolution_per_minute>(0.1).value,
        }
    }

    /// How the engine is used with the adjustment made; `None` for more speed where none is known.
    pub fn apply_to_use(self, used: &Use, by: f64) -> Option<Use> {
        let mut used = *used;
        if self == Self::Revs {
            let speed = &mut used.rev_limit.as_mut()?.value.value;
            *speed = (*speed + by).max(0.0);
        }
        Some(used)
    }

    /// A cylinder and its motions with the adjustment made; `None` where there is nothing to adjust or nothing left.
    pub fn apply(self, cylinder: &Cylinder, motions: &Motions, by: f64) -> Option<(Cylinder, Motions)> {
        let (mut cylinder, mut motions) = (cylinder.clone(), motions.clone());
        let each = |cylinder: &mut Cylinder, duty: Duty, change: &dyn Fn(&mut parts::Valve)| {
            cylinder.head.valves.iter_mut().filter(|valve| valve.duty == duty).for_each(change);
        };
        match self {
            Self::Lift(duty) => {
                let before = greatest(&cylinder, &motions, duty)?;
                let factor = (before + by) / before;
                if factor <= 0.0 {
                    return None;
                }
                motions = motions.with(duty, |motion| with_lift(motion, before + by));
                each(&mut cylinder, duty, &|valve| valve.lift.value.value *= factor);
            }
            Self::Ratio(duty) => {
                let ratio = cylinder.gear.of(duty)?.train.ratio.value + Ratio::new::<units::ratio::ratio>(by);
                if ratio.value <= 0.0 {
                    return None;
                }
                let before = motions.of(duty).ok()?.greatest_lift();
                motions = motions.with(duty, |motion| motion.with_ratio(ratio));
                let gained = motions.of(duty).ok()?.greatest_lift() - before;
                each(&mut cylinder, duty, &|valve| valve.lift.value += gained);
            }
            Self::Advance(duty) => {
                motions.of(duty).ok()?;
                motions = motions.with(duty, |motion| motion.advanced(CrankAngle::from_radians(by)));
            }
            Self::AdvanceCam => {
                for duty in [Duty::Intake, Duty::Exhaust] {
                    motions.of(duty).ok()?;
                    motions = motions.with(duty, |motion| motion.advanced(CrankAngle::from_radians(by)));
                }
            }
            Self::Duration(duty) => {
                let events = motions.of(duty).ok()?.events_at_tappet(Length::new::<inch>(DURATION_AT_IN))?;
                let before = events.duration().radians();
                let factor = (before + by) / before;
                if factor <= 0.0 {
                    return None;
                }
                motions = motions.with(duty, |motion| motion.with_duration_scaled(factor));
            }
            Self::Skim => {
                let wall = &mut cylinder.head.chamber_wall_height.value.value;
                *wall = (*wall - by).max(0.0);
                cylinder.head.valves.iter_mut().for_each(|valve| valve.recess.value.value -= by);
            }
            Self::Deck => {
                cylinder.piston.deck_offset.value.value += by;
                let (width, depth) = (
                    &mut cylinder.block.chamfer_width.value.value,
                    &mut cylinder.block.chamfer_depth.value.value,
                );
                if *depth > 0.0 {
                    let left = ((*depth - by) / *depth).max(0.0);
                    (*width, *depth) = (*width * left, *depth * left);
                }
            }
            Self::GasketThickness => {
                let thickness = &mut cylinder.gasket.thickness.value.value;
                *thickness += by;
                if *thickness <= 0.0 {
                    return None;
                }
            }
            Self::ValveDiameter(duty) => each(&mut cylinder, duty, &|valve| {
                let diameter = &mut valve.head_diameter.value.value;
                *diameter = (*diameter + by).max(valve.stem_diameter.value.value);
            }),
            Self::Margin(duty) => {
                let thin = |valve: &parts::Valve| valve.duty == duty && valve.margin.value.value + by < 0.0;
                if cylinder.head.valves.iter().any(thin) {
                    return None;
                }
                each(&mut cylinder, duty, &|valve| {
                    valve.margin.value.value += by;
                    valve.recess.value.value -= by;
                });
            }
            Self::HeadShiftX => cylinder.head.shift_x.value.value += by,
            Self::HeadShiftY => cylinder.head.shift_y.value.value += by,
            // Speed is of the whole engine.
            Self::Revs => {}
        }
        Some((cylinder, motions))
    }
}

/// Greatest lift of a duty's valves, in metres: as they move, or as the sheet says where the cam is not known.
fn greatest(cylinder: &Cylinder, motions: &Motions, duty: Duty) -> Option<f64> {
    let said = || cylinder.head.valves.iter().find(|valve| valve.duty == duty).map(|valve| valve.lift.value);
    let lift = motions.of(duty).ok().map(ValveMotion::greatest_lift).or_else(said)?.value;
    (lift > 0.0).then_some(lift)
}

/// The motion with its lobe scaled to another greatest lift of the valve, lash and all.
fn with_lift(motion: &ValveMotion, lift_m: f64) -> ValveMotion {
    // With lash the lift is not in proportion to the lobe; a few steps of false position settle it.
    const N_STEPS: usize = 8;
    let mut factor = lift_m / motion.greatest_lift().value;
    let (mut before, mut at_before) = (1.0, motion.greatest_lift().value);
    for _ in 0..N_STEPS {
        let here = motion.with_lobe_lift_scaled(factor).greatest_lift().value;
        if here == at_before {
            break;
        }
        let next = factor + (lift_m - here) * (factor - before) / (here - at_before);
        (before, at_before, factor) = (factor, here, next);
    }
    motion.with_lobe_lift_scaled(factor)
}
