//! `[port]`, `[induction]` and `[exhaust]`: the passages that the engine breathes through.

use parts::running::{Exhaust, ExhaustLayout, Induction, InductionLayout, Mouth, Port, Ports};

use crate::check::join;
use crate::layers::{Layers, Log};
use crate::read_firing::read_groups;
use crate::tree::Value;
use crate::vocabulary::{exhaust, induction, port};

/// The ports of both duties.
pub(crate) fn read_ports(log: &mut Log, top: &Layers, n_cylinders: usize) -> Ports {
    let ports = top.inner(port::PORT.key);
    let mut of = |key: &str| read_port(log, &ports.inner(key), n_cylinders);
    Ports { intake: of(port::PORT_INTAKE.key), exhaust: of(port::PORT_EXHAUST.key) }
}

fn read_port(log: &mut Log, layers: &Layers, n_cylinders: usize) -> Port {
    Port {
        length: layers.get(&port::LENGTH),
        volume: layers.get(&port::VOLUME),
        entry_diameter: layers.get(&port::ENTRY_DIAMETER),
        throat_diameter: layers.get(&port::THROAT_DIAMETER),
        wall_temperature: layers.get(&port::WALL_TEMPERATURE),
        siamesed: read_pairs(log, layers, n_cylinders),
    }
}

/// Cylinders whose ports meet; two in each list.
fn read_pairs(log: &mut Log, layers: &Layers, n_cylinders: usize) -> Vec<[usize; 2]> {
    let Some(groups) = read_groups(log, layers, &port::SIAMESED, n_cylinders, false) else {
        return Vec::new();
    };
    let path = join(&layers.path, port::SIAMESED.words.key);
    let mut pairs = Vec::with_capacity(groups.len());
    let nodes = match layers.node(port::SIAMESED.words.key).map(|(node, _)| &node.value) {
        Some(Value::List(list)) => list.as_slice(),
        _ => &[],
    };
    for (group, node) in groups.iter().zip(nodes) {
        match group.as_slice() {
            [a, b] => pairs.push([*a, *b]),
            more => log.wrong(node.place, &path, format!("a list of {}", more.len()), "pairs, as in [1, 2]"),
        }
    }
    pairs
}

/// The induction.
pub(crate) fn read_induction(top: &Layers) -> Induction {
    use induction::*;
    let layers = top.inner(INDUCTION.key);
    Induction {
        layout: match layers.text(&LAYOUT) {
            "plenum" => Some(InductionLayout::Plenum),
            "individual" => Some(InductionLayout::Individual),
            _ => None,
        },
        air_cleaner_flow: layers.get(&AIR_CLEANER_FLOW),
        air_cleaner_drop: layers.get(&AIR_CLEANER_DROP),
        inlet_length: layers.get(&INLET_LENGTH),
        throttles: layers.count(&THROTTLES),
        throttle_diameter: layers.get(&THROTTLE_DIAMETER),
        venturi_diameter: layers.get(&VENTURI_DIAMETER),
        throttle_opening: layers.get(&THROTTLE_OPENING),
        plenum_volume: layers.get(&PLENUM_VOLUME),
        runner_length: layers.get(&RUNNER_LENGTH),
        runner_mouth_diameter: layers.get(&RUNNER_MOUTH_DIAMETER),
        runner_head_diameter: layers.get(&RUNNER_HEAD_DIAMETER),
        mouth: match layers.text(&MOUTH) {
            "bellmouth" => Some(Mouth::Bellmouth),
            "flush" => Some(Mouth::Flush),
            "plain" => Some(Mouth::Plain),
            _ => None,
        },
        wall_temperature: layers.get(&WALL_TEMPERATURE),
    }
}

/// The exhaust.
pub(crate) fn read_exhaust(log: &mut Log, top: &Layers, n_cylinders: usize) -> Exhaust {
    use exhaust::*;
    let layers = top.inner(EXHAUST.key);
    Exhaust {
        layout: match layers.text(&LAYOUT) {
            "separate" => Some(ExhaustLayout::Separate),
            "log" => Some(ExhaustLayout::Log),
            "collector" => Some(ExhaustLayout::Collector),
            "pairs" => Some(ExhaustLayout::Pairs),
            _ => None,
        },
        systems: layers.count(&SYSTEMS),
        groups: read_groups(log, &layers, &GROUPS, n_cylinders, true),
        primary_length: layers.get(&PRIMARY_LENGTH),
        primary_diameter: layers.get(&PRIMARY_DIAMETER),
        primary_end_diameter: layers.get(&PRIMARY_END_DIAMETER),
        secondary_length: layers.get(&SECONDARY_LENGTH),
        secondary_diameter: layers.get(&SECONDARY_DIAMETER),
        log_volume: layers.get(&LOG_VOLUME),
        collector_length: layers.get(&COLLECTOR_LENGTH),
        collector_diameter: layers.get(&COLLECTOR_DIAMETER),
        crossover_length: layers.get(&CROSSOVER_LENGTH),
        crossover_diameter: layers.get(&CROSSOVER_DIAMETER),
        silenced: layers.has(SILENCED.words.key).then(|| layers.flag(&SILENCED)),
        silencer_volume: layers.get(&SILENCER_VOLUME),
        silencer_outlet: layers.get(&SILENCER_OUTLET),
        tail_length: layers.get(&TAIL_LENGTH),
        tail_diameter: layers.get(&TAIL_DIAMETER),
        wall_temperature: layers.get(&WALL_TEMPERATURE),
    }
}
