//! Lash, hydraulic elements, a ratio that changes with lift, and variants of a finished motion.

mod invented;

use invented::{centreline, heron_card, inches, wren_card, wren_train};
use motion::{TrainError, TrainState, ValveMotion, fit_lobe};
use parts::Duty;
use parts::train::{Lash, LashAt, RatioPoint, Train};
use units::length::{inch, millimeter};
use units::ratio::ratio;
use units::{CrankAngle, Length, Ratio};

fn motion_of(train: &Train, state: TrainState) -> ValveMotion {
    let fit = fit_lobe(Duty::Intake, &wren_card(centreline(106.0)), train).expect("a lobe");
    ValveMotion::new(&fit, train, state).expect("a train")
}

fn degrees() -> impl Iterator<Item = CrankAngle> {
    (0..1440).map(|half| CrankAngle::from_degrees(f64::from(half) / 2.0))
}

/// Lash at the valve is lift lost at the valve; at the cam it is lost times the ratio; hot lash counts when running.
#[test]
fn exact_lash_is_lift_lost() {
    let free = motion_of(&wren_train(), TrainState::Hot);
    for (at, lost) in [(LashAt::Valve, 1.0), (LashAt::Cam, 1.5)] {
        let mut train = wren_train();
        train.lash = Lash::Solid { at, cold: inches(0.010), hot: Some(inches(0.016)) };
        for (state, lash) in [(TrainState::Cold, 0.010), (TrainState::Hot, 0.016)] {
            let motion = motion_of(&train, state);
            for angle in degrees() {
                let expected = (free.lift_at(angle).get::<inch>() - lash * lost).max(0.0);
                assert!((motion.lift_at(angle).get::<inch>() - expected).abs() < 1e-14);
            }
        }
    }
}

/// Opening and closing on the seat are where the lift curve comes to the lash, and the valve is shut outside them.
#[test]
fn exact_seat_events_follow_the_lash() {
    let mut train = wren_train();
    train.lash = Lash::Solid { at: LashAt::Valve, cold: inches(0.012), hot: None };
    let motion = motion_of(&train, TrainState::Hot);
    let seat = motion.events_at(Length::default()).expect("opens");
    let tappet = motion.events_at_tappet(Length::new::<inch>(0.008)).expect("opens");
    assert!((seat.opens - tappet.opens).degrees().abs() < 1e-9);
    assert!((seat.closes - tappet.closes).degrees().abs() < 1e-9);
    for angle in degrees() {
        let open = seat.opens < angle && angle < seat.closes;
        assert_eq!(motion.lift_at(angle) > Length::default(), open, "{} deg", angle.degrees());
    }
    // At a lift of the valve, that lift is there.
    let at = Length::new::<inch>(0.100);
    let events = motion.events_at(at).expect("opens");
    for angle in [events.opens, events.closes] {
        assert!((motion.lift_at(angle) - at).get::<inch>().abs() < 1e-13);
    }
    assert!(motion.events_at(Length::new::<inch>(0.6)).is_none());
}

/// A pumped-up element holds the valve open by its preload times the ratio; an empty one takes the rest of its travel.
#[test]
fn exact_hydraulic_states() {
    let mut train = wren_train();
    train.lash = Lash::Hydraulic { preload: inches(0.040), plunger_travel: inches(0.120) };
    let running = motion_of(&train, TrainState::Hot);
    let pumped = motion_of(&train, TrainState::PumpedUp);
    let collapsed = motion_of(&train, TrainState::Collapsed);
    for angle in degrees() {
        let lift = running.lift_at(angle).get::<inch>();
        assert!((pumped.lift_at(angle).get::<inch>() - lift - 0.060).abs() < 1e-14);
        assert!((collapsed.lift_at(angle).get::<inch>() - (lift - 0.120).max(0.0)).abs() < 1e-14);
    }
    assert!(pumped.events_at(Length::default()).is_none());
    assert!(pumped.events_at(Length::new::<inch>(0.2)).is_some());
}

/// A ratio measured at several lifts shows at those lifts, and the stated one at full lift.
#[test]
fn exact_ratio_against_lift() {
    let mut train = wren_train();
    let point = |lift: f64, value: f64| RatioPoint {
        tappet_lift: Length::new::<inch>(lift),
        ratio: Ratio::new::<ratio>(value),
    };
    train.ratio_against_lift = vec![point(0.05, 1.44), point(0.20, 1.52), point(0.35, 1.50)];
    let (plain, motion) = (motion_of(&wren_train(), TrainState::Hot), motion_of(&train, TrainState::Hot));
    for (lift, value) in [(0.05, 1.44), (0.20, 1.52), (0.35, 1.50)] {
        let at = if lift < 0.35 {
            plain.events_at_tappet(Length::new::<inch>(lift)).expect("opens").opens
        } else {
            plain.nose()
        };
        let got = motion.lift_at(at).get::<inch>() / lift;
        assert!((got - value).abs() < 1e-12, "{lift}: {got}");
    }
    train.ratio_against_lift = vec![point(0.1, 1.5), point(0.1, 1.6)];
    let fit = fit_lobe(Duty::Intake, &wren_card(centreline(106.0)), &train).expect("a lobe");
    assert!(matches!(ValveMotion::new(&fit, &train, TrainState::Hot), Err(TrainError::RatioPoint { .. })));
    train.ratio_against_lift = vec![point(0.1, 1.5), point(0.3, 0.5)];
    assert!(matches!(ValveMotion::new(&fit, &train, TrainState::Hot), Err(TrainError::RatioFalls { .. })));
    train.ratio.value = Ratio::new::<ratio>(f64::NAN);
    assert!(matches!(ValveMotion::new(&fit, &train, TrainState::Hot), Err(TrainError::Ratio { .. })));
}

/// Variants of one motion: lash, lobe lift and duration.
#[test]
fn exact_variants() {
    let motion = motion_of(&wren_train(), TrainState::Hot);
    let at = Length::new::<inch>(0.050);
    let longer = motion.with_duration_scaled(1.02);
    let duration = longer.events_at_tappet(at).expect("opens").duration();
    assert!((duration.degrees() - 230.0 * 1.02).abs() < 1e-9);
    let higher = motion.with_lobe_lift_scaled(1.1);
    let lash = motion.with_more_lash(Length::new::<inch>(0.015));
    for angle in degrees() {
        let lift = motion.lift_at(angle).get::<inch>();
        assert!((higher.lift_at(angle).get::<inch>() - 1.1 * lift).abs() < 1e-14);
        assert!((lash.lift_at(angle).get::<inch>() - (lift - 0.015).max(0.0)).abs() < 1e-14);
    }
    let tighter = lash.with_more_lash(Length::new::<inch>(-0.1));
    assert!((tighter.greatest_lift() - motion.greatest_lift()).value.abs() < 1e-15);
    let events = higher.events_at_tappet(at).expect("opens");
    let lift = higher.lift_at(events.closes).get::<inch>();
    assert!((lift - 0.050 * 1.5).abs() < 1e-12);
}

/// A table of a cycle agrees with the motion between its entries, the better the finer it is.
#[test]
fn converges_table_between_entries() {
    let motion = motion_of(&wren_train(), TrainState::Hot);
    let worst = |n: usize| {
        let table = motion.table(n);
        (0..7193)
            .map(|i| CrankAngle::from_degrees(f64::from(i) / 10.0))
            .map(|angle| (table.lift_at(angle) - motion.lift_at(angle)).get::<millimeter>().abs())
            .fold(0.0, f64::max)
    };
    let (coarse, fine) = (worst(360), worst(720));
    // One entry a degree is good to a ten-thousandth of a micrometre; the order is that of the curve's smoothness
    // across its pieces, at least four.
    assert!(fine < 1e-7, "{fine} mm");
    assert!(coarse / fine > 16.0, "{coarse} {fine}");
}

/// The area under the curve is the sum over a fine table, and grows with the ratio.
#[test]
fn exact_area_under_the_curve() {
    let fit = fit_lobe(Duty::Exhaust, &heron_card(centreline(112.0)), &wren_train()).expect("a lobe");
    let motion = ValveMotion::new(&fit, &wren_train(), TrainState::Hot).expect("a train");
    let area = motion.area_above(Length::default()).expect("opens").millimetre_degrees();
    // The trapezoidal rule on a periodic smooth curve: error far below 1e-9 at a tenth of a degree.
    let sum: f64 = motion.table(7200).lift_m.iter().sum::<f64>() * 1e3 * 0.1;
    assert!((area / sum - 1.0).abs() < 1e-9, "{area} {sum}");
    let more = motion.with_ratio(Ratio::new::<ratio>(1.65)).area_above(Length::default()).expect("opens");
    assert!((more.millimetre_degrees() / area - 1.1).abs() < 1e-12);
    assert!((more.inch_degrees() * 25.4 - more.millimetre_degrees()).abs() < 1e-9);
}
