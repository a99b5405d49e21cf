//! `[head]` of one cylinder with its valves, and the lift their cams give them.

use parts::{Duty, Gear, Head, Shape, Valve, ValveGear, estimate};
use units::{Length, Quantity, Reading, UnitSystem, show};

use crate::check::{is_name, join, label};
use crate::layers::{Layer, Layers, Log};
use crate::nearest::nearest;
use crate::read_outline::{Given, OutlineKeys, area_m2, circle_m2, read_outline};
use crate::tree::{Node, Table};
use crate::vocabulary::cam::{CAM, EXHAUST, INTAKE, VALVE_LIFT};
use crate::vocabulary::head::{
    BORE_SPACING, CHAMBER_DIAMETER, CHAMBER_VOLUME, CHAMBER_WALL_HEIGHT, CHAMBER_X, CHAMBER_Y, CONTACT_LIFT,
    DUTY, HEAD, HEAD_DIAMETER, LIFT, MARGIN, NAME, RECESS, SEAT_ANGLE, SHIFT_X, SHIFT_Y, STEM_DIAMETER,
    TILT_X, TILT_Y, TWIST_OF_HEAD, VALVE, VALVES, X, Y,
};
use crate::vocabulary::outline::OUTLINE_OF_CHAMBER;

const CHAMBER_KEYS: OutlineKeys =
    OutlineKeys { diameter: &CHAMBER_DIAMETER, polygon: &OUTLINE_OF_CHAMBER, x: &CHAMBER_X, y: &CHAMBER_Y };

/// The head, from the layers of the whole cylinder.
pub(crate) fn read_head(log: &mut Log, cylinder: &Layers, bore: Length, gear: &Gear) -> Head {
    let layers = cylinder.section(log, &HEAD);
    let estimated = match estimate::chamber_outline(bore).shape {
        Shape::Circle { diameter } => diameter,
        Shape::Polygon { growth, .. } => growth,
    };
    let (chamber, given) = read_outline(log, &layers, &CHAMBER_KEYS, estimated);
    let valves = read_valves(log, cylinder, &layers, gear);
    if let Some(Given) = given {
        check_sizes(log, &layers, &chamber.shape, &valves);
    }
    Head {
        chamber_volume: layers.need(log, &CHAMBER_VOLUME),
        chamber,
        chamber_wall_height: layers.get(&CHAMBER_WALL_HEIGHT).unwrap_or_else(estimate::chamber_wall_height),
        shift_x: layers.get(&SHIFT_X).unwrap_or_else(estimate::head_shift),
        shift_y: layers.get(&SHIFT_Y).unwrap_or_else(estimate::head_shift),
        twist: layers.get(&TWIST_OF_HEAD).unwrap_or_else(estimate::head_twist),
        bore_spacing: layers.get(&BORE_SPACING),
        valves,
    }
}

fn read_valves(log: &mut Log, cylinder: &Layers, head: &Layers, gear: &Gear) -> Vec<Valve> {
    let list = head.common.map_or(&[][..], |layer| layer.table.list(VALVE.key));
    let path = join(&head.path, VALVE.key);
    if !head.absent() && !VALVES.contains(&list.len()) {
        let place = list.first().map_or(head.place(), |first| first.place);
        let found = if list.len() == 1 { "1 valve".to_owned() } else { format!("{} valves", list.len()) };
        let expected = format!("{} to {} valves, each in its [[head.valve]]", VALVES.start(), VALVES.end());
        log.wrong(place, &path, found, expected);
        return Vec::new();
    }
    let names = unique_names(log, list, NAME.words.key, &path);
    check_own_names(log, head, VALVE.key, &names);
    let common = list.iter().enumerate().filter_map(|(idx, node)| Some((label(node, idx), Layer::of(node)?)));
    common
        .map(|(called, layer)| read_valve(log, cylinder, &head.named(VALVE.key, &called, layer), gear))
        .collect()
}

fn read_valve(log: &mut Log, cylinder: &Layers, layers: &Layers, gear: &Gear) -> Valve {
    layers.require(log, &NAME);
    layers.require(log, &DUTY);
    let duty = if layers.text(&DUTY) == EXHAUST.key { Duty::Exhaust } else { Duty::Intake };
    let head_diameter = layers.need(log, &HEAD_DIAMETER);
    Valve {
        name: layers.text(&NAME).to_owned(),
        duty,
        head_diameter,
        margin: layers.get(&MARGIN).unwrap_or_else(estimate::valve_margin),
        seat_angle: layers.get(&SEAT_ANGLE).unwrap_or_else(estimate::seat_angle),
        stem_diameter: layers
            .get(&STEM_DIAMETER)
            .unwrap_or_else(|| estimate::stem_diameter(head_diameter.value)),
        x: layers.need(log, &X),
        y: layers.need(log, &Y),
        recess: layers.get(&RECESS).unwrap_or_else(estimate::valve_recess),
        tilt_x: layers.get(&TILT_X).unwrap_or_else(estimate::valve_tilt),
        tilt_y: layers.get(&TILT_Y).unwrap_or_else(estimate::valve_tilt),
        lift: match layers.get(&LIFT) {
            Some(own) => own,
            None if layers.node(LIFT.key()).is_some() => head_diameter,
            None => cam_lift(log, cylinder, duty, gear.of(duty)),
        },
        contact_lift: layers.get(&CONTACT_LIFT),
    }
}

/// The lift that the cam of a duty gives: as measured on the valve, or as lobe and ratio give it at most.
fn cam_lift(log: &mut Log, cylinder: &Layers, duty: Duty, gear: Option<&ValveGear>) -> Reading<Length> {
    let section = if duty == Duty::Exhaust { &EXHAUST } else { &INTAKE };
    let given = cylinder.inner(CAM.key).inner(section.key);
    if let (Some(gear), false) = (gear, given.has(VALVE_LIFT.key())) {
        return gear.full_lift();
    }
    let cams = cylinder.section(log, &CAM);
    if cams.absent() {
        cams.need(log, &VALVE_LIFT)
    } else {
        cams.section(log, section).need(log, &VALVE_LIFT)
    }
}

/// The names of the tables of a list; a name that stands twice is reported.
pub(crate) fn unique_names<'t>(log: &mut Log, list: &'t [Node], key: &str, path: &str) -> Vec<&'t str> {
    let mut names: Vec<&str> = Vec::new();
    for node in list {
        let Some(named) = node.as_table().and_then(|table| table.get(key)) else { continue };
        let Some(name) = named.as_text().filter(|name| is_name(name)) else { continue };
        if names.contains(&name) {
            let found = format!("a second one with {key} = \"{name}\"");
            log.wrong(named.place, &join(path, name), found, "each name once");
        } else {
            names.push(name);
        }
    }
    names
}

/// Reports readings of a cylinder's own for a valve or pocket that the common list does not have.
pub(crate) fn check_own_names(log: &mut Log, part: &Layers, key: &str, names: &[&str]) {
    let Some(own) = part.own.and_then(|layer| layer.table.table(key)) else { return };
    check_known(log, own, &join(&part.path, key), key, names);
}

fn check_known(log: &mut Log, own: &Table, path: &str, what: &str, names: &[&str]) {
    for item in own.items.iter().filter(|item| !names.contains(&item.key.as_str())) {
        let found = format!("no {what} is named \"{}\"", crate::tree::shortened(&item.key));
        let expected =
            if names.is_empty() { format!("a {what} in the common list") } else { names.join(", ") };
        let mut problem = log.sources.problem(item.key_place, &join(path, &item.key), found, expected);
        let near = nearest(&item.key, names.iter().copied());
        problem.help = near.map(|name| format!("the nearest valid name is {name}"));
        log.problems.push(problem);
    }
}

/// A valve that covers more than its whole chamber, seen from above, is a slip of the pen: it would not go in.
/// Compared with the bore anything goes.
fn check_sizes(log: &mut Log, head: &Layers, chamber: &Shape, valves: &[Valve]) {
    let chamber_m2 = area_m2(chamber);
    let list = head.common.map_or(&[][..], |layer| layer.table.list(VALVE.key));
    for (valve, common) in valves.iter().zip(list.iter().filter_map(Layer::of)) {
        let diameter_m = valve.head_diameter.value.si();
        if circle_m2(diameter_m) * valve.axis()[2] <= chamber_m2 {
            continue;
        }
        let layers = head.named(VALVE.key, &valve.name, common);
        let place = layers.node(HEAD_DIAMETER.key()).map_or(layers.place(), |(node, _)| node.place);
        let found =
            format!("valve {} of {}", valve.name, show(valve.head_diameter.value, UnitSystem::Metric));
        let across = Length::from_si((chamber_m2 * 4.0 / std::f64::consts::PI).sqrt());
        let expected = match chamber {
            Shape::Circle { .. } => {
                format!("a valve that fits its chamber of {}", show(across, UnitSystem::Metric))
            }
            Shape::Polygon { .. } => {
                format!(
                    "a valve that fits its chamber, whose area is that of a circle of {}",
                    show(across, UnitSystem::Metric)
                )
            }
        };
        log.wrong(place, &join(&layers.path, HEAD_DIAMETER.key()), found, expected);
    }
}
