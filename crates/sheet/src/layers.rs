//! Looking a reading up: first in what a cylinder has of its own, then in what is common to all. Leaves out the form
//! of values, which was checked before.

use units::{Basis, Quantity, Reading};

use crate::check::join;
use crate::problem::Problems;
use crate::source::{Place, Sources};
use crate::tree::{Node, Table, Value};
use crate::vocabulary::{Entry, Field, Form, Section};

/// What is collected while parts are put together.
#[derive(Debug)]
pub(crate) struct Log<'s> {
    pub sources: &'s Sources,
    pub problems: Problems,
    pub notes: Vec<String>,
}

/// A table and where its header stands.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Layer<'t> {
    pub table: &'t Table,
    pub place: Place,
}

/// The tables in which the readings of one part of one cylinder are looked up.
#[derive(Clone, Debug)]
pub(crate) struct Layers<'t> {
    /// What the cylinder has of its own.
    pub own: Option<Layer<'t>>,
    /// What all cylinders have.
    pub common: Option<Layer<'t>>,
    /// Whether the cylinder mirrors the common readings.
    pub mirrored: bool,
    /// Such as `head.valve.exhaust`.
    pub path: String,
    /// Where to point when no table is there.
    pub top: Place,
}

impl Log<'_> {
    /// Says something about the answer that is no problem, once.
    pub fn note(&mut self, text: String) {
        if !self.notes.contains(&text) {
            self.notes.push(text);
        }
    }

    /// Reports a problem.
    pub fn wrong(&mut self, place: Place, path: &str, found: impl Into<String>, expected: impl Into<String>) {
        self.problems.push(self.sources.problem(place, path, found, expected));
    }
}

impl<'t> Layer<'t> {
    /// The table at a node.
    pub fn of(node: &'t Node) -> Option<Self> {
        node.as_table().map(|table| Self { table, place: node.place })
    }

    /// The table under a key.
    pub fn inner(self, key: &str) -> Option<Self> {
        self.table.get(key).and_then(Self::of)
    }
}

impl<'t> Layers<'t> {
    /// The layers of a section within.
    pub fn inner(&self, key: &str) -> Self {
        Self {
            own: self.own.and_then(|layer| layer.inner(key)),
            common: self.common.and_then(|layer| layer.inner(key)),
            mirrored: self.mirrored,
            path: join(&self.path, key),
            top: self.top,
        }
    }

    /// The layers of one of several named tables: the common one of a list, the own one under its name.
    pub fn named(&self, key: &str, name: &str, common: Layer<'t>) -> Self {
        Self {
            own: self.own.and_then(|layer| layer.inner(key)).and_then(|layer| layer.inner(name)),
            common: Some(common),
            mirrored: self.mirrored,
            path: join(&join(&self.path, key), name),
            top: self.top,
        }
    }

    /// Whether there is no table at all.
    pub fn absent(&self) -> bool {
        self.own.is_none() && self.common.is_none()
    }

    /// The layers of the tables of a list that all cylinders have in common, such as `[[cam.intake.duration]]`.
    pub fn list(&self, section: &Section) -> Vec<Self> {
        let list = self.common.map_or(&[][..], |layer| layer.table.list(section.key));
        let path = join(&self.path, section.key);
        let tables = list.iter().enumerate().filter_map(|(idx, node)| Some((idx, Layer::of(node)?)));
        tables
            .map(|(idx, layer)| Self {
                own: None,
                common: Some(layer),
                mirrored: false,
                path: join(&path, &format!("#{}", idx + 1)),
                top: layer.place,
            })
            .collect()
    }

    /// Whether a key stands there.
    pub fn has(&self, key: &str) -> bool {
        self.node(key).is_some()
    }

    /// The node of a key, and whether it is the cylinder's own.
    pub fn node(&self, key: &str) -> Option<(&'t Node, bool)> {
        let own = self.own.and_then(|layer| layer.table.get(key)).map(|node| (node, true));
        own.or_else(|| self.common.and_then(|layer| layer.table.get(key)).map(|node| (node, false)))
    }

    /// Where the part's header stands.
    pub fn place(&self) -> Place {
        self.common.or(self.own).map_or(self.top, |layer| layer.place)
    }

    /// A reading; `None` when it is not there or was refused.
    pub fn get<Q: Quantity>(&self, field: &Field<Q>) -> Option<Reading<Q>> {
        let (node, own) = self.node(field.key())?;
        let turned = self.mirrored && !own && field.entry.turns_in_mirror;
        reading(node, field, turned)
    }

    /// A reading that has to be there. When it is not, that is reported and a zero stands in.
    pub fn need<Q: Quantity>(&self, log: &mut Log, field: &Field<Q>) -> Reading<Q> {
        self.require(log, &field.entry);
        self.get(field).unwrap_or(Reading::assumed(Q::from_si(0.0), Q::from_si(0.0)))
    }

    /// Reports a key that has to be there and is not. A missing section is reported once, by [`Self::section`].
    pub fn require(&self, log: &mut Log, entry: &Entry) {
        let words = &entry.words;
        if self.absent() || self.node(words.key).is_some() {
            return;
        }
        let quotes = if entry.form.is_bare() { "" } else { "\"" };
        let expected = format!("{} = {quotes}{}{quotes}, {}", words.key, words.example, words.meaning);
        log.wrong(self.place(), &join(&self.path, words.key), format!("no {}", words.key), expected);
    }

    /// The layers of a section that has to be there, reported when it is not.
    pub fn section(&self, log: &mut Log, section: &Section) -> Self {
        let inner = self.inner(section.key);
        let there = |layer: Option<Layer>| layer.is_some_and(|layer| layer.table.get(section.key).is_some());
        if !there(self.own) && !there(self.common) {
            let expected = format!("[{}], {}", inner.path, section.meaning);
            log.wrong(self.place(), &inner.path, format!("no [{}]", inner.path), expected);
        }
        inner
    }

    /// A text, empty when it is not there.
    pub fn text(&self, entry: &Entry) -> &'t str {
        self.node(entry.words.key).and_then(|(node, _)| node.as_text()).unwrap_or_default()
    }

    /// A whole number within its bounds.
    pub fn count(&self, entry: &Entry) -> Option<usize> {
        let (Form::Count { least, most }, (node, _)) = (&entry.form, self.node(entry.words.key)?) else {
            return None;
        };
        let number = node.as_whole().filter(|number| (*least..=*most).contains(number))?;
        usize::try_from(number).ok()
    }

    /// A flag, `false` when it is not there.
    pub fn flag(&self, entry: &Entry) -> bool {
        matches!(self.node(entry.words.key), Some((Node { value: Value::Flag(true), .. }, _)))
    }
}

/// The reading in a node: measured where no basis is typed, with the usual tolerance of its basis where none is.
pub(crate) fn reading<Q: Quantity>(node: &Node, field: &Field<Q>, turned: bool) -> Option<Reading<Q>> {
    let typed = units::parse_typed::<Q>(node.as_text()?).ok()?;
    let mut reading = typed.reading(Basis::Measured, |basis| field.usual_tolerance(basis));
    if turned {
        // Subtracted rather than negated, so that 0 stays 0 and not -0.
        reading.value = Q::from_si(0.0 - reading.value.si());
    }
    Some(reading)
}
