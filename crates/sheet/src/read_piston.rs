//! `[piston]` of one cylinder with its pockets, and the deck offset that heights give.

use parts::{Block, CrownMake, CrownMetal, Dish, Dome, Piston, Pocket, SeatedDrop, Valve, estimate};
use units::{Length, Quantity, Reading};

use crate::check::{join, label};
use crate::layers::{Layer, Layers, Log};
use crate::nearest::nearest;
use crate::read_head::{check_own_names, unique_names};
use crate::vocabulary::block::{BLOCK, DECK_HEIGHT, ROD_LENGTH};
use crate::vocabulary::head::{HEAD, VALVES};
use crate::vocabulary::piston::{
    AFTER_TOP, COMPRESSION_HEIGHT, CROWN_THICKNESS, CROWN_VOLUME, DECK_OFFSET, DEPTH_OF_FLOOR, DIAMETER,
    DISH, DISH_DEPTH, DISH_DIAMETER, DISH_X, DISH_Y, DOME, DOME_BASE, DOME_HEIGHT, DOME_TOP, DROP,
    DROP_LENGTH, DROP_VALVE, FLY_CUT, FLY_CUT_VOLUME, GROOVE_DEPTH, GROOVE_HEIGHT, GROWTH, LAND_CLEARANCE,
    MAKE, PISTON, POCKET, SKIRT_CLEARANCE, SKIRT_LENGTH, TILT_X, TILT_Y, TOP_LAND_HEIGHT, VALVE, X, Y,
};

/// The piston, from the layers of the whole cylinder. A sheet without `[piston]` gets the usual one.
pub(crate) fn read_piston(log: &mut Log, cylinder: &Layers, block: &Block, valves: &[Valve]) -> Piston {
    let layers = cylinder.inner(PISTON.key);
    let bore = block.bore.value;
    let from_heights = || deck_offset_from_heights(cylinder, &layers, block);
    Piston {
        deck_offset: layers.get(&DECK_OFFSET).or_else(from_heights).unwrap_or_else(estimate::deck_offset),
        crown_volume: layers.get(&CROWN_VOLUME).unwrap_or_else(estimate::crown_volume),
        land_clearance: layers.get(&LAND_CLEARANCE).unwrap_or_else(estimate::land_clearance),
        top_land_height: layers.get(&TOP_LAND_HEIGHT).unwrap_or_else(estimate::top_land_height),
        compression_height: layers
            .get(&COMPRESSION_HEIGHT)
            .unwrap_or_else(|| estimate::compression_height(bore)),
        skirt_clearance: layers.get(&SKIRT_CLEARANCE).unwrap_or_else(estimate::skirt_clearance),
        skirt_length: layers.get(&SKIRT_LENGTH).unwrap_or_else(|| estimate::skirt_length(bore)),
        dome: read_dome(log, &layers),
        dish: read_dish(log, &layers),
        pockets: read_pockets(log, cylinder, &layers, valves),
        fly_cuts: read_fly_cuts(log, cylinder, &layers, valves),
        fly_cut_volume: layers.get(&FLY_CUT_VOLUME),
        metal: read_crown_metal(&layers),
        drops: read_drops(log, &layers, valves),
    }
}

/// Deck offset from deck height, rod and compression height, when all three are given:
/// `sqrt((r + l)^2 - o^2) + c - h` with `r` half the stroke, `l` rod length, `o` pin offset, `c` compression height,
/// `h` deck height. At top dead centre throw and rod lie in one line, whose length is r + l. The tolerance is the root
/// sum of squares, the basis the weakest of the four; the pin offset changes the height by micrometres only.
fn deck_offset_from_heights(cylinder: &Layers, piston: &Layers, block: &Block) -> Option<Reading<Length>> {
    let block_layers = cylinder.inner(BLOCK.key);
    let deck = block_layers.get(&DECK_HEIGHT)?;
    let rod = block_layers.get(&ROD_LENGTH)?;
    let crown = piston.get(&COMPRESSION_HEIGHT)?;
    let (throw_m, offset_m) = (block.stroke.value.si() / 2.0, block.pin_offset.value.si());
    let line_m = throw_m + rod.value.si();
    if offset_m.abs() >= line_m {
        return None;
    }
    let pin_m = (line_m * line_m - offset_m * offset_m).sqrt();
    let value_m = pin_m + crown.value.si() - deck.value.si();
    let parts =
        [block.stroke.tolerance.si() / 2.0, rod.tolerance.si(), crown.tolerance.si(), deck.tolerance.si()];
    let tolerance_m = parts.iter().fold(0.0, |sum: f64, part| sum.hypot(*part));
    let basis = block.stroke.basis.min(rod.basis).min(crown.basis).min(deck.basis);
    Some(Reading { value: Length::from_si(value_m), tolerance: Length::from_si(tolerance_m), basis })
}

fn read_dome(log: &mut Log, piston: &Layers) -> Option<Dome> {
    let layers = piston.inner(DOME.key);
    if layers.absent() {
        return None;
    }
    let dome = Dome {
        base_diameter: layers.need(log, &DOME_BASE),
        top_diameter: layers.need(log, &DOME_TOP),
        height: layers.need(log, &DOME_HEIGHT),
    };
    if let Some((top, _)) = layers.node(DOME_TOP.key())
        && dome.top_diameter.value >= dome.base_diameter.value
        && dome.base_diameter.value > Length::default()
    {
        let found = "a plateau that is not smaller than its base";
        log.wrong(
            top.place,
            &join(&layers.path, DOME_TOP.key()),
            found,
            "top_diameter less than base_diameter",
        );
    }
    Some(dome)
}

fn read_dish(log: &mut Log, piston: &Layers) -> Option<Dish> {
    let layers = piston.inner(DISH.key);
    (!layers.absent()).then(|| Dish {
        diameter: layers.need(log, &DISH_DIAMETER),
        depth: layers.need(log, &DISH_DEPTH),
        x: layers.get(&DISH_X).unwrap_or_else(estimate::dish_center),
        y: layers.get(&DISH_Y).unwrap_or_else(estimate::dish_center),
    })
}

fn read_pockets(log: &mut Log, cylinder: &Layers, piston: &Layers, valves: &[Valve]) -> Vec<Pocket> {
    let list = piston.common.map_or(&[][..], |layer| layer.table.list(POCKET.key));
    let path = join(&piston.path, POCKET.key);
    if list.len() > *VALVES.end() {
        let found = format!("{} pockets", list.len());
        log.wrong(list[0].place, &path, found, format!("at most {}, one for each valve", VALVES.end()));
        return Vec::new();
    }
    let names = unique_names(log, list, VALVE.words.key, &path);
    check_own_names(log, piston, POCKET.key, &names);
    let common = list.iter().enumerate().filter_map(|(idx, node)| Some((label(node, idx), Layer::of(node)?)));
    common
        .map(|(called, layer)| read_pocket(log, cylinder, &piston.named(POCKET.key, &called, layer), valves))
        .collect()
}

/// The cylinder's own list of fly-cuts where there is one, else the common one.
fn read_fly_cuts(log: &mut Log, cylinder: &Layers, piston: &Layers, valves: &[Valve]) -> Vec<Pocket> {
    let path = join(&piston.path, FLY_CUT.key);
    let of = |layer: Option<Layer<'_>>| layer.is_some_and(|layer| !layer.table.list(FLY_CUT.key).is_empty());
    let from_own = of(piston.own);
    let layer = if from_own { piston.own } else { piston.common };
    let list = layer.map_or(&[][..], |layer| layer.table.list(FLY_CUT.key));
    unique_names(log, list, VALVE.words.key, &path);
    let layers = list.iter().enumerate().filter_map(|(idx, node)| {
        let layer = Layer::of(node)?;
        Some(Layers {
            own: from_own.then_some(layer),
            common: (!from_own).then_some(layer),
            mirrored: piston.mirrored,
            path: join(&path, &label(node, idx)),
            top: layer.place,
        })
    });
    layers.map(|layers| read_pocket(log, cylinder, &layers, valves)).collect()
}

fn read_crown_metal(piston: &Layers) -> CrownMetal {
    let make = piston.text(&MAKE);
    CrownMetal {
        crown_thickness: piston.get(&CROWN_THICKNESS),
        groove_depth: piston.get(&GROOVE_DEPTH),
        groove_height: piston.get(&GROOVE_HEIGHT),
        growth: piston.get(&GROWTH),
        make: CrownMake::ALL.into_iter().find(|known| known.key() == make),
    }
}

fn read_pocket(log: &mut Log, cylinder: &Layers, layers: &Layers, valves: &[Valve]) -> Pocket {
    let name = layers.text(&VALVE);
    layers.require(log, &VALVE);
    let valve = valves.iter().find(|valve| valve.name == name);
    if valve.is_none() && !name.is_empty() && !valves.is_empty() {
        unknown_valve(log, cylinder, layers, name, valves);
    }
    Pocket {
        valve: name.to_owned(),
        x: layers.need(log, &X),
        y: layers.need(log, &Y),
        diameter: layers.need(log, &DIAMETER),
        depth: layers.need(log, &DEPTH_OF_FLOOR),
        tilt_x: layers.get(&TILT_X).unwrap_or_else(estimate::pocket_from_valve),
        tilt_y: layers.get(&TILT_Y).unwrap_or_else(estimate::pocket_from_valve),
        from_valve: [&TILT_X, &TILT_Y].map(|tilt| !layers.has(tilt.key())),
    }
}

fn read_drops(log: &mut Log, piston: &Layers, valves: &[Valve]) -> Vec<SeatedDrop> {
    let list = piston.list(&DROP);
    let known = |name: &str| valves.is_empty() || valves.iter().any(|valve| valve.name == name);
    list.iter()
        .filter_map(|layers| {
            layers.require(log, &DROP_VALVE);
            let name = layers.text(&DROP_VALVE);
            if !name.is_empty() && !known(name) {
                log.note(format!("a drop was measured for a valve {name}, which this head does not have"));
                return None;
            }
            Some(SeatedDrop {
                valve: name.to_owned(),
                after_tdc: layers.need(log, &AFTER_TOP),
                drop: layers.need(log, &DROP_LENGTH),
            })
        })
        .collect()
}

/// A pocket for a valve the head does not have: a slip when both stand in one file, worth a note when a swap brought
/// piston and head together.
fn unknown_valve(log: &mut Log, cylinder: &Layers, pocket: &Layers, name: &str, valves: &[Valve]) {
    let place = pocket.node(VALVE.words.key).map_or(pocket.place(), |(node, _)| node.place);
    if cylinder.inner(HEAD.key).place().file != place.file {
        log.note(format!("the piston has a pocket for a valve {name}, which this head does not have"));
        return;
    }
    let names: Vec<&str> = valves.iter().map(|valve| valve.name.as_str()).collect();
    let found = format!("a pocket for \"{}\"", crate::tree::shortened(name));
    let mut problem =
        log.sources.problem(place, &join(&pocket.path, VALVE.words.key), found, names.join(", "));
    problem.help = nearest(name, names.iter().copied()).map(|near| format!("the nearest valve is {near}"));
    log.problems.push(problem);
}
