//! The valve gear of one cylinder: lobe, train and springs of each duty, where the sheet describes a lobe.

use parts::{Duty, Gear, ValveGear};
use units::{Length, Quantity};

use crate::layers::{Layers, Log};
use crate::read_lobe::{is_described, read_lobe};
use crate::read_train::{read_springs, read_train};
use crate::vocabulary::cam::{CAM, EXHAUST, INTAKE};
use crate::vocabulary::head::{DUTY, HEAD, HEAD_DIAMETER, VALVE};
use crate::vocabulary::spring::SPRING;
use crate::vocabulary::train::TRAIN;

/// The gear, from the layers of the whole cylinder.
pub(crate) fn read_gear(log: &mut Log, cylinder: &Layers) -> Gear {
    Gear { intake: read_one(log, cylinder, Duty::Intake), exhaust: read_one(log, cylinder, Duty::Exhaust) }
}

fn read_one(log: &mut Log, cylinder: &Layers, duty: Duty) -> Option<ValveGear> {
    let key = match duty {
        Duty::Intake => INTAKE.key,
        Duty::Exhaust => EXHAUST.key,
    };
    let cams = cylinder.inner(CAM.key);
    let [lobe, train, spring] = [CAM.key, TRAIN.key, SPRING.key].map(|part| cylinder.inner(part).inner(key));
    if !is_described(&lobe) {
        for unused in [&train, &spring].into_iter().filter(|layers| !layers.absent()) {
            log.note(format!("[{}] is not used: [{}] describes no lobe", unused.path, lobe.path));
        }
        return None;
    }
    if train.absent() {
        let expected =
            format!("[{}] with follower and ratio, what carries the lobe's lift to the valve", train.path);
        log.wrong(lobe.place(), &train.path, format!("no [{}]", train.path), expected);
    }
    let train = read_train(log, &train, valve_diameter(cylinder, duty));
    let lobe = read_lobe(log, &cams, &lobe, &train);
    let springs = (!spring.absent()).then(|| read_springs(log, &spring));
    Some(ValveGear { lobe, train, springs })
}

/// Head diameter of the first valve of a duty; a middling one where it is not known.
fn valve_diameter(cylinder: &Layers, duty: Duty) -> Length {
    const MIDDLING_M: f64 = 0.040;
    let valves = cylinder.inner(HEAD.key).list(&VALVE);
    let exhaust = |layers: &Layers| layers.text(&DUTY) == EXHAUST.key;
    let first = valves.iter().find(|layers| exhaust(layers) == (duty == Duty::Exhaust));
    let diameter = first.and_then(|layers| layers.get(&HEAD_DIAMETER));
    diameter.map_or(Length::from_si(MIDDLING_M), |reading| reading.value)
}
