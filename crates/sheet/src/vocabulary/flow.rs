//! `[flow.intake]` and its like: flow bench tables.

use units::{Pressure, Ratio};

use super::form::Pairs;
use super::usual::{BENCH_PRESSURE, SHARE};
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words};

/// Fewest and most rows of a table, and what a row is.
pub const FLOW_ROWS: Pairs = Pairs { one: "row", form: "[lift, flow]", least: 1, most: 200 };

/// The bench.
pub const FLOW: Section = Section {
    key: "flow",
    meaning: "what the valves let through on a flow bench, for torque and power",
    shape: Shape::Once,
    entries: &[&SHROUDING.entry],
    sections: &[&FLOW_INTAKE, &FLOW_EXHAUST, &FLOW_INTAKE_REVERSE, &FLOW_EXHAUST_REVERSE],
};

const ENTRIES: &[&Entry] =
    &[&OF, &TEST_PRESSURE.entry, &AREA, &LIFT_UNIT, &FLOW_UNIT, &ROWS, &TOLERANCE.entry];

/// All intake valves of a cylinder, port to cylinder.
pub const FLOW_INTAKE: Section = Section {
    key: "intake",
    meaning: "all intake valves of a cylinder, port to cylinder",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[],
};

/// All exhaust valves of a cylinder, cylinder to port.
pub const FLOW_EXHAUST: Section = Section {
    key: "exhaust",
    meaning: "all exhaust valves of a cylinder, cylinder to port",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[],
};

/// The intake valves from cylinder to port.
pub const FLOW_INTAKE_REVERSE: Section = Section {
    key: "intake_reverse",
    meaning: "the intake valves from cylinder to port",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[],
};

/// The exhaust valves from port to cylinder.
pub const FLOW_EXHAUST_REVERSE: Section = Section {
    key: "exhaust_reverse",
    meaning: "the exhaust valves from port to cylinder",
    shape: Shape::Once,
    entries: ENTRIES,
    sections: &[],
};

/// Shrouding.
pub const SHROUDING: Field<Ratio> = Field::new(
    Words {
        key: "shrouding",
        meaning: "how much of the curtain is lost where the rim stands nearer to the bore wall than the valve has lifted, 0 to 1; a table measured on the right bore sleeve already has it",
        measure: "flow on two bore sleeves",
        example: "0.5",
    },
    Range::from(0.0, 1.0001),
    SHARE,
    Missing::Taken("off"),
);

/// What is stated.
pub const OF: Entry = Entry::new(
    Words {
        key: "of",
        meaning: "what the rows hold: flow at a test pressure, or a discharge coefficient",
        measure: "",
        example: "flow",
    },
    Form::Choice(&["flow", "coefficient"]),
    Missing::Taken("flow"),
);

/// At which pressure.
pub const TEST_PRESSURE: Field<Pressure> = Field::new(
    Words {
        key: "test_pressure",
        meaning: "pressure drop that the flow was measured at, or reduced to",
        measure: "bench manometer",
        example: "28 inH2O",
    },
    Range::open(0.0, 50.0),
    BENCH_PRESSURE,
    Missing::Taken("needed for a flow"),
);

/// On which area.
pub const AREA: Entry = Entry::new(
    Words {
        key: "area",
        meaning: "area that a coefficient stands on: the curtain pi x head diameter x lift, the throat less the stem, or the circle of the head",
        measure: "",
        example: "curtain",
    },
    Form::Choice(&["curtain", "throat", "head"]),
    Missing::Taken("needed for a coefficient"),
);

/// Unit of lifts.
pub const LIFT_UNIT: Entry = Entry::new(
    Words { key: "lift_unit", meaning: "unit of the lifts", measure: "", example: "mm" },
    Form::LengthUnit,
    Missing::Required,
);

/// Unit of flows.
pub const FLOW_UNIT: Entry = Entry::new(
    Words {
        key: "flow_unit",
        meaning: "unit of the flows, at the density of the air before the valve",
        measure: "",
        example: "cfm",
    },
    Form::Choice(&["cfm", "l/s", "m3/h"]),
    Missing::Taken("needed for a flow"),
);

/// The rows.
pub const ROWS: Entry = Entry::new(
    Words {
        key: "rows",
        meaning: "rows [lift, flow] in rising order of lift; between them the flow is linear, above the last it stays",
        measure: "flow bench, port with its radius and the bore sleeve of this engine",
        example: "[[2.5, 61], [5.0, 118], [7.5, 151], [10.0, 166]]",
    },
    Form::Pairs(&FLOW_ROWS),
    Missing::Required,
);

/// How sure.
pub const TOLERANCE: Field<Ratio> = Field::new(
    Words {
        key: "tolerance",
        meaning: "what all rows together may be off by, as a share",
        measure: "two days on the same bench, or two benches",
        example: "2 %",
    },
    Range::from(0.0, 1.0),
    SHARE,
    Missing::Taken("3 %"),
);
