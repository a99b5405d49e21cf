//! `[port.intake]` and `[port.exhaust]`: the passages in the head.

use units::{Length, ThermodynamicTemperature, Volume};

use super::block::SIZE;
use super::usual::{BURETTE, CALLIPER, PIPE_LENGTH, WALL_TEMPERATURE as WALL_TEMPERATURE_USUAL};
use super::walls::TEMPERATURE;
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words};

/// The ports.
pub const PORT: Section = Section {
    key: "port",
    meaning: "the passages in the head between flange and valves, for torque and power",
    shape: Shape::Once,
    entries: &[],
    sections: &[&PORT_INTAKE, &PORT_EXHAUST],
};

const ENTRIES: &[&Entry] = &[
    &LENGTH.entry,
    &VOLUME.entry,
    &ENTRY_DIAMETER.entry,
    &THROAT_DIAMETER.entry,
    &WALL_TEMPERATURE.entry,
    &SIAMESED,
];

/// Of the intake.
pub const PORT_INTAKE: Section = Section {
    key: "intake",
    meaning: "from the intake flange to the intake valves of a cylinder",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[],
};

/// Of the exhaust.
pub const PORT_EXHAUST: Section = Section {
    key: "exhaust",
    meaning: "from the exhaust valves of a cylinder to the exhaust flange",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[],
};

/// Length.
pub const LENGTH: Field<Length> = Field::new(
    Words {
        key: "length",
        meaning: "along the middle of the port from flange to valve",
        measure: "a wire bent to the middle of the port",
        example: "105 mm",
    },
    SIZE,
    PIPE_LENGTH,
    Missing::Estimated("port.intake.length"),
);

/// Volume.
pub const VOLUME: Field<Volume> = Field::new(
    Words {
        key: "volume",
        meaning: "volume from flange to closed valves; with the length it says how wide the port is in between",
        measure: "burette, valves shut, flange level",
        example: "118 cc ± 1",
    },
    Range::open(0.0, 10_000.0),
    BURETTE,
    Missing::Taken("between entry and throat the port is taken as straight"),
);

/// At the flange.
pub const ENTRY_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "entry_diameter",
        meaning: "diameter of a circle of the area of the opening at the flange",
        measure: "paper rubbing on squared paper, or inside callipers",
        example: "36 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("port.intake.entry_diameter"),
);

/// Under the seat.
pub const THROAT_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "throat_diameter",
        meaning: "narrowest diameter under one valve seat",
        measure: "inside callipers",
        example: "35.5 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("port.intake.throat_diameter"),
);

/// Of its wall.
pub const WALL_TEMPERATURE: Field<ThermodynamicTemperature> = Field::new(
    Words {
        key: "wall_temperature",
        meaning: "temperature of the wall under load",
        measure: "thermocouple in the wall",
        example: "90 degC",
    },
    TEMPERATURE,
    WALL_TEMPERATURE_USUAL,
    Missing::Estimated("port.intake.wall_temperature"),
);

/// Which meet.
pub const SIAMESED: Entry = Entry::new(
    Words {
        key: "siamesed",
        meaning: "pairs of cylinders whose ports meet inside the head",
        measure: "",
        example: "[[1, 2], [3, 4]]",
    },
    Form::Groups,
    Missing::Taken("each cylinder has its own port"),
);
