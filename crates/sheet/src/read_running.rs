//! Everything about running that the sheet says, section by section. What it does not say stays empty; estimates come
//! later.

use parts::Running;

use crate::layers::{Layers, Log};
use crate::read_breathing::{read_exhaust, read_induction, read_ports};
use crate::read_charge::{
    read_band, read_boost, read_burning, read_friction, read_fuel, read_ignition, read_walls, read_weather,
};
use crate::read_firing::read_firing;
use crate::read_flow::read_flow;
use crate::vocabulary::sheet::{ENGINE, YEAR};

/// The running section, from the layers of the whole sheet.
pub(crate) fn read_running(log: &mut Log, top: &Layers, n_cylinders: usize) -> Running {
    let engine = top.inner(ENGINE.key);
    Running {
        year: engine.count(&YEAR).and_then(|year| u32::try_from(year).ok()),
        firing: read_firing(log, &engine, n_cylinders),
        ports: read_ports(log, top, n_cylinders),
        flow: read_flow(log, top),
        induction: read_induction(top),
        exhaust: read_exhaust(log, top, n_cylinders),
        boost: read_boost(log, top),
        fuel: read_fuel(log, top),
        ignition: read_ignition(log, top),
        burning: read_burning(log, top),
        walls: read_walls(top),
        friction: read_friction(top),
        weather: read_weather(top),
        band: read_band(log, top),
    }
}
