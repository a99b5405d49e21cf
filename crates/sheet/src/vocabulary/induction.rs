//! `[induction]`: air cleaner, throttles, plenum and runners.

use units::{Length, Pressure, Ratio, ThermodynamicTemperature, Volume, VolumeRate};

use super::block::SIZE;
use super::usual::{
    AIR_FLOW, CALLIPER, CHAMBER_OF_PIPES, PIPE_LENGTH, PRESSURE_DROP, SHARE,
    WALL_TEMPERATURE as WALL_TEMPERATURE_USUAL,
};
use super::walls::TEMPERATURE;
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words};

/// A flow of air, L/s.
const FLOW: Range = Range::open(0.0, 100_000.0);

/// The induction.
pub const INDUCTION: Section = Section {
    key: "induction",
    meaning: "what stands between the open air and the intake flange, for torque and power",
    shape: Shape::Once,
    entries: &[
        &LAYOUT,
        &AIR_CLEANER_FLOW.entry,
        &AIR_CLEANER_DROP.entry,
        &INLET_LENGTH.entry,
        &THROTTLES,
        &THROTTLE_DIAMETER.entry,
        &VENTURI_DIAMETER.entry,
        &THROTTLE_OPENING.entry,
        &PLENUM_VOLUME.entry,
        &RUNNER_LENGTH.entry,
        &RUNNER_MOUTH_DIAMETER.entry,
        &RUNNER_HEAD_DIAMETER.entry,
        &MOUTH,
        &WALL_TEMPERATURE.entry,
    ],
    sections: &[],
};

/// How it is laid out.
pub const LAYOUT: Entry = Entry::new(
    Words {
        key: "layout",
        meaning: "plenum: throttles or a carburettor before a common volume with a runner to each cylinder; individual: a throttle or carburettor on each runner",
        measure: "",
        example: "plenum",
    },
    Form::Choice(&["plenum", "individual"]),
    Missing::Estimated("induction.layout"),
);

/// Its air.
pub const AIR_CLEANER_FLOW: Field<VolumeRate> = Field::new(
    Words {
        key: "air_cleaner_flow",
        meaning: "flow that the air cleaner with its trunking lets through at air_cleaner_drop",
        measure: "flow bench, or the maker",
        example: "420 cfm",
    },
    FLOW,
    AIR_FLOW,
    Missing::Estimated("induction.air_cleaner_flow"),
);

/// Its loss.
pub const AIR_CLEANER_DROP: Field<Pressure> = Field::new(
    Words {
        key: "air_cleaner_drop",
        meaning: "pressure that this flow costs; 0 for no air cleaner",
        measure: "manometer after the cleaner",
        example: "1.5 kPa",
    },
    Range::from(0.0, 50.0),
    PRESSURE_DROP,
    Missing::Estimated("induction.air_cleaner_drop"),
);

/// To the plenum.
pub const INLET_LENGTH: Field<Length> = Field::new(
    Words {
        key: "inlet_length",
        meaning: "from the air cleaner through the throttle to the plenum",
        measure: "tape",
        example: "200 mm",
    },
    SIZE,
    PIPE_LENGTH,
    Missing::Estimated("induction.inlet_length"),
);

/// How many.
pub const THROTTLES: Entry = Entry::new(
    Words {
        key: "throttles",
        meaning: "number of throttles; barrels of a carburettor count singly",
        measure: "",
        example: "2",
    },
    Form::Count { least: 1, most: 32 },
    Missing::Estimated("induction.throttles"),
);

/// Throttle bore.
pub const THROTTLE_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "throttle_diameter",
        meaning: "bore of one throttle",
        measure: "callipers",
        example: "40 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("induction.throttle_diameter"),
);

/// Venturi.
pub const VENTURI_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "venturi_diameter",
        meaning: "narrowest diameter of one carburettor venturi",
        measure: "stamped on the choke, or callipers",
        example: "33 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Taken("no venturi, as with injection; a usual one for engines before 1970"),
);

/// Opening.
pub const THROTTLE_OPENING: Field<Ratio> = Field::new(
    Words { key: "throttle_opening", meaning: "open share of the throttle area", measure: "", example: "1" },
    Range::open(0.0, 1.0001),
    SHARE,
    Missing::Estimated("induction.throttle_opening"),
);

/// Plenum.
pub const PLENUM_VOLUME: Field<Volume> = Field::new(
    Words {
        key: "plenum_volume",
        meaning: "volume of the plenum, or of the trunk of a carburettor manifold",
        measure: "filled with water and weighed",
        example: "2200 cc",
    },
    Range::open(0.0, 1_000_000.0),
    CHAMBER_OF_PIPES,
    Missing::Estimated("induction.plenum_volume"),
);

/// Runner.
pub const RUNNER_LENGTH: Field<Length> = Field::new(
    Words {
        key: "runner_length",
        meaning: "along the middle of a runner from plenum or open mouth to the flange of the head",
        measure: "flexible wire through it",
        example: "260 mm",
    },
    SIZE,
    PIPE_LENGTH,
    Missing::Estimated("induction.runner_length"),
);

/// Its mouth.
pub const RUNNER_MOUTH_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "runner_mouth_diameter",
        meaning: "diameter of a circle of its area at the plenum or mouth, inside the radius",
        measure: "inside callipers",
        example: "42 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("induction.runner_mouth_diameter"),
);

/// Its other end.
pub const RUNNER_HEAD_DIAMETER: Field<Length> = Field::new(
    Words {
        key: "runner_head_diameter",
        meaning: "the same at the head",
        measure: "inside callipers",
        example: "38 mm",
    },
    SIZE,
    CALLIPER,
    Missing::Estimated("induction.runner_head_diameter"),
);

/// Shape.
pub const MOUTH: Entry = Entry::new(
    Words { key: "mouth", meaning: "shape of the open end of a runner", measure: "", example: "bellmouth" },
    Form::Choice(&["bellmouth", "flush", "plain"]),
    Missing::Estimated("induction.mouth"),
);

/// Wall.
pub const WALL_TEMPERATURE: Field<ThermodynamicTemperature> = Field::new(
    Words {
        key: "wall_temperature",
        meaning: "temperature of the walls of plenum and runners under load",
        measure: "thermocouple in the wall",
        example: "55 degC",
    },
    TEMPERATURE,
    WALL_TEMPERATURE_USUAL,
    Missing::Estimated("induction.wall_temperature"),
);
