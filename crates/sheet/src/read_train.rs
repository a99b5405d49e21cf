//! `[train.intake]` and `[spring.intake]`, the same for the exhaust: what stands between lobe and valve, and what closes
//! the valve.

use parts::estimate;
use parts::spring::{Coil, CoilLoad, LoadAtHeight, ValveSprings, Wire};
use parts::train::{Follower, Lash, LashAt, RatioPoint, SlotTravel, Train, TrainMasses};
use units::{Length, Reading};

use crate::check::join;
use crate::layers::{Layers, Log};
use crate::read_lobe::{missing, zero};
use crate::vocabulary::spring::{
    ACTIVE_COILS, COIL_BIND_HEIGHT, HEIGHT, INNER, INSTALLED_HEIGHT, LOAD, LOAD_THERE, MASS, MEAN_DIAMETER,
    RATE, RETAINER_TO_SEAL, SEAT_LOAD, WIRE_DIAMETER,
};
use crate::vocabulary::train::{
    FACE_DIAMETER, FOLLOWER, LASH_AT, LASH_COLD, LASH_HOT, LOFT, PAD_RADIUS, PLUNGER_TRAVEL, PRELOAD,
    PUSHROD_HOLE_GAP, PUSHROD_MASS, RATIO, RATIO_AT, RATIO_THERE, RETAINER_MASS, ROCKER_MASS,
    ROLLER_DIAMETER, SLOT_GAP_LIFTED, SLOT_GAP_SEATED, SLOT_LIFT, TAPPET_LIFT, TAPPET_MASS, VALVE_MASS,
};

/// Fewest loads of a spring that gets stiffer.
const LOADS: usize = 2;

/// The train of one duty, whose valves have heads of about this diameter.
pub(crate) fn read_train(log: &mut Log, train: &Layers, valve_diameter: Length) -> Train {
    train.require(log, &FOLLOWER);
    Train {
        follower: read_follower(train),
        ratio: train.need(log, &RATIO),
        ratio_against_lift: train
            .list(&RATIO_AT)
            .iter()
            .map(|point| RatioPoint {
                tappet_lift: point.need(log, &TAPPET_LIFT).value,
                ratio: point.need(log, &RATIO_THERE).value,
            })
            .collect(),
        lash: read_lash(log, train),
        masses: TrainMasses {
            valve: train.get(&VALVE_MASS).unwrap_or_else(|| estimate::valve_mass(valve_diameter)),
            retainer: train.get(&RETAINER_MASS).unwrap_or_else(estimate::retainer_mass),
            rocker_at_valve: train.get(&ROCKER_MASS),
            pushrod: train.get(&PUSHROD_MASS),
            tappet: train.get(&TAPPET_MASS),
        },
        rocker_slot: read_slot(log, train),
        pushrod_hole_gap: train.get(&PUSHROD_HOLE_GAP),
        loft: train.get(&LOFT),
    }
}

fn read_follower(train: &Layers) -> Follower {
    match train.text(&FOLLOWER) {
        "roller" => Follower::Roller {
            radius: train
                .get(&ROLLER_DIAMETER)
                .map_or_else(estimate::roller_radius, |across| across.map(|length| length * 0.5)),
        },
        "finger" => {
            Follower::Finger { pad_radius: train.get(&PAD_RADIUS).unwrap_or_else(estimate::pad_radius) }
        }
        _ => Follower::Flat { diameter: train.get(&FACE_DIAMETER).unwrap_or_else(estimate::face_diameter) },
    }
}

fn read_lash(log: &mut Log, train: &Layers) -> Lash {
    let solid = [&LASH_COLD, &LASH_HOT].into_iter().find(|field| train.has(field.key()));
    if let (Some(lash), Some((preload, _))) = (solid, train.node(PRELOAD.key())) {
        let found = format!("both {} and {}", lash.key(), PRELOAD.key());
        let expected = "lash of a solid train or preload of a hydraulic one";
        log.wrong(preload.place, &join(&train.path, PRELOAD.key()), found, expected);
    }
    match train.get(&PRELOAD) {
        Some(preload) => {
            let plunger_travel = train.get(&PLUNGER_TRAVEL).unwrap_or_else(estimate::plunger_travel);
            Lash::Hydraulic { preload, plunger_travel }
        }
        None => Lash::Solid {
            at: if train.text(&LASH_AT) == "cam" { LashAt::Cam } else { LashAt::Valve },
            cold: train.get(&LASH_COLD).unwrap_or_else(estimate::lash),
            hot: train.get(&LASH_HOT),
        },
    }
}

fn read_slot(log: &mut Log, train: &Layers) -> Option<SlotTravel> {
    let fields = [&SLOT_GAP_SEATED, &SLOT_GAP_LIFTED, &SLOT_LIFT];
    if !fields.iter().any(|field| train.has(field.key())) {
        return None;
    }
    let [gap_at_seat, gap_at_lift, lift] = fields.map(|field| train.need(log, field));
    Some(SlotTravel { gap_at_seat, gap_at_lift, lift })
}

/// The springs of one duty.
pub(crate) fn read_springs(log: &mut Log, spring: &Layers) -> ValveSprings {
    let inner = spring.inner(INNER.key);
    ValveSprings {
        outer: read_coil(log, spring),
        inner: (!inner.absent()).then(|| read_coil(log, &inner)),
        retainer_to_seal: spring.get(&RETAINER_TO_SEAL),
    }
}

fn read_coil(log: &mut Log, coil: &Layers) -> Coil {
    Coil {
        installed_height: coil.need(log, &INSTALLED_HEIGHT),
        load: read_load(log, coil),
        coil_bind_height: coil.get(&COIL_BIND_HEIGHT),
        wire: read_wire(log, coil),
        mass: coil.get(&MASS),
    }
}

fn read_load(log: &mut Log, coil: &Layers) -> CoilLoad {
    let points = coil.list(&LOAD);
    let linear = [SEAT_LOAD.key(), RATE.key()].into_iter().find(|key| coil.has(key));
    if let Some((loads, _)) = coil.node(LOAD.key) {
        let path = join(&coil.path, LOAD.key);
        if let Some(linear) = linear {
            log.wrong(loads.place, &path, format!("both load tables and {linear}"), "one of the two");
        } else if points.len() < LOADS {
            let found = if points.len() == 1 { "1 load" } else { "no loads" };
            log.wrong(loads.place, &path, found, "two or more, or seat_load and rate");
        }
        let read = |point: &Layers| LoadAtHeight {
            height: point.need(log, &HEIGHT),
            load: point.need(log, &LOAD_THERE),
        };
        return CoilLoad::Progressive { points: points.iter().map(read).collect() };
    }
    if linear.is_none() {
        let expected = format!("seat_load and rate, or two or more [[{}.load]]", coil.path);
        missing(log, coil, SEAT_LOAD.key(), &expected);
        return CoilLoad::Linear { seat_load: zero(), rate: zero() };
    }
    CoilLoad::Linear { seat_load: coil.need(log, &SEAT_LOAD), rate: coil.need(log, &RATE) }
}

fn read_wire(log: &mut Log, coil: &Layers) -> Option<Wire> {
    let keys = [WIRE_DIAMETER.key(), MEAN_DIAMETER.key(), ACTIVE_COILS.key()];
    if !keys.iter().any(|key| coil.has(key)) {
        return None;
    }
    let mut length = |field| -> Reading<Length> { coil.need(log, field) };
    let (diameter, mean_diameter) = (length(&WIRE_DIAMETER), length(&MEAN_DIAMETER));
    Some(Wire { diameter, mean_diameter, active_coils: coil.need(log, &ACTIVE_COILS) })
}
