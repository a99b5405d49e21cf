//! `[limits]`: the least gap each check may show, where the usual one is not wanted.

use super::{Entry, Form, Missing, Section, Shape, Words};

/// The limits.
pub const LIMITS: Section = Section {
    key: "limits",
    meaning: "the least gap each check may show, where the usual one is not wanted: a length, or \
              { least = \"0.050 in\", source = \"club rules\" }",
    shape: Shape::Once,
    entries: &[
        &limit("valve_to_block", "valve head to bore wall, deck edge and deck"),
        &limit("valve_to_gasket", "valve head to the edge of the gasket opening"),
        &limit("valve_to_chamber", "valve head to the upright wall of its chamber"),
        &limit("gasket_over_bore", "gasket opening beyond the bore all round"),
        &limit("gasket_over_chamber", "gasket opening beyond the chamber outline all round"),
    ],
    sections: &[],
};

const fn limit(key: &'static str, meaning: &'static str) -> Entry {
    let words = Words { key, meaning, measure: "", example: "0.050 in" };
    Entry::new(words, Form::Limit, Missing::Taken("the usual limit"))
}
