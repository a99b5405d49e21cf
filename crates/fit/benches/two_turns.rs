//! Cost of the least gaps of everything that moves over two turns of the crank, and of ten thousand samples of them.

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use fit::two_turns::{Pair, Way, gap_m, two_turns};
use fit::two_turns_samples::least_near_m;
use fit::two_turns_scan::find_dips;
use moving::{Layout, Off, wren, wren_motions};
use std::hint::black_box;

#[path = "../tests/moving/mod.rs"]
mod moving;

/// Tolerances move a gap by less than half of this.
const SPREAD_M: f64 = 1e-3;
const N_SAMPLES: u32 = 10_000;

fn one_gap(c: &mut Criterion) {
    let motions = wren_motions();
    let parts = wren(&motions, Layout::Wedge, &Off::default());
    let mut group = c.benchmark_group("one gap at 352 degrees");
    for pair in [
        Pair::ValveToPiston(1, Way::Vertical),
        Pair::ValveToPiston(1, Way::Axial),
        Pair::ValveToPiston(1, Way::Distance),
        Pair::ValveToPiston(1, Way::Radial),
        Pair::ValveToValve(0, 1),
    ] {
        group.bench_function(format!("{pair:?}"), |b| b.iter(|| gap_m(&parts, pair, black_box(352.0))));
    }
    group.finish();
}

fn nominal(c: &mut Criterion) {
    let motions = wren_motions();
    let mut group = c.benchmark_group("one cylinder, nominal");
    for layout in [Layout::Wedge, Layout::PentRoof] {
        let parts = wren(&motions, layout, &Off::default());
        group.bench_function(format!("{layout:?}"), |b| b.iter(|| two_turns(black_box(&parts))));
    }
    group.finish();
}

fn samples(c: &mut Criterion) {
    let motions = wren_motions();
    let mut group = c.benchmark_group("10,000 samples, 720 degrees, one core");
    group.sample_size(10);
    for (layout, which) in [Layout::Wedge, Layout::PentRoof]
        .into_iter()
        .flat_map(|layout| [(layout, "pairs with a limit"), (layout, "all pairs")])
    {
        let mut known = find_dips(&wren(&motions, layout, &Off::default()), SPREAD_M);
        if which == "pairs with a limit" {
            known.retain(|of_pair| {
                !matches!(of_pair.pair, Pair::ValveToPiston(_, Way::Vertical | Way::Distance))
            });
        }
        group.bench_function(format!("{layout:?}, {which}"), |b| {
            b.iter_batched(
                || 0.0,
                |mut sum: f64| {
                    for sample in 0..N_SAMPLES {
                        let shares = std::array::from_fn(|idx| scattered(sample, idx as u32));
                        let parts = wren(&motions, layout, &Off { shares });
                        sum += known.iter().map(|of_pair| least_near_m(&parts, of_pair)).sum::<f64>();
                    }
                    sum
                },
                BatchSize::PerIteration,
            );
        });
    }
    group.finish();
}

/// A number from -1 to 1 that looks like chance and is the same everywhere.
fn scattered(sample: u32, idx: u32) -> f64 {
    let mixed = (sample * 24 + idx).wrapping_mul(2_654_435_761) ^ 0x9e37_79b9;
    f64::from(mixed.wrapping_mul(2_246_822_519) >> 8) / f64::from(1 << 23) - 1.0
}

criterion_group!(benches, one_gap, nominal, samples);
criterion_main!(benches);
