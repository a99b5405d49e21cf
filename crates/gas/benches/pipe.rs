//! How many pipe cells a second one core advances, as thread CPU time, best of several.
//!
//! `cargo bench -p headroom-gas --bench pipe`; with `PYTHON=/path/to/python` that has clawpack 5.14.0, the shock
//! tube is timed against PyClaw's Fortran kernel in the same run. Prints the multiply-add peak of the same run.
#![expect(clippy::print_stdout, reason = "a bench talks to its user")]

use gas::composition::Composition;
use gas::equilibrium::equilibrate;
use gas::lane::{Lane, Layout, Program, Width, dispatch, dispatch_along, widths};
use gas::network::{EndKind, Network, NetworkGas, Opening, PipePlan, Plan, Stagnant};
use gas::pipe::{
    CellState, Differences, EndConditions, Flux, Mixture, MixtureFamily, N_TRANSPORTED, PerfectGas, Pipe,
    PipeGas, PipeShape, RoughHeated, SmoothAdiabatic, WallModel,
};
use gas::species::Species;
use gas::test_bed::{TestProblem, riemann_problems};
use rustix::time::{ClockId, clock_gettime};
use std::f64::consts::PI;
use std::hint::black_box;
use std::marker::PhantomData;
use std::process::Command;

const REPEATS: usize = 9;
/// Densities at 1 bar: near 290 K, and around 1000 K where both polynomials are needed, kg/m3.
const COLD: f64 = 1.2;
const MIXED: f64 = 0.345;

fn cpu_s() -> f64 {
    let now = clock_gettime(ClockId::ThreadCPUTime);
    now.tv_sec as f64 + 1e-9 * now.tv_nsec as f64
}

/// Multiply-add peak: sixteen independent chains.
struct Peak;

impl Program for Peak {
    type Output = f64;
    #[inline(always)]
    fn run<X: Layout>(self) -> f64 {
        let n = 4_000_000;
        let mut best = f64::INFINITY;
        for _ in 0..REPEATS {
            let mut acc = [X::Body::splat(1.0); 16];
            let (a, b) = (X::Body::splat(black_box(0.999_999)), X::Body::splat(black_box(1e-6)));
            let start = cpu_s();
            for _ in 0..n {
                for x in &mut acc {
                    *x = x.fma(a, b);
                }
            }
            best = best.min(cpu_s() - start);
            black_box(acc);
        }
        (n * 16 * 2 * X::Body::N) as f64 / best
    }
}

trait MakeGas<const S: usize>: Copy {
    fn make<L: Lane>(&self) -> impl PipeGas<L, S>;
}

/// Constant gamma.
#[derive(Clone, Copy)]
struct Perfect;

impl<const S: usize> MakeGas<S> for Perfect {
    #[inline(always)]
    fn make<L: Lane>(&self) -> impl PipeGas<L, S> {
        PerfectGas::new(L::splat(1.4), L::splat(287.0))
    }
}

/// Air, fuel vapour and burned gas with NASA polynomials.
#[derive(Clone, Copy)]
struct Full;

impl MakeGas<N_TRANSPORTED> for Full {
    #[inline(always)]
    fn make<L: Lane>(&self) -> impl PipeGas<L, N_TRANSPORTED> {
        Mixture::new(&[Self::parts()])
    }
}

impl Full {
    fn parts() -> [Composition; 3] {
        let air = Composition::dry_air();
        let fuel = Composition::from_moles(&[(Species::IsoOctane, 1.0)]);
        let charge = Composition::blend(&[(&air, 14.0), (&fuel, 1.0)]);
        let burned = equilibrate(&charge, 1700.0, 1e5).expect("an ordinary mixture").composition;
        [air, fuel, burned]
    }
}

/// A closed tapered pipe with a wave in it.
struct March<const S: usize, M, W> {
    n_cells: usize,
    n_steps: usize,
    rho: f64,
    gas: M,
    wall: PhantomData<W>,
}

impl<const S: usize, M: MakeGas<S>, W: WallModel> Program for March<S, M, W> {
    type Output = f64;
    #[inline(always)]
    fn run<X: Layout>(self) -> f64 {
        let Self { n_cells, n_steps, rho, gas, .. } = self;
        let gas = gas.make::<X::Body>();
        let shape = PipeShape::tapered(0.6, 0.040, 0.036, n_cells)
            .and_then(|s| s.with_wall(2e-5, 400.0, 1.0, 1.0))
            .expect("a plain pipe");
        let mut pipe = Pipe::<X, S>::new(&vec![shape; X::End::N]).expect("same cells");
        let mut best = f64::INFINITY;
        for _ in 0..REPEATS {
            for lane in 0..X::End::N {
                pipe.fill::<_, W>(lane, &gas, |i| CellState {
                    rho_kg_per_m3: rho,
                    u_m_per_s: 10.0,
                    p_pa: 1e5 * (1.0 + 0.1 * (i as f64 * 0.2).sin()),
                    y: [0.3; S],
                });
            }
            let mut flux = Flux::<X::End, S>::zero();
            flux.momentum = X::End::splat(1e5);
            let end = EndConditions { flux, difference: Differences::<X::End, S>::default() };
            let mut dt = X::End::splat(0.3) * pipe.dx() / pipe.fastest();
            let start = cpu_s();
            for _ in 0..n_steps {
                let (fastest, _) = pipe.step::<_, W>(&gas, dt, &end, &end);
                dt = X::End::splat(0.8) * pipe.dx() / fastest;
            }
            best = best.min(cpu_s() - start);
        }
        (n_cells * n_steps * X::End::N) as f64 / best
    }
}

fn rate<const S: usize, M: MakeGas<S>, W: WallModel>(
    gas: M,
    rho: f64,
    n_cells: usize,
    width: Width,
    along: bool,
) -> f64 {
    let lanes = if along { 1 } else { width.lanes() };
    let n_steps = 2_000_000 * width.lanes() / (n_cells * lanes);
    let run = March::<S, M, W> { n_cells, n_steps, rho, gas, wall: PhantomData };
    if along { dispatch_along(width, run) } else { dispatch(width, run) }
}

/// Eight pipes of 45 cells between a source and a port each, ends and volumes included: all of a network step.
struct NetworkMarch {
    n_steps: usize,
}

const N_PIPES: usize = 8;
const N_CELLS: usize = 45;

impl Program for NetworkMarch {
    type Output = f64;
    #[inline(always)]
    fn run<X: Layout>(self) -> f64 {
        let pipes = (0..N_PIPES)
            .map(|i| PipePlan { left: EndKind::Volume(0), right: EndKind::Port(i) })
            .chain([PipePlan { left: EndKind::Source(0), right: EndKind::Volume(0) }])
            .collect();
        let plan = Plan { pipes, n_sources: 1, n_volumes: 1, n_ports: N_PIPES };
        let parts = [Full::parts()];
        let gas = NetworkGas { body: Mixture::new(&parts), end: Mixture::new(&parts) };
        let e = X::End::splat;
        let rest = Stagnant::at(&gas.end, e(1e5), e(300.0), [e(0.0); N_TRANSPORTED]);
        let shape = PipeShape::tapered(0.5, 0.040, 0.036, N_CELLS)
            .and_then(|s| s.with_wall(2e-5, 400.0, 1.0, 1.0))
            .expect("a plain pipe");
        let shapes = vec![vec![shape; X::End::N]; N_PIPES + 1];
        let mut network: Network<X, MixtureFamily, RoughHeated, N_TRANSPORTED> =
            Network::new(plan, gas, &shapes, &[e(3e-3)], &rest).expect("a plain network");
        for port in &mut network.ports {
            port.outside = Stagnant::at(&gas.end, e(1.2e5), e(600.0), [e(0.0), e(0.5)]);
        }
        for openings in &mut network.openings {
            openings[1] = Opening { out: e(0.3), into: e(0.3) };
        }
        let mut best = f64::INFINITY;
        for _ in 0..REPEATS {
            let start = cpu_s();
            for _ in 0..self.n_steps {
                network.step(network.longest_step(0.8)).expect("nothing happens to it");
            }
            best = best.min(cpu_s() - start);
        }
        ((N_PIPES + 1) * N_CELLS * self.n_steps * X::End::N) as f64 / best
    }
}

/// The shock tube of the test bed to its end: seconds per pipe, and the L1 error of the density.
struct ShockTube {
    problem: TestProblem,
    n: usize,
}

impl Program for ShockTube {
    type Output = (f64, f64);
    #[inline(always)]
    fn run<X: Layout>(self) -> (f64, f64) {
        let Self { problem, n } = self;
        let diameter = (4.0 / PI).sqrt();
        let shape = PipeShape::tapered(1.0, diameter, diameter, n).expect("a plain pipe");
        let mut pipe = Pipe::<X, 0>::new(&vec![shape; X::End::N]).expect("same cells");
        let gas = PerfectGas::new(X::Body::splat(1.4), X::Body::splat(287.0));
        let dx = 1.0 / n as f64;
        let end = |x: f64| {
            let mut flux = Flux::<X::End, 0>::zero();
            flux.momentum = X::End::splat(problem.initial(x).p_pa);
            EndConditions { flux, difference: Differences::<X::End, 0>::default() }
        };
        let (left, right) = (end(0.0), end(1.0));
        let mut best = f64::INFINITY;
        for _ in 0..if n < 1000 { 60 } else { 5 } {
            for lane in 0..X::End::N {
                pipe.fill::<_, SmoothAdiabatic>(lane, &gas, |i| {
                    let s = problem.initial((i as f64 + 0.5) * dx);
                    CellState { rho_kg_per_m3: s.rho_kg_per_m3, u_m_per_s: s.u_m_per_s, p_pa: s.p_pa, y: [] }
                });
            }
            // One run is under the clock's grain at 60 cells, so the start is read after filling.
            let start = cpu_s();
            let (mut t, mut n_steps) = (0.0, 0);
            let mut fastest = pipe.fastest();
            while t < problem.time_s {
                let courant = if n_steps < 5 { 0.2 } else { 0.95 };
                let dt = (X::End::splat(courant * dx) / fastest).min(X::End::splat(problem.time_s - t));
                (fastest, _) = pipe.step::<_, SmoothAdiabatic>(&gas, dt, &left, &right);
                t += dt.get(0);
                n_steps += 1;
            }
            best = best.min(cpu_s() - start);
        }
        let error = |i: usize| {
            let mean =
                problem.cell_mean(i as f64 * dx, (i + 1) as f64 * dx, problem.time_s, |s| s.rho_kg_per_m3);
            (pipe.cell_state(0, i).rho_kg_per_m3 - mean).abs()
        };
        (best / X::End::N as f64, (0..n).map(error).sum::<f64>() / n as f64)
    }
}

/// (cells, ms, L1 error) lines of the script, if there is a Python that can run it.
fn pyclaw() -> Vec<(usize, f64, f64)> {
    let Ok(python) = std::env::var("PYTHON") else { return Vec::new() };
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/../../checks/gas_pyclaw/riemann.py");
    let Ok(out) = Command::new(python).args([script, "time"]).current_dir(std::env::temp_dir()).output()
    else {
        return Vec::new();
    };
    let text = String::from_utf8_lossy(&out.stdout).into_owned();
    let value = |line: &str, key: &str| {
        line.split_whitespace()
            .find_map(|word| word.strip_prefix(key).and_then(|w| w.strip_prefix('=')))
            .and_then(|w| w.parse::<f64>().ok())
    };
    text.lines()
        .filter_map(|line| Some((value(line, "n")? as usize, value(line, "ms")?, value(line, "l1")?)))
        .collect()
}

fn main() {
    let mut peak = 0.0;
    for &width in widths() {
        peak = dispatch(width, Peak);
        println!("multiply-add peak, {} lanes: {:.1} GFLOP/s", width.lanes(), peak / 1e9);
    }
    println!(
        "million cell updates a second; constant gamma, the same with wall, full gas, full gas with wall, that at 1000 K"
    );
    for &width in widths().iter().rev() {
        for along in [true, false] {
            for n in [60, 4000] {
                println!(
                    "{} {} lanes, {n:4} cells: {:6.1} {:6.1} {:6.1} {:6.1} {:6.1}",
                    if along { "along one pipe," } else { "variants,      " },
                    width.lanes(),
                    rate::<0, _, SmoothAdiabatic>(Perfect, COLD, n, width, along) / 1e6,
                    rate::<0, _, RoughHeated>(Perfect, COLD, n, width, along) / 1e6,
                    rate::<2, _, SmoothAdiabatic>(Full, COLD, n, width, along) / 1e6,
                    rate::<2, _, RoughHeated>(Full, COLD, n, width, along) / 1e6,
                    rate::<2, _, RoughHeated>(Full, MIXED, n, width, along) / 1e6
                );
            }
        }
    }
    for &width in widths().iter().rev() {
        println!(
            "whole network, {} lanes: along {:.1}, variants {:.1}",
            width.lanes(),
            dispatch_along(width, NetworkMarch { n_steps: 2000 }) / 1e6,
            dispatch(width, NetworkMarch { n_steps: 2000 / width.lanes() }) / 1e6
        );
    }
    let theirs = pyclaw();
    for n in [60, 4000] {
        let run = || ShockTube { problem: riemann_problems()[0], n };
        let (along, l1) = dispatch_along(Width::widest(), run());
        let (lanes, _) = dispatch(Width::widest(), run());
        println!(
            "shock tube, {n} cells: along {:.4} ms, lanes {:.4} ms a pipe, L1 {l1:.3e}",
            1e3 * along,
            1e3 * lanes
        );
        if let Some(&(_, ms, error)) = theirs.iter().find(|line| line.0 == n) {
            println!(
                "  PyClaw {ms:.3} ms, L1 {error:.3e}: {:.1} times along, {:.1} in lanes, error ratio {:.3}",
                ms / (1e3 * along),
                ms / (1e3 * lanes),
                l1 / error
            );
        }
    }
    black_box(peak);
}
