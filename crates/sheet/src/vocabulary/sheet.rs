//! The top of a build sheet: its own keys, the engine, and the readings of single cylinders.

use super::{Entry, Form, Missing, Section, Shape, Words};
use super::{
    block, boost, cam, exhaust, flow, friction, fuel, gasket, head, induction, limits, piston, port, spark,
    spring, train, used, walls, weather,
};

/// A whole build sheet.
pub const BUILD: Section = Section {
    key: "",
    meaning: "one complete engine",
    shape: Shape::Once,
    entries: &[&FORMAT, &NAME, &NOTE],
    sections: &[
        &ENGINE,
        &block::BLOCK,
        &gasket::GASKET,
        &head::HEAD,
        &piston::PISTON,
        &cam::CAM,
        &train::TRAIN,
        &spring::SPRING,
        &port::PORT,
        &flow::FLOW,
        &induction::INDUCTION,
        &exhaust::EXHAUST,
        &boost::BOOST,
        &fuel::FUEL,
        &spark::SPARK,
        &spark::BURNING,
        &walls::WALLS,
        &friction::FRICTION,
        &weather::WEATHER,
        &used::USE,
        &limits::LIMITS,
        &CYLINDER,
    ],
};

/// The number of the format.
pub const FORMAT: Entry = Entry::new(
    Words { key: "format", meaning: "number of this format, always 1", measure: "", example: "1" },
    Form::Count { least: 1, most: 1 },
    Missing::Required,
);

/// What people call the build.
pub const NAME: Entry = Entry::new(
    Words { key: "name", meaning: "what people call it", measure: "", example: "Heron six" },
    Form::Text,
    Missing::Required,
);

/// Remarks.
pub const NOTE: Entry = Entry::new(
    Words {
        key: "note",
        meaning: "remarks, printed with the answer",
        measure: "",
        example: "block decked 0.1 mm last winter",
    },
    Form::Text,
    Missing::Taken("no remarks"),
);

/// How the cylinders are arranged.
pub const ENGINE: Section = Section {
    key: "engine",
    meaning: "how the cylinders are arranged",
    shape: Shape::Once,
    entries: &[&CYLINDERS, &BANKS, &FIRING_ORDER, &FIRING_INTERVALS, &YEAR],
    sections: &[],
};

/// How many cylinders.
pub const CYLINDERS: Entry = Entry::new(
    Words { key: "cylinders", meaning: "number of cylinders", measure: "", example: "6" },
    Form::Count { least: 1, most: 32 },
    Missing::Required,
);

/// How many rows.
pub const BANKS: Entry = Entry::new(
    Words {
        key: "banks",
        meaning: "rows of cylinders: 1 in line, 2 in a V or flat engine; numbers count along the first row from the front, \
                  then along the next",
        measure: "",
        example: "1",
    },
    Form::Count { least: 1, most: 8 },
    Missing::Taken("1"),
);

/// Which fires after which.
pub const FIRING_ORDER: Entry = Entry::new(
    Words {
        key: "firing_order",
        meaning: "cylinder numbers in the order they fire, each once",
        measure: "",
        example: "[1, 5, 3, 6, 2, 4]",
    },
    Form::Numbers,
    Missing::Estimated("engine.firing_order"),
);

/// How long after.
pub const FIRING_INTERVALS: Entry = Entry::new(
    Words {
        key: "firing_intervals",
        meaning: "crank degrees from each cylinder of the firing order to the next, the last back to the first; 720 together",
        measure: "",
        example: "[310, 410]",
    },
    Form::Numbers,
    Missing::Estimated("engine.firing_intervals"),
);

/// How old.
pub const YEAR: Entry = Entry::new(
    Words {
        key: "year",
        meaning: "year the engine was designed for; estimates of ports, burn, carburettor and octane follow it",
        measure: "",
        example: "1962",
    },
    Form::Count { least: 1885, most: 2100 },
    Missing::Taken("not known"),
);

/// The readings of one cylinder.
pub const CYLINDER: Section = Section {
    key: "cylinder",
    meaning: "what one cylinder has of its own; every reading it does not give is the common one",
    shape: Shape::List,
    entries: &[&NUMBER, &MIRRORED],
    sections: &[&block::BLOCK, &gasket::GASKET, &head::HEAD_OF_ONE, &piston::PISTON_OF_ONE],
};

/// Which cylinder.
pub const NUMBER: Entry = Entry::new(
    Words { key: "number", meaning: "which cylinder, 1 nearest the front", measure: "", example: "2" },
    Form::Count { least: 1, most: 32 },
    Missing::Required,
);

/// Whether its head mirrors the common one.
pub const MIRRORED: Entry = Entry::new(
    Words {
        key: "mirrored",
        meaning: "whether valves, chamber, gasket opening and pockets mirror the common ones front to back; what the \
                  cylinder gives of its own is taken as typed",
        measure: "",
        example: "true",
    },
    Form::Flag,
    Missing::Taken("false"),
);
