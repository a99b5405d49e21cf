//! Cards: the trade's identities between events, centrelines, overlap and advance, all exact.

mod invented;

use invented::{centreline, crank, heron_card, inches, one_duration_card, timing, wren_card, wren_train};
use motion::{Flank, LobeError, LobeNote, TrainState, ValveMotion, fit_lobe, lobe_separation, overlap};
use parts::Duty;
use parts::cam::{LiftAt, LiftPin, Lobe, LobeCentre, TimingReference};
use units::length::inch;
use units::{CrankAngle, Length};

/// Angles agree when they are off by less: rounding of a few hundred degrees in radians.
const SAME_DEG: f64 = 1e-9;

fn motion_of(duty: Duty, lobe: &Lobe) -> ValveMotion {
    let fit = fit_lobe(duty, lobe, &wren_train()).expect("a lobe");
    ValveMotion::new(&fit, &wren_train(), TrainState::Hot).expect("a train")
}

#[track_caller]
fn same(got: CrankAngle, degrees: f64) {
    assert!((got.degrees() - degrees).abs() < SAME_DEG, "{} deg, expected {degrees}", got.degrees());
}

/// Intake centreline = duration/2 - opening before top; closing = duration - 180 - opening; separation and overlap.
#[test]
fn exact_identities_at_a_stated_lift() {
    let at = Length::new::<inch>(0.050);
    let intake = motion_of(Duty::Intake, &wren_card(centreline(106.0)));
    let exhaust = motion_of(Duty::Exhaust, &wren_card(centreline(114.0)));
    let (intake, exhaust) =
        (intake.events_at_tappet(at).expect("opens"), exhaust.events_at_tappet(at).expect("opens"));
    same(intake.duration(), 230.0);
    same(intake.opens_before_dead_centre(Duty::Intake), 230.0 / 2.0 - 106.0);
    same(intake.closes_after_dead_centre(Duty::Intake), 230.0 - 180.0 - 9.0);
    same(intake.centreline(Duty::Intake), 106.0);
    same(exhaust.opens_before_dead_centre(Duty::Exhaust), 114.0 + 115.0 - 180.0);
    same(exhaust.closes_after_dead_centre(Duty::Exhaust), 115.0 - 114.0);
    same(lobe_separation(&intake, &exhaust), 110.0);
    same(overlap(&intake, &exhaust), 9.0 + 1.0);
}

/// 20-60/60-20 with 5 degrees of advance is 25-55/65-15.
#[test]
fn exact_advance_by_five() {
    for (advance, events) in [(0.0, [20.0, 60.0, 60.0, 20.0]), (5.0, [25.0, 55.0, 65.0, 15.0])] {
        let card = |opens, closes| TimingReference::Events {
            lift: inches(0.050),
            at: LiftAt::Tappet,
            opens: crank(opens),
            closes: crank(closes),
        };
        let mut intake = one_duration_card(260.0, card(20.0, 60.0));
        let mut exhaust = one_duration_card(260.0, card(60.0, 20.0));
        for lobe in [&mut intake, &mut exhaust] {
            lobe.timing.installed_advance = crank(advance);
        }
        let at = Length::new::<inch>(0.050);
        let intake = motion_of(Duty::Intake, &intake).events_at_tappet(at).expect("opens");
        let exhaust = motion_of(Duty::Exhaust, &exhaust).events_at_tappet(at).expect("opens");
        same(intake.opens_before_dead_centre(Duty::Intake), events[0]);
        same(intake.closes_after_dead_centre(Duty::Intake), events[1]);
        same(exhaust.opens_before_dead_centre(Duty::Exhaust), events[2]);
        same(exhaust.closes_after_dead_centre(Duty::Exhaust), events[3]);
        // (ICL + ECL)/2 and IVO + EVC do not depend on the advance of both.
        same(lobe_separation(&intake, &exhaust), 110.0);
        same(overlap(&intake, &exhaust), 40.0);
    }
}

/// Separation and ground-in advance say the same as two centrelines, and so does turning a finished motion.
#[test]
fn exact_separation_and_advance() {
    let split = TimingReference::Separation { separation: crank(110.0), advance: crank(4.0) };
    same(motion_of(Duty::Intake, &wren_card(split)).nose(), 360.0 + 106.0);
    same(motion_of(Duty::Exhaust, &wren_card(split)).nose(), 360.0 - 114.0);
    let straight = motion_of(Duty::Intake, &wren_card(centreline(110.0)));
    same(straight.advanced(CrankAngle::from_degrees(4.0)).nose(), 360.0 + 106.0);
}

/// On an asymmetric lobe the centreline is the midpoint of the stated lift, and the nose lies before it.
#[test]
fn exact_midpoint_of_an_asymmetric_lobe() {
    let at = Length::new::<inch>(0.050);
    let mut lobe = heron_card(centreline(108.0));
    lobe.timing.centre = LobeCentre::MidpointAt(at);
    let motion = motion_of(Duty::Intake, &lobe);
    let events = motion.events_at_tappet(at).expect("opens");
    same(events.centreline(Duty::Intake), 108.0);
    same(events.duration(), 230.5);
    same(motion.nose(), 360.0 + 108.0 - (117.5 - 113.0) / 2.0);
    let exhaust = motion_of(Duty::Exhaust, &lobe).events_at_tappet(at).expect("opens");
    same(exhaust.centreline(Duty::Exhaust), 108.0);
}

/// Lifts measured at the valve at and around top dead centre are met, and the card's numbers still are.
#[test]
fn exact_pins_are_met() {
    for duty in [Duty::Intake, Duty::Exhaust] {
        let bare = wren_card(centreline(106.0));
        let free = motion_of(duty, &bare);
        let after = |deg: f64| CrankAngle::from_degrees(360.0 + deg);
        let mut pinned = bare.clone();
        // A real flank near the seat is some thousandths of an inch off the calmest one.
        let pins: Vec<(f64, f64)> = [(-10.0, 0.002), (0.0, 0.003), (10.0, 0.003)]
            .map(|(deg, more)| (deg, free.lift_at(after(deg)).get::<inch>() + more))
            .to_vec();
        for &(deg, lift) in &pins {
            pinned.pins.push(LiftPin { after_tdc: CrankAngle::from_degrees(deg), valve_lift: inches(lift) });
        }
        let fit = fit_lobe(duty, &pinned, &wren_train()).expect("pins that can be met");
        let motion = ValveMotion::new(&fit, &wren_train(), TrainState::Cold).expect("a train");
        for (deg, lift) in pins {
            let off = motion.lift_at(after(deg)).get::<inch>() - lift;
            assert!(off.abs() < 1e-12, "{deg} deg: off by {off} in");
        }
        for (lift, duration) in [(0.006, 280.0), (0.050, 230.0), (0.200, 144.0)] {
            same(motion.events_at_tappet(Length::new::<inch>(lift)).expect("opens").duration(), duration);
        }
    }
}

#[test]
fn exact_events_that_contradict_the_durations_are_noted() {
    let events = TimingReference::Events {
        lift: inches(0.050),
        at: LiftAt::Tappet,
        opens: crank(9.0),
        closes: crank(48.0),
    };
    let fit = fit_lobe(Duty::Intake, &wren_card(events), &wren_train()).expect("a lobe");
    let [LobeNote::EventsDisagree { stated, curve }] = fit.notes[..] else { panic!("{:?}", fit.notes) };
    same(stated, 237.0);
    same(curve, 230.0);
}

#[test]
fn exact_timing_off_the_lobe_is_refused() {
    let mut lobe = heron_card(centreline(108.0));
    lobe.timing.centre = LobeCentre::MidpointAt(Length::new::<inch>(0.5));
    assert!(matches!(fit_lobe(Duty::Intake, &lobe, &wren_train()), Err(LobeError::TimingLift { .. })));
    let _ = timing(centreline(1.0));
}

/// A ratio from 1.5 to 1.6 adds about 0.008 in at top dead centre and 0.032 in at full lift of a 230 degree lobe: at the
/// top less than a tenth of the lift is at work.
#[test]
fn exact_ratio_scales_every_lift() {
    let motion = motion_of(Duty::Intake, &wren_card(centreline(106.0)));
    let other = motion.with_ratio(units::Ratio::new::<units::ratio::ratio>(1.6));
    for deg in (0..720).map(f64::from) {
        let (a, b) = (
            motion.lift_at(CrankAngle::from_degrees(deg)).get::<inch>(),
            other.lift_at(CrankAngle::from_degrees(deg)).get::<inch>(),
        );
        assert!((b - a * 1.6 / 1.5).abs() < 1e-15);
    }
    let more = other.greatest_lift() - motion.greatest_lift();
    assert!((more.get::<inch>() - 0.035).abs() < 1e-12);
    let opening = fit_lobe(Duty::Intake, &wren_card(centreline(106.0)), &wren_train()).expect("a lobe");
    assert!(opening.curve.foot(Flank::Opening).degrees() < -70.0);
}
