//! Cost of one gap at one lift, and of following a valve from seat to full travel.

use criterion::{Criterion, criterion_group, criterion_main};
use fit::Surrounding;
use fit::first_contact::sweep;
use fit::solid::{Obstacle, Plan, ValveHead};
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

criterion_group!(benches, gap);
criterion_main!(benches);
