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
        &limit("intake_to_piston", "intake valve to the piston crown through two turns, along its axis"),
        &limit("exhaust_to_piston", "exhaust valve to the piston crown through two turns, along its axis"),
        &limit("pocket_radial", "valve head to the wall of its pocket"),
        &limit("valve_to_valve", "valve head to valve head through two turns"),
        &limit("piston_to_head", "piston crown to the head at top dead centre, the quench"),
        &limit(
            "piston_edge",
            "edge of crown or dome to edge and wall of the chamber, the piston leaning over",
        ),
        &limit("retainer_to_seal", "spring retainer to stem seal at full lift"),
        &limit("coil_bind", "spring to solid at full lift"),
        &limit("rocker_slot", "rocker slot to its stud through the lift"),
        &limit("pushrod_hole", "pushrod to its hole through the lift"),
        &limit("gasket_over_bore", "gasket opening beyond the bore all round"),
        &limit("gasket_over_chamber", "gasket opening beyond the chamber outline all round"),
    ],
    sections: &[],
};

const fn limit(key: &'static str, meaning: &'static str) -> Entry {
    let words = Words { key, meaning, measure: "", example: "0.050 in" };
    Entry::new(words, Form::Limit, Missing::Taken("the usual limit"))
}
