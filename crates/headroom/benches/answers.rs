//! Cost of a whole answer, and of a million tolerance samples of first contact on all processors.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use fit::tolerance::Spread;
use fit::{Scene, Surrounding};
use headroom::clearance::first_contacts_m;
use headroom::{CheckOptions, check};

fn heron_with_bittern_head() -> parts::Build {
    let demo = |name: &str| {
        let path = format!("{}/../../demos/{name}", env!("CARGO_MANIFEST_DIR"));
        std::fs::read_to_string(path).expect("the demos are there")
    };
    let (base, swap) = (demo("heron.build.toml"), demo("heron-with-bittern-head.swap.toml"));
    let candidate = sheet::read_candidate(&base, &swap, &mut |_| Err("no other sheet".to_owned()));
    candidate.expect("the demo reads").build
}

fn answers(c: &mut Criterion) {
    let build = heron_with_bittern_head();
    c.bench_function("check of six cylinders", |b| {
        b.iter(|| check(black_box(&build), &CheckOptions::default()));
    });
    let cylinder = &build.cylinders[1];
    let scene = Scene::new(cylinder, &cylinder.head.valves[1]);
    let spread = Spread::new(&scene, Surrounding::Block);
    let mut group = c.benchmark_group("tolerance");
    group.sample_size(10);
    group.bench_function("a million samples of first contact", |b| {
        b.iter(|| first_contacts_m(black_box(&spread), 1_000_000));
    });
    group.finish();
}

criterion_group!(benches, answers);
criterion_main!(benches);
