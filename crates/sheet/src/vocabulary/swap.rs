//! The words of a swap sheet: which parts of a base it replaces, and which single readings it changes.

use units::Ratio;

use super::usual::SHARE;
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words};
use super::{
    block, boost, cam, exhaust, flow, friction, fuel, gasket, head, induction, limits, piston, port, sheet,
    spark, spring, train, walls,
};

/// A whole swap sheet.
pub const SWAP: Section = Section {
    key: "",
    meaning: "what is different from a base",
    shape: Shape::Once,
    entries: &[&sheet::FORMAT, &sheet::NAME, &sheet::NOTE, &FROM, &TAKE],
    sections: &[&REPLACE, &CHANGE, &limits::LIMITS, &PAYOFF, &sheet::CYLINDER],
};

/// Another full sheet.
pub const FROM: Entry = Entry::new(
    Words {
        key: "from",
        meaning: "file name of a full build sheet, beside this one, that parts are taken from",
        measure: "",
        example: "bittern.build.toml",
    },
    Form::Text,
    Missing::Taken("no other sheet"),
);

/// Parts taken from it.
pub const TAKE: Entry = Entry::new(
    Words {
        key: "take",
        meaning: "the parts taken from that sheet, whole, with what single cylinders have of their own",
        measure: "",
        example: "[\"head\", \"gasket\"]",
    },
    Form::Names(&[
        "block",
        "gasket",
        "head",
        "piston",
        "cam",
        "train",
        "spring",
        "port",
        "flow",
        "induction",
        "exhaust",
        "boost",
        "fuel",
        "spark",
        "burning",
        "walls",
        "friction",
    ]),
    Missing::Taken("nothing taken"),
);

/// Parts put in the place of the base's.
pub const REPLACE: Section = Section {
    key: "replace",
    meaning: "whole parts in the place of the base's; nothing of the base's part remains, nor what its single cylinders \
              had of their own",
    shape: Shape::Once,
    entries: &[],
    sections: &[
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
    ],
};

/// Readings changed on the base's parts.
pub const CHANGE: Section = Section {
    key: "change",
    meaning: "single readings on top of the base's parts; valves and pockets under the valve's name, as for one cylinder",
    shape: Shape::Once,
    entries: &[],
    sections: &[
        &block::BLOCK,
        &gasket::GASKET,
        &head::HEAD_OF_ONE,
        &piston::PISTON_OF_ONE,
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
    ],
};

/// How the payoff is judged.
pub const PAYOFF: Section = Section {
    key: "payoff",
    meaning: "what a difference in torque is held against, and which changes share it together",
    shape: Shape::Once,
    entries: &[&REPEATABILITY.entry],
    sections: &[&GROUP],
};

/// What a dyno can tell apart.
pub const REPEATABILITY: Field<Ratio> = Field::new(
    Words {
        key: "repeatability",
        meaning: "what the dyno at hand repeats to over a band; a smaller difference cannot be shown on it",
        measure: "three pulls of the same engine on one day",
        example: "1 %",
    },
    Range::open(0.0, 0.5),
    SHARE,
    Missing::Taken("1 %, an engine brake with fixed temperatures"),
);

/// Changes that belong together.
pub const GROUP: Section = Section {
    key: "group",
    meaning: "changes that get one share of the gain together; every change in no group gets its own",
    shape: Shape::List,
    entries: &[&sheet::NAME, &CHANGES],
    sections: &[],
};

/// Which changes.
pub const CHANGES: Entry = Entry::new(
    Words {
        key: "changes",
        meaning: "the changes of this group",
        measure: "",
        example: "[\"chamber\", \"gasket\"]",
    },
    Form::Names(&CHANGE_WORDS),
    Missing::Taken("needed in a group"),
);

/// The words for changes.
pub const CHANGE_WORDS: [&str; 18] = [
    "chamber",
    "gasket",
    "valves",
    "shrouding",
    "port",
    "cam",
    "train",
    "piston",
    "block",
    "cut",
    "induction",
    "exhaust",
    "boost",
    "fuel",
    "spark",
    "burning",
    "walls",
    "friction",
];
