//! Whether a table holds only known keys with values of the right form, and what to say when not. Leaves out what
//! depends on more than one key.

use units::{Length, Quantity};

use crate::nearest::nearest;
use crate::problem::{File, Problem, Problems};
use crate::quantity_problem::{article, quantity_problem};
use crate::source::{Place, Sources};
use crate::tree::{Item, Node, Table, Value, shortened};
use crate::vocabulary::block::EXTENT;
use crate::vocabulary::lobe::ROWS;
use crate::vocabulary::outline::CORNERS;
use crate::vocabulary::swap::REPLACE;
use crate::vocabulary::{Entry, Form, Pairs, Range, Reads, Section, Shape};

/// Checks a table and everything in it against its section.
pub(crate) fn check_table(
    problems: &mut Problems,
    sources: &Sources,
    table: &Table,
    section: &Section,
    path: &str,
) {
    for item in &table.items {
        if problems.is_full() {
            problems.give_up();
            return;
        }
        let item_path = join(path, &item.key);
        let entry = section.entries.iter().find(|entry| entry.words.key == item.key);
        let inner = section.sections.iter().find(|inner| inner.key == item.key);
        match (entry, inner) {
            (Some(entry), _) => check_entry(problems, sources, &item.node, entry, &item_path),
            (_, Some(inner)) => check_section(problems, sources, &item.node, inner, &item_path),
            (None, None) => problems.push(unknown_key(sources, item, section, &item_path)),
        }
    }
}

fn check_section(problems: &mut Problems, sources: &Sources, node: &Node, section: &Section, path: &str) {
    let wrong =
        |node: &Node, expected: String| sources.problem(node.place, path, node.describe(sources), expected);
    match (section.shape, &node.value) {
        (Shape::Once, Value::Table(table)) => check_table(problems, sources, table, section, path),
        (Shape::Named, Value::Table(names)) => {
            for item in &names.items {
                match &item.node.value {
                    Value::Table(table) => {
                        check_table(problems, sources, table, section, &join(path, &item.key));
                    }
                    _ => problems.push(wrong(&item.node, format!("a table, as in [{path}.NAME]"))),
                }
            }
        }
        (Shape::List, Value::List(list)) => {
            for (idx, one) in list.iter().enumerate() {
                if problems.is_full() {
                    problems.give_up();
                    return;
                }
                let one_path = join(path, &label(one, idx));
                match &one.value {
                    Value::Table(table) => check_table(problems, sources, table, section, &one_path),
                    _ => problems.push(wrong(one, format!("a table, as in [[{path}]]"))),
                }
            }
        }
        (Shape::Once, _) => problems.push(wrong(node, format!("a table, as in [{path}]"))),
        (Shape::Named, _) => problems.push(wrong(node, format!("tables by name, as in [{path}.NAME]"))),
        (Shape::List, _) => problems.push(wrong(node, format!("a list of tables, as in [[{path}]]"))),
    }
}

/// How one of several tables is called in a path: its name or number, else its place in the list.
pub(crate) fn label(node: &Node, idx: usize) -> String {
    let table = node.as_table();
    let name = table.and_then(|table| table.text("name").or_else(|| table.text("valve")));
    let number = table.and_then(|table| table.get("number")).and_then(Node::as_whole);
    match (name, number) {
        (Some(name), _) => shortened(name),
        (None, Some(number)) => number.to_string(),
        (None, None) => format!("#{}", idx + 1),
    }
}

pub(crate) fn join(path: &str, key: &str) -> String {
    let key = shortened(key);
    if path.is_empty() { key } else { format!("{path}.{key}") }
}

fn unknown_key(sources: &Sources, item: &Item, section: &Section, path: &str) -> Problem {
    let keys = section.entries.iter().map(|entry| entry.words.key);
    let known: Vec<&str> = keys.chain(section.sections.iter().map(|inner| inner.key)).collect();
    let found = format!("the unknown key \"{}\"", shortened(&item.key));
    let mut problem = sources.problem(item.key_place, path, found, format!("one of {}", known.join(", ")));
    problem.help =
        nearest(&item.key, known.iter().copied()).map(|key| format!("the nearest valid key is {key}"));
    let replace = section.sections.iter().find(|inner| inner.key == REPLACE.key);
    if replace.is_some_and(|replace| replace.sections.iter().any(|part| part.key == item.key)) {
        let key = &item.key;
        problem.help =
            Some(format!("write [replace.{key}] for a whole part, [change.{key}] for single readings"));
    }
    problem
}

fn check_entry(problems: &mut Problems, sources: &Sources, node: &Node, entry: &Entry, path: &str) {
    let mut wrong = |expected: String| {
        problems.push(sources.problem(node.place, path, node.describe(sources), expected));
    };
    match (&entry.form, &node.value) {
        (Form::Reading { reads, range, .. }, _) => {
            check_reading(problems, sources, node, reads, range, entry, path);
        }
        (Form::Limit, Value::Table(table)) => check_limit(problems, sources, node, table, path),
        (Form::Limit, _) => check_limit_length(problems, sources, node, path),
        (Form::Text | Form::Name, Value::Text(text)) if text.trim().is_empty() => {
            wrong("a text that is not empty".into());
        }
        (Form::Text, Value::Text(_)) | (Form::Flag, Value::Flag(_)) => {}
        (Form::Text, _) => wrong("a text in quotes".into()),
        (Form::Flag, _) => wrong("true or false".into()),
        (Form::Name, Value::Text(name)) if is_name(name) => {}
        (Form::Name, _) => wrong("a name of letters, digits, _ and -".into()),
        (Form::Names(known), _) => check_names(problems, sources, node, known, path),
        (Form::Count { least, most }, Value::Whole(number)) if (*least..=*most).contains(number) => {}
        (Form::Count { least, most }, _) if least == most => wrong(format!("{least}")),
        (Form::Count { least, most }, _) => wrong(format!("a whole number from {least} to {most}")),
        (Form::Choice(words), Value::Text(word)) if words.contains(&word.as_str()) => {}
        (Form::Choice(words), _) => {
            let expected = format!("one of {}", quoted(words));
            let mut problem = sources.problem(node.place, path, node.describe(sources), expected);
            let near = node.as_text().and_then(|word| nearest(word, words.iter().copied()));
            problem.help = near.map(|word| format!("the nearest valid word is {word}"));
            problems.push(problem);
        }
        (Form::LengthUnit, Value::Text(unit)) if unit_of(unit).is_some() => {}
        (Form::LengthUnit, _) => wrong(format!("a unit of length ({})", Length::EXAMPLES)),
        (Form::Corners, _) => check_pairs(problems, sources, node, &CORNER, path),
        (Form::Rows, _) => check_pairs(problems, sources, node, &ROW, path),
        (Form::Pairs(pairs), _) => check_pairs(problems, sources, node, pairs, path),
        (Form::Numbers, _) => check_numbers(problems, sources, node, path),
        (Form::Groups, _) => check_groups(problems, sources, node, path),
    }
}

/// Whether a text may stand in a path.
pub(crate) fn is_name(text: &str) -> bool {
    let good = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-';
    !text.is_empty() && text.len() <= 40 && text.chars().all(good)
}

fn quoted(words: &[&str]) -> String {
    words.iter().map(|word| format!("\"{word}\"")).collect::<Vec<_>>().join(", ")
}

/// SI length of one of a unit.
pub(crate) fn unit_of(unit: &str) -> Option<f64> {
    let unit = Length::UNITS.iter().find(|known| known.symbol == unit || known.spellings.contains(&unit))?;
    Some(unit.to_si(1.0))
}

fn check_names(problems: &mut Problems, sources: &Sources, node: &Node, known: &[&str], path: &str) {
    let expected = format!("a list of {}", quoted(known));
    let Value::List(list) = &node.value else {
        problems.push(sources.problem(node.place, path, node.describe(sources), expected));
        return;
    };
    // A repeated word is a problem, so no more than one beyond the known ones needs a look.
    for (idx, one) in list.iter().enumerate().take(known.len() + 1) {
        let word = one.as_text();
        let twice = list[..idx].iter().any(|other| other.same(one));
        if word.is_some_and(|word| known.contains(&word)) && !twice {
            continue;
        }
        let again = if twice { " a second time" } else { "" };
        let found = format!("{}{again}", one.describe(sources));
        let mut problem = sources.problem(one.place, path, found, format!("one of {}", quoted(known)));
        let near = word.filter(|_| !twice).and_then(|word| nearest(word, known.iter().copied()));
        problem.help = near.map(|word| format!("the nearest valid word is {word}"));
        problems.push(problem);
    }
    if list.is_empty() {
        problems.push(sources.problem(node.place, path, "an empty list", expected));
    }
}

fn check_reading(
    problems: &mut Problems,
    sources: &Sources,
    node: &Node,
    reads: &Reads,
    range: &Range,
    entry: &Entry,
    path: &str,
) {
    let expected = format!("{} {} ({})", article(reads.kind), reads.kind, reads.examples);
    let Value::Text(text) = &node.value else {
        let found = match node.value {
            Value::Whole(_) | Value::Number(_) => format!("{} without a unit", node.describe(sources)),
            _ => node.describe(sources),
        };
        let mut problem = sources.problem(node.place, path, found, format!("{expected} in quotes"));
        problem.help = Some(format!("for example \"{}\"", entry.words.example));
        problems.push(problem);
        return;
    };
    let (value_si, tolerance_si) = match (reads.parse)(text) {
        Ok(typed) => typed,
        Err(error) => {
            problems.push(quantity_problem(
                sources,
                node,
                text,
                &error,
                &expected,
                entry.words.example,
                path,
            ));
            return;
        }
    };
    let value = reads.metric.from_si(value_si);
    if !range.contains(value) {
        let expected = format!("{} {} {}", article(reads.kind), reads.kind, range.describe(&reads.metric));
        problems.push(sources.problem(node.place, path, format!("\"{}\"", shortened(text)), expected));
    }
    let most = range.above.abs().max(range.below.abs());
    if tolerance_si.is_some_and(|tolerance| most <= reads.metric.difference_from_si(tolerance)) {
        let expected = format!("a tolerance below {most} {}", reads.metric.symbol);
        problems.push(sources.problem(node.place, path, format!("\"{}\"", shortened(text)), expected));
    }
}

fn check_limit(problems: &mut Problems, sources: &Sources, node: &Node, table: &Table, path: &str) {
    for item in &table.items {
        let inner = join(path, &item.key);
        match (item.key.as_str(), &item.node.value) {
            ("least", _) => check_limit_length(problems, sources, &item.node, &inner),
            ("source", Value::Text(_)) => {}
            ("source", _) => {
                let found = item.node.describe(sources);
                problems.push(sources.problem(item.node.place, &inner, found, "a text in quotes"));
            }
            _ => {
                let found = format!("the unknown key \"{}\"", shortened(&item.key));
                problems.push(sources.problem(item.key_place, &inner, found, "one of least, source"));
            }
        }
    }
    if table.get("least").is_none() {
        problems.push(sources.problem(node.place, path, "no least", "least = \"0.050 in\", a length"));
    }
}

fn check_limit_length(problems: &mut Problems, sources: &Sources, node: &Node, path: &str) {
    let expected = Length::expected().to_string();
    let Value::Text(text) = &node.value else {
        let found = node.describe(sources);
        problems.push(sources.problem(node.place, path, found, format!("{expected} in quotes")));
        return;
    };
    match units::parse_typed::<Length>(text) {
        Err(error) => {
            problems.push(quantity_problem(sources, node, text, &error, &expected, "0.050 in", path));
        }
        Ok(typed) if typed.tolerance.is_some() || typed.basis.is_some() => {
            let found = format!("\"{}\"", shortened(text));
            problems.push(sources.problem(node.place, path, found, "a length without tolerance or basis"));
        }
        Ok(typed) if !EXTENT.contains(Length::METRIC.from_si(typed.value.si())) => {
            let found = format!("\"{}\"", shortened(text));
            let expected = format!("a length {}", EXTENT.describe(&Length::METRIC));
            problems.push(sources.problem(node.place, path, found, expected));
        }
        Ok(_) => {}
    }
}

const CORNER: Pairs = Pairs { one: "corner", form: "[x, y]", least: *CORNERS.start(), most: *CORNERS.end() };
const ROW: Pairs = Pairs { one: "row", form: "[angle, lift]", least: *ROWS.start(), most: *ROWS.end() };

fn check_pairs(problems: &mut Problems, sources: &Sources, node: &Node, pair: &Pairs, path: &str) {
    let Pairs { one, form, least, most } = pair;
    let Value::List(list) = &node.value else {
        let expected = format!("a list of {one}s {form}, each two numbers");
        problems.push(sources.problem(node.place, path, node.describe(sources), expected));
        return;
    };
    if !(*least..=*most).contains(&list.len()) {
        let expected = format!("{least} to {most} {one}s");
        problems.push(sources.problem(node.place, path, format!("{} {one}s", list.len()), expected));
    }
    for item in list.iter().take(*most) {
        let found = match &item.value {
            Value::List(pair) if pair.len() == 2 && pair.iter().all(|one| number(one).is_some()) => continue,
            Value::List(pair) if pair.len() == 1 => format!("a {one} of 1 number"),
            Value::List(pair) if pair.len() != 2 => format!("a {one} of {} numbers", pair.len()),
            Value::List(_) => format!("the {one} {}", shortened(sources.at(item.place))),
            _ => item.describe(sources),
        };
        problems.push(sources.problem(item.place, path, found, format!("two finite numbers {form}")));
    }
}

/// Most numbers or groups in a list.
const MOST_NUMBERS: usize = 32;

fn check_numbers(problems: &mut Problems, sources: &Sources, node: &Node, path: &str) {
    let mut wrong = |node: &Node, expected: String| {
        problems.push(sources.problem(node.place, path, node.describe(sources), expected));
    };
    match &node.value {
        Value::List(list) if (1..=MOST_NUMBERS).contains(&list.len()) => {
            list.iter().filter(|one| number(one).is_none()).for_each(|one| wrong(one, "a number".to_owned()));
        }
        _ => wrong(node, format!("a list of 1 to {MOST_NUMBERS} numbers")),
    }
}

fn check_groups(problems: &mut Problems, sources: &Sources, node: &Node, path: &str) {
    let mut wrong = |node: &Node, expected: String| {
        problems.push(sources.problem(node.place, path, node.describe(sources), expected));
    };
    let Value::List(list) = &node.value else {
        wrong(node, "a list of lists of cylinder numbers, as in [[1, 4], [2, 3]]".to_owned());
        return;
    };
    if !(1..=MOST_NUMBERS).contains(&list.len()) {
        wrong(node, format!("1 to {MOST_NUMBERS} lists of cylinder numbers"));
    }
    for one in list.iter().take(MOST_NUMBERS) {
        let good = |number: &Node| number.as_whole().is_some_and(|number| (1..=32).contains(&number));
        match &one.value {
            Value::List(numbers) if !numbers.is_empty() && numbers.iter().all(good) => {}
            _ => wrong(one, "a list of cylinder numbers, as in [1, 4]".to_owned()),
        }
    }
}

/// A finite number of ordinary size.
pub(crate) fn number(node: &Node) -> Option<f64> {
    let number = match node.value {
        Value::Whole(number) => number as f64,
        Value::Number(number) => number,
        _ => return None,
    };
    (number.is_finite() && number.abs() < 1e9).then_some(number)
}

/// What is wrong with a text for a key, found and expected; `None` when it can stand there.
pub(crate) fn check_entry_text(entry: &Entry, text: &str) -> Option<(String, String)> {
    let mut sources = Sources::default();
    let file = sources.add(File::Base, text);
    let place = Place { file, start: 0, end: text.len() };
    let node = Node { place, value: Value::Text(text.to_owned()) };
    let mut problems = Problems::default();
    check_entry(&mut problems, &sources, &node, entry, "");
    problems.list().first().map(|problem| (problem.found.clone(), problem.expected.clone()))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;
    use crate::tree::parse;
    use crate::vocabulary::{sheet, swap};
    use parts::limit::Check;

    fn check_examples(section: &Section) {
        for entry in section.entries {
            let example = entry.words.example;
            let quote = if entry.form.is_bare() { "" } else { "\"" };
            let text = format!("{} = {quote}{example}{quote}", entry.words.key);
            let mut sources = Sources::default();
            let root = parse(&mut sources, File::Base, &text).unwrap();
            let mut problems = Problems::default();
            check_entry(
                &mut problems,
                &sources,
                &root.as_table().unwrap().items[0].node,
                entry,
                entry.words.key,
            );
            assert!(problems.is_empty(), "{problems}");
        }
        section.sections.iter().for_each(|inner| check_examples(inner));
    }

    #[test]
    fn exact_every_example_can_stand_in_its_place() {
        check_examples(&sheet::BUILD);
        check_examples(&swap::SWAP);
    }

    #[test]
    fn exact_every_check_has_its_limit_and_every_estimate_its_rule() {
        let keys: Vec<&str> =
            crate::vocabulary::limits::LIMITS.entries.iter().map(|entry| entry.words.key).collect();
        assert_eq!(keys, Check::ALL.map(Check::key));
        fn check_rules(section: &Section) {
            for entry in section.entries {
                if let crate::vocabulary::Missing::Estimated(path) = entry.missing {
                    assert!(parts::estimate::rule(path).is_some(), "{path}");
                }
            }
            section.sections.iter().for_each(|inner| check_rules(inner));
        }
        check_rules(&sheet::BUILD);
    }
}
