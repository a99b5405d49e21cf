//! The cuts of an answer as tables of a sheet, to be put into a swap sheet. Leaves out the rest of that sheet.

use std::fmt::Write as _;

use parts::{Pocket, Relief};
use units::angle::degree;
use units::length::millimeter;
use units::{Angle, Length, Reading};

use crate::relief::ReliefAnswer;
use crate::relief_words::CUT_CAUTIONS;

/// One table for each cut, below `prefix` (`change.` in a swap sheet, nothing in a build sheet), with the cautions above them.
///
/// A relief stands without a place of its own, so that every cylinder gets it on its own valve; a fly-cut stands where the
/// first cylinder has it.
pub fn cuts_as_tables(answer: &ReliefAnswer, prefix: &str) -> String {
    let mut out = String::new();
    let mut line = |text: String| {
        let _ = writeln!(out, "{text}");
    };
    line("# Cuts proposed, on every cylinder.".to_owned());
    CUT_CAUTIONS.iter().for_each(|caution| line(format!("# {caution}")));
    for relief in answer.valves.iter().filter_map(|one| one.cut.as_ref().ok()?.reliefs.first()) {
        line(format!("\n[[{prefix}block.relief]]"));
        readings_of_relief(&relief.1).into_iter().for_each(&mut line);
    }
    for cut in answer.pistons.iter().filter_map(|one| one.cut.as_ref().ok()?.fly_cuts.first()) {
        line(format!("\n[[{prefix}piston.fly_cut]]"));
        readings_of_pocket(&cut.1).into_iter().for_each(&mut line);
    }
    out
}

fn readings_of_relief(relief: &Relief) -> Vec<String> {
    let mut lines = vec![
        format!("valve = \"{}\"", relief.valve),
        length("diameter", relief.diameter),
        length("plunge", relief.plunge),
        length("corner_radius", relief.corner_radius),
    ];
    if relief.layback.value > Angle::default() {
        lines.push(format!("layback = \"{:.4} deg, assumed\"", relief.layback.value.get::<degree>()));
    }
    lines
}

fn readings_of_pocket(pocket: &Pocket) -> Vec<String> {
    vec![
        format!("valve = \"{}\"", pocket.valve),
        length("x", pocket.x),
        length("y", pocket.y),
        length("diameter", pocket.diameter),
        length("depth", pocket.depth),
    ]
}

/// To ten nanometres: a cut that just does must not be short by its rounding.
fn length(key: &str, reading: Reading<Length>) -> String {
    let [value, tolerance] = [reading.value, reading.tolerance].map(|length| length.get::<millimeter>());
    format!("{key} = \"{value:.5} mm ± {tolerance:.2}, assumed\"")
}
