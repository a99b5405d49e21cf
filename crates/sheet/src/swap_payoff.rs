//! `[payoff]` of a swap sheet: what a difference in torque is held against, and which changes get one share together.

use units::Quantity as _;
use units::Ratio;

use crate::layers::reading;
use crate::problem::Problems;
use crate::source::Sources;
use crate::tree::{Node, Table};
use crate::vocabulary::sheet::NAME;
use crate::vocabulary::swap::{CHANGES, GROUP, PAYOFF, REPEATABILITY};

/// What a swap sheet says about its payoff.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PayoffWishes {
    /// What the dyno at hand repeats to, relative.
    pub repeatability: Option<f64>,
    /// Changes that get one share together; what is in none of them gets its own.
    pub groups: Vec<ChangeGroup>,
}

/// Changes that get one share together.
#[derive(Clone, Debug, PartialEq)]
pub struct ChangeGroup {
    /// What people call it.
    pub name: String,
    /// Words out of [`crate::vocabulary::swap::CHANGE_WORDS`].
    pub changes: Vec<String>,
}

/// The section, whose form was checked before.
pub(crate) fn read_payoff(swap: &Table) -> PayoffWishes {
    let Some(payoff) = swap.table(PAYOFF.key) else { return PayoffWishes::default() };
    let share =
        payoff.get(REPEATABILITY.key()).and_then(|node| reading::<Ratio>(node, &REPEATABILITY, false));
    let groups = payoff.list(GROUP.key).iter().filter_map(Node::as_table).map(|group| ChangeGroup {
        name: group.text(NAME.words.key).unwrap_or_default().to_owned(),
        changes: changes(group).map(str::to_owned).collect(),
    });
    PayoffWishes { repeatability: share.map(|share| share.value.si()), groups: groups.collect() }
}

fn changes(group: &Table) -> impl Iterator<Item = &str> {
    group.list(CHANGES.words.key).iter().filter_map(Node::as_text)
}

/// Groups without a name or without changes, and changes that stand in two of them.
pub(crate) fn check_groups(problems: &mut Problems, sources: &Sources, swap: &Table) {
    let Some(payoff) = swap.table(PAYOFF.key) else { return };
    let mut seen: Vec<&str> = Vec::new();
    for node in payoff.list(GROUP.key) {
        let Some(group) = node.as_table() else { continue };
        for entry in [&NAME, &CHANGES] {
            if group.get(entry.words.key).is_none() {
                let expected = format!("{}, such as {}", entry.words.meaning, entry.words.example);
                let path = format!("payoff.group.{}", entry.words.key);
                problems.push(sources.problem(
                    node.place,
                    &path,
                    format!("no {}", entry.words.key),
                    expected,
                ));
            }
        }
        for change in changes(group) {
            if seen.contains(&change) {
                let found = format!("\"{change}\" in a second group");
                problems.push(sources.problem(
                    node.place,
                    "payoff.group.changes",
                    found,
                    "each change in one group",
                ));
            }
            seen.push(change);
        }
    }
}
