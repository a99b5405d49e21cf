//! The least gap each check may show before it is called tight: defaults with their sources, each replaceable in
//! the sheet.

use units::angular_velocity::revolution_per_minute;
use units::length::inch;
use units::{AngularVelocity, Length};

/// What a limit applies to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Check {
    /// Valve head to bore wall, deck edge and deck.
    ValveToBlock,
    /// Valve head to the edge of the gasket opening.
    ValveToGasket,
    /// Valve head to the upright wall of its chamber.
    ValveToChamber,
    /// Gasket opening beyond the bore all round.
    GasketOverBore,
    /// Gasket opening beyond the chamber outline all round.
    GasketOverChamber,
    /// Intake valve to piston, along the valve: what it could still open.
    IntakeToPiston,
    /// Exhaust valve to piston, along the valve.
    ExhaustToPiston,
    /// Valve rim to the wall of its pocket in the crown.
    PocketRadial,
    /// Two valves that pass each other.
    ValveToValve,
    /// Crown to head at top dead centre.
    PistonToHead,
    /// Edge of the crown, or of its dome, to edge and wall of the chamber, with the piston leaning over.
    PistonEdge,
    /// Spring retainer to stem seal at full lift.
    RetainerToSeal,
    /// Room to coil bind at full lift.
    CoilBind,
    /// Rocker slot to stud at the end of its travel.
    RockerSlot,
    /// Pushrod to its hole.
    PushrodHole,
}

impl Check {
    /// All checks, in the order of the answer.
    pub const ALL: [Self; 15] = [
        Self::ValveToBlock,
        Self::ValveToGasket,
        Self::ValveToChamber,
        Self::IntakeToPiston,
        Self::ExhaustToPiston,
        Self::PocketRadial,
        Self::ValveToValve,
        Self::PistonToHead,
        Self::PistonEdge,
        Self::RetainerToSeal,
        Self::CoilBind,
        Self::RockerSlot,
        Self::PushrodHole,
        Self::GasketOverBore,
        Self::GasketOverChamber,
    ];

    /// The key in the sheet's `[limits]`.
    pub fn key(self) -> &'static str {
        match self {
            Self::ValveToBlock => "valve_to_block",
            Self::ValveToGasket => "valve_to_gasket",
            Self::ValveToChamber => "valve_to_chamber",
            Self::GasketOverBore => "gasket_over_bore",
            Self::GasketOverChamber => "gasket_over_chamber",
            Self::IntakeToPiston => "intake_to_piston",
            Self::ExhaustToPiston => "exhaust_to_piston",
            Self::PocketRadial => "pocket_radial",
            Self::ValveToValve => "valve_to_valve",
            Self::PistonToHead => "piston_to_head",
            Self::PistonEdge => "piston_edge",
            Self::RetainerToSeal => "retainer_to_seal",
            Self::CoilBind => "coil_bind",
            Self::RockerSlot => "rocker_slot",
            Self::PushrodHole => "pushrod_hole",
        }
    }

    /// The default limit.
    pub fn usual(self) -> Limit {
        let (thou, source) = match self {
            // Race minimum 0.040 in, usual practice 0.050 to 0.060 in where the edge is below the deck.
            Self::ValveToBlock => {
                (60.0, "0.060 in, usual practice; 0.040 in is a race minimum (common practice, no source)")
            }
            Self::ValveToGasket => {
                (40.0, "0.040 in, as the race minimum to the wall (common practice, no source)")
            }
            Self::ValveToChamber => (20.0, "0.020 in (common practice, no source)"),
            // Recommended gasket bore is 0.030 to 0.060 in over the cylinder bore, 0.015 in a side at the least.
            Self::GasketOverBore => (
                15.0,
                "0.015 in a side: gasket opening 0.030 in over the bore at the least (gasket makers' advice)",
            ),
            Self::GasketOverChamber => (
                15.0,
                "0.015 in a side, the chamber edge must not overhang the opening (gasket makers' advice)",
            ),
            Self::IntakeToPiston => (
                80.0,
                "0.080 in with steel rods, 0.030 in more with aluminium ones (engine builders' press); 0.060 in is tight race practice",
            ),
            Self::ExhaustToPiston => (
                100.0,
                "0.100 in with steel rods, 0.030 in more with aluminium ones (engine builders' press): the piston chases the closing valve",
            ),
            Self::PocketRadial => {
                (50.0, "0.050 in a side (piston makers' and race shop's advice in the press)")
            }
            Self::ValveToValve => {
                (60.0, "0.060 in preferred, 0.040 in a race minimum (common practice, no source)")
            }
            Self::PistonToHead => {
                (35.0, "0.035 in with steel rods, 0.055 in with aluminium ones (engine builders' press)")
            }
            // Measured straight, below 0.030 in is called too tight with steel rods; at its edge a piston that leans takes 0.003
            // to 0.005 in of that.
            Self::PistonEdge => (
                25.0,
                "0.025 in with the piston leaning over and steel rods, 0.045 in with aluminium ones (common practice, no source)",
            ),
            Self::RetainerToSeal => {
                (60.0, "0.060 in preferred, 0.050 in at the least (common practice, no source)")
            }
            Self::CoilBind => (60.0, "0.060 in at full lift (common practice, no source)"),
            Self::RockerSlot => (30.0, "0.030 in at both ends (common practice, no source)"),
            Self::PushrodHole => (40.0, "0.030 to 0.050 in all round (common practice, no source)"),
        };
        Limit { least: Length::new::<inch>(thou / 1000.0), source: source.to_owned() }
    }
}

/// How far above the highest speed used a valve train has to stay on its lobe: 200 rpm. Cam designers aim for float a
/// couple of hundred rpm above it (racing press); a train that bends lofts sooner than the rigid one that is reckoned.
pub fn usual_lift_off_margin() -> AngularVelocity {
    AngularVelocity::new::<revolution_per_minute>(200.0)
}

/// The least a check may show, and who says so.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Below this a gap is tight.
    pub least: Length,
    /// Printed beside the limit.
    pub source: String,
}

/// The limits in force: the defaults, and what the sheet put in their place.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Limits {
    replaced: Vec<(Check, Limit)>,
}

impl Limits {
    /// The limit for a check.
    pub fn of(&self, check: Check) -> Limit {
        let own = self.replaced.iter().rev().find(|(replaced, _)| *replaced == check);
        own.map_or_else(|| check.usual(), |(_, limit)| limit.clone())
    }

    /// Puts another limit in place of the one in force.
    pub fn replace(&mut self, check: Check, limit: Limit) {
        self.replaced.push((check, limit));
    }
}
