//! `[adjust]` of a plan: what may be set, from where to where, in which steps.

use units::{CrankAngle, Length, Ratio};

use super::plan::PRICE;
use super::usual::AS_SAID;
use super::{Entry, Field, Form, Missing, Range, Section, Shape, Words};

/// All adjustments.
pub const ADJUST: Section = Section {
    key: "adjust",
    meaning: "what may be set; advance, skim and decking count from the parts as chosen, the others are what is set",
    shape: Shape::Once,
    entries: &[],
    sections: &[
        &angle(
            "cam_advance",
            "both lobes earlier than the sheet says they are installed; negative for later",
        ),
        &angle("intake_advance", "the intake lobe earlier than installed"),
        &angle("exhaust_advance", "the exhaust lobe earlier than installed"),
        &length("gasket_thickness", "thickness of the gasket as torqued"),
        &length(
            "skim",
            "taken off the head's face; the chamber loses the area of its edge at the face times this (walls taken as upright)",
        ),
        &length("deck", "taken off the block's deck"),
        &ratio("intake_ratio", "rocker ratio of the intake valves; their lift changes with it"),
        &ratio("exhaust_ratio", "rocker ratio of the exhaust valves"),
        &length("intake_lash", "lash of the intake valves, hot, where the train has one that is set"),
        &length("exhaust_lash", "lash of the exhaust valves, hot"),
    ],
};

const fn angle(key: &'static str, meaning: &'static str) -> Section {
    let entries: &[&Entry] = &[&ANGLE_FROM.entry, &ANGLE_TO.entry, &ANGLE_STEP.entry, &POINTS, &PRICE];
    Section { key, meaning, shape: Shape::Once, entries, sections: &[] }
}

const fn length(key: &'static str, meaning: &'static str) -> Section {
    let entries: &[&Entry] = &[&LENGTH_FROM.entry, &LENGTH_TO.entry, &LENGTH_STEP.entry, &POINTS, &PRICE];
    Section { key, meaning, shape: Shape::Once, entries, sections: &[] }
}

const fn ratio(key: &'static str, meaning: &'static str) -> Section {
    let entries: &[&Entry] = &[&RATIO_FROM.entry, &RATIO_TO.entry, &RATIO_STEP.entry, &POINTS, &PRICE];
    Section { key, meaning, shape: Shape::Once, entries, sections: &[] }
}

const fn words(key: &'static str, meaning: &'static str, example: &'static str) -> Words {
    Words { key, meaning, measure: "", example }
}

const FROM_SAYS: &str = "where the range begins";
const TO_SAYS: &str = "where it ends";
const STEP_SAYS: &str =
    "steps it comes in; a range without them is searched at points and then set in between";
const WITHOUT_STEP: Missing = Missing::Taken("any setting of the range");

const ANGLE: Range = Range::open(-90.0, 90.0);
const LENGTH: Range = Range::from(0.0, 100.0);
const RATIO: Range = Range::open(0.1, 10.0);

/// Begin of a range of angles.
pub const ANGLE_FROM: Field<CrankAngle> =
    Field::new(words("from", FROM_SAYS, "-4 deg"), ANGLE, AS_SAID, Missing::Required);
/// Its end.
pub const ANGLE_TO: Field<CrankAngle> =
    Field::new(words("to", TO_SAYS, "4 deg"), ANGLE, AS_SAID, Missing::Required);
/// Its steps.
pub const ANGLE_STEP: Field<CrankAngle> =
    Field::new(words("step", STEP_SAYS, "2 deg"), Range::open(0.0, 90.0), AS_SAID, WITHOUT_STEP);

/// Begin of a range of lengths.
pub const LENGTH_FROM: Field<Length> =
    Field::new(words("from", FROM_SAYS, "0 mm"), LENGTH, AS_SAID, Missing::Required);
/// Its end.
pub const LENGTH_TO: Field<Length> =
    Field::new(words("to", TO_SAYS, "0.6 mm"), LENGTH, AS_SAID, Missing::Required);
/// Its steps.
pub const LENGTH_STEP: Field<Length> =
    Field::new(words("step", STEP_SAYS, "0.2 mm"), Range::open(0.0, 100.0), AS_SAID, WITHOUT_STEP);

/// Begin of a range of ratios.
pub const RATIO_FROM: Field<Ratio> =
    Field::new(words("from", FROM_SAYS, "1.5"), RATIO, AS_SAID, Missing::Required);
/// Its end.
pub const RATIO_TO: Field<Ratio> =
    Field::new(words("to", TO_SAYS, "1.65"), RATIO, AS_SAID, Missing::Required);
/// Its steps.
pub const RATIO_STEP: Field<Ratio> =
    Field::new(words("step", STEP_SAYS, "0.05"), Range::open(0.0, 10.0), AS_SAID, WITHOUT_STEP);

/// Looks at a continuous range.
pub const POINTS: Entry = Entry::new(
    words("points", "number of settings that are searched over a range without steps", "3"),
    Form::Count { least: 1, most: 100 },
    Missing::Taken("3"),
);
