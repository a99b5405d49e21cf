//! Reliefs in words: the verdict first, then why. Leaves out tables.

use fit::relief_limit::Left;
use parts::limit::Check;
use units::{Angle, Length, show_both};

use crate::fallback::{Changed, Fallback};
use crate::fallback_change::Change;
use crate::finding::Status;
use crate::relief::{Outcome, Proposed, ReliefAnswer, ValveRelief};
use crate::relief_fly_cut::{PistonRelief, ProposedPocket};
use crate::relief_left::LeftLine;
use crate::words::valve_name;

/// The cautions that go with every cut.
pub const CUT_CAUTIONS: [&str; 4] = [
    "Calculated from entered readings; verify by trial assembly with checking springs and clay. Limits are conventions \
     with their source, not guarantees.",
    "Sonic-check before boring or notching, confirm the water jacket, pressure-test after.",
    "A notch or fly-cut weakens the part: edges crack and glow, castings are porous. Break every edge, try it on a scrap \
     part first; whoever cuts answers for it.",
    "Compressed springs, turning parts, fuel and exhaust gas hurt people. Road use: the emission and inspection rules of \
     the place apply.",
];

/// The answer in a few sentences; the first says whether it clears.
pub fn verdict(answer: &ReliefAnswer) -> Vec<String> {
    let mut sentences = Vec::new();
    match answer.outcome() {
        Outcome::ClearsAsItIs => {
            sentences.push("It clears as it is: no valve needs a cut.".to_owned());
            sentences.extend(standing_reasons(answer));
            return sentences;
        }
        Outcome::ClearsAfterCut => {
            let cuts: Vec<String> = cuts(answer).collect();
            let this = if cuts.len() == 1 { "this cut" } else { "these cuts" };
            sentences.push(format!("It clears after {this}: {}.", cuts.join("; ")));
        }
        Outcome::DoesNot => {
            let reasons: Vec<String> = reasons(answer).collect();
            let [first, more @ ..] = reasons.as_slice() else { return sentences };
            sentences.push(format!("{first}."));
            sentences.extend(more.iter().map(|reason| format!("{reason}.")));
        }
    }
    let unmeasured = unmeasured(answer);
    if !unmeasured.is_empty() {
        sentences.push(format!("Not known, so measure before cutting: {}.", unmeasured.join("; ")));
    }
    sentences.extend(standing_reasons(answer));
    if answer.outcome() == Outcome::DoesNot {
        for relief in answer.valves.iter().filter(|relief| relief.outcome() == Outcome::DoesNot) {
            if let Some(first) = relief.with_cut.first() {
                let valve = valve_name(&relief.valve);
                sentences.push(format!("The cut for the {valve} would survive with {}.", listed(first)));
            }
            sentences.push(way_out(&relief.valve, against(relief.check), &relief.fallbacks));
        }
        for relief in answer.pistons.iter().filter(|relief| relief.outcome() == Outcome::DoesNot) {
            sentences.push(way_out(&relief.valve, against(relief.check), &relief.fallbacks));
        }
    }
    sentences
}

/// Where a cut that is there already leaves too little.
fn standing_reasons(answer: &ReliefAnswer) -> impl Iterator<Item = String> {
    answer.standing.iter().filter_map(|cut| {
        let fatal: Vec<String> = cut.fatal().map(leaves).collect();
        let (what, valve) = (if cut.in_crown { "pocket" } else { "relief" }, valve_name(&cut.valve));
        (!fatal.is_empty())
            .then(|| format!("The {what} that is there for the {valve} already {}.", fatal.join(" and ")))
    })
}

/// Why a cut is not to be made, in words for a drawing; empty when it is survived.
pub fn kills<'a>(left: impl Iterator<Item = &'a LeftLine>) -> Vec<String> {
    left.map(leaves).collect()
}

/// `the block`: what a valve is against.
pub fn against(check: Check) -> &'static str {
    match check {
        Check::ValveToBlock => "the block",
        Check::ValveToGasket => "the gasket",
        _ => "the piston",
    }
}

fn way_out(valve: &str, against: &str, fallbacks: &[Fallback]) -> String {
    let valve = valve_name(valve);
    match fallbacks.first() {
        None => format!("Without a cut nothing sensible gives the {valve} its room to {against}."),
        Some(first) => {
            format!("The cheapest way for the {valve} to {against} without a cut: {}.", listed(first))
        }
    }
}

fn listed(fallback: &Fallback) -> String {
    let list: Vec<String> = fallback.changes.iter().map(changed_words).collect();
    list.join(" with ")
}

/// What is cut, valve by valve.
fn cuts(answer: &ReliefAnswer) -> impl Iterator<Item = String> {
    let block = answer.valves.iter().filter_map(|relief| {
        let cut = relief.cut.as_ref().ok()?;
        Some(format!(
            "for the {}, {} out of the bore and {} deep",
            valve_name(&relief.valve),
            show_both(cut.cut.overhang()),
            show_both(cut.cut.depth())
        ))
    });
    let crown = answer.pistons.iter().filter_map(|relief| {
        let cut = relief.cut.as_ref().ok()?;
        Some(format!(
            "for the {}, a pocket {} deep in the crown",
            valve_name(&relief.valve),
            show_both(cut.cut.depth())
        ))
    });
    block.chain(crown)
}

/// Why it does not clear or survive, valve by valve.
fn reasons(answer: &ReliefAnswer) -> impl Iterator<Item = String> {
    let block = answer.valves.iter().filter(|relief| relief.outcome() == Outcome::DoesNot).map(block_reason);
    let crown =
        answer.pistons.iter().filter(|relief| relief.outcome() == Outcome::DoesNot).map(piston_reason);
    block.chain(crown)
}

fn block_reason(relief: &ValveRelief) -> String {
    let valve = valve_name(&relief.valve);
    match &relief.cut {
        Err(reason) => {
            let how = if relief.status == Status::Hits { "hits" } else { "is tight against" };
            format!("No cut helps the {valve}, which {how} {}, because {reason}", against(relief.check))
        }
        Ok(cut) => block_cut_reason(&valve, cut, relief.limit),
    }
}

fn block_cut_reason(valve: &str, cut: &Proposed, limit: Length) -> String {
    let fatal: Vec<String> = cut.fatal().map(leaves).collect();
    if fatal.is_empty() {
        let (after, limit) = (show_both(cut.gap_after), show_both(limit));
        format!("The cut for the {valve} leaves it {after} of the {limit} it needs")
    } else {
        format!("The cut for the {valve} does not survive, because it {}", fatal.join(" and "))
    }
}

fn piston_reason(relief: &PistonRelief) -> String {
    let valve = valve_name(&relief.valve);
    match &relief.cut {
        Err(reason) => format!("There is no pocket for the {valve}, because {reason}"),
        Ok(cut) => pocket_reason(&valve, cut),
    }
}

fn pocket_reason(valve: &str, cut: &ProposedPocket) -> String {
    let fatal: Vec<String> = cut.fatal().map(leaves).collect();
    if !fatal.is_empty() {
        return format!("The pocket for the {valve} does not survive, because it {}", fatal.join(" and "));
    }
    match cut.radial_after {
        Some([gap, limit]) if !cut.has_room_beside() => format!(
            "The pocket for the {valve} is deep enough, but the valve comes to {} from its side (limit {})",
            show_both(gap),
            show_both(limit)
        ),
        _ => format!("The pocket for the {valve} leaves it only {}", show_both(cut.gap_after)),
    }
}

/// `leaves 0.16 mm (0.006 in) to the top ring (limit 0.76 mm (0.030 in))`.
fn leaves(line: &LeftLine) -> String {
    let limit = show_both(line.limit);
    match line.left {
        Some(left) if left.value > 0.0 => {
            format!("leaves {} {} (limit {limit})", show_both(left), to(line.of))
        }
        Some(left) => format!("goes {} too far {} (limit {limit})", show_both(-left), to(line.of)),
        None => format!("leaves an unknown distance {}", to(line.of)),
    }
}

/// What the distance runs to.
fn to(of: Left) -> &'static str {
    match of {
        Left::GasketOverCut => "to the edge of the gasket opening",
        Left::FireRing => "to the gasket's fire ring",
        Left::TopRing => "to the top ring at the top of its travel",
        Left::Wall => "of wall to the water",
        Left::DeckPlate => "of deck plate",
        Left::BoreBridge => "to the next bore",
        Left::Hole => "to a hole in the deck",
        Left::Chamfer => "of the lead-in chamfer",
        Left::Crown => "of crown",
        Left::LandAboveGroove => "of land above the ring groove",
        Left::Groove => "to the ring groove",
    }
}

/// What is left, as the head of a line.
pub fn left_words(of: Left) -> &'static str {
    match of {
        Left::GasketOverCut => "deck to gasket opening",
        Left::FireRing => "deck to fire ring",
        Left::TopRing => "wall to top ring at its highest",
        Left::Wall => "wall to water",
        Left::DeckPlate => "deck plate under the floor",
        Left::BoreBridge => "deck to the next bore",
        Left::Hole => "deck to the nearest hole",
        Left::Chamfer => "lead-in chamfer under the floor",
        Left::Crown => "crown under the pocket",
        Left::LandAboveGroove => "land above the ring groove",
        Left::Groove => "metal to the ring groove",
    }
}

fn unmeasured(answer: &ReliefAnswer) -> Vec<&'static str> {
    let of_block =
        answer.valves.iter().filter_map(|relief| relief.cut.as_ref().ok()).flat_map(|cut| &cut.left);
    let of_crown =
        answer.pistons.iter().filter_map(|relief| relief.cut.as_ref().ok()).flat_map(|cut| &cut.left);
    let mut needed: Vec<&'static str> = Vec::new();
    for line in of_block.chain(of_crown) {
        if let Some(reading) = line.needed.filter(|reading| !needed.contains(reading)) {
            needed.push(reading);
        }
    }
    needed
}

/// `thicker gasket: 2.61 mm (0.103 in), 1.31 mm (0.052 in) more`.
pub fn changed_words(changed: &Changed) -> String {
    let name = changed.change.words();
    if changed.change.is_angle() {
        let by = Angle::new::<units::angle::radian>(changed.by_si);
        let of_crank = if changed.change.is_crank_angle() { " of the crank" } else { "" };
        return format!("{name} by {}{of_crank}", show_both(by));
    }
    if changed.change.is_ratio() {
        let to = changed.to_si.map_or_else(String::new, |to| format!("{to:.2}, "));
        return format!("{name}: {to}{:.2} less", changed.by_si);
    }
    let length = Length::new::<units::length::meter>;
    let by = show_both(length(changed.by_si));
    let way = match changed.change {
        Change::ThickerGasket | Change::WiderOpening | Change::DeeperSeat | Change::Overbore => "more",
        _ => "less",
    };
    match (changed.change, changed.to_si) {
        (Change::DeeperSeat, _) | (_, None) => format!("{name} by {}", show_both(length(changed.by_si))),
        (_, Some(to)) => format!("{name}: {}, {by} {way}", show_both(length(to))),
    }
}
