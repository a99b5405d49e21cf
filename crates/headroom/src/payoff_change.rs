//! What a builder would name as a change between two engines when torque is argued about, and the mixtures of two engines
//! with only some of the changes made. Leaves out what a change is worth: `payoff.rs`.

use std::mem;

use cycle::from_build::{LobeFits, model_with};
use cycle::model::Model;
use parts::{Build, Cylinder, Gear, Valve, ValveGear};
use sheet::ChangeGroup;

use crate::payoff::{Pair, PayoffError};

/// One change.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PayoffChange {
    /// Chamber volume and form.
    Chamber,
    /// Thickness and opening of the gasket.
    Gasket,
    /// Valves, and what they let through on the bench.
    Valves,
    /// Where the valves stand to the bore wall, and how much that is said to take.
    Shrouding,
    /// Length, volume and sizes of the ports.
    Port,
    /// Lobes and their timing.
    Cam,
    /// Rockers, pushrods, springs.
    Train,
    /// Deck, crown and top land.
    Piston,
    /// Bore, stroke and rods.
    Block,
    /// What is cut for the valves, in block and crown.
    Cut,
    /// Air cleaner to flange.
    Induction,
    /// Flange to tail pipe.
    Exhaust,
    /// A compressor.
    Boost,
    /// Fuel and mixture.
    Fuel,
    /// When it is lit, where, and whether knock holds it back.
    Spark,
    /// How fast it burns.
    Burning,
    /// Heat to the walls.
    Walls,
    /// What rubs.
    Friction,
}

/// Changes that are made together and get one share.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// What people call it.
    pub name: String,
    /// What it is made of.
    pub changes: Vec<PayoffChange>,
}

impl PayoffChange {
    /// All changes, in the order of the sheet.
    pub const ALL: [Self; 18] = [
        Self::Chamber,
        Self::Gasket,
        Self::Valves,
        Self::Shrouding,
        Self::Port,
        Self::Cam,
        Self::Train,
        Self::Piston,
        Self::Block,
        Self::Cut,
        Self::Induction,
        Self::Exhaust,
        Self::Boost,
        Self::Fuel,
        Self::Spark,
        Self::Burning,
        Self::Walls,
        Self::Friction,
    ];

    /// The word a swap sheet uses in its groups.
    pub fn key(self) -> &'static str {
        match self {
            Self::Chamber => "chamber",
            Self::Gasket => "gasket",
            Self::Valves => "valves",
            Self::Shrouding => "shrouding",
            Self::Port => "port",
            Self::Cam => "cam",
            Self::Train => "train",
            Self::Piston => "piston",
            Self::Block => "block",
            Self::Cut => "cut",
            Self::Induction => "induction",
            Self::Exhaust => "exhaust",
            Self::Boost => "boost",
            Self::Fuel => "fuel",
            Self::Spark => "spark",
            Self::Burning => "burning",
            Self::Walls => "walls",
            Self::Friction => "friction",
        }
    }

    /// The shop's words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Chamber => "chamber volume",
            Self::Gasket => "gasket",
            Self::Valves => "valves and flow",
            Self::Shrouding => "shrouding",
            Self::Port => "port volume and length",
            Self::Cam => "cam",
            Self::Train => "valve train",
            Self::Piston => "piston",
            Self::Block => "bore and stroke",
            Self::Cut => "the cut",
            Self::Induction => "induction",
            Self::Exhaust => "exhaust",
            Self::Boost => "boost",
            Self::Fuel => "fuel and mixture",
            Self::Spark => "spark and knock",
            Self::Burning => "burning",
            Self::Walls => "heat to the walls",
            Self::Friction => "friction",
        }
    }

    /// Makes `build` like `other` in this respect. Cylinders are paired by their place.
    pub fn make(self, build: &mut Build, other: &Build) {
        for (cylinder, other) in build.cylinders.iter_mut().zip(&other.cylinders) {
            self.make_cylinder(cylinder, other);
        }
        let (to, from) = (&mut build.running, &other.running);
        match self {
            Self::Valves => {
                let shrouding = to.flow.shrouding;
                to.flow = from.flow.clone();
                to.flow.shrouding = shrouding;
            }
            Self::Shrouding => to.flow.shrouding = from.flow.shrouding,
            Self::Port => to.ports = from.ports.clone(),
            Self::Induction => to.induction = from.induction.clone(),
            Self::Exhaust => to.exhaust = from.exhaust.clone(),
            Self::Boost => to.boost = from.boost,
            Self::Fuel => to.fuel = from.fuel.clone(),
            Self::Spark => to.ignition = from.ignition.clone(),
            Self::Burning => to.burning = from.burning,
            Self::Walls => to.walls = from.walls,
            Self::Friction => to.friction = from.friction,
            Self::Chamber
            | Self::Gasket
            | Self::Cam
            | Self::Train
            | Self::Piston
            | Self::Block
            | Self::Cut => {}
        }
    }

    fn make_cylinder(self, to: &mut Cylinder, from: &Cylinder) {
        match self {
            Self::Chamber => {
                let valves = mem::take(&mut to.head.valves);
                to.head = parts::Head { valves, ..from.head.clone() };
            }
            Self::Gasket => to.gasket = from.gasket.clone(),
            Self::Valves => make_valves(&mut to.head.valves, &from.head.valves),
            Self::Shrouding => stand_valves(&mut to.head.valves, &from.head.valves),
            Self::Cam => make_cam(to, from),
            Self::Train => make_train(&mut to.gear, &from.gear),
            Self::Piston => {
                let (cuts, volume) = (mem::take(&mut to.piston.fly_cuts), to.piston.fly_cut_volume);
                to.piston = parts::Piston { fly_cuts: cuts, fly_cut_volume: volume, ..from.piston.clone() };
            }
            Self::Block => {
                let reliefs = mem::take(&mut to.block.reliefs);
                to.block = parts::Block { reliefs, ..from.block.clone() };
            }
            Self::Cut => {
                to.block.reliefs = from.block.reliefs.clone();
                to.piston.fly_cuts = from.piston.fly_cuts.clone();
                to.piston.fly_cut_volume = from.piston.fly_cut_volume;
            }
            Self::Port
            | Self::Induction
            | Self::Exhaust
            | Self::Boost
            | Self::Fuel
            | Self::Spark
            | Self::Burning
            | Self::Walls
            | Self::Friction => {}
        }
    }
}

/// Valves of the same names, so that they can be compared one by one.
fn same_valves(a: &[Valve], b: &[Valve]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.name == b.name && a.duty == b.duty)
}

/// Sizes and forms; where the valves stand and how far they open stays, as long as they are the same in number.
fn make_valves(to: &mut Vec<Valve>, from: &[Valve]) {
    if !same_valves(to, from) {
        *to = from.to_vec();
        return;
    }
    for (to, from) in to.iter_mut().zip(from) {
        *to = Valve { x: to.x, y: to.y, tilt_x: to.tilt_x, tilt_y: to.tilt_y, lift: to.lift, ..from.clone() };
    }
}

/// Where the valves stand; other valves bring their places with them.
fn stand_valves(to: &mut [Valve], from: &[Valve]) {
    if same_valves(to, from) {
        for (to, from) in to.iter_mut().zip(from) {
            (to.x, to.y, to.tilt_x, to.tilt_y) = (from.x, from.y, from.tilt_x, from.tilt_y);
        }
    }
}

/// Lobes; a gear that only one of the engines describes comes or goes whole.
fn make_cam(to: &mut Cylinder, from: &Cylinder) {
    if same_valves(&to.head.valves, &from.head.valves) {
        for (to, from) in to.head.valves.iter_mut().zip(&from.head.valves) {
            to.lift = from.lift;
        }
    }
    for (to, from) in gears(&mut to.gear, &from.gear) {
        match (&mut *to, from) {
            (Some(to), Some(from)) => to.lobe = from.lobe.clone(),
            _ => *to = from.clone(),
        }
    }
}

/// What stands between lobe and valve.
fn make_train(to: &mut Gear, from: &Gear) {
    for (to, from) in gears(to, from) {
        if let (Some(to), Some(from)) = (to, from) {
            to.train = from.train.clone();
            to.springs = from.springs.clone();
        }
    }
}

fn gears<'a>(to: &'a mut Gear, from: &'a Gear) -> [(&'a mut Option<ValveGear>, &'a Option<ValveGear>); 2] {
    [(&mut to.intake, &from.intake), (&mut to.exhaust, &from.exhaust)]
}

/// Groups that make any difference to the running engine, in the order of the sheet: those the swap sheet names first, then
/// every other change by itself.
///
/// A change counts when making it on the base, or leaving it out of the candidate, gives another model; what changes only
/// gaps gets no share, which is what it would be worth.
pub(crate) fn groups(
    pair: &Pair,
    named: &[ChangeGroup],
    fits: &mut LobeFits,
) -> Result<Vec<Group>, PayoffError> {
    let of_key = |key: &String| PayoffChange::ALL.into_iter().find(|change| change.key() == key);
    let mut groups: Vec<Group> = named
        .iter()
        .map(|group| Group {
            name: group.name.clone(),
            changes: group.changes.iter().filter_map(of_key).collect(),
        })
        .collect();
    let taken: Vec<PayoffChange> = groups.iter().flat_map(|group| group.changes.clone()).collect();
    let alone = PayoffChange::ALL.into_iter().filter(|change| !taken.contains(change));
    groups.extend(alone.map(|change| Group { name: change.words().to_owned(), changes: vec![change] }));
    let (base, _) = model_with(&pair.base, fits)?;
    let (candidate, _) = model_with(&pair.candidate, fits)?;
    let mut counting = Vec::new();
    for group in groups {
        let (mut made, mut left_out) = (pair.base.clone(), pair.candidate.clone());
        for change in &group.changes {
            change.make(&mut made, &pair.candidate);
            change.make(&mut left_out, &pair.base);
        }
        // A mixture that does not run, such as a piston in a bore it does not belong to, differs for sure.
        let differs = |mixed: &Build, from: &Model, fits: &mut LobeFits| {
            model_with(mixed, fits).map_or(true, |(model, _)| model != *from)
        };
        if differs(&made, &base, fits) || differs(&left_out, &candidate, fits) {
            counting.push(group);
        }
    }
    Ok(counting)
}

/// The base with the groups of a set made, one bit a group.
pub(crate) fn mixture(pair: &Pair, groups: &[Group], set: u128) -> Build {
    let mut mixed = pair.base.clone();
    for (idx, group) in groups.iter().enumerate() {
        if set & (1 << idx) != 0 {
            group.changes.iter().for_each(|change| change.make(&mut mixed, &pair.candidate));
        }
    }
    mixed
}
