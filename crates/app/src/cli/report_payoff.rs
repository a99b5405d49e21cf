//! The report's part about payoff: which change brings what where the engine is used, how sure that is, and how much flow it can
//! use. Leaves out the sentence that decides, which stands in the verdict, and what to measure next.

use handover::{Block, Section};
use headroom::{PayoffAnswer, payoff_svg, payoff_words};
use units::UnitSystem;

use super::report_document::{Answered, paragraph, section as section_of, table};

/// The section; nothing where nobody wants it.
pub fn section(answered: &Answered) -> Option<Section> {
    let blocks = match answered.payoff.as_ref()? {
        Ok(payoff) => blocks(payoff, answered),
        Err(reason) => vec![paragraph(format!("It cannot be reckoned: {reason}."))],
    };
    Some(section_of("What each change brings to torque", blocks))
}

fn blocks(payoff: &PayoffAnswer, answered: &Answered) -> Vec<Block> {
    let system = answered.system;
    let [from, to] = payoff.band_rpm;
    let weighted = if payoff.weighted { ", speeds weighted as the sheet says" } else { "" };
    let mut blocks = vec![Block::Figure {
        svg: payoff_svg::svg(payoff, system),
        caption: format!(
            "Mean torque from {from:.0} to {to:.0} rpm{weighted}, from the base to the candidate: shares that add up to the whole"
        ),
    }];
    blocks.push(table(rows(payoff, system), &[1, 2]));
    let mut sentences = payoff_words::sentences(payoff, answered.swap.fit.status(), system);
    sentences.remove(0);
    blocks.push(Block::List { items: sentences });
    if answered.predicted.is_calibrated() {
        blocks.push(paragraph(
            "Reckoned with the model as pulls of the base corrected it; what they say about friction, burn and walls narrows the ±.",
        ));
    }
    blocks
}

/// Headings, base, a row a change, candidate.
fn rows(payoff: &PayoffAnswer, system: UnitSystem) -> Vec<Vec<String>> {
    let mut rows = vec![["change", "mean torque", "of the base"].map(str::to_owned).to_vec()];
    rows.extend(payoff_words::waterfall(payoff, system).into_iter().map(|mut row| {
        // The last cell is a bar made of letters, which the picture draws.
        row.truncate(3);
        row
    }));
    rows
}
