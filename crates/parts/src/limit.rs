//! The least gap each check may show before it is called tight: defaults with their sources, each replaceable in
//! the sheet.

use units::Length;
use units::length::inch;

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
}

impl Check {
    /// All checks, in the order of the answer.
    pub const ALL: [Self; 5] = [
        Self::ValveToBlock,
        Self::ValveToGasket,
        Self::ValveToChamber,
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
        };
        Limit { least: Length::new::<inch>(thou / 1000.0), source: source.to_owned() }
    }
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
