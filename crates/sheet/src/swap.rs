//! From a base and a swap sheet (or a second full sheet) to the candidate build, and to the builds in between that
//! have only some of the replaced parts.

use parts::Build;

use crate::check::check_table;
use crate::layers::Log;
use crate::merge::{change_part, number_of, overlay_cylinder, replace_part, take_part};
use crate::problem::{File, Problems};
use crate::read_build::{Sheet, read_tree};
use crate::source::{Sources, text_of};
use crate::swap_payoff::{PayoffWishes, check_groups, read_payoff};
use crate::tree::{Node, Table, Value, parse};
use crate::vocabulary::limits::LIMITS;
use crate::vocabulary::sheet::{CYLINDER, CYLINDERS, ENGINE, FORMAT, MIRRORED, NAME, NOTE, NUMBER};
use crate::vocabulary::swap::{CHANGE, FROM, REPLACE, SWAP, TAKE};

/// A part that can be swapped.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PartName {
    /// Bore, crank and deck.
    Block,
    /// Head gasket.
    Gasket,
    /// Head with its valves.
    Head,
    /// Piston.
    Piston,
    /// Both cams.
    Cam,
    /// Followers, rockers and what else stands between cam and valves.
    Train,
    /// Valve springs.
    Spring,
    /// Passages in the head.
    Port,
    /// What the valves let through.
    Flow,
    /// Air cleaner to intake flange.
    Induction,
    /// Exhaust flange to tail pipe.
    Exhaust,
    /// A compressor.
    Boost,
    /// Fuel and mixture.
    Fuel,
    /// Timing and plug.
    Spark,
    /// How fast the charge burns.
    Burning,
    /// Heat to the walls.
    Walls,
    /// Bearings.
    Friction,
}

impl PartName {
    /// All parts, in the order of the sheet.
    pub const ALL: [Self; 17] = [
        Self::Block,
        Self::Gasket,
        Self::Head,
        Self::Piston,
        Self::Cam,
        Self::Train,
        Self::Spring,
        Self::Port,
        Self::Flow,
        Self::Induction,
        Self::Exhaust,
        Self::Boost,
        Self::Fuel,
        Self::Spark,
        Self::Burning,
        Self::Walls,
        Self::Friction,
    ];

    /// Whether it matters for torque only: no gap, volume or spring depends on it.
    pub fn only_runs(self) -> bool {
        Self::Port <= self
    }

    /// The name of its section in the sheet.
    pub fn key(self) -> &'static str {
        match self {
            Self::Block => "block",
            Self::Gasket => "gasket",
            Self::Head => "head",
            Self::Piston => "piston",
            Self::Cam => "cam",
            Self::Train => "train",
            Self::Spring => "spring",
            Self::Port => "port",
            Self::Flow => "flow",
            Self::Induction => "induction",
            Self::Exhaust => "exhaust",
            Self::Boost => "boost",
            Self::Fuel => "fuel",
            Self::Spark => "spark",
            Self::Burning => "burning",
            Self::Walls => "walls",
            Self::Friction => "friction",
        }
    }
}

/// A base with some of its parts swapped.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// What people call it.
    pub name: String,
    /// The whole engine with all swapped parts.
    pub build: Build,
    /// Parts that differ from the base, in the order of the sheet.
    pub parts_replaced: Vec<PartName>,
    /// What was done that the reader of the answer should know.
    pub notes: Vec<String>,
    /// How its payoff is to be judged.
    pub payoff: PayoffWishes,
    recipe: Recipe,
}

/// How to put a candidate together from its texts.
#[derive(Clone, Debug)]
struct Recipe {
    sources: Sources,
    base: Node,
    changes: Changes,
}

/// What is put in the place of a base's parts.
#[derive(Clone, Debug)]
pub(crate) struct Changes {
    /// Another full sheet and the parts taken from it.
    pub donor: Option<(Node, Vec<PartName>)>,
    /// A swap sheet.
    pub swap: Option<Node>,
}

/// Reads a candidate against its base. `resolve` returns the text of the other sheet that a swap sheet names.
pub fn read_candidate(
    base_text: &str,
    candidate_text: &str,
    resolve: &mut dyn FnMut(&str) -> Result<String, String>,
) -> Result<Candidate, Problems> {
    let mut bytes = |name: &str| resolve(name).map(String::into_bytes);
    read_candidate_bytes(base_text.as_bytes(), candidate_text.as_bytes(), &mut bytes)
}

/// Reads a candidate against its base, each as it comes from a file. `resolve` returns the bytes of the other sheet
/// that a swap sheet names, or why they cannot be had.
///
/// A candidate with an `[engine]` and without `replace`, `change`, `from` and `take` is a full build sheet and taken
/// whole.
pub fn read_candidate_bytes(
    base: &[u8],
    candidate: &[u8],
    resolve: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Result<Candidate, Problems> {
    let mut sources = Sources::default();
    let base = parse_bytes(&mut sources, File::Base, base)?;
    let candidate = parse_bytes(&mut sources, File::Candidate, candidate)?;
    if is_build(&candidate) {
        read_whole(sources, base, candidate)
    } else {
        read_swap(sources, base, candidate, resolve)
    }
}

/// Whether a sheet is a full build sheet rather than a swap sheet.
pub(crate) fn is_build(sheet: &Node) -> bool {
    let table = sheet.as_table();
    let says = |key: &str| table.is_some_and(|table| table.get(key).is_some());
    let swaps = [REPLACE.key, CHANGE.key, FROM.words.key, TAKE.words.key].into_iter().any(says);
    says(ENGINE.key) && !swaps
}

impl Candidate {
    /// Whether that part is another piece than the base's, so that even equal readings were taken twice. False for a
    /// part of the base some of whose readings were changed, such as a skimmed head, and for parts left alone.
    pub fn is_another_piece(&self, part: PartName) -> bool {
        let taken = self.recipe.changes.donor.as_ref().is_some_and(|(_, taken)| taken.contains(&part));
        let swap = self.recipe.changes.swap.as_ref().and_then(Node::as_table);
        let replaced = swap.and_then(|swap| swap.table(REPLACE.key));
        taken || replaced.is_some_and(|replaced| replaced.get(part.key()).is_some())
    }

    /// The base with only these of the replaced parts; with none it is the base under the candidate's name and limits.
    ///
    /// An error is possible where the parts do not make a readable engine without each other, such as a head whose
    /// valves take their lift from a cam that is not among them.
    pub fn with_only(&self, parts: &[PartName]) -> Result<Build, Problems> {
        let parts: Vec<PartName> =
            self.parts_replaced.iter().copied().filter(|part| parts.contains(part)).collect();
        self.recipe.put_together(&parts).map(|sheet| sheet.build)
    }
}

pub(crate) fn parse_bytes(sources: &mut Sources, file: File, bytes: &[u8]) -> Result<Node, Problems> {
    let text = text_of(&file, bytes)?;
    parse(sources, file, &text)
}

/// A second full sheet: every part that differs counts as replaced.
fn read_whole(sources: Sources, base: Node, candidate: Node) -> Result<Candidate, Problems> {
    let mut problems = Problems::default();
    let read = [&base, &candidate].map(|root| read_tree(&sources, root));
    let [Ok(_), Ok(sheet)] = read else {
        read.into_iter().filter_map(Result::err).for_each(|wrong| problems.extend(wrong));
        return Err(problems.sorted());
    };
    let (Some(base_table), Some(table)) = (base.as_table(), candidate.as_table()) else {
        return Err(problems);
    };
    let parts_replaced: Vec<PartName> =
        PartName::ALL.into_iter().filter(|part| differs(base_table, table, *part)).collect();
    let donor = Some((candidate, parts_replaced.clone()));
    let recipe = Recipe { sources, base, changes: Changes { donor, swap: None } };
    Ok(Candidate {
        name: sheet.build.name.clone(),
        build: sheet.build,
        parts_replaced,
        notes: sheet.notes,
        payoff: PayoffWishes::default(),
        recipe,
    })
}

/// Whether two full sheets say different things about a part, for all cylinders or for one.
pub(crate) fn differs(base: &Table, other: &Table, part: PartName) -> bool {
    let same = |a: Option<&Node>, b: Option<&Node>| match (a, b) {
        (Some(a), Some(b)) => a.same(b),
        (None, None) => true,
        _ => false,
    };
    let own = |root: &Table, number: usize| -> Option<Table> {
        let nodes = root.list(CYLINDER.key);
        nodes.iter().find(|node| number_of(node) == Some(number)).and_then(Node::as_table).cloned()
    };
    let numbers = base.list(CYLINDER.key).iter().chain(other.list(CYLINDER.key)).filter_map(number_of);
    let keys: &[&str] = match part {
        PartName::Head => &[part.key(), MIRRORED.words.key],
        _ => &[part.key()],
    };
    let mut own_differ =
        numbers.flat_map(|number| keys.iter().map(move |key| (number, *key))).map(|(number, key)| {
            let (a, b) = (own(base, number), own(other, number));
            !same(a.as_ref().and_then(|a| a.get(key)), b.as_ref().and_then(|b| b.get(key)))
        });
    !same(base.get(part.key()), other.get(part.key())) || own_differ.any(|differs| differs)
}

fn read_swap(
    mut sources: Sources,
    base: Node,
    swap: Node,
    resolve: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Result<Candidate, Problems> {
    let mut problems = Problems::default();
    if let Err(wrong) = read_tree(&sources, &base) {
        problems.extend(wrong);
    }
    check_swap(&mut problems, &sources, &swap);
    if problems.is_full() {
        return Err(problems.sorted());
    }
    let donor = read_donor(&mut problems, &mut sources, &swap, resolve);
    let parts_replaced = parts_of(&swap);
    let payoff = swap.as_table().map(read_payoff).unwrap_or_default();
    let recipe = Recipe { sources, base, changes: Changes { donor, swap: Some(swap) } };
    match recipe.put_together(&parts_replaced) {
        Ok(Sheet { build, notes }) if problems.is_empty() => {
            Ok(Candidate { name: build.name.clone(), build, parts_replaced, notes, payoff, recipe })
        }
        Ok(_) => Err(problems.sorted()),
        Err(wrong) => {
            problems.extend(wrong);
            Err(problems.sorted())
        }
    }
}

/// Problems of a swap sheet that its own text shows.
pub(crate) fn check_swap(problems: &mut Problems, sources: &Sources, swap: &Node) {
    let Some(table) = swap.as_table() else { return };
    check_table(problems, sources, table, &SWAP, "");
    check_groups(problems, sources, table);
    for entry in [&FORMAT, &NAME] {
        if table.get(entry.words.key).is_none() {
            let found = format!("no {}", entry.words.key);
            let expected = format!("{}, such as {}", entry.words.meaning, entry.words.example);
            problems.push(sources.problem(swap.place, entry.words.key, found, expected));
        }
    }
    match (table.item(FROM.words.key), table.item(TAKE.words.key)) {
        (Some(from), None) => {
            problems.push(sources.problem(
                from.key_place,
                "from",
                "no take beside from",
                "take = [\"head\"], the parts",
            ));
        }
        (None, Some(take)) => {
            let expected = "from = \"other.build.toml\", the sheet to take from";
            problems.push(sources.problem(take.key_place, "take", "no from beside take", expected));
        }
        _ => {}
    }
    let taken = taken_parts(table);
    let replaced = table.table(REPLACE.key);
    for item in replaced.map_or(&[][..], |replaced| &replaced.items) {
        if taken.iter().any(|part| part.key() == item.key) {
            let path = format!("replace.{}", item.key);
            let found = format!("{} both taken from the other sheet and replaced", item.key);
            problems.push(sources.problem(item.key_place, &path, found, "one of the two"));
        }
    }
    for (idx, node) in table.list(CYLINDER.key).iter().enumerate() {
        if problems.is_full() {
            return;
        }
        let number = number_of(node);
        if number.is_some() && table.list(CYLINDER.key)[..idx].iter().any(|other| number_of(other) == number)
        {
            let found = format!("cylinder {} a second time", number.unwrap_or_default());
            problems.push(sources.problem(node.place, "cylinder.number", found, "each cylinder once"));
        }
        if number.is_none() && node.as_table().is_some_and(|own| own.get(NUMBER.words.key).is_none()) {
            let expected = format!("number = {}, {}", NUMBER.words.example, NUMBER.words.meaning);
            problems.push(sources.problem(node.place, "cylinder.number", "no number", expected));
        }
    }
    if parts_of(swap).is_empty() {
        let expected = "a part under [replace], a reading under [change], or from and take";
        problems.push(sources.problem(swap.place, "replace", "nothing that differs from the base", expected));
    }
}

pub(crate) fn taken_parts(swap: &Table) -> Vec<PartName> {
    let words: Vec<&str> = swap.list(TAKE.words.key).iter().filter_map(Node::as_text).collect();
    PartName::ALL.into_iter().filter(|part| words.contains(&part.key())).collect()
}

/// The parts a swap sheet says anything about.
pub(crate) fn parts_of(swap: &Node) -> Vec<PartName> {
    let Some(table) = swap.as_table() else { return Vec::new() };
    let taken = taken_parts(table);
    let within =
        |key: &str, part: PartName| table.table(key).is_some_and(|inner| inner.get(part.key()).is_some());
    let own = |part: PartName| {
        table.list(CYLINDER.key).iter().filter_map(Node::as_table).any(|own| {
            own.get(part.key()).is_some() || (part == PartName::Head && own.get(MIRRORED.words.key).is_some())
        })
    };
    let said = |part: &PartName| {
        taken.contains(part) || within(REPLACE.key, *part) || within(CHANGE.key, *part) || own(*part)
    };
    PartName::ALL.into_iter().filter(said).collect()
}

pub(crate) fn read_donor(
    problems: &mut Problems,
    sources: &mut Sources,
    swap: &Node,
    resolve: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<(Node, Vec<PartName>)> {
    let table = swap.as_table()?;
    let from = table.get(FROM.words.key)?;
    let name = from.as_text().filter(|name| !name.trim().is_empty())?;
    let bytes = match resolve(name) {
        Ok(bytes) => bytes,
        Err(reason) => {
            let found = format!("\"{}\", which cannot be read: {reason}", crate::tree::shortened(name));
            problems.push(sources.problem(from.place, "from", found, "the name of a full build sheet"));
            return None;
        }
    };
    let donor = parse_bytes(sources, File::Other(name.to_owned()), &bytes);
    match donor.and_then(|donor| read_tree(sources, &donor).map(|_| donor)) {
        Ok(donor) => Some((donor, taken_parts(table))),
        Err(wrong) => {
            problems.extend(wrong);
            None
        }
    }
}

/// How many cylinders the sheet says it has.
pub(crate) fn n_cylinders(base: &Table) -> usize {
    let n_cylinders = base.table(ENGINE.key).and_then(|engine| engine.get(CYLINDERS.words.key));
    n_cylinders.and_then(Node::as_whole).and_then(|n| usize::try_from(n).ok()).unwrap_or(1)
}

impl Recipe {
    /// The base with these parts swapped, in the order of the sheet.
    fn put_together(&self, parts: &[PartName]) -> Result<Sheet, Problems> {
        let mut log = Log { sources: &self.sources, problems: Problems::default(), notes: Vec::new() };
        let mut root = self.base.clone();
        if let Value::Table(base) = &mut root.value {
            let n_cylinders = n_cylinders(base);
            self.name(base);
            for part in parts {
                self.changes.swap_part(&mut log, base, *part, n_cylinders);
            }
            self.note_old_ports(&mut log, base, parts);
        }
        let Log { mut problems, mut notes, .. } = log;
        match read_tree(&self.sources, &root) {
            Ok(sheet) if problems.is_empty() => {
                notes.extend(sheet.notes);
                Ok(Sheet { build: sheet.build, notes })
            }
            Ok(_) => Err(problems.sorted()),
            Err(wrong) => {
                problems.extend(wrong);
                Err(problems.sorted())
            }
        }
    }

    /// Says that ports and flow of the old head stay where another head comes alone.
    fn note_old_ports(&self, log: &mut Log, base: &Table, parts: &[PartName]) {
        let taken = self.changes.donor.as_ref().is_some_and(|(_, taken)| taken.contains(&PartName::Head));
        let swap = self.changes.swap.as_ref().and_then(Node::as_table);
        let replaced = swap.and_then(|swap| swap.table(REPLACE.key));
        let another = taken || replaced.is_some_and(|replaced| replaced.get(PartName::Head.key()).is_some());
        for part in [PartName::Port, PartName::Flow] {
            let key = part.key();
            if another && parts.contains(&PartName::Head) && !parts.contains(&part) && base.get(key).is_some()
            {
                log.note(format!("{key}: nothing is said of it for the other head, the base's is kept"));
            }
        }
    }

    /// Name, remarks and limits of the candidate.
    fn name(&self, base: &mut Table) {
        let donor = self.changes.donor.as_ref().map(|(donor, _)| donor);
        let Some(from) = self.changes.swap.as_ref().or(donor) else { return };
        let Some(from) = from.as_table() else { return };
        base.remove(NOTE.words.key);
        for key in [NAME.words.key, NOTE.words.key] {
            if let Some(item) = from.item(key) {
                base.put(item.clone());
            }
        }
        let Some(limits) = from.item(LIMITS.key) else { return };
        match (base.get_mut(LIMITS.key), &limits.node.value) {
            (Some(Node { value: Value::Table(old), .. }), Value::Table(new)) => {
                new.items.iter().for_each(|limit| old.put(limit.clone()));
            }
            _ => base.put(limits.clone()),
        }
    }
}

impl Changes {
    /// Does to one part of a base's tree what is said of it.
    pub fn swap_part(&self, log: &mut Log, base: &mut Table, part: PartName, n_cylinders: usize) {
        if let Some((donor, taken)) = &self.donor
            && taken.contains(&part)
            && let Some(donor) = donor.as_table()
        {
            take_part(log, base, donor, part, n_cylinders);
        }
        let Some(swap) = self.swap.as_ref().and_then(Node::as_table) else { return };
        if let Some(item) = swap.table(REPLACE.key).and_then(|replace| replace.item(part.key())) {
            replace_part(log, base, item, part);
        }
        if let Some(item) = swap.table(CHANGE.key).and_then(|change| change.item(part.key())) {
            change_part(log, base, item, part);
        }
        for node in swap.list(CYLINDER.key) {
            if let Some(number) = number_of(node) {
                overlay_cylinder(log, base, node, number, part);
            }
        }
    }
}
