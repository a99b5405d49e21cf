//! Cost of one gap at one lift, and of following a valve from seat to full travel.

#[path = "../tests/invented/mod.rs"]
mod invented;

use criterion::{Criterion, criterion_group, criterion_main};
use fit::first_contact::sweep;
use fit::scene::{Scene, Surrounding};
use fit::solid::{Obstacle, Plan, ValveHead};
use fit::tolerance::Spread;
use fit::valve_to_metal::gap_m;
use glam::DVec3;
use std::hint::black_box;

/// An invented canted exhaust valve that meets the bore wall at part lift.
fn valve() -> ValveHead {
    let seated = DVec3::new(-0.003, 0.0275, 0.0021);
    ValveHead::new(0.019, 0.0013, 0.785, 0.004, seated, [0.01, -0.05])
}

fn gap(c: &mut Criterion) {
    let valve = valve();
    let block = Obstacle::block(0.0415, 0.0005, 0.0005);
    let opening = Plan::Circle { center: [0.0, 0.0003], radius: 0.0422 };
    let gasket = Obstacle::plate(opening, 0.0, 0.0011);
    let mut group = c.benchmark_group("gap");
    for (name, metal, lift) in [
        ("block, free above the deck", &block, 0.001),
        ("block, near contact", &block, 0.0031),
        ("block, hits the wall", &block, 0.009),
        ("gasket, free", &gasket, 0.001),
    ] {
        group.bench_function(name, |b| b.iter(|| gap_m(black_box(&valve), metal, black_box(lift))));
    }
    group.finish();
    c.bench_function("sweep from seat to full travel, block", |b| {
        b.iter(|| sweep(black_box(&valve), &block, Surrounding::Block, 0.0102));
    });
}

/// Thread time of one tolerance sample of first contact; a million of them is that in seconds of one core.
fn sample(c: &mut Criterion) {
    let cylinder = invented::cylinder(25.0, -3.0);
    let scene = Scene::new(&cylinder, &cylinder.head.valves[0]);
    let spread = Spread::new(&scene, Surrounding::Block);
    let n_params = spread.params.len();
    let mut deviations = vec![0.0; n_params];
    let mut turn = 0_u32;
    c.bench_function("tolerance sample of first contact, block", |b| {
        b.iter(|| {
            // A fixed, scattered walk: the point is the cost, not the statistics.
            for (idx, deviation) in deviations.iter_mut().enumerate() {
                turn = turn.wrapping_mul(1_664_525).wrapping_add(1_013_904_223 + idx as u32);
                *deviation = f64::from(turn >> 8) / f64::from(1 << 24) * 4.0 - 2.0;
            }
            black_box(spread.first_contact_m(&deviations))
        });
    });
}

criterion_group!(benches, gap, sample);
criterion_main!(benches);
