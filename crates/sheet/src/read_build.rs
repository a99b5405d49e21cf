//! From the text of a build sheet to the parts of every cylinder, or to everything that is wrong with it.

use parts::limit::{Check, Limit, Limits};
use parts::{Build, Cylinder, Engine, Use};
use units::{Length, Quantity, Reading, UnitSystem, show};

use crate::check::{check_table, join};
use crate::layers::{Layer, Layers, Log};
use crate::problem::{File, Problems};
use crate::read_block::{read_block, read_gasket};
use crate::read_gear::read_gear;
use crate::read_head::read_head;
use crate::read_piston::read_piston;
use crate::read_relief::read_reliefs;
use crate::read_running::read_running;
use crate::source::{Place, Sources, text_of};
use crate::tree::{Node, Value, parse};
use crate::vocabulary::limits::LIMITS;
use crate::vocabulary::sheet::{
    BANKS, BUILD, CYLINDER, CYLINDERS, ENGINE, FORMAT, MIRRORED, NAME, NOTE, NUMBER,
};
use crate::vocabulary::used::{LIFT_OFF_MARGIN, REV_LIMIT, USE};

/// A build sheet that could be read.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// The engine in it.
    pub build: Build,
    /// What was done that the reader of the answer should know.
    pub notes: Vec<String>,
}

/// Reads a build sheet.
pub fn read_build(text: &str) -> Result<Sheet, Problems> {
    read_build_bytes(text.as_bytes())
}

/// Reads a build sheet as it comes from a file: UTF-8 with or without a byte-order mark, at most
/// [`crate::MOST_BYTES`] long.
pub fn read_build_bytes(bytes: &[u8]) -> Result<Sheet, Problems> {
    let text = text_of(&File::Base, bytes)?;
    let mut sources = Sources::default();
    let root = parse(&mut sources, File::Base, &text)?;
    read_tree(&sources, &root)
}

/// Reads a build sheet that has been parsed, possibly put together from several files.
pub(crate) fn read_tree(sources: &Sources, root: &Node) -> Result<Sheet, Problems> {
    let mut log = Log { sources, problems: Problems::default(), notes: Vec::new() };
    let build = put_together(&mut log, root);
    match build {
        Some(build) if log.problems.is_empty() => Ok(Sheet { build, notes: log.notes }),
        _ => Err(log.problems.sorted()),
    }
}

fn put_together(log: &mut Log, root: &Node) -> Option<Build> {
    let common = Layer::of(root)?;
    check_table(&mut log.problems, log.sources, common.table, &BUILD, "");
    if log.problems.is_full() {
        return None;
    }
    let top =
        Layers { own: None, common: Some(common), mirrored: false, path: String::new(), top: root.place };
    top.require(log, &FORMAT);
    top.require(log, &NAME);
    let engine = top.section(log, &ENGINE);
    engine.require(log, &CYLINDERS);
    let n_cylinders = engine.count(&CYLINDERS).unwrap_or(1);
    let banks = engine.count(&BANKS).unwrap_or(1);
    if banks > n_cylinders && engine.count(&CYLINDERS).is_some() {
        let place = engine.node(BANKS.words.key).map_or(engine.place(), |(node, _)| node.place);
        log.wrong(
            place,
            "engine.banks",
            format!("{banks} rows"),
            format!("at most {n_cylinders}, one cylinder each"),
        );
    }
    let own = own_tables(log, common, engine.count(&CYLINDERS));
    let mut cylinders = Vec::with_capacity(n_cylinders);
    let row = n_cylinders.div_ceil(banks);
    for number in 1..=n_cylinders {
        let own = own.iter().find(|(of, _)| *of == number).map(|(_, layer)| *layer);
        let layers = cylinder_layers(common, own, root.place);
        let mut cylinder = read_cylinder(log, &layers, number);
        move_to_spacing(log, &mut cylinder, row);
        cylinder.block.reliefs = read_reliefs(log, &layers, &cylinder);
        cylinders.push(cylinder);
    }
    let note = common.table.text(NOTE.words.key).map(str::to_owned);
    let name = top.text(&NAME).to_owned();
    let used = top.inner(USE.key);
    let used = Use { rev_limit: used.get(&REV_LIMIT), lift_off_margin: used.get(&LIFT_OFF_MARGIN) };
    let running = read_running(log, &top, n_cylinders);
    Some(Build {
        name,
        note,
        engine: Engine { banks },
        used,
        cylinders,
        limits: read_limits(common),
        running,
    })
}

/// The tables of single cylinders with their numbers.
fn own_tables<'t>(log: &mut Log, common: Layer<'t>, n_cylinders: Option<usize>) -> Vec<(usize, Layer<'t>)> {
    let mut own: Vec<(usize, Layer)> = Vec::new();
    for layer in common.table.list(CYLINDER.key).iter().filter_map(Layer::of) {
        let alone = Layers {
            own: None,
            common: Some(layer),
            mirrored: false,
            path: CYLINDER.key.into(),
            top: layer.place,
        };
        alone.require(log, &NUMBER);
        let Some(number) = alone.count(&NUMBER) else { continue };
        let place = alone.node(NUMBER.words.key).map_or(layer.place, |(node, _)| node.place);
        let path = join(&join(CYLINDER.key, &number.to_string()), NUMBER.words.key);
        if let Some(n_cylinders) = n_cylinders.filter(|n_cylinders| *n_cylinders < number) {
            log.wrong(
                place,
                &path,
                format!("cylinder {number}"),
                format!("a number from 1 to {n_cylinders}"),
            );
        }
        if own.iter().any(|(other, _)| *other == number) {
            log.wrong(place, &path, format!("cylinder {number} a second time"), "each cylinder once");
        } else {
            own.push((number, layer));
        }
    }
    own
}

fn cylinder_layers<'t>(common: Layer<'t>, own: Option<Layer<'t>>, top: Place) -> Layers<'t> {
    let flags = Layers { own, common: None, mirrored: false, path: String::new(), top };
    let mirrored = flags.flag(&MIRRORED);
    Layers { own, common: Some(common), mirrored, path: String::new(), top }
}

fn read_cylinder(log: &mut Log, layers: &Layers, number: usize) -> Cylinder {
    let block = read_block(log, layers);
    let gasket = read_gasket(log, layers, block.bore.value);
    let gear = read_gear(log, layers);
    let head = read_head(log, layers, block.bore.value, &gear);
    let piston = read_piston(log, layers, &block, &head.valves);
    Cylinder { number, block, gasket, head, piston, gear }
}

/// Moves chamber and valves of a head that was made for another bore spacing; the gasket stays with the block. What
/// the two spacings are uncertain by is added to the tolerances as the root sum of squares.
fn move_to_spacing(log: &mut Log, cylinder: &mut Cylinder, row: usize) {
    let (block, head) = (cylinder.block.bore_spacing, cylinder.head.bore_spacing);
    let (Some(block_spacing), Some(head_spacing)) = (block, head) else { return };
    if block_spacing.value == head_spacing.value {
        return;
    }
    let place = (cylinder.number - 1) % row + 1;
    let moved = Engine::spacing_mismatch(place, row, block, head);
    let steps = ((row as f64 + 1.0) / 2.0 - place as f64).abs();
    let spread_m = steps * block_spacing.tolerance.si().hypot(head_spacing.tolerance.si());
    let shift = |x: &mut Reading<Length>| {
        x.value += moved;
        x.tolerance = Length::from_si(x.tolerance.si().hypot(spread_m));
    };
    shift(&mut cylinder.head.chamber.center_x);
    for valve in &mut cylinder.head.valves {
        shift(&mut valve.x);
    }
    let at_ends = (head_spacing.value - block_spacing.value).abs() * ((row as f64 - 1.0) / 2.0);
    log.note(format!(
        "the head was made for a bore spacing of {}, the block has {}: chambers and valves are reckoned off their bores by \
         what that adds up to from the middle of the row, {} at its ends",
        show(head_spacing.value, UnitSystem::Metric),
        show(block_spacing.value, UnitSystem::Metric),
        show(at_ends, UnitSystem::Metric),
    ));
}

fn read_limits(common: Layer) -> Limits {
    let mut limits = Limits::default();
    let Some(table) = common.table.table(LIMITS.key) else { return limits };
    for check in Check::ALL {
        let Some(node) = table.get(check.key()) else { continue };
        let (least, source) = match &node.value {
            Value::Table(inner) => (inner.text("least"), inner.text("source")),
            _ => (node.as_text(), None),
        };
        if let Some(least) = least.and_then(|text| units::parse::<Length>(text).ok()) {
            limits.replace(check, Limit { least, source: source.unwrap_or("the build sheet").to_owned() });
        }
    }
    limits
}
