//! `[block]` and `[gasket]` of one cylinder.

use parts::{Block, Gasket, estimate};
use units::{Length, Reading};

use crate::layers::{Layers, Log};
use crate::read_outline::{OutlineKeys, read_outline};
use crate::read_relief::read_metal;
use crate::vocabulary::block::{
    BLOCK, BORE, BORE_SPACING, CHAMFER_DEPTH, CHAMFER_WIDTH, PIN_OFFSET, ROD_LENGTH, STROKE,
};
use crate::vocabulary::gasket::{GASKET, OPENING, OPENING_X, OPENING_Y, RING_INSET, RING_WIDTH, THICKNESS};
use crate::vocabulary::outline::OUTLINE_OF_OPENING;

const OPENING_KEYS: OutlineKeys =
    OutlineKeys { diameter: &OPENING, polygon: &OUTLINE_OF_OPENING, x: &OPENING_X, y: &OPENING_Y };

/// The block, from the layers of the whole cylinder; reliefs are read once the valves stand over their bores.
pub(crate) fn read_block(log: &mut Log, cylinder: &Layers) -> Block {
    let layers = cylinder.section(log, &BLOCK);
    let stroke = layers.need(log, &STROKE);
    let (chamfer_width, chamfer_depth) = chamfer(layers.get(&CHAMFER_WIDTH), layers.get(&CHAMFER_DEPTH));
    let metal = read_metal(log, &layers);
    Block {
        bore: layers.need(log, &BORE),
        stroke,
        rod_length: layers.get(&ROD_LENGTH).unwrap_or_else(|| estimate::rod_length(stroke.value)),
        pin_offset: layers.get(&PIN_OFFSET).unwrap_or_else(estimate::pin_offset),
        chamfer_width,
        chamfer_depth,
        bore_spacing: layers.get(&BORE_SPACING),
        reliefs: Vec::new(),
        metal,
    }
}

/// One size of a chamfer given alone is taken for the other too, with the estimate's tolerance; a sharp edge is sharp
/// both ways.
fn chamfer(
    width: Option<Reading<Length>>,
    depth: Option<Reading<Length>>,
) -> (Reading<Length>, Reading<Length>) {
    let like = |given: Reading<Length>| {
        let sharp = given.value == Length::default();
        let tolerance = if sharp { Length::default() } else { estimate::chamfer().tolerance };
        Reading::assumed(given.value, tolerance)
    };
    match (width, depth) {
        (Some(width), Some(depth)) => (width, depth),
        (Some(width), None) => (width, like(width)),
        (None, Some(depth)) => (like(depth), depth),
        (None, None) => (estimate::chamfer(), estimate::chamfer()),
    }
}

/// The gasket. A sheet without `[gasket]` gets the usual one.
pub(crate) fn read_gasket(log: &mut Log, cylinder: &Layers, bore: Length) -> Gasket {
    let layers = cylinder.inner(GASKET.key);
    let (opening, _) = read_outline(log, &layers, &OPENING_KEYS, estimate::gasket_opening(bore));
    Gasket {
        thickness: layers.get(&THICKNESS).unwrap_or_else(estimate::gasket_thickness),
        opening,
        ring_inset: layers.get(&RING_INSET),
        ring_width: layers.get(&RING_WIDTH),
    }
}
