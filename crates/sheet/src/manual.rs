//! The page `docs/sheet.md`: every key of sheets and plans in tables, made from the vocabulary.

use std::fmt::Write as _;

use parts::estimate;
use parts::limit::Check;

use crate::schema::capital;
use crate::vocabulary::{Entry, Form, Missing, Section, Shape, Usual, plan, sheet, swap};

/// The whole page.
pub fn manual() -> String {
    let mut page = String::from(INTRODUCTION);
    page.push_str("\n## The build sheet\n");
    describe(&mut page, &sheet::BUILD, "");
    page.push_str(LIMITS_INTRODUCTION);
    for check in Check::ALL {
        let _ = writeln!(page, "| `{}` | {} |", check.key(), check.usual().source);
    }
    page.push_str(SWAP_INTRODUCTION);
    describe_swap(&mut page);
    page.push_str(PLAN_INTRODUCTION);
    table(&mut page, &plan::PLAN);
    describe_plan(&mut page, &plan::PLAN, "");
    page.push_str("\n## Where the usual tolerances come from\n\n| reading | source |\n|---|---|\n");
    sources(&mut page, &sheet::BUILD, "");
    page
}

const INTRODUCTION: &str = "\
# The build sheet, the swap sheet and the plan

<!-- Made from crates/sheet/src/vocabulary by crates/sheet/tests/manual.rs; edit there. -->

Sheets are TOML in UTF-8. A build sheet (`*.build.toml`) describes one engine, a swap sheet (`*.swap.toml`) what is
different from a base. Complete ones are in `demos/`.

A **reading** is a text with a number, its unit and, where you know them, a tolerance and a basis:
`\"46.0 mm ± 0.05, measured\"`, `\"0.400 in +/- 0.002\"`, `\"12 thou\"`, `\"62.5 cc ± 0.3, catalogue\"`, `\"12°30'\"`. Any
unit of the right kind is read in any place. The tolerance is the half-width that holds 95 times in 100. Without a
basis a reading counts as `measured`; without a tolerance it gets the usual one of its basis, printed in the tables
below in the order measured / catalogue / assumed. A key that is left out is estimated where the table says so, and
the answer shows it as `assumed`.

Places are in the **bore frame** of each cylinder: the origin where the bore axis meets the deck, x along the crank to
the front, y to the left when looking forward from the flywheel, z up toward the head. Tilts are positive when the stem
tip leans to +x or +y.

Where block and head both give a `bore_spacing` and they differ, chamber and valves of each cylinder are moved along the
crank by what the difference adds up to from the middle of the row; the gasket stays with the block.
";

const LIMITS_INTRODUCTION: &str = "
The limits in force where the sheet gives none:

| key | usual limit and its source |
|---|---|
";

const SWAP_INTRODUCTION: &str = "
## The swap sheet

A swap sheet names what differs, in any of three ways, which can be mixed: whole parts under `[replace.PART]`, with the
keys of that part in a build sheet; single readings under `[change.PART]` on top of the base's; or parts taken from
another full sheet with `from` and `take`. What single cylinders of the base had of their own in a replaced part, or for
a changed reading, is left out, and the answer says so; `[[cylinder]]` gives the new ones. A second full build sheet is
a candidate too, taken whole.
";

const PLAN_INTRODUCTION: &str = "
## The plan

A plan (`*.plan.toml`) is what `headroom search` works from: a base, things to choose with their options, ranges of
settings, what every combination has to keep, and what counts as better. Every option of every choice is put together
with every other and with every setting; an option with nothing but a name leaves the base as it is. Prices are whole
numbers, tolerances of settings and limits are not used.
";

fn describe(page: &mut String, section: &Section, path: &str) {
    let heading = heading(section, path);
    if !heading.is_empty() {
        let _ = write!(page, "\n### `{heading}`\n\n{}.\n", capital(section.meaning));
    }
    table(page, section);
    let inner_path = join(path, section);
    for (idx, inner) in section.sections.iter().enumerate().filter(|(_, inner)| !repeated(section, inner)) {
        match like_before(section, idx) {
            Some(first) => {
                let [own, other] = [inner, first].map(|one| self::heading(one, &inner_path));
                let meaning = capital(inner.meaning);
                let _ = write!(page, "\n### `{own}`\n\n{meaning}. The same keys as under `{other}`.\n");
            }
            None => describe(page, inner, &inner_path),
        }
    }
    let again: Vec<String> = section
        .sections
        .iter()
        .filter(|inner| repeated(section, inner))
        .map(|inner| format!("`[{inner_path}.{}]`", inner.key))
        .collect();
    if !again.is_empty() {
        let _ = writeln!(
            page,
            "\nAny reading of these parts stands under the same key in {}; a valve's under \
             `[{inner_path}.head.valve.NAME]`, a pocket's under `[{inner_path}.piston.pocket.NAME]`.",
            again.join(", ")
        );
    }
}

/// The swap sheet's own keys; its parts have those of the build sheet.
fn describe_swap(page: &mut String) {
    table(page, &swap::SWAP);
    for section in [&swap::REPLACE, &swap::CHANGE] {
        let parts: Vec<String> = section.sections.iter().map(|inner| format!("`{}`", inner.key)).collect();
        let (key, meaning) = (section.key, capital(section.meaning));
        let _ = write!(page, "\n### `[{key}]`\n\n{meaning}.\n\nParts: {}.\n", parts.join(", "));
    }
    for (section, heading) in [(&swap::PAYOFF, "[payoff]"), (&swap::GROUP, "[[payoff.group]]")] {
        let _ = write!(page, "\n### `{heading}`\n\n{}.\n", capital(section.meaning));
        table(page, section);
    }
    let words: Vec<String> = swap::CHANGE_WORDS.iter().map(|word| format!("`{word}`")).collect();
    let _ = write!(page, "\nChanges: {}.\n", words.join(", "));
}

/// The plan's own tables; parts have the keys of a build sheet.
fn describe_plan(page: &mut String, section: &Section, path: &str) {
    for (idx, inner) in section.sections.iter().enumerate() {
        let own = heading(inner, path);
        let meaning = capital(inner.meaning);
        if [swap::REPLACE.key, swap::CHANGE.key].contains(&inner.key) {
            let _ = write!(page, "\n### `{own}`\n\n{meaning}, as in a swap sheet.\n");
            continue;
        }
        if let Some(first) = like_before(section, idx) {
            let other = heading(first, path);
            let _ = write!(page, "\n### `{own}`\n\n{meaning}. The same keys as under `{other}`.\n");
            continue;
        }
        let _ = write!(page, "\n### `{own}`\n\n{meaning}.\n");
        table(page, inner);
        describe_plan(page, inner, &join(path, inner));
    }
}

fn table(page: &mut String, section: &Section) {
    if section.entries.is_empty() {
        return;
    }
    page.push_str("\n| key | meaning | how to measure | example | without it | usual tolerance | range |\n");
    page.push_str("|---|---|---|---|---|---|---|\n");
    section.entries.iter().for_each(|entry| row(page, entry));
}

/// An earlier section with the very same keys, as the exhaust has those of the intake.
fn like_before(section: &Section, idx: usize) -> Option<&'static Section> {
    let inner = section.sections[idx];
    let same =
        |other: &&&'static Section| !other.entries.is_empty() && std::ptr::eq(other.entries, inner.entries);
    section.sections[..idx].iter().find(same).copied()
}

/// The sections of one cylinder have the keys of the common ones.
fn repeated(section: &Section, inner: &Section) -> bool {
    section.key == sheet::CYLINDER.key && sheet::BUILD.sections.iter().any(|common| common.key == inner.key)
}

fn join(path: &str, section: &Section) -> String {
    match (path.is_empty(), section.shape) {
        (true, _) => section.key.to_owned(),
        (false, Shape::Named) => format!("{path}.{}.NAME", section.key),
        (false, _) => format!("{path}.{}", section.key),
    }
}

fn heading(section: &Section, path: &str) -> String {
    if section.key.is_empty() {
        return String::new();
    }
    match section.shape {
        Shape::List => format!("[[{}]]", join(path, section)),
        _ => format!("[{}]", join(path, section)),
    }
}

fn row(page: &mut String, entry: &Entry) {
    let words = &entry.words;
    let (usual, range) = match &entry.form {
        Form::Reading { reads, range, usual } => {
            (tolerances(usual, reads.metric.symbol), range.describe(&reads.metric))
        }
        Form::Count { least, most } if least == most => (String::new(), least.to_string()),
        Form::Count { least, most } => (String::new(), format!("{least} to {most}")),
        Form::Corners | Form::Rows => (String::new(), "a list of pairs of numbers".to_owned()),
        Form::Pairs(rows) => (String::new(), format!("{} to {} {}s", rows.least, rows.most, rows.one)),
        Form::Numbers => (String::new(), "a list of numbers".to_owned()),
        Form::Groups => (String::new(), "lists of cylinder numbers".to_owned()),
        Form::Choice(allowed) => (String::new(), allowed.join(" or ")),
        Form::Names(allowed) => (String::new(), allowed.join(", ")),
        _ => (String::new(), String::new()),
    };
    let without = without(entry).unwrap_or_else(|| "required".to_owned());
    let _ = writeln!(
        page,
        "| `{}` | {} | {} | `{}` | {} | {usual} | {range} |",
        words.key, words.meaning, words.measure, words.example, without
    );
}

fn tolerances(usual: &Usual, unit: &str) -> String {
    if [usual.measured, usual.catalogue, usual.assumed] == [0.0; 3] {
        return String::new();
    }
    format!("± {} / {} / {} {unit}", usual.measured, usual.catalogue, usual.assumed).trim_end().to_owned()
}

/// What is done without a key; `None` when it is required.
pub(crate) fn without(entry: &Entry) -> Option<String> {
    match entry.missing {
        Missing::Required => None,
        Missing::Estimated(path) => Some(estimate::rule(path).unwrap_or("estimated").to_owned()),
        Missing::Taken(text) => Some(text.to_owned()),
    }
}

fn sources(page: &mut String, section: &Section, path: &str) {
    let inner_path = join(path, section);
    for entry in section.entries {
        if let Form::Reading { usual, .. } = &entry.form {
            let _ = writeln!(page, "| `{inner_path}.{}` | {} |", entry.words.key, usual.source);
        }
    }
    for (idx, inner) in section.sections.iter().enumerate() {
        if !repeated(section, inner) && like_before(section, idx).is_none() {
            sources(page, inner, &inner_path);
        }
    }
}
