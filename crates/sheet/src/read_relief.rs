//! `[[block.relief]]`, `[[block.wall]]` and `[[block.hole]]` of one cylinder. What a cylinder has of its own stands in the
//! place of the common one of the same name.

use parts::{Cylinder, DeckHole, DeckMetal, HoleKind, Relief, Valve, WallReading, estimate};
use units::{Angle, Length, Quantity, Reading, UnitSystem, show};

use crate::check::join;
use crate::layers::{Layer, Layers, Log};
use crate::read_head::unique_names;
use crate::tree::Node;
use crate::vocabulary::Section;
use crate::vocabulary::block::BLOCK;
use crate::vocabulary::relief::{
    BELOW_DECK, CLOCKWISE, CORNER_RADIUS, DECK_THICKNESS, DIAMETER, HOLE, HOLE_DIAMETER, HOLE_X, HOLE_Y,
    KIND, LAYBACK, NAME, PLUNGE, RELIEF, REMOVED, THICKNESS, TILT_X, TILT_Y, VALVE, WALL, X, Y,
};

/// What was measured of the metal around the bore, from the layers of the block.
pub(crate) fn read_metal(log: &mut Log, block: &Layers) -> DeckMetal {
    let walls = of_list(block, &WALL).into_iter().map(|layers| WallReading {
        clockwise: layers.need(log, &CLOCKWISE),
        below_deck: layers.need(log, &BELOW_DECK),
        thickness: layers.need(log, &THICKNESS),
    });
    let walls = walls.collect();
    let path = join(&block.path, HOLE.key);
    let mut holes: Vec<DeckHole> = Vec::new();
    for (own, list) in lists(block, &HOLE) {
        unique_names(log, list, NAME.words.key, &path);
        for layers in one_by_one(block, &HOLE, list, own) {
            let hole = read_hole(log, &layers);
            if !holes.iter().any(|known| known.name == hole.name) {
                holes.push(hole);
            }
        }
    }
    DeckMetal { walls, deck_thickness: block.get(&DECK_THICKNESS), holes }
}

fn read_hole(log: &mut Log, layers: &Layers) -> DeckHole {
    layers.require(log, &NAME);
    layers.require(log, &KIND);
    let kind = layers.text(&KIND);
    DeckHole {
        name: layers.text(&NAME).to_owned(),
        kind: HoleKind::ALL.into_iter().find(|known| known.key() == kind).unwrap_or(HoleKind::Bolt),
        x: layers.need(log, &HOLE_X),
        y: layers.need(log, &HOLE_Y),
        diameter: layers.need(log, &HOLE_DIAMETER),
    }
}

/// The reliefs of a cylinder whose valves stand where they end up over its bore.
pub(crate) fn read_reliefs(log: &mut Log, whole: &Layers, cylinder: &Cylinder) -> Vec<Relief> {
    let block = whole.inner(BLOCK.key);
    let path = join(&block.path, RELIEF.key);
    let mut reliefs: Vec<Relief> = Vec::new();
    for (own, list) in lists(&block, &RELIEF) {
        unique_names(log, list, VALVE.words.key, &path);
        for layers in one_by_one(&block, &RELIEF, list, own) {
            let relief = read_relief(log, &layers, cylinder);
            if !reliefs.iter().any(|known| known.valve == relief.valve) {
                reliefs.push(relief);
            }
        }
    }
    reliefs
}

fn read_relief(log: &mut Log, layers: &Layers, cylinder: &Cylinder) -> Relief {
    layers.require(log, &VALVE);
    let name = layers.text(&VALVE);
    let valve = cylinder.valve(name);
    if valve.is_none() && !name.is_empty() {
        if layers.has(X.key()) && layers.has(Y.key()) {
            log.note(format!("the block has a relief for a valve {name}, which this head does not have"));
        } else {
            let expected = "a valve of this head, or x and y of the cut";
            log.wrong(layers.place(), &layers.path, format!("a relief for \"{name}\""), expected);
        }
    }
    let tilt = |tilt: fn(&Valve) -> Reading<Angle>| {
        valve.map_or_else(estimate::valve_tilt, |valve| {
            let usual = estimate::valve_tilt().tolerance;
            Reading::assumed(tilt(valve).value, usual)
        })
    };
    let [x, y] = on_axis(cylinder, valve);
    let relief = Relief {
        valve: name.to_owned(),
        x: layers.get(&X).unwrap_or(x),
        y: layers.get(&Y).unwrap_or(y),
        diameter: layers.need(log, &DIAMETER),
        plunge: layers.need(log, &PLUNGE),
        corner_radius: layers.get(&CORNER_RADIUS).unwrap_or_else(estimate::cutter_corner),
        layback: layers.get(&LAYBACK).unwrap_or(Reading::measured(Angle::from_si(0.0), Angle::from_si(0.0))),
        tilt_x: layers.get(&TILT_X).unwrap_or_else(|| tilt(|valve| valve.tilt_x)),
        tilt_y: layers.get(&TILT_Y).unwrap_or_else(|| tilt(|valve| valve.tilt_y)),
        removed: layers.get(&REMOVED),
    };
    check_cutter(log, layers, &relief);
    relief
}

/// Where the valve's axis meets the deck. A cut set up on it lands near it.
fn on_axis(cylinder: &Cylinder, valve: Option<&Valve>) -> [Reading<Length>; 2] {
    let Some(valve) = valve else { return [Reading::assumed(Length::default(), estimate::cut_setup()); 2] };
    let height = cylinder.head_face_height() + valve.recess.value;
    let meets = |seated: Reading<Length>, tilt: Reading<Angle>| {
        Reading::assumed(seated.value - height * tilt.value.si().tan(), estimate::cut_setup())
    };
    [meets(valve.x, valve.tilt_x), meets(valve.y, valve.tilt_y)]
}

/// A cutter that can be made: its corner fits into it, and its wall does not lie down.
fn check_cutter(log: &mut Log, layers: &Layers, relief: &Relief) {
    let place = |key: &str| layers.node(key).map_or(layers.place(), |(node, _)| node.place);
    let half = 0.5 * relief.diameter.value;
    let radius_taken =
        relief.corner_radius.value * (std::f64::consts::FRAC_PI_4 - 0.5 * relief.layback.value.si()).tan();
    if half.si() > 0.0 && radius_taken >= half {
        let found = show(relief.corner_radius.value, UnitSystem::Metric).to_string();
        let expected = format!("less than half the cutter, {}", show(half, UnitSystem::Metric));
        log.wrong(place(CORNER_RADIUS.key()), &join(&layers.path, CORNER_RADIUS.key()), found, expected);
    }
    let lean = relief.tilt_x.value.si().tan().hypot(relief.tilt_y.value.si().tan()).atan();
    let wall_deg = (relief.layback.value.si() + lean).to_degrees();
    if wall_deg >= FLATTEST_WALL_DEG {
        let found = format!("a wall {wall_deg:.0} degrees from the bore axis");
        let expected = format!("below {FLATTEST_WALL_DEG} degrees, layback and tilt together");
        log.wrong(place(LAYBACK.key()), &join(&layers.path, LAYBACK.key()), found, expected);
    }
}

/// A wall that lies flatter has no edge on the deck.
const FLATTEST_WALL_DEG: f64 = 85.0;

/// The own list where there is one, else the common one.
fn of_list<'t>(block: &Layers<'t>, section: &Section) -> Vec<Layers<'t>> {
    let mut found = lists(block, section).into_iter();
    found.next().map_or_else(Vec::new, |(own, list)| one_by_one(block, section, list, own))
}

/// The cylinder's own list, then the common one, those that there are; `true` for the own one.
fn lists<'t>(block: &Layers<'t>, section: &Section) -> Vec<(bool, &'t [Node])> {
    let layers = [(true, block.own), (false, block.common)];
    let lists = layers
        .into_iter()
        .map(|(own, layer)| (own, layer.map_or(&[][..], |layer| layer.table.list(section.key))));
    lists.filter(|(_, list)| !list.is_empty()).collect()
}

fn one_by_one<'t>(block: &Layers<'t>, section: &Section, list: &'t [Node], own: bool) -> Vec<Layers<'t>> {
    let path = join(&block.path, section.key);
    let layer = |(idx, node): (usize, &'t Node)| {
        let layer = Layer::of(node)?;
        Some(Layers {
            own: own.then_some(layer),
            common: (!own).then_some(layer),
            mirrored: block.mirrored,
            path: join(&path, &crate::check::label(node, idx)),
            top: layer.place,
        })
    };
    list.iter().enumerate().filter_map(layer).collect()
}
