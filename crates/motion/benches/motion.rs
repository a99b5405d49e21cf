//! Time to look up a lift, to fill a table of a cycle, and to fit a lobe.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use motion::{LobeFit, SliderCrank, TrainState, ValveMotion, fit_lobe};
use parts::Duty;
use units::length::millimeter;
use units::{CrankAngle, Length};

#[path = "../tests/invented/mod.rs"]
mod invented;

fn wren() -> LobeFit {
    let card = invented::wren_card(invented::centreline(106.0));
    fit_lobe(Duty::Intake, &card, &invented::wren_train()).expect("a lobe")
}

fn look_up(c: &mut Criterion) {
    let motion = ValveMotion::new(&wren(), &invented::wren_train(), TrainState::Hot).expect("a train");
    let mut deg = 300.0;
    c.bench_function("lift at an angle", |b| {
        b.iter(|| {
            deg = if deg > 600.0 { 300.0 } else { deg + 0.37 };
            motion.lift_at(black_box(CrankAngle::from_degrees(deg)))
        });
    });
    c.bench_function("lift and three derivatives at an angle", |b| {
        b.iter(|| motion.jet_at(black_box(CrankAngle::from_degrees(430.3))));
    });
    c.bench_function("table of 720 degrees", |b| b.iter(|| motion.table(black_box(720))));
    c.bench_function("another phase and ratio", |b| {
        let ratio = units::Ratio::new::<units::ratio::ratio>(1.6);
        b.iter(|| motion.advanced(black_box(CrankAngle::from_degrees(2.0))).with_ratio(ratio));
    });
    let mm = |value| Length::new::<millimeter>(value);
    let crank = SliderCrank::new(mm(86.0), mm(143.0), mm(0.8)).expect("a crank that turns");
    c.bench_function("piston drop at an angle", |b| {
        b.iter(|| crank.drop(black_box(CrankAngle::from_degrees(12.0))));
    });
}

fn fit(c: &mut Criterion) {
    c.bench_function("fit a card of three durations", |b| b.iter(wren));
    let asymmetric = invented::heron_card(invented::centreline(106.0));
    c.bench_function("fit an asymmetric card", |b| {
        b.iter(|| fit_lobe(Duty::Intake, black_box(&asymmetric), &invented::wren_train()));
    });
    let known = wren();
    let mut noise = invented::Noise::new(1);
    let table = invented::table_of(
        |deg| known.curve.lift(invented::cam(deg)).get::<millimeter>() + 0.005 * noise.normal(),
        1.0,
    );
    let lobe = invented::table_lobe(table, invented::centreline(106.0));
    c.bench_function("fit a table of 360 rows", |b| {
        b.iter(|| fit_lobe(Duty::Intake, black_box(&lobe), &invented::wren_train()));
    });
}

criterion_group!(benches, look_up, fit);
criterion_main!(benches);
