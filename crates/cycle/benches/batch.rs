//! What a search costs: many variants of one four-cylinder engine, one at a time and side by side.
//!
//! `cargo bench -p headroom-cycle --bench batch [-- rank]`: processor time of one thread by fidelity; with `rank` also how
//! screen and normal order a hundred variants against fine. docs/performance/cycle.md has figures.
#![expect(clippy::print_stdout, reason = "a bench talks to its user")]

use cycle::batch::{sweep_batch, sweep_batch_at};
use cycle::example::{Sizes, engine};
use cycle::fidelity::{Fidelity, Settings};
use cycle::model::{Model, Spark};
use cycle::speed_point::{Outcome, SpeedPoint};
use cycle::sweep::sweep;
use gas::lane::Width;
use std::ops::ControlFlow;
use std::time::Instant;

/// Variants of one engine, spread evenly over a box: compression, runner and primary, valve size and timing, plenum.
///
/// `pipes` is how much of the spread pipe lengths get: without any, all have the same grid and every lane is used.
fn variants(n: usize, spread: f64, pipes: f64) -> Vec<Model> {
    // Fractional parts of multiples of powers of the root of x^9 = x + 1: M. Roberts (2018), a low-discrepancy sequence
    // in eight dimensions; from memory.
    let root: f64 = 1.085_070_245_491_450_8;
    (0..n)
        .map(|i| {
            let about = |k: i32, middle: f64, width: f64| {
                let u = (0.5 + (i as f64 + 1.0) * root.powi(-k)).fract();
                middle * (1.0 + spread * width * (2.0 * u - 1.0))
            };
            let mut model = engine(&Sizes {
                compression: about(1, 10.0, 0.5),
                runner_m: [about(2, 0.35, pipes), about(3, 0.036, 0.3)],
                primary_m: [about(4, 0.7, pipes), about(5, 0.036, 0.3)],
                intake_over_bore: about(6, 0.48, 0.3),
                intake_deg: [about(7, 20.0, 1.0), about(8, 60.0, 1.0)],
                ..Sizes::default()
            });
            model.spark = Spark::KnockLimited { integral: 0.95 };
            model
        })
        .collect()
}

/// Processor time of this thread, s; wall time where the system does not tell.
fn thread_s(start: Instant) -> f64 {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let ns = told.and_then(|s| s.split_whitespace().next().and_then(|n| n.parse::<f64>().ok()));
    ns.map_or_else(|| start.elapsed().as_secs_f64(), |ns| ns * 1e-9)
}

fn on_one_thread<T: Send>(work: impl FnOnce() -> T + Send) -> (f64, T) {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().expect("a small pool");
    pool.install(|| {
        let start = Instant::now();
        let before = thread_s(start);
        let done = work();
        (thread_s(start) - before, done)
    })
}

fn speeds() -> Vec<f64> {
    (0..14).map(|i| 1500.0 + 5500.0 * f64::from(i) / 13.0).collect()
}

fn batch(models: &[Model], speeds: &[f64], fidelity: Fidelity) -> Vec<Vec<SpeedPoint>> {
    sweep_batch(models, speeds, fidelity).into_iter().map(|points| points.expect("it runs")).collect()
}

fn costs() {
    let speeds = speeds();
    println!(
        "fidelity  variants  side by side ms  one by one ms  cycles  steps  not converged   (a point, one thread)"
    );
    let asked = [
        (Fidelity::Screen, 64, 1.0),
        (Fidelity::Screen, 64, 0.0),
        (Fidelity::Normal, 16, 1.0),
        (Fidelity::Normal, 16, 0.0),
    ];
    for (fidelity, n, pipes) in asked {
        let models = variants(n, 0.3, pipes);
        let (many_s, many) = on_one_thread(|| batch(&models, &speeds, fidelity));
        let (one_s, _) = on_one_thread(|| sweep(&models[0], &speeds, fidelity).expect("it runs"));
        let points: Vec<&SpeedPoint> = many.iter().flatten().collect();
        let mean = |f: &dyn Fn(&SpeedPoint) -> usize| {
            points.iter().map(|p| f(p)).sum::<usize>() as f64 / points.len() as f64
        };
        let lost = points.iter().filter(|p| p.outcome != Outcome::Converged).count();
        println!(
            "{:8}  {n:8}  {pipes:5.1}  {:15.2}  {:13.2}  {:6.1}  {:5.0}  {lost:13}",
            fidelity.name(),
            1e3 * many_s / points.len() as f64,
            1e3 * one_s / speeds.len() as f64,
            mean(&|p| p.cycles),
            mean(&|p| p.steps),
        );
    }
}

/// Position of each value when sorted.
fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]));
    let mut ranks = vec![0.0; values.len()];
    for (rank, &at) in order.iter().enumerate() {
        ranks[at] = rank as f64;
    }
    ranks
}

/// Spearman's rank correlation.
fn spearman(a: &[f64], b: &[f64]) -> f64 {
    let (a, b) = (ranks(a), ranks(b));
    let n = a.len() as f64;
    let squares: f64 = a.iter().zip(&b).map(|(x, y)| (x - y) * (x - y)).sum();
    1.0 - 6.0 * squares / (n * (n * n - 1.0))
}

fn rank() {
    println!(
        "speed rpm  spread %  fidelity  rank correlation with fine  mean off %  scatter %  torque N m from to"
    );
    for spread in [0.1, 0.3] {
        let models = variants(100, spread, 1.0);
        for rpm in [2500.0, 4500.0, 6500.0] {
            let torque = |fidelity| -> Vec<f64> {
                batch(&models, &[rpm], fidelity).iter().map(|points| points[0].torque_n_m).collect()
            };
            let fine = torque(Fidelity::Fine);
            for fidelity in [Fidelity::Screen, Fidelity::Normal] {
                let found = torque(fidelity);
                let off: Vec<f64> = found.iter().zip(&fine).map(|(a, b)| 100.0 * (a / b - 1.0)).collect();
                let mean = off.iter().sum::<f64>() / off.len() as f64;
                let scatter =
                    (off.iter().map(|o| (o - mean) * (o - mean)).sum::<f64>() / off.len() as f64).sqrt();
                println!(
                    "{rpm:9.0}  {:8.0}  {:8}  {:26.4}  {mean:10.2}  {scatter:9.2}  {:.1} {:.1}",
                    100.0 * spread,
                    fidelity.name(),
                    spearman(&found, &fine),
                    fine.iter().copied().fold(f64::INFINITY, f64::min),
                    fine.iter().copied().fold(f64::NEG_INFINITY, f64::max),
                );
            }
        }
    }
}

/// What the settings of a screen cost, and how they rank.
fn scan() {
    let models = variants(64, 0.1, 1.0);
    let rpm = 2500.0;
    let torque =
        |points: Vec<Vec<SpeedPoint>>| -> Vec<f64> { points.iter().map(|p| p[0].torque_n_m).collect() };
    let fine = torque(batch(&models, &[rpm], Fidelity::Fine));
    println!(
        "cell mm  step deg  accuracy  ms a point  cycles  steps  rank  mean off %  scatter %  not converged"
    );
    for cell in [0.05, 0.07, 0.09, 0.12] {
        for (step, accuracy) in [(4.0, 3e-3), (4.0, 1e-2), (6.0, 1e-2), (8.0, 2e-2)] {
            let settings = Settings {
                intake_cell_m: cell,
                exhaust_cell_m: 1.7 * cell,
                most_step_deg: step,
                accuracy,
                ..Fidelity::Screen.settings()
            };
            let go = |_| ControlFlow::Continue(());
            let run = |models: &[Model], speeds: &[f64]| {
                let done = sweep_batch_at(Width::widest(), models, speeds, Fidelity::Screen, &settings, &go);
                done.unwrap_or_default().into_iter().map(|p| p.expect("it runs")).collect::<Vec<_>>()
            };
            let found = torque(run(&models, &[rpm]));
            let (s, points) = on_one_thread(|| run(&models[..16], &speeds()));
            let points: Vec<&SpeedPoint> = points.iter().flatten().collect();
            let n = points.len() as f64;
            let off: Vec<f64> = found.iter().zip(&fine).map(|(a, b)| 100.0 * (a / b - 1.0)).collect();
            let mean = off.iter().sum::<f64>() / off.len() as f64;
            let scatter =
                (off.iter().map(|o| (o - mean) * (o - mean)).sum::<f64>() / off.len() as f64).sqrt();
            println!(
                "{:7.0}  {step:8.0}  {accuracy:8.3}  {:10.2}  {:6.1}  {:5.0}  {:.4}  {mean:10.2}  {scatter:9.2}  {}",
                1e3 * cell,
                1e3 * s / n,
                points.iter().map(|p| p.cycles as f64).sum::<f64>() / n,
                points.iter().map(|p| p.steps as f64).sum::<f64>() / n,
                spearman(&found, &fine),
                points.iter().filter(|p| p.outcome != Outcome::Converged).count(),
            );
        }
    }
}

fn main() {
    if std::env::args().any(|a| a == "scan") {
        return scan();
    }
    costs();
    if std::env::args().any(|a| a == "rank") {
        rank();
    }
}
