//! Every slack of the demos, verified by applying it.

use headroom::slack::{distinct, margins_with, rev_slack, slack};
use headroom::slack_change::{Adjustment, Kind};
use headroom::slack_search::{Limited, Way};
use parts::limit::Check;
use parts::{Build, Duty};
use units::angular_velocity::revolution_per_minute;
use units::{AngularVelocity, Reading};

const DEMOS: [&str; 4] = [
    include_str!("../../../demos/dunlin.build.toml"),
    include_str!("../../../demos/heron.build.toml"),
    include_str!("../../../demos/kestrel.build.toml"),
    include_str!("../../../demos/teal.build.toml"),
];

fn build(text: &str) -> Build {
    sheet::read_build(text).unwrap_or_else(|problems| panic!("{problems}")).build
}

/// The demo, run up to 600 rpm below where its first train comes apart if it does not say how fast.
fn with_revs(text: &str) -> Build {
    let mut build = build(text);
    let lift_off = rev_slack(&build).expect("springs and masses").lift_off;
    let below = AngularVelocity::new::<revolution_per_minute>(600.0);
    build.used.rev_limit.get_or_insert(Reading::measured(lift_off - below, AngularVelocity::default()));
    build
}

/// A step beyond a stop: 0.01 mm, and what is as little of the other kinds.
fn step_si(adjustment: Adjustment) -> f64 {
    match adjustment.kind() {
        Kind::Length => 1e-5,
        Kind::CrankAngle => 0.01_f64.to_radians(),
        Kind::Ratio => 1e-3,
        Kind::Speed => AngularVelocity::new::<revolution_per_minute>(1.0).value,
    }
}

/// Just before a stop nothing is under its limit that was not before, just beyond it the named check is.
#[test]
fn exact_slacks_hold_when_applied() {
    let mut n_stops = 0;
    for text in DEMOS {
        let build = with_revs(text);
        let cylinders = distinct(&build);
        let mut followed = Vec::new();
        for slack in slack(&build) {
            let step = step_si(slack.adjustment);
            followed.push(slack.adjustment);
            for (way, sign) in [(&slack.more, 1.0), (&slack.less, -1.0)] {
                let short = |by: f64| {
                    let all = margins_with(&cylinders, &build, slack.adjustment, sign * by);
                    let under =
                        all.expect("an engine").into_iter().filter(|margin| margin.over_limit_si < 0.0);
                    let named: Vec<_> = under.map(|margin| (margin.of, margin.valve)).collect();
                    named
                };
                let fresh = |by: f64| {
                    let mut found = short(by);
                    found.retain(|known| !way.short_already.contains(known));
                    found
                };
                let Some(first) = &way.first else {
                    continue;
                };
                n_stops += 1;
                let before = (first.at_si - step).max(0.0);
                assert!(fresh(before).is_empty(), "{}: {slack:?}: {:?} before", build.name, fresh(before));
                let named = (first.of, first.valve.clone());
                let beyond = fresh(first.at_si + step);
                assert!(beyond.contains(&named), "{}: {slack:?}: {beyond:?} beyond", build.name);
                if let Some(second) = &way.second {
                    assert!(second.at_si >= first.at_si, "{slack:?}");
                    let named = (second.of, second.valve.clone());
                    assert!(fresh(second.at_si + step).contains(&named), "{}: {slack:?}: second", build.name);
                }
            }
        }
        // A bucket has no rocker; everything else can be turned up on every demo.
        let all = Adjustment::all();
        let missing: Vec<_> = all.iter().filter(|adjustment| !followed.contains(adjustment)).collect();
        assert!(missing.is_empty(), "{}: {missing:?}", build.name);
    }
    assert!(n_stops > 20, "only {n_stops} stops");
}

fn stops(way: &Way) -> impl Iterator<Item = Limited> {
    way.first.iter().chain(&way.second).map(|stop| stop.of)
}

/// More lift never runs out of the block's or the spring's room by less of it, and a retarded exhaust meets the piston.
#[test]
fn exact_senses() {
    for text in DEMOS {
        let build = build(text);
        for slack in slack(&build) {
            match slack.adjustment {
                Adjustment::Lift(_) | Adjustment::Ratio(_) => {
                    assert!(
                        stops(&slack.less).all(|of| of == Limited::Gap(Check::PocketRadial)),
                        "{slack:?}"
                    );
                }
                Adjustment::Advance(Duty::Exhaust) => {
                    assert!(
                        stops(&slack.more).all(|of| of != Limited::Gap(Check::ExhaustToPiston)),
                        "{slack:?}"
                    );
                }
                Adjustment::Advance(Duty::Intake) => {
                    assert!(
                        stops(&slack.less).all(|of| of != Limited::Gap(Check::IntakeToPiston)),
                        "{slack:?}"
                    );
                }
                _ => {}
            }
        }
    }
}

#[test]
fn exact_trains_come_apart_above_idle() {
    for text in DEMOS {
        let build = build(text);
        if let Some(revs) = rev_slack(&build) {
            let rpm = revs.lift_off.get::<revolution_per_minute>();
            assert!((2000.0..30_000.0).contains(&rpm), "{}: {rpm}", build.name);
        }
    }
}
