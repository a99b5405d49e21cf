//! What a torque curve costs, best of several: 14 speeds of invented engines of one, four and eight cylinders.
//!
//! `cargo bench -p headroom-cycle --bench curve`; docs/performance/cycle.md has figures.
#![expect(clippy::print_stdout, reason = "a bench talks to its user")]

use cycle::example::{Sizes, engine};
use cycle::fidelity::Fidelity;
use cycle::speed_point::SpeedPoint;
use cycle::sweep::sweep;
use std::time::Instant;

const REPEATS: usize = 5;

fn curve(model: &cycle::model::Model, fidelity: Fidelity, n_threads: usize) -> (f64, Vec<SpeedPoint>) {
    let speeds: Vec<f64> = (0..14).map(|i| 1500.0 + 5500.0 * f64::from(i) / 13.0).collect();
    let pool = rayon::ThreadPoolBuilder::new().num_threads(n_threads).build().expect("a small pool");
    let mut best = (f64::INFINITY, Vec::new());
    for _ in 0..REPEATS {
        let start = Instant::now();
        let points = pool.install(|| sweep(model, &speeds, fidelity)).expect("a model that runs");
        let took = start.elapsed().as_secs_f64();
        if took < best.0 {
            best = (took, points);
        }
    }
    best
}

fn main() {
    println!(
        "cylinders  fidelity  1 thread s  2 threads s  ratio  ms a point  cycles a point  largest step in torque to fine %"
    );
    for n_cylinders in [1, 4, 8] {
        let model = engine(&Sizes { n_cylinders, ..Sizes::default() });
        let (_, fine) = curve(&model, Fidelity::Fine, 2);
        for fidelity in Fidelity::ALL {
            let (one, _) = curve(&model, fidelity, 1);
            let (two, points) = curve(&model, fidelity, 2);
            let off = points
                .iter()
                .zip(&fine)
                .map(|(a, b)| (a.torque_n_m / b.torque_n_m - 1.0).abs())
                .fold(0.0, f64::max);
            let cycles = points.iter().map(|p| p.cycles).sum::<usize>() as f64 / points.len() as f64;
            println!(
                "{n_cylinders:9}  {:8}  {one:10.3}  {two:11.3}  {:5.2}  {:10.2}  {cycles:14.1}  {:.2}",
                fidelity.name(),
                one / two,
                1e3 * one / points.len() as f64,
                100.0 * off,
            );
        }
    }
}
