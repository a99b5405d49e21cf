//! The words of a swap sheet: which parts of a base it replaces, and which single readings it changes.

use super::{Entry, Form, Missing, Section, Shape, Words};
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
    sections: &[&REPLACE, &CHANGE, &limits::LIMITS, &sheet::CYLINDER],
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
