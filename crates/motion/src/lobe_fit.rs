//! From what is known of a lobe to its curve and its place on the crank. Leaves out the train, except where lifts were
//! measured at the valve.

use std::sync::Arc;

use parts::Duty;
use parts::cam::{
    Duration, LiftAt, Lobe, LobeCard, LobeCentre, LobeSource, LobeTiming, Ramp, Span, TimingReference,
};
use parts::train::Train;
use thiserror::Error;
use units::length::{meter, millimeter};
use units::{CrankAngle, Length};

use crate::lobe::{Flank, LiftCurve};
use crate::lobe_card::{CardError, FlankNumbers, FlankPoint, RampNumbers, fit_card};
use crate::lobe_pins::{PinError, lead_through};
use crate::lobe_rows::RowNote;
use crate::lobe_table::{TableError, fit_table};
use crate::valve_motion::CYCLE_DEG;
use crate::valve_train::{TrainError, TrainState, Transfer, ratio_number};

/// A lobe's curve and where its nose stands.
#[derive(Clone, Debug, PartialEq)]
pub struct LobeFit {
    /// Lift against cam angle.
    pub curve: Arc<LiftCurve>,
    /// Crank angle of the nose as installed; 0 is the top dead centre of the firing stroke.
    pub nose: CrankAngle,
    /// What a person should know about the fit.
    pub notes: Vec<LobeNote>,
}

/// Something a person should know about a fitted lobe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LobeNote {
    /// About a row of the table.
    Row(RowNote),
    /// Card and pins are met, but only by a flank that slows down and speeds up again: one of the numbers is doubtful.
    WavyFlank,
    /// The events on the card last longer or shorter than the curve does at that lift.
    EventsDisagree {
        /// From the opening to the closing on the card.
        stated: CrankAngle,
        /// From the curve.
        curve: CrankAngle,
    },
    /// A pinned lift is off the measured table by this much; the curve was led through the pin.
    PinOffTable {
        /// Crank angle of the pin after top dead centre.
        after_tdc: CrankAngle,
        /// Pin less table, at the tappet.
        off: Length,
    },
    /// A pin with the valve seated says nothing about the curve and was left out.
    PinSeated {
        /// Crank angle of the pin after top dead centre.
        after_tdc: CrankAngle,
    },
}

impl std::fmt::Display for LobeNote {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match *self {
            Self::Row(note) => note.fmt(f),
            Self::WavyFlank => write!(f, "the numbers ask for a flank that slows down and speeds up again"),
            Self::EventsDisagree { stated, curve } => write!(
                f,
                "events on the card are {:.1} degrees apart, the curve has {:.1} at that lift",
                stated.degrees(),
                curve.degrees()
            ),
            Self::PinOffTable { after_tdc, off } => write!(
                f,
                "lift pinned {:.1} degrees after top dead centre is {:.3} mm off the table at the tappet",
                after_tdc.degrees(),
                off.get::<millimeter>()
            ),
            Self::PinSeated { after_tdc } => write!(
                f,
                "lift pinned {:.1} degrees after top dead centre is on the seat, left out",
                after_tdc.degrees()
            ),
        }
    }
}

/// A lobe that cannot be fitted.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum LobeError {
    /// The card contradicts itself.
    #[error(transparent)]
    Card(#[from] CardError),
    /// The table is wrong.
    #[error(transparent)]
    Table(#[from] TableError),
    /// The train is wrong.
    #[error(transparent)]
    Train(#[from] TrainError),
    /// The pins cannot be met.
    #[error(transparent)]
    Pin(#[from] PinError),
    /// The lift that the timing is stated at is not on the lobe.
    #[error("timing is stated at a tappet lift of {lift_mm} mm, which the lobe does not have")]
    TimingLift {
        /// That lift.
        lift_mm: f64,
    },
}

/// Crank angle of the top dead centre between exhaust and intake strokes.
pub(crate) const OVERLAP_TDC_DEG: f64 = 360.0;
/// Bottom dead centres before and after it.
const EXHAUST_BDC_DEG: f64 = 180.0;
const INTAKE_BDC_DEG: f64 = 540.0;
/// Durations of card and curve agree when they are off by less.
const SAME_DURATION_DEG: f64 = 1.0;
/// The nose is found when it moves by less from one round to the next, in crank degrees.
const NOSE_DEG: f64 = 1e-11;
/// Rounds for that.
const NOSE_ROUNDS: usize = 30;

/// Fits the curve of a lobe and places it on the crank.
///
/// The pins stand at fixed crank angles and the timing may be stated at a midpoint of the curve, so the two are
/// repeated until the nose stands still; with timing stated at the nose the first round is the last.
pub fn fit_lobe(duty: Duty, lobe: &Lobe, train: &Train) -> Result<LobeFit, LobeError> {
    let (bare, mut notes) = fit_shape(lobe, &[])?;
    let mut nose_deg = nose_deg(duty, &lobe.timing, &bare)?;
    let mut curve = bare.clone();
    if !lobe.pins.is_empty() {
        for _ in 0..NOSE_ROUNDS {
            let mut round_notes = Vec::new();
            let pins = pin_points(lobe, train, &bare, nose_deg, &mut round_notes)?;
            (curve, notes) = match lobe.source {
                LobeSource::Card(_) => fit_shape(lobe, &pins)?,
                LobeSource::Table(_) => {
                    let (_, table_notes) = (&bare, notes_of_rows(&notes));
                    round_notes.extend(off_table(&bare, &pins, nose_deg));
                    (lead_through(&bare, &pins)?, table_notes)
                }
            };
            notes.extend(round_notes);
            let next = self::nose_deg(duty, &lobe.timing, &curve)?;
            let moved = (next - nose_deg).abs();
            nose_deg = next;
            if moved < NOSE_DEG {
                break;
            }
        }
    }
    notes.extend(event_note(&lobe.timing, &curve)?);
    Ok(LobeFit { curve: Arc::new(curve), nose: CrankAngle::from_degrees(nose_deg), notes })
}

fn notes_of_rows(notes: &[LobeNote]) -> Vec<LobeNote> {
    notes.iter().filter(|note| matches!(note, LobeNote::Row(_))).copied().collect()
}

/// A lift that the curve has to pass, cam degrees from the nose and millimetres at the tappet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct PinPoint {
    pub from_nose_deg: f64,
    pub lift_mm: f64,
}

fn fit_shape(lobe: &Lobe, pins: &[PinPoint]) -> Result<(LiftCurve, Vec<LobeNote>), LobeError> {
    match &lobe.source {
        LobeSource::Card(card) => {
            let opening = flank_numbers(card, Flank::Opening, pins);
            let closing = flank_numbers(card, Flank::Closing, pins);
            let fit = fit_card(card.lobe_lift.value.get::<millimeter>(), &opening, &closing)?;
            let notes = fit.wavy.then_some(LobeNote::WavyFlank).into_iter().collect();
            Ok((fit.curve, notes))
        }
        LobeSource::Table(table) => {
            let fit = fit_table(table)?;
            Ok((fit.curve, fit.notes.into_iter().map(LobeNote::Row).collect()))
        }
    }
}

/// What a card says of one flank, in cam degrees from the nose.
fn flank_numbers(card: &LobeCard, flank: Flank, pins: &[PinPoint]) -> FlankNumbers {
    let on_flank = |duration: &Duration| {
        let crank = match (duration.span, flank) {
            (Span::Symmetric(whole), _) => whole.value * 0.5,
            (Span::Flanks { opening, .. }, Flank::Opening) => opening.value,
            (Span::Flanks { closing, .. }, Flank::Closing) => closing.value,
        };
        let lift_mm = tappet_lift(duration.lift.value, duration.at).get::<millimeter>();
        FlankPoint { from_nose_deg: crank.to_cam().degrees(), lift_mm }
    };
    let mut points: Vec<FlankPoint> = card.durations.iter().map(on_flank).collect();
    let here = |pin: &&PinPoint| (pin.from_nose_deg < 0.0) == (flank == Flank::Opening);
    points.extend(
        pins.iter()
            .filter(here)
            .map(|pin| FlankPoint { from_nose_deg: pin.from_nose_deg.abs(), lift_mm: pin.lift_mm }),
    );
    let ramp = match flank {
        Flank::Opening => card.ramp_opening,
        Flank::Closing => card.ramp_closing,
    };
    let ramp = ramp.map(|Ramp { height, rise_per_cam_degree }| RampNumbers {
        height_mm: height.value.get::<millimeter>(),
        mm_per_deg: rise_per_cam_degree.value.get::<millimeter>(),
    });
    FlankNumbers { points, ramp }
}

/// A stated lift as lift of the tappet.
fn tappet_lift(lift: Length, at: LiftAt) -> Length {
    match at {
        LiftAt::Tappet => lift,
        LiftAt::Valve { ratio, lash } => (lift + lash.value) / ratio_number(ratio.value),
    }
}

/// Crank angle of the nose as installed.
///
/// Identities of the trade for events at one lift, degrees of the crank: intake centreline = duration/2 - opening
/// before top, exhaust centreline = duration/2 - closing after top, separation = half their sum, and advance moves
/// intake and exhaust earlier alike (common practice).
fn nose_deg(duty: Duty, timing: &LobeTiming, curve: &LiftCurve) -> Result<f64, LobeError> {
    let away = match duty {
        Duty::Intake => 1.0,
        Duty::Exhaust => -1.0,
    };
    let centre_deg = match timing.reference {
        TimingReference::Centreline(centreline) => {
            OVERLAP_TDC_DEG + away * centreline.value.degrees() - centre_past_nose(timing.centre, curve)?
        }
        TimingReference::Separation { separation, advance } => {
            let centre = OVERLAP_TDC_DEG + away * separation.value.degrees() - advance.value.degrees();
            centre - centre_past_nose(timing.centre, curve)?
        }
        TimingReference::Events { lift, at, opens, closes } => {
            let (opens, closes) = (opens.value.degrees(), closes.value.degrees());
            let (open_deg, close_deg) = match duty {
                Duty::Intake => (OVERLAP_TDC_DEG - opens, INTAKE_BDC_DEG + closes),
                Duty::Exhaust => (EXHAUST_BDC_DEG - opens, OVERLAP_TDC_DEG + closes),
            };
            let midpoint = LobeCentre::MidpointAt(tappet_lift(lift.value, at));
            0.5 * (open_deg + close_deg) - centre_past_nose(midpoint, curve)?
        }
    };
    Ok((centre_deg - timing.installed_advance.value.degrees()).rem_euclid(CYCLE_DEG))
}

/// Crank degrees from the nose to the stated centre.
fn centre_past_nose(centre: LobeCentre, curve: &LiftCurve) -> Result<f64, LobeError> {
    match centre {
        LobeCentre::Nose => Ok(0.0),
        LobeCentre::MidpointAt(lift) => {
            let at = |flank| {
                let missing = LobeError::TimingLift { lift_mm: lift.get::<millimeter>() };
                curve.flank_angle(lift, flank).map(|angle| angle.to_crank().degrees()).ok_or(missing)
            };
            Ok(0.5 * (at(Flank::Opening)? + at(Flank::Closing)?))
        }
    }
}

fn event_note(timing: &LobeTiming, curve: &LiftCurve) -> Result<Option<LobeNote>, LobeError> {
    let TimingReference::Events { lift, at, opens, closes } = timing.reference else { return Ok(None) };
    let stated = opens.value + closes.value + CrankAngle::from_degrees(0.25 * CYCLE_DEG);
    let lift = tappet_lift(lift.value, at);
    let missing = LobeError::TimingLift { lift_mm: lift.get::<millimeter>() };
    let curve = curve.duration(lift).ok_or(missing)?.to_crank();
    let apart = (stated - curve).degrees().abs();
    Ok((apart > SAME_DURATION_DEG).then_some(LobeNote::EventsDisagree { stated, curve }))
}

/// Pins as lifts of the tappet at their place on the lobe.
fn pin_points(
    lobe: &Lobe,
    train: &Train,
    curve: &LiftCurve,
    nose_deg: f64,
    notes: &mut Vec<LobeNote>,
) -> Result<Vec<PinPoint>, LobeError> {
    let transfer = Transfer::new(train, curve.nose_lift_m(), TrainState::Cold)?;
    let mut points = Vec::new();
    for pin in &lobe.pins {
        let valve_m = pin.valve_lift.value.get::<meter>();
        if valve_m.is_nan() || valve_m <= 0.0 {
            notes.push(LobeNote::PinSeated { after_tdc: pin.after_tdc });
            continue;
        }
        let from_nose_deg = 0.5 * (OVERLAP_TDC_DEG + pin.after_tdc.degrees() - nose_deg);
        points.push(PinPoint { from_nose_deg, lift_mm: transfer.tappet_lift_m(valve_m) * 1e3 });
    }
    Ok(points)
}

fn off_table(curve: &LiftCurve, pins: &[PinPoint], nose_deg: f64) -> Vec<LobeNote> {
    pins.iter()
        .map(|pin| LobeNote::PinOffTable {
            after_tdc: CrankAngle::from_degrees(nose_deg + 2.0 * pin.from_nose_deg - OVERLAP_TDC_DEG),
            off: Length::new::<meter>(pin.lift_mm * 1e-3 - curve.lift_m(pin.from_nose_deg)),
        })
        .collect()
}
