//! Putting parts of one sheet in the place of another's, as trees. Leaves out reading the result.

use crate::check::join;
use crate::layers::Log;
use crate::swap::PartName;
use crate::tree::{Item, Node, Table, Value};
use crate::vocabulary::outline::EITHER;
use crate::vocabulary::piston::FLY_CUT;
use crate::vocabulary::relief::{HOLE, RELIEF};
use crate::vocabulary::sheet::{CYLINDER, MIRRORED, NUMBER};
use crate::vocabulary::{Section, Shape, swap};

/// Takes a part, whole, from another full sheet, with what single cylinders have of it.
pub(crate) fn take_part(log: &mut Log, base: &mut Table, donor: &Table, part: PartName, n_cylinders: usize) {
    drop_own(log, base, part);
    match donor.item(part.key()) {
        Some(item) => base.put(item.clone()),
        None => {
            base.remove(part.key());
        }
    }
    for node in donor.list(CYLINDER.key) {
        let (Some(number), Some(own)) =
            (number_of(node), node.as_table().and_then(|own| own.item(part.key())))
        else {
            continue;
        };
        if n_cylinders < number {
            log.note(format!("{}: what the other sheet says of cylinder {number} is left out", part.key()));
            continue;
        }
        cylinder_mut(base, node, number).put(own.clone());
    }
    if part == PartName::Head {
        take_mirroring(log, base, donor, n_cylinders);
    }
}

/// Which cylinders are mirrored goes with the head.
fn take_mirroring(log: &mut Log, base: &mut Table, donor: &Table, n_cylinders: usize) {
    let before = mirrored(base, n_cylinders);
    for node in cylinders_mut(base) {
        if let Value::Table(table) = &mut node.value {
            table.remove(MIRRORED.words.key);
        }
    }
    for node in donor.list(CYLINDER.key) {
        let flag = node.as_table().and_then(|own| own.item(MIRRORED.words.key));
        if let (Some(number), Some(flag)) = (number_of(node).filter(|number| *number <= n_cylinders), flag) {
            cylinder_mut(base, node, number).put(flag.clone());
        }
    }
    if before != mirrored(base, n_cylinders) {
        log.note("head: which cylinders are mirrored is taken from the sheet the head comes from".to_owned());
    }
}

fn mirrored(root: &Table, n_cylinders: usize) -> Vec<bool> {
    let flag = |number: usize| {
        let node = root.list(CYLINDER.key).iter().find(|node| number_of(node) == Some(number));
        let flag = node.and_then(Node::as_table).and_then(|own| own.get(MIRRORED.words.key));
        matches!(flag, Some(Node { value: Value::Flag(true), .. }))
    };
    (1..=n_cylinders).map(flag).collect()
}

/// Puts a part in the place of the base's; what single cylinders had of the old one goes with it.
pub(crate) fn replace_part(log: &mut Log, base: &mut Table, item: &Item, part: PartName) {
    drop_own(log, base, part);
    base.put(item.clone());
}

fn drop_own(log: &mut Log, base: &mut Table, part: PartName) {
    for node in cylinders_mut(base) {
        let number = number_of(node).unwrap_or_default();
        if let Value::Table(table) = &mut node.value
            && table.remove(part.key()).is_some()
        {
            log.note(format!(
                "{part}: the base's own readings of cylinder {number} belong to the part that was replaced and are left out",
                part = part.key()
            ));
        }
    }
}

/// Puts single readings on top of the base's part; what single cylinders say of the same readings is left out.
pub(crate) fn change_part(log: &mut Log, base: &mut Table, change: &Item, part: PartName) {
    let Some(section) = swap::CHANGE.sections.iter().find(|section| section.key == part.key()) else {
        return;
    };
    let Value::Table(readings) = &change.node.value else { return };
    match base.get_mut(part.key()) {
        Some(Node { value: Value::Table(whole), .. }) => {
            lists_for_names(whole, readings, section);
            overlay(log, whole, readings, section, part.key());
        }
        _ => base.put(change.clone()),
    }
    for node in cylinders_mut(base) {
        let number = number_of(node).unwrap_or_default();
        let Value::Table(own) = &mut node.value else { continue };
        let Some(Node { value: Value::Table(own), .. }) = own.get_mut(part.key()) else { continue };
        for path in drop_same(own, readings, section, part.key()) {
            log.note(format!(
                "{path}: the base's own reading of cylinder {number} is left out, it is changed for all"
            ));
        }
    }
}

/// Gives a common part without pockets or valves an empty list of them, in which no name will be found.
fn lists_for_names(whole: &mut Table, readings: &Table, section: &Section) {
    for inner in section.sections.iter().filter(|inner| inner.shape == Shape::Named) {
        if let Some(item) = readings.item(inner.key)
            && whole.get(inner.key).is_none()
        {
            let node = Node { place: item.node.place, value: Value::List(Vec::new()) };
            whole.put(Item { node, ..item.clone() });
        }
    }
}

/// Puts what a swap sheet says of one cylinder on top.
pub(crate) fn overlay_cylinder(log: &mut Log, base: &mut Table, from: &Node, number: usize, part: PartName) {
    let Some(table) = from.as_table() else { return };
    if part == PartName::Head
        && let Some(flag) = table.item(MIRRORED.words.key)
    {
        cylinder_mut(base, from, number).put(flag.clone());
    }
    let Some(item) = table.item(part.key()) else { return };
    let Some(section) = CYLINDER.sections.iter().find(|section| section.key == part.key()) else { return };
    let own = cylinder_mut(base, from, number);
    match (own.get_mut(part.key()), &item.node.value) {
        (Some(Node { value: Value::Table(own), .. }), Value::Table(more)) => {
            overlay(log, own, more, section, part.key());
        }
        _ => own.put(item.clone()),
    }
}

/// Puts the items of `more` into `whole`, tables within tables item by item, except outlines, which go in whole.
fn overlay(log: &mut Log, whole: &mut Table, more: &Table, section: &Section, path: &str) {
    for item in &more.items {
        let path = join(path, &item.key);
        let inner = section.sections.iter().find(|inner| inner.key == item.key);
        let inner = inner.filter(|inner| !EITHER.iter().any(|pair| pair.contains(&inner.key)));
        drop_other_form(whole, &item.key);
        match (inner, whole.get_mut(&item.key), &item.node.value) {
            (Some(inner), Some(Node { value: Value::List(list), .. }), Value::Table(named)) => {
                overlay_named(log, list, named, inner, &path);
            }
            (Some(inner), Some(Node { value: Value::List(old), .. }), Value::List(new)) if adds_to(inner) => {
                let name = |node: &Node| node.as_table().and_then(name_in).map(str::to_owned);
                old.retain(|node| !new.iter().any(|one| name(one) == name(node)));
                old.extend(new.iter().cloned());
            }
            (Some(inner), Some(Node { value: Value::Table(old), .. }), Value::Table(named))
                if inner.shape == Shape::Named =>
            {
                for one in &named.items {
                    match (old.get_mut(&one.key), &one.node.value) {
                        (Some(Node { value: Value::Table(old), .. }), Value::Table(new)) => {
                            new.items.iter().for_each(|reading| old.put(reading.clone()));
                        }
                        _ => old.put(one.clone()),
                    }
                }
            }
            (Some(inner), Some(Node { value: Value::Table(old), .. }), Value::Table(new)) => {
                overlay(log, old, new, inner, &path);
            }
            _ => whole.put(item.clone()),
        }
    }
}

/// Cuts and holes are added to those that are there; one of the same name stands in the place of the old.
fn adds_to(section: &Section) -> bool {
    [RELIEF.key, HOLE.key, FLY_CUT.key].contains(&section.key)
}

fn overlay_named(log: &mut Log, list: &mut [Node], named: &Table, section: &Section, path: &str) {
    for item in &named.items {
        let known = |node: &Node| {
            node.as_table().and_then(|table| name_in(table)).is_some_and(|name| name == item.key)
        };
        let names: Vec<String> =
            list.iter().filter_map(Node::as_table).filter_map(name_in).map(str::to_owned).collect();
        let (Some(node), Value::Table(readings)) =
            (list.iter_mut().find(|node| known(node)), &item.node.value)
        else {
            let found = format!("no {} is named \"{}\"", section.key, crate::tree::shortened(&item.key));
            let none = format!("a {} that the base has, and it has none", section.key);
            let expected = if names.is_empty() { none } else { names.join(", ") };
            log.wrong(item.key_place, &join(path, &item.key), found, expected);
            continue;
        };
        if let Value::Table(old) = &mut node.value {
            readings.items.iter().for_each(|reading| old.put(reading.clone()));
        }
    }
}

/// Name of a valve, or the valve of a pocket.
fn name_in(table: &Table) -> Option<&str> {
    table.text("name").or_else(|| table.text("valve"))
}

/// A part has one form of outline: the one that comes in puts the other out.
fn drop_other_form(whole: &mut Table, key: &str) {
    for [round, polygon] in EITHER {
        if key == round {
            whole.remove(polygon);
        } else if key == polygon {
            whole.remove(round);
        }
    }
}

/// Takes out of `own` what `changed` says too, and returns the paths.
fn drop_same(own: &mut Table, changed: &Table, section: &Section, path: &str) -> Vec<String> {
    let mut dropped = Vec::new();
    for item in &changed.items {
        let path = join(path, &item.key);
        let either = EITHER.iter().find(|pair| pair.contains(&item.key.as_str()));
        let inner = section.sections.iter().find(|inner| inner.key == item.key && either.is_none());
        match (inner, own.get_mut(&item.key), &item.node.value) {
            (Some(inner), Some(Node { value: Value::Table(own), .. }), Value::Table(changed)) => {
                if inner.shape == Shape::Named {
                    for one in &changed.items {
                        if let (Some(Node { value: Value::Table(own), .. }), Value::Table(changed)) =
                            (own.get_mut(&one.key), &one.node.value)
                        {
                            dropped.extend(drop_same(own, changed, inner, &join(&path, &one.key)));
                        }
                    }
                } else {
                    dropped.extend(drop_same(own, changed, inner, &path));
                }
            }
            (Some(inner), _, _) if adds_to(inner) => {}
            _ => {
                let keys = either.map_or(vec![item.key.as_str()], |pair| pair.to_vec());
                if keys.into_iter().filter(|key| own.remove(key).is_some()).count() > 0 {
                    dropped.push(path);
                }
            }
        }
    }
    dropped
}

/// The number of a `[[cylinder]]`.
pub(crate) fn number_of(node: &Node) -> Option<usize> {
    let number = node.as_table()?.get(NUMBER.words.key)?.as_whole()?;
    usize::try_from(number).ok()
}

fn cylinders_mut(root: &mut Table) -> &mut [Node] {
    match root.get_mut(CYLINDER.key) {
        Some(Node { value: Value::List(list), .. }) => list,
        _ => &mut [],
    }
}

/// The table of a cylinder, made after the pattern of `like` when the sheet has none.
fn cylinder_mut<'t>(root: &'t mut Table, like: &Node, number: usize) -> &'t mut Table {
    if !matches!(root.get(CYLINDER.key), Some(Node { value: Value::List(_), .. })) {
        let node = Node { place: like.place, value: Value::List(Vec::new()) };
        root.put(Item { key: CYLINDER.key.to_owned(), key_place: like.place, node });
    }
    let Some(Node { value: Value::List(list), .. }) = root.get_mut(CYLINDER.key) else {
        unreachable!("a list was put there above");
    };
    let at = list.iter().position(|node| number_of(node) == Some(number)).unwrap_or_else(|| {
        let items = like.as_table().and_then(|table| table.item(NUMBER.words.key)).cloned();
        let table = Table { items: items.into_iter().collect() };
        list.push(Node { place: like.place, value: Value::Table(table) });
        list.len() - 1
    });
    match &mut list[at].value {
        Value::Table(table) => table,
        _ => unreachable!("only tables have a number"),
    }
}
