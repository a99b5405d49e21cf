//! Valve gear that the sheet says nothing of: a middling road camshaft for the stated lift.

use units::{CrankAngle, Length, Mass, Quantity, Ratio, Reading};

use super::EngineSize;
use crate::cam::{
    Duration, LiftAt, Lobe, LobeCard, LobeCentre, LobeSource, LobeTiming, Phasing, Span, TimingReference,
};
use crate::train::{Follower, Lash, LashAt, Train, TrainMasses};
use crate::{Duty, ValveGear, estimate};

/// Duration at 0.050 in of a road engine whose mean piston speed at most power is that of 5,500 rpm on an 86 mm
/// stroke, degrees.
const DURATION_DEG: f64 = 205.0;

/// The press gives durations at the tappets of pushrod engines, whose rockers lift the valve about one and a half times
/// as far (common practice, no source). A lobe that works directly on the valve lasts as long at as much more lift.
const ROCKER_RATIO_OF_THE_PRESS: f64 = 1.5;

/// A lobe that opens for 205 degrees at 0.050 in (1.27 mm) where most power comes at 5,500 rpm on an 86 mm stroke, and
/// 10 degrees longer for each 500 rpm more (engine builders' press); ± 15 degrees. 46 degrees longer at 0.15 mm. Both at
/// the tappet of a rocker of 1.5, carried over to a lobe that works directly on the valve; centrelines 109 degrees after
/// and 111 before top dead centre, ± 4 (common practice, no source).
pub fn gear(duty: Duty, lift: Reading<Length>, size: &EngineSize) -> ValveGear {
    let deg = |value: f64, tolerance: f64| {
        Reading::assumed(CrankAngle::from_degrees(value), CrankAngle::from_degrees(tolerance))
    };
    let mm = |value: f64| Reading::assumed(Length::from_si(value * 1e-3), Length::from_si(0.0));
    let at_86_mm = size.rated_rpm * size.stroke_m / 0.086;
    let duration = (DURATION_DEG + (at_86_mm - 5500.0) / 50.0).clamp(180.0, 270.0);
    let lasts = |lift_mm: f64, longer: f64| Duration {
        lift: mm(ROCKER_RATIO_OF_THE_PRESS * lift_mm),
        at: LiftAt::Tappet,
        span: Span::Symmetric(deg(duration + longer, 15.0)),
    };
    // A small valve does not lift through the usual stations.
    let scale = (lift.value.si() / 0.009).min(1.0);
    let card = LobeCard {
        lobe_lift: lift,
        durations: vec![lasts(0.15 * scale, 46.0), lasts(1.27 * scale, 0.0)],
        ramp_opening: None,
        ramp_closing: None,
    };
    let centreline = match duty {
        Duty::Intake => 109.0,
        Duty::Exhaust => 111.0,
    };
    let zero = CrankAngle::from_degrees(0.0);
    let lobe = Lobe {
        source: LobeSource::Card(card),
        timing: LobeTiming {
            reference: TimingReference::Centreline(deg(centreline, 4.0)),
            centre: LobeCentre::Nose,
            installed_advance: Reading::assumed(zero, zero),
            phasing: Phasing { advance: zero, retard: zero },
        },
        pins: Vec::new(),
        base_radius: None,
        face_width: None,
    };
    let head = match duty {
        Duty::Intake => size.intake_head_m,
        Duty::Exhaust => size.exhaust_head_m,
    };
    let none: Option<Reading<Mass>> = None;
    let train = Train {
        follower: Follower::Flat { diameter: estimate::face_diameter() },
        ratio: Reading::assumed(Ratio::from_si(1.0), Ratio::from_si(0.0)),
        ratio_against_lift: Vec::new(),
        lash: Lash::Solid { at: LashAt::Valve, cold: mm(0.0), hot: None },
        masses: TrainMasses {
            valve: estimate::valve_mass(Length::from_si(head)),
            retainer: estimate::retainer_mass(),
            rocker_at_valve: none,
            pushrod: none,
            tappet: none,
        },
        rocker_slot: None,
        loft: None,
        pushrod_hole_gap: None,
    };
    ValveGear { lobe, train, springs: None }
}
