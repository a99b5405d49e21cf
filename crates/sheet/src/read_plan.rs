//! From the text of a plan and the sheets it names to a plan, or to everything that is wrong with it.

use units::{Length, Quantity};

use crate::check::check_table;
use crate::layers::{Layer, Layers, Log};
use crate::plan::{
    Adjusted, AdjustedKind, Adjustment, Band, Choice, Clear, Must, Objective, OptionLayer, PartOption, Plan,
};
use crate::problem::{File, Problems};
use crate::read_build::read_tree;
use crate::source::Sources;
use crate::swap::{
    Changes, PartName, check_swap, differs, is_build, parse_bytes, parts_of, read_donor, taken_parts,
};
use crate::tree::{Node, shortened};
use crate::vocabulary::plan::{self, BAND, CHOICE, MUST, OPTION, PLAN, PREFER};
use crate::vocabulary::plan_adjust as adjust;
use crate::vocabulary::sheet::{FORMAT, NAME, NOTE};
use crate::vocabulary::swap::{CHANGE, REPLACE, TAKE};
use crate::vocabulary::{Entry, Field};

/// The most combinations a plan may have: at a thousand a second it takes twelve days.
const MOST_COMBINATIONS: f64 = 1e9;

/// Settings a stepped range may have.
const MOST_SETTINGS: f64 = 1000.0;

type Resolve<'r> = &'r mut dyn FnMut(&str) -> Result<Vec<u8>, String>;

/// Reads a plan as it comes from a file. `resolve` returns the bytes of a sheet it names, or why they cannot be had.
pub fn read_plan_bytes(plan: &[u8], resolve: Resolve) -> Result<Plan, Problems> {
    let mut sources = Sources::default();
    let root = parse_bytes(&mut sources, File::Candidate, plan)?;
    let mut problems = Problems::default();
    let table = Layer::of(&root).expect("the root of a parsed text is a table");
    check_table(&mut problems, &sources, table.table, &PLAN, "");
    let base =
        named_sheet(&mut problems, &mut sources, table.table.get(plan::BASE.words.key), "base", resolve);
    let options = read_options(&mut problems, &mut sources, &root, base.as_ref(), resolve);
    let mut log = Log { sources: &sources, problems, notes: Vec::new() };
    let top =
        Layers { own: None, common: Some(table), mirrored: false, path: String::new(), top: root.place };
    for entry in [&FORMAT, &NAME, &plan::BASE] {
        top.require(&mut log, entry);
    }
    let choices = read_choices(&mut log, &top, options);
    let adjustments = read_adjustments(&mut log, &top);
    let (band, must) = (read_band(&mut log, &top), read_must(&mut log, &top));
    check_size(&mut log, &top, &choices, &adjustments);
    let prefer = top.inner(PREFER.key);
    let weight = |entry: &Entry| prefer.count(entry).and_then(|n| u32::try_from(n).ok()).unwrap_or(1);
    let said: Vec<&str> =
        table.table.list(plan::OBJECTIVES.words.key).iter().filter_map(Node::as_text).collect();
    let counts = |objective: &Objective| said.is_empty() || said.contains(&objective.key());
    let mut plan = Plan {
        name: top.text(&NAME).to_owned(),
        note: table.table.text(NOTE.words.key).map(str::to_owned),
        base: empty_build(),
        currency: table.table.text(plan::CURRENCY.words.key).map(str::to_owned),
        objectives: Objective::ALL.into_iter().filter(counts).collect(),
        band,
        prefer: [weight(&plan::TORQUE_BELOW), weight(&plan::POWER_ABOVE)],
        must,
        choices,
        adjustments,
        root: root.clone(),
        sources: Sources::default(),
    };
    let mut problems = log.problems;
    let read = base.map(|base| (read_tree(&sources, &base), base));
    match read {
        Some((Ok(sheet), base)) if problems.is_empty() => {
            (plan.base, plan.root, plan.sources) = (sheet.build, base, sources);
            Ok(plan)
        }
        Some((Err(wrong), _)) => {
            problems.extend(wrong);
            Err(problems.sorted())
        }
        _ => Err(problems.sorted()),
    }
}

/// Stands in until the base has been read.
fn empty_build() -> parts::Build {
    parts::Build {
        name: String::new(),
        note: None,
        engine: parts::Engine { banks: 1 },
        used: parts::Use::default(),
        cylinders: Vec::new(),
        limits: parts::limit::Limits::default(),
        running: parts::Running::default(),
    }
}

/// The sheet that an entry names, parsed.
fn named_sheet(
    problems: &mut Problems,
    sources: &mut Sources,
    entry: Option<&Node>,
    path: &str,
    resolve: Resolve,
) -> Option<Node> {
    let entry = entry?;
    let name = entry.as_text().filter(|name| !name.trim().is_empty())?;
    match resolve(name).map(|bytes| parse_bytes(sources, File::Other(name.to_owned()), &bytes)) {
        Ok(Ok(node)) => Some(node),
        Ok(Err(wrong)) => {
            problems.extend(wrong);
            None
        }
        Err(reason) => {
            let found = format!("\"{}\", which cannot be read: {reason}", shortened(name));
            problems.push(sources.problem(entry.place, path, found, "the name of a sheet beside this plan"));
            None
        }
    }
}

/// What the options of every choice put in, by choice and option.
fn read_options(
    problems: &mut Problems,
    sources: &mut Sources,
    root: &Node,
    base: Option<&Node>,
    resolve: Resolve,
) -> Vec<Vec<Vec<OptionLayer>>> {
    let Some(table) = root.as_table() else { return Vec::new() };
    let choices = table.list(CHOICE.key).iter().filter_map(Node::as_table);
    let mut all = Vec::new();
    for choice in choices {
        let mut options = Vec::new();
        for option in choice.list(OPTION.key) {
            options.push(option_layers(problems, sources, option, base, resolve));
        }
        all.push(options);
    }
    all
}

fn option_layers(
    problems: &mut Problems,
    sources: &mut Sources,
    option: &Node,
    base: Option<&Node>,
    resolve: Resolve,
) -> Vec<OptionLayer> {
    let Some(table) = option.as_table() else { return Vec::new() };
    let taken = taken_parts(table);
    let from = table.item(plan::OPTION_FROM.words.key);
    let mut layers = Vec::new();
    if from.is_none()
        && let Some(take) = table.item(TAKE.words.key)
    {
        let expected = "from = \"other.build.toml\", the sheet to take from";
        problems.push(sources.problem(take.key_place, "choice.option.take", "no from beside take", expected));
    }
    let node = from.map(|item| &item.node);
    let sheet = named_sheet(problems, sources, node, "choice.option.from", &mut *resolve);
    let only = |part: &PartName| taken.is_empty() || taken.contains(part);
    if let Some(sheet) = sheet {
        if is_build(&sheet) {
            if let Err(wrong) = read_tree(sources, &sheet) {
                problems.extend(wrong);
            }
            let tables = base.and_then(Node::as_table).zip(sheet.as_table());
            let differs = |part: &PartName| tables.is_some_and(|(base, other)| differs(base, other, *part));
            let parts: Vec<PartName> =
                PartName::ALL.into_iter().filter(|part| only(part) && differs(part)).collect();
            let changes = Changes { donor: Some((sheet, parts.clone())), swap: None };
            layers.push(OptionLayer { changes, parts });
        } else {
            check_swap(problems, sources, &sheet);
            let donor = read_donor(problems, sources, &sheet, resolve);
            let parts: Vec<PartName> = parts_of(&sheet).into_iter().filter(only).collect();
            layers.push(OptionLayer { changes: Changes { donor, swap: Some(sheet) }, parts });
        }
    }
    let own = |part: &PartName| {
        [REPLACE.key, CHANGE.key]
            .iter()
            .any(|key| table.table(key).is_some_and(|inner| inner.get(part.key()).is_some()))
    };
    let parts: Vec<PartName> = PartName::ALL.into_iter().filter(own).collect();
    if !parts.is_empty() {
        layers.push(OptionLayer { changes: Changes { donor: None, swap: Some(option.clone()) }, parts });
    }
    layers
}

fn read_choices(log: &mut Log, top: &Layers, mut layers: Vec<Vec<Vec<OptionLayer>>>) -> Vec<Choice> {
    let mut choices: Vec<Choice> = Vec::new();
    for (idx, from) in top.list(&CHOICE).into_iter().enumerate() {
        from.require(log, &plan::CHOICE_NAME);
        let name = from.text(&plan::CHOICE_NAME).to_owned();
        if !name.is_empty() && choices.iter().any(|choice| choice.name == name) {
            log.wrong(from.place(), "choice.name", format!("\"{name}\" a second time"), "each choice once");
        }
        let mut options: Vec<PartOption> = Vec::new();
        for (option_idx, option) in from.list(&OPTION).into_iter().enumerate() {
            option.require(log, &plan::OPTION_NAME);
            let name = option.text(&plan::OPTION_NAME).to_owned();
            if !name.is_empty() && options.iter().any(|option| option.name == name) {
                let found = format!("\"{}\" a second time", shortened(&name));
                log.wrong(option.place(), "choice.option.name", found, "each option once");
            }
            let layers = layers.get_mut(idx).and_then(|of| of.get_mut(option_idx)).map(std::mem::take);
            let layers = layers.unwrap_or_default();
            let put = |part: &PartName| layers.iter().any(|layer| layer.parts.contains(part));
            options.push(PartOption {
                name,
                price: whole(&option, &plan::PRICE).unwrap_or(0),
                removes: option.get(&plan::REMOVES).map_or(Length::default(), |reading| reading.value),
                parts: PartName::ALL.into_iter().filter(put).collect(),
                layers,
            });
        }
        if options.is_empty() {
            let expected = "[[choice.option]], one of the options";
            log.wrong(from.place(), "choice.option", "a choice without options", expected);
        }
        choices.push(Choice { name, options });
    }
    choices
}

fn whole(layers: &Layers, entry: &Entry) -> Option<u32> {
    layers.count(entry).and_then(|n| u32::try_from(n).ok())
}

fn read_adjustments(log: &mut Log, top: &Layers) -> Vec<Adjustment> {
    let all = top.inner(adjust::ADJUST.key);
    Adjusted::ALL
        .into_iter()
        .filter_map(|of| {
            let layers = all.inner(of.key());
            let read = match of.kind() {
                AdjustedKind::Angle => {
                    range(log, &layers, [&adjust::ANGLE_FROM, &adjust::ANGLE_TO, &adjust::ANGLE_STEP])
                }
                AdjustedKind::Length => {
                    range(log, &layers, [&adjust::LENGTH_FROM, &adjust::LENGTH_TO, &adjust::LENGTH_STEP])
                }
                AdjustedKind::Ratio => {
                    range(log, &layers, [&adjust::RATIO_FROM, &adjust::RATIO_TO, &adjust::RATIO_STEP])
                }
            };
            let (range_si, settings_si, continuous) = read?;
            let price = whole(&layers, &plan::PRICE).unwrap_or(0);
            Some(Adjustment { of, settings_si, range_si, continuous, price })
        })
        .collect()
}

/// Ends of a range, the settings that are searched, and whether there are others.
fn range<Q: Quantity>(
    log: &mut Log,
    layers: &Layers,
    [from, to, step]: [&Field<Q>; 3],
) -> Option<([f64; 2], Vec<f64>, bool)> {
    if layers.absent() {
        return None;
    }
    let ends = [from, to].map(|field| {
        layers.require(log, &field.entry);
        layers.get(field).map(|reading| reading.value.si())
    });
    let [Some(from_si), Some(to_si)] = ends else { return None };
    if to_si < from_si {
        let path = format!("{}.to", layers.path);
        log.wrong(layers.place(), &path, "an end below the beginning", "to at from or above it");
        return None;
    }
    let span = to_si - from_si;
    let Some(step) = layers.get(step).map(|reading| reading.value.si()) else {
        let n = layers.count(&adjust::POINTS).unwrap_or(3);
        let settings = match n {
            _ if span == 0.0 => vec![from_si],
            1 => vec![from_si + 0.5 * span],
            n => (0..n).map(|i| from_si + span * i as f64 / (n - 1) as f64).collect(),
        };
        return Some(([from_si, to_si], settings, span > 0.0));
    };
    /// Share of a step by which the last one may miss the end by rounding.
    const ROUNDING: f64 = 1e-6;
    let n_steps = (span / step + ROUNDING).floor();
    if n_steps >= MOST_SETTINGS {
        let path = format!("{}.step", layers.path);
        log.wrong(
            layers.place(),
            &path,
            format!("{n_steps:.0} steps"),
            format!("below {MOST_SETTINGS:.0} steps"),
        );
        return None;
    }
    let settings = (0..=n_steps as usize).map(|i| from_si + step * i as f64).collect();
    Some(([from_si, to_si], settings, false))
}

fn read_band(log: &mut Log, top: &Layers) -> Band {
    let layers = top.inner(BAND.key);
    let of = |field| layers.get(field).map(|reading: units::Reading<units::AngularVelocity>| reading.value);
    let (from, split, to) = (of(&plan::FROM), of(&plan::SPLIT), of(&plan::TO));
    let known: Vec<f64> = [from, split, to].into_iter().flatten().map(|speed| speed.si()).collect();
    if known.windows(2).any(|pair| pair[1] <= pair[0]) {
        log.wrong(layers.place(), "band", "speeds that do not rise", "from below split below to");
    }
    Band { from, split, to, n_points: layers.count(&plan::POINTS).unwrap_or(12) }
}

fn read_must(log: &mut Log, top: &Layers) -> Must {
    let layers = top.inner(MUST.key);
    let ratio = |field| layers.get(field).map(|reading: units::Reading<units::Ratio>| reading.value);
    let must = Must {
        clear: match layers.text(&plan::CLEAR) {
            "touch" => Clear::Touch,
            "ignore" => Clear::Ignore,
            _ => Clear::Limits,
        },
        cutting_allowed: layers.text(&plan::CUTTING) != "none",
        compression_least: ratio(&plan::COMPRESSION_LEAST),
        compression_most: ratio(&plan::COMPRESSION_MOST),
        octane: ratio(&plan::OCTANE),
        knock_most: ratio(&plan::KNOCK_MOST),
        retard_most: layers.get(&plan::RETARD_MOST).map(|reading| reading.value),
        budget: whole(&layers, &plan::BUDGET),
        metal_most: layers.get(&plan::METAL_MOST).map(|reading| reading.value),
    };
    if let (Some(least), Some(most)) = (must.compression_least, must.compression_most)
        && most <= least
    {
        let found = format!("{} to {}", least.si(), most.si());
        log.wrong(layers.place(), "must.compression_most", found, "compression_least below compression_most");
    }
    must
}

fn check_size(log: &mut Log, top: &Layers, choices: &[Choice], adjustments: &[Adjustment]) {
    let place = top.place();
    if !top.has(CHOICE.key) && !top.has(adjust::ADJUST.key) {
        let expected = "a [[choice]] or a range under [adjust]";
        log.wrong(place, "choice", "nothing to choose and nothing to set", expected);
    }
    let options = choices.iter().map(|choice| choice.options.len());
    let settings = adjustments.iter().map(|adjustment| adjustment.settings_si.len());
    let n: f64 = options.chain(settings).map(|n| n as f64).product();
    if n > MOST_COMBINATIONS {
        let expected = format!("at most {MOST_COMBINATIONS:.0}");
        log.wrong(place, "choice", format!("{n:.0} combinations"), expected);
    }
}
