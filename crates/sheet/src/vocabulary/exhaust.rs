//! `[exhaust]`: primaries to tail pipe.

use units::{Length, ThermodynamicTemperature, Volume};

use super::block::SIZE;
use super::usual::{CALLIPER, CHAMBER_OF_PIPES, PIPE_LENGTH, WALL_TEMPERATURE as WALL_TEMPERATURE_USUAL};
use super::walls::TEMPERATURE;
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words};

/// The exhaust.
pub const EXHAUST: Section = Section {
    key: "exhaust",
    meaning: "what stands between the exhaust flange and the open air, for torque and power",
    shape: Shape::Once,
    entries: &[
        &LAYOUT,
        &SYSTEMS,
        &GROUPS,
        &PRIMARY_LENGTH.entry,
        &PRIMARY_DIAMETER.entry,
        &PRIMARY_END_DIAMETER.entry,
        &SECONDARY_LENGTH.entry,
        &SECONDARY_DIAMETER.entry,
        &LOG_VOLUME.entry,
        &COLLECTOR_LENGTH.entry,
        &COLLECTOR_DIAMETER.entry,
        &CROSSOVER_LENGTH.entry,
        &CROSSOVER_DIAMETER.entry,
        &SILENCED,
        &SILENCER_VOLUME.entry,
        &SILENCER_OUTLET.entry,
        &TAIL_LENGTH.entry,
        &TAIL_DIAMETER.entry,
        &WALL_TEMPERATURE.entry,
    ],
    sections: &[],
};

/// How it is laid out.
pub const LAYOUT: Entry = Entry::new(
    Words {
        key: "layout",
        meaning: "separate: a pipe for each cylinder; log: a cast manifold; collector: all primaries of a system meet at once, 4-1 on a four; pairs: primaries meet in groups first, 4-2-1 on a four",
        measure: "",
        example: "collector",
    },
    Form::Choice(&["separate", "log", "collector", "pairs"]),
    Missing::Estimated("exhaust.layout"),
);

/// How many.
pub const SYSTEMS: Entry = Entry::new(
    Words { key: "systems", meaning: "separate systems with a tail pipe each", measure: "", example: "1" },
    Form::Count { least: 1, most: 32 },
    Missing::Estimated("exhaust.systems"),
);

/// Who meets whom.
pub const GROUPS: Entry = Entry::new(
    Words {
        key: "groups",
        meaning: "cylinders whose primaries meet first, each cylinder once",
        measure: "",
        example: "[[1, 4], [2, 3]]",
    },
    Form::Groups,
    Missing::Taken("by the layout: a row on a log, cylinders that fire a turn apart in pairs"),
);

/// Length.
pub const PRIMARY_LENGTH: Field<Length> = Field::new(
    Words {
        key: "primary_length",
        meaning: "from the flange of the head to where primaries meet, or to the open end",
        measure: "tape along the middle",
        example: "780 mm",
    },
    SIZE,
    PIPE_LENGTH,
    Missing::Estimated("exhaust.primary_length"),
);

/// Length.
pub const SECONDARY_LENGTH: Field<Length> = Field::new(
    Words {
        key: "secondary_length",
        meaning: "from the first to the second meeting",
        measure: "tape along the middle",
        example: "420 mm",
    },
    SIZE,
    PIPE_LENGTH,
    Missing::Estimated("exhaust.secondary_length"),
);

/// Length.
pub const COLLECTOR_LENGTH: Field<Length> = Field::new(
    Words {
        key: "collector_length",
        meaning: "collector and the pipe after it, to the silencer or the open end",
        measure: "tape",
        example: "900 mm",
    },
    SIZE,
    PIPE_LENGTH,
    Missing::Estimated("exhaust.collector_length"),
);

/// Length.
pub const TAIL_LENGTH: Field<Length> = Field::new(
    Words {
        key: "tail_length",
        meaning: "from the silencer to the open end",
        measure: "tape",
        example: "1100 mm",
    },
    SIZE,
    PIPE_LENGTH,
    Missing::Estimated("exhaust.tail_length"),
);

/// Diameter.
pub const PRIMARY_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "primary_diameter",
        meaning: "inner diameter of a primary at the head",
        measure: "outside less two walls",
        example: "41 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("exhaust.primary_diameter"),
);

/// Diameter.
pub const PRIMARY_END_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "primary_end_diameter",
        meaning: "inner diameter at its far end",
        measure: "outside less two walls",
        example: "41 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("exhaust.primary_end_diameter"),
);

/// Diameter.
pub const SECONDARY_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "secondary_diameter",
        meaning: "inner diameter of a secondary",
        measure: "outside less two walls",
        example: "48 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("exhaust.secondary_diameter"),
);

/// Diameter.
pub const COLLECTOR_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "collector_diameter",
        meaning: "inner diameter of the pipe after the collector",
        measure: "outside less two walls",
        example: "57 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("exhaust.collector_diameter"),
);

/// Diameter.
pub const SILENCER_OUTLET: Field<Length> = Field::new(
    Words {
        key: "silencer_outlet",
        meaning: "diameter of a hole that lets through what the outlet of the silencer does",
        measure: "flow bench, or the narrowest perforation counted together",
        example: "38 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("exhaust.silencer_outlet"),
);

/// Diameter.
pub const TAIL_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "tail_diameter",
        meaning: "inner diameter of the tail pipe",
        measure: "outside less two walls",
        example: "51 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("exhaust.tail_diameter"),
);

/// Log.
pub const LOG_VOLUME: Field<Volume> = Field::new(
    Words {
        key: "log_volume",
        meaning: "volume of one cast manifold",
        measure: "filled with water and weighed",
        example: "900 cc",
    },
    Range::open(0.0, 1_000_000.0),
    CHAMBER_OF_PIPES,
    Missing::Estimated("exhaust.log_volume"),
);

/// Length.
pub const CROSSOVER_LENGTH: Field<Length> = Field::new(
    Words {
        key: "crossover_length",
        meaning: "length of a pipe that joins the collectors of two systems",
        measure: "tape",
        example: "400 mm",
    },
    SIZE,
    PIPE_LENGTH,
    Missing::Estimated("exhaust.crossover_length"),
);

/// Diameter.
pub const CROSSOVER_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "crossover_diameter",
        meaning: "inner diameter of that pipe",
        measure: "outside less two walls",
        example: "48 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Taken("systems are not joined"),
);

/// Silencer or not.
pub const SILENCED: Entry = Entry::new(
    Words { key: "silenced", meaning: "whether there is a silencer", measure: "", example: "true" },
    Form::Flag,
    Missing::Estimated("exhaust.silenced"),
);

/// Silencer.
pub const SILENCER_VOLUME: Field<Volume> = Field::new(
    Words {
        key: "silencer_volume",
        meaning: "volume of all silencers of a system",
        measure: "outside measures",
        example: "9000 cc",
    },
    Range::open(0.0, 10_000_000.0),
    CHAMBER_OF_PIPES,
    Missing::Estimated("exhaust.silencer_volume"),
);

/// Wall.
pub const WALL_TEMPERATURE: Field<ThermodynamicTemperature> = Field::new(
    Words {
        key: "wall_temperature",
        meaning: "temperature of the walls of the primaries under load",
        measure: "thermocouple or paint",
        example: "520 degC",
    },
    TEMPERATURE,
    WALL_TEMPERATURE_USUAL,
    Missing::Estimated("exhaust.wall_temperature"),
);
