//! `firing_order` and `firing_intervals` of `[engine]`, and other lists of cylinder numbers.

use parts::running::Firing;
use units::CrankAngle;

use crate::check::{join, number};
use crate::layers::{Layers, Log};
use crate::tree::{Node, Value};
use crate::vocabulary::Entry;
use crate::vocabulary::sheet::{FIRING_INTERVALS, FIRING_ORDER};

/// Intervals may be off 720 degrees together by as much, for figures rounded to whole degrees.
const ROUNDING_DEG: f64 = 0.5;

/// The firing sequence.
pub(crate) fn read_firing(log: &mut Log, engine: &Layers, n_cylinders: usize) -> Firing {
    let order = read_order(log, engine, n_cylinders);
    let intervals = read_intervals(log, engine, n_cylinders);
    if let (Some(_), None, false) = (&intervals, &order, engine.has(FIRING_ORDER.words.key)) {
        let path = join(&engine.path, FIRING_ORDER.words.key);
        let found = "firing_intervals without firing_order";
        log.wrong(engine.place(), &path, found, "firing_order = [1, 2], whose intervals they are");
    }
    Firing { order, intervals }
}

fn read_order(log: &mut Log, engine: &Layers, n_cylinders: usize) -> Option<Vec<usize>> {
    let (node, _) = engine.node(FIRING_ORDER.words.key)?;
    let Value::List(list) = &node.value else { return None };
    let numbers: Vec<usize> =
        list.iter().filter_map(Node::as_whole).filter_map(|one| usize::try_from(one).ok()).collect();
    let mut sorted = numbers.clone();
    sorted.sort_unstable();
    if numbers.len() != list.len() || sorted != (1..=n_cylinders).collect::<Vec<_>>() {
        let path = join(&engine.path, FIRING_ORDER.words.key);
        let expected = format!("each of the numbers 1 to {n_cylinders} once");
        log.wrong(node.place, &path, node.describe(log.sources), expected);
        return None;
    }
    Some(numbers)
}

fn read_intervals(log: &mut Log, engine: &Layers, n_cylinders: usize) -> Option<Vec<CrankAngle>> {
    let (node, _) = engine.node(FIRING_INTERVALS.words.key)?;
    let Value::List(list) = &node.value else { return None };
    let degrees: Vec<f64> = list.iter().filter_map(number).collect();
    let sum: f64 = degrees.iter().sum();
    let path = join(&engine.path, FIRING_INTERVALS.words.key);
    if degrees.len() != n_cylinders {
        let expected = format!("{n_cylinders} intervals, one after each cylinder");
        log.wrong(node.place, &path, format!("{} intervals", list.len()), expected);
        return None;
    }
    if (sum - 720.0).abs() > ROUNDING_DEG || degrees.iter().any(|one| *one < 0.0) {
        let found = format!("{sum} degrees together");
        log.wrong(node.place, &path, found, "720 degrees together, none of them negative");
        return None;
    }
    Some(degrees.into_iter().map(CrankAngle::from_degrees).collect())
}

/// Lists of cylinder numbers; each cylinder once at most, and every one of them if `all` are asked for.
pub(crate) fn read_groups(
    log: &mut Log,
    layers: &Layers,
    entry: &Entry,
    n_cylinders: usize,
    all: bool,
) -> Option<Vec<Vec<usize>>> {
    let (node, _) = layers.node(entry.words.key)?;
    let Value::List(list) = &node.value else { return None };
    let mut groups = Vec::with_capacity(list.len());
    let mut seen = vec![false; n_cylinders];
    let path = join(&layers.path, entry.words.key);
    for one in list {
        let Value::List(numbers) = &one.value else { return None };
        let mut group = Vec::with_capacity(numbers.len());
        for number in numbers {
            let at = usize::try_from(number.as_whole()?).ok()?;
            let Some(seen) = at.checked_sub(1).and_then(|at| seen.get_mut(at)) else {
                let expected = format!("a number from 1 to {n_cylinders}");
                log.wrong(number.place, &path, format!("cylinder {at}"), expected);
                return None;
            };
            if std::mem::replace(seen, true) {
                log.wrong(number.place, &path, format!("cylinder {at} a second time"), "each cylinder once");
                return None;
            }
            group.push(at);
        }
        groups.push(group);
    }
    if let Some(missing) = seen.iter().position(|seen| !seen).filter(|_| all) {
        log.wrong(node.place, &path, format!("no cylinder {}", missing + 1), "every cylinder in one list");
        return None;
    }
    Some(groups)
}
