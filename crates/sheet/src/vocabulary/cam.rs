//! `[cam.intake]` and `[cam.exhaust]`: how far the valves travel.

use units::Length;

use super::block::EXTENT;
use super::usual::TRAVEL;
use super::{Entry, Field, Missing, Section, Shape, Words};

const ENTRIES: &[&Entry] = &[&VALVE_LIFT.entry];

/// Both cams.
pub const CAM: Section = Section {
    key: "cam",
    meaning: "what opens the valves",
    shape: Shape::Once,
    entries: &[],
    sections: &[&INTAKE, &EXHAUST],
};

/// The cam of the intake valves.
pub const INTAKE: Section = Section {
    key: "intake",
    meaning: "the intake valves",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[],
};

/// The cam of the exhaust valves.
pub const EXHAUST: Section = Section {
    key: "exhaust",
    meaning: "the exhaust valves",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[],
};

/// Full travel of the valves.
pub const VALVE_LIFT: Field<Length> = Field::new(
    Words {
        key: "valve_lift",
        meaning: "full travel of the valve from its seat, lash taken off",
        measure: "dial indicator on the retainer with checking springs, over a whole turn of the cam",
        example: "10.4 mm ± 0.05",
    },
    EXTENT,
    TRAVEL,
    Missing::Required,
);
