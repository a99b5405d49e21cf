//! Engines that do not exist, as moving parts, and what their tolerances make of them.
#![allow(dead_code, reason = "each test file uses its own part of it")]

use fit::piston_edge_to_chamber::PistonTop;
use fit::solid::{Crown, Cup, ValveHead};
use fit::two_turns::{MovingParts, MovingValve};
use glam::DVec3;
use motion::{LobeFit, SliderCrank, TrainState, ValveMotion, fit_lobe};
use parts::Duty;
use units::length::{meter, millimeter};
use units::ratio::ratio;
use units::{CrankAngle, Length, Ratio};

#[path = "../../../motion/tests/invented/mod.rs"]
mod invented;

/// The motion of one lobe of the Wren at its installed place.
pub fn wren_motion(duty: Duty, centreline_deg: f64) -> ValveMotion {
    let card = invented::wren_card(invented::centreline(centreline_deg));
    let train = invented::wren_train();
    let lobe: LobeFit = fit_lobe(duty, &card, &train).expect("a lobe");
    ValveMotion::new(&lobe, &train, TrainState::Hot).expect("a train")
}

/// Both motions of the Wren, intake first.
pub fn wren_motions() -> [ValveMotion; 2] {
    [wren_motion(Duty::Intake, 106.0), wren_motion(Duty::Exhaust, 110.0)]
}

/// Readings that may differ, as shares of their 95 % half-width from -1 to 1.
#[derive(Clone, Copy, Debug, Default)]
pub struct Off {
    /// Deck, gasket and rod; then for each valve head size, place, recess, tilts, phase, ratio, pocket place and depth.
    pub shares: [f64; 24],
}

const MM: f64 = 1e-3;

/// How many valves a Wren has, and how they stand.
#[derive(Clone, Copy, Debug)]
pub enum Layout {
    /// Two valves side by side, leaning the same way, in pockets.
    Wedge,
    /// The same over a flat crown that stands lower.
    WedgeFlat,
    /// Four valves leaning apart, in pockets.
    PentRoof,
}

/// The Wren: 86 mm of stroke, 140 mm rod, valves as laid out.
pub fn wren(motions: &[ValveMotion; 2], layout: Layout, off: &Off) -> MovingParts<ValveMotion> {
    let s = |idx: usize| off.shares[idx % off.shares.len()];
    let mm = |value: f64| Length::new::<millimeter>(value);
    let flat = matches!(layout, Layout::WedgeFlat);
    let deck_mm = if flat { -3.2 } else { -0.05 } + 0.08 * s(0);
    let gasket_mm = 1.0 + 0.05 * s(1);
    // Head radius, x, y, recess, tilt in y and duty of each valve.
    let places: &[(f64, f64, f64, f64, f64, usize)] = match layout {
        Layout::Wedge | Layout::WedgeFlat => {
            &[(23.0, 21.0, 4.0, 2.2, 12.0, 0), (18.5, -22.5, 4.0, 1.8, 12.0, 1)]
        }
        Layout::PentRoof => &[
            (16.5, 18.5, 17.5, 2.2, 13.0, 0),
            (16.5, -18.5, 17.5, 2.2, 13.0, 0),
            (14.0, 16.5, -18.0, 2.0, -12.0, 1),
            (14.0, -16.5, -18.0, 2.0, -12.0, 1),
        ],
    };
    let valves = places.iter().enumerate().map(|(idx, &(radius, x, y, recess, tilt, motion_idx))| {
        let s = |which: usize| s(4 + 7 * idx + which);
        let tilt_rad = [0.3 * s(0), tilt + 0.3 * s(1)].map(f64::to_radians);
        let (x, y) = (x + 0.15 * s(2), y + 0.15 * s(3));
        let head = ValveHead::new(
            (radius + 0.04 * s(4)) * MM,
            1.4 * MM,
            45_f64.to_radians(),
            4.0 * MM,
            DVec3::new(x, y, gasket_mm + recess + 0.1 * s(5)) * MM,
            tilt_rad,
        );
        let shift = 4.0 * tilt.to_radians().tan();
        let cup = Cup::new(
            (x + 0.2 * s(6)) * MM,
            (y - 1.6 * shift) * MM,
            (3.2 + 0.1 * s(7)) * MM,
            (radius + 1.5) * MM,
            [0.0, tilt.to_radians()],
        );
        let phase = CrankAngle::from_degrees(1.5 * s(8));
        let lift = motions[motion_idx].advanced(phase).with_ratio(Ratio::new::<ratio>(1.5 + 0.02 * s(9)));
        MovingValve {
            head,
            lift,
            crown: Crown::new(if flat { Vec::new() } else { vec![cup] }, None),
            pocket: (!flat).then_some(0),
        }
    });
    MovingParts {
        crank: SliderCrank::new(mm(86.0), mm(140.0 + 0.1 * s(2)), mm(0.5 + 0.2 * s(3)))
            .expect("a crank that turns"),
        deck_offset_m: deck_mm * MM,
        rock_rad: 0.0,
        top: PistonTop { radius_m: 0.045, dome: None },
        chamber: None,
        pin_m: [0.0, 0.032],
        head_face_m: Length::new::<millimeter>(gasket_mm).get::<meter>(),
        valves: valves.collect(),
    }
}
