//! Lobes, trains and springs of engines that do not exist, and noise that is the same on every machine.
#![allow(dead_code, reason = "each test file uses its own part of it")]

use parts::cam::{
    Duration, LiftAt, Lobe, LobeCard, LobeCentre, LobeRow, LobeSource, LobeTable, LobeTiming, Phasing, Span,
    TableAngles, TimingReference,
};
use parts::train::{Follower, Lash, LashAt, Train, TrainMasses};
use units::angle::degree;
use units::length::{inch, millimeter};
use units::mass::gram;
use units::ratio::ratio;
use units::{Angle, CamAngle, CrankAngle, Length, Mass, Ratio, Reading};

pub fn inches(value: f64) -> Reading<Length> {
    Reading::catalogue(Length::new::<inch>(value), Length::default())
}

pub fn crank(degrees: f64) -> Reading<CrankAngle> {
    Reading::catalogue(CrankAngle::from_degrees(degrees), CrankAngle::from_degrees(0.0))
}

pub fn timing(reference: TimingReference) -> LobeTiming {
    let none = CrankAngle::from_degrees(0.0);
    LobeTiming {
        reference,
        centre: LobeCentre::Nose,
        installed_advance: crank(0.0),
        phasing: Phasing { advance: none, retard: none },
    }
}

pub fn centreline(degrees: f64) -> TimingReference {
    TimingReference::Centreline(crank(degrees))
}

fn lobe(source: LobeSource, reference: TimingReference) -> Lobe {
    Lobe { source, timing: timing(reference), pins: Vec::new(), base_radius: None, face_width: None }
}

/// Wren road cam: 0.350 in lobe lift, 280/230/144 crank degrees at 0.006/0.050/0.200 in of tappet lift.
pub fn wren_card(reference: TimingReference) -> Lobe {
    let durations = [(0.006, 280.0), (0.050, 230.0), (0.200, 144.0)].map(|(lift, degrees)| Duration {
        lift: inches(lift),
        at: LiftAt::Tappet,
        span: Span::Symmetric(crank(degrees)),
    });
    let card = LobeCard {
        lobe_lift: inches(0.350),
        durations: durations.to_vec(),
        ramp_opening: None,
        ramp_closing: None,
    };
    lobe(LobeSource::Card(card), reference)
}

/// Heron cam, asymmetric: closing flanks are longer.
pub fn heron_card(reference: TimingReference) -> Lobe {
    let durations = [(0.006, 138.0, 147.0), (0.050, 113.0, 117.5), (0.200, 71.0, 72.5)].map(
        |(lift, opening, closing)| Duration {
            lift: inches(lift),
            at: LiftAt::Tappet,
            span: Span::Flanks { opening: crank(opening), closing: crank(closing) },
        },
    );
    let card = LobeCard {
        lobe_lift: inches(0.340),
        durations: durations.to_vec(),
        ramp_opening: None,
        ramp_closing: None,
    };
    lobe(LobeSource::Card(card), reference)
}

/// A one-duration card: that many crank degrees at 0.050 in.
pub fn one_duration_card(degrees: f64, reference: TimingReference) -> Lobe {
    let card = LobeCard {
        lobe_lift: inches(0.350),
        durations: vec![Duration {
            lift: inches(0.050),
            at: LiftAt::Tappet,
            span: Span::Symmetric(crank(degrees)),
        }],
        ramp_opening: None,
        ramp_closing: None,
    };
    lobe(LobeSource::Card(card), reference)
}

/// Pushrod train: ratio 1.5, no lash, usual masses of a small-block road engine.
pub fn wren_train() -> Train {
    let grams = |value: f64| Reading::catalogue(Mass::new::<gram>(value), Mass::default());
    Train {
        follower: Follower::Flat { diameter: inches(0.842) },
        ratio: Reading::catalogue(Ratio::new::<ratio>(1.5), Ratio::new::<ratio>(0.0)),
        ratio_against_lift: Vec::new(),
        lash: Lash::Solid { at: LashAt::Valve, cold: inches(0.0), hot: None },
        masses: TrainMasses {
            valve: grams(115.0),
            retainer: grams(30.0),
            rocker_at_valve: Some(grams(40.0)),
            pushrod: Some(grams(55.0)),
            tappet: Some(grams(100.0)),
        },
        rocker_slot: None,
        pushrod_hole_gap: None,
        loft: None,
    }
}

/// A table of a curve over a turn, one row every `step` cam degrees from -180, rows numbered from 1.
pub fn table_of(mut lift_mm: impl FnMut(f64) -> f64, step: f64) -> LobeTable {
    let n = (360.0 / step).round() as usize;
    let rows = (0..n)
        .map(|i| {
            let deg = -180.0 + i as f64 * step;
            LobeRow {
                number: i + 1,
                angle: Angle::new::<degree>(deg),
                lift: Length::new::<millimeter>(lift_mm(deg)),
            }
        })
        .collect();
    LobeTable { angles: TableAngles::Cam, lifts: LiftAt::Tappet, rows, noise: None }
}

pub fn table_lobe(table: LobeTable, reference: TimingReference) -> Lobe {
    lobe(LobeSource::Table(table), reference)
}

pub fn cam(degrees: f64) -> CamAngle {
    CamAngle::from_degrees(degrees)
}

/// Normal numbers of mean 0 and sd 1: splitmix64 and Box and Muller's transform.
pub struct Noise {
    state: u64,
}

impl Noise {
    pub fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    fn uniform(&mut self) -> f64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.uniform()).cos()
    }
}
