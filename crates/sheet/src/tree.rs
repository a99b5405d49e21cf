//! A sheet as a tree of tables that knows where each key and value stands, in which file. Leaves out what the keys
//! mean.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::problem::{File, Problems};
use crate::source::{MOST_BYTES, Place, Sources};

/// A value and where it stands.
#[derive(Clone, Debug)]
pub(crate) struct Node {
    pub place: Place,
    pub value: Value,
}

/// A value.
#[derive(Clone, Debug)]
pub(crate) enum Value {
    Text(String),
    Whole(i64),
    Number(f64),
    Flag(bool),
    Date,
    List(Vec<Node>),
    Table(Table),
}

/// Keys with values; no key stands twice.
#[derive(Clone, Debug, Default)]
pub(crate) struct Table {
    pub items: Vec<Item>,
}

/// One line of a table.
#[derive(Clone, Debug)]
pub(crate) struct Item {
    pub key: String,
    pub key_place: Place,
    pub node: Node,
}

impl Table {
    pub fn item(&self, key: &str) -> Option<&Item> {
        self.items.iter().find(|item| item.key == key)
    }

    pub fn get(&self, key: &str) -> Option<&Node> {
        self.item(key).map(|item| &item.node)
    }

    pub fn table(&self, key: &str) -> Option<&Self> {
        self.get(key).and_then(Node::as_table)
    }

    pub fn list(&self, key: &str) -> &[Node] {
        match self.get(key) {
            Some(Node { value: Value::List(list), .. }) => list,
            _ => &[],
        }
    }

    pub fn text(&self, key: &str) -> Option<&str> {
        self.get(key).and_then(Node::as_text)
    }

    pub fn get_mut(&mut self, key: &str) -> Option<&mut Node> {
        self.items.iter_mut().find(|item| item.key == key).map(|item| &mut item.node)
    }

    /// Puts an item in the place of the one with its key, or adds it.
    pub fn put(&mut self, item: Item) {
        match self.items.iter_mut().find(|old| old.key == item.key) {
            Some(old) => *old = item,
            None => self.items.push(item),
        }
    }

    /// Takes a key out.
    pub fn remove(&mut self, key: &str) -> Option<Item> {
        let at = self.items.iter().position(|item| item.key == key)?;
        Some(self.items.remove(at))
    }
}

impl Node {
    pub fn as_table(&self) -> Option<&Table> {
        match &self.value {
            Value::Table(table) => Some(table),
            _ => None,
        }
    }

    pub fn as_text(&self) -> Option<&str> {
        match &self.value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    pub fn as_whole(&self) -> Option<i64> {
        match self.value {
            Value::Whole(number) => Some(number),
            _ => None,
        }
    }

    /// What stands there, for a message.
    pub fn describe(&self, sources: &Sources) -> String {
        match &self.value {
            Value::Text(text) => format!("the text \"{}\"", shortened(text)),
            Value::Whole(_) | Value::Number(_) => format!("the number {}", shortened(sources.at(self.place))),
            Value::Flag(flag) => flag.to_string(),
            Value::Date => format!("the date {}", shortened(sources.at(self.place))),
            Value::List(_) => "a list".to_owned(),
            Value::Table(_) => "a table".to_owned(),
        }
    }

    /// Whether two values say the same, wherever they stand.
    pub fn same(&self, other: &Self) -> bool {
        match (&self.value, &other.value) {
            (Value::Text(a), Value::Text(b)) => a == b,
            (Value::Whole(a), Value::Whole(b)) => a == b,
            (Value::Number(a), Value::Number(b)) => a == b,
            (Value::Flag(a), Value::Flag(b)) => a == b,
            (Value::Date, Value::Date) => true,
            (Value::List(a), Value::List(b)) => a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.same(b)),
            (Value::Table(a), Value::Table(b)) => {
                let all =
                    a.items.iter().all(|item| b.get(&item.key).is_some_and(|node| node.same(&item.node)));
                a.items.len() == b.items.len() && all
            }
            _ => false,
        }
    }
}

/// A text cut to a length that fits a message.
pub(crate) fn shortened(text: &str) -> String {
    const MOST: usize = 60;
    if text.chars().count() <= MOST {
        return text.to_owned();
    }
    text.chars().take(MOST).chain("...".chars()).collect()
}

/// Parses TOML; the text is kept in `sources`. All syntax problems are reported at once.
pub(crate) fn parse(sources: &mut Sources, file: File, text: &str) -> Result<Node, Problems> {
    let file_idx = sources.add(file, if text.len() > MOST_BYTES { "" } else { text });
    if text.len() > MOST_BYTES {
        let place = Place { file: file_idx, start: 0, end: 0 };
        let expected = format!("a sheet of at most {MOST_BYTES} bytes");
        return Err(sources.problem(place, "", format!("{} bytes", text.len()), expected).into());
    }
    let (root, errors) = DeTable::parse_recoverable(text);
    if errors.is_empty() {
        let place = Place { file: file_idx, start: 0, end: 0 };
        return Ok(Node { place, value: Value::Table(table(file_idx, root.into_inner())) });
    }
    let mut problems = Problems::default();
    for error in errors {
        if problems.is_full() {
            problems.give_up();
            break;
        }
        let span = error.span().unwrap_or(0..0);
        let place = Place { file: file_idx, start: span.start, end: span.end };
        let (found, expected) = syntax_words(sources.at(place), error.message());
        problems.push(sources.problem(place, "not TOML", found, expected));
    }
    Err(problems.sorted())
}

/// Splits the parser's message into what was found and what was expected.
fn syntax_words(at: &str, message: &str) -> (String, String) {
    let line = at.lines().next().unwrap_or_default();
    let seen = if line.is_empty() { "nothing".to_owned() } else { format!("`{}`", shortened(line)) };
    if message.contains("duplicate key") {
        return (format!("{seen} a second time"), "each key once in its table".to_owned());
    }
    match message.split_once(", expected ") {
        Some((what, expected)) => (format!("{seen} ({what})"), expected.to_owned()),
        None => (seen, format!("TOML ({message})")),
    }
}

fn table(file: usize, from: DeTable<'_>) -> Table {
    let mut items: Vec<Item> = from
        .into_iter()
        .map(|(key, value)| {
            let span = key.span();
            let key_place = Place { file, start: span.start, end: span.end };
            Item { key: key.into_inner().into_owned(), key_place, node: node(file, value) }
        })
        .collect();
    items.sort_by_key(|item| item.key_place.start);
    Table { items }
}

fn node(file: usize, from: Spanned<DeValue<'_>>) -> Node {
    let span = from.span();
    let place = Place { file, start: span.start, end: span.end };
    let value = match from.into_inner() {
        DeValue::String(text) => Value::Text(text.into_owned()),
        DeValue::Integer(whole) => match i64::from_str_radix(whole.as_str(), whole.radix()) {
            Ok(number) => Value::Whole(number),
            Err(_) => Value::Number(f64::INFINITY),
        },
        // A TOML float is always a Rust float; one beyond its range becomes infinite and is refused later.
        DeValue::Float(float) => Value::Number(float.as_str().parse().unwrap_or(f64::NAN)),
        DeValue::Boolean(flag) => Value::Flag(flag),
        DeValue::Datetime(_) => Value::Date,
        DeValue::Array(list) => Value::List(list.into_iter().map(|value| node(file, value)).collect()),
        DeValue::Table(inner) => Value::Table(table(file, inner)),
    };
    Node { place, value }
}
