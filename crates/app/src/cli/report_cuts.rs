//! The report's part about cuts: the answer of `relief`, what each cut leaves, and its drawing at full size.

use handover::{Block, Paper, Section};
use headroom::fallback::Fallback;
use headroom::relief_left::LeftLine;
use headroom::relief_words::{against, verdict};
use headroom::words;
use report::{svg, template};

use super::relief::{left_rows, ways_rows};
use super::relief_drawings::drawn_cuts;
use super::report_document::{self, Answered, capitalised, paragraph, table};

/// The section, its drawings last.
pub fn section(answered: &Answered, paper: Paper) -> Section {
    let relief = &answered.relief;
    let mut blocks = vec![paragraph(verdict(relief).join(" "))];
    for one in &relief.valves {
        let subject = format!("{} to {}", words::valve_name(&one.valve), against(one.check));
        let first = one.cylinders.first().copied().unwrap_or(1);
        match &one.cut {
            Ok(cut) => blocks.extend(leaves(&subject, &cut.left, first)),
            Err(reason) => blocks.push(no_cut(&subject, reason)),
        }
        blocks.extend(ways(&format!("{subject}: the cut survives with"), &one.with_cut));
        blocks.extend(ways(&format!("{subject}: without a cut, cheapest first"), &one.fallbacks));
    }
    for one in &relief.pistons {
        let subject = format!("{} to piston", words::valve_name(&one.valve));
        match &one.cut {
            Ok(cut) => blocks.extend(leaves(&subject, &cut.left, one.cylinder)),
            Err(reason) => blocks.push(no_cut(&subject, reason)),
        }
        blocks.extend(ways(&format!("{subject}: without a cut, cheapest first"), &one.fallbacks));
    }
    blocks.extend(drawings(answered, paper));
    report_document::section("What to cut", blocks)
}

fn no_cut(subject: &str, reason: &impl std::fmt::Display) -> Block {
    paragraph(format!("{}: no cut, {reason}.", capitalised(subject)))
}

fn leaves(subject: &str, left: &[LeftLine], cylinder: usize) -> Vec<Block> {
    if left.is_empty() {
        return Vec::new();
    }
    let title = format!("{}: what the cut leaves, on cylinder {cylinder}", capitalised(subject));
    vec![paragraph(title), table(left_rows(left, cylinder), &[])]
}

fn ways(title: &str, ways: &[Fallback]) -> Vec<Block> {
    if ways.is_empty() {
        return Vec::new();
    }
    vec![paragraph(capitalised(title)), table(ways_rows(ways), &[1, 2, 3])]
}

/// A page for each cut; what does not fit the paper is said.
fn drawings(answered: &Answered, paper: Paper) -> Vec<Block> {
    let on = match paper {
        Paper::A4 => report::Paper::A4,
        Paper::Letter => report::Paper::Letter,
    };
    drawn_cuts(answered.build, &answered.relief)
        .into_iter()
        .map(|cut| match template(&cut.sheet, on) {
            Ok(page) => Block::FullSize { svg: svg(&page), caption: cut.sheet.title },
            Err(reason) => paragraph(format!(
                "No drawing at full size on {} of {}: {reason}.",
                on.name(),
                cut.sheet.title
            )),
        })
        .collect()
}
