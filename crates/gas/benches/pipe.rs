//! How many pipe cells a second one core advances, as thread CPU time, best of several.
//!
//! `cargo bench -p headroom-gas --bench pipe`. Prints the multiply-add peak of the same run beside it.
#![expect(clippy::print_stdout, reason = "a bench talks to its user")]

use gas::composition::Composition;
use gas::equilibrium::equilibrate;
use gas::lane::{Lane, Layout, Program, Width, dispatch, dispatch_along, widths};
use gas::pipe::{
    CellState, Differences, EndConditions, Flux, Mixture, N_TRANSPORTED, PerfectGas, Pipe, PipeGas,
    PipeShape, RoughHeated, SmoothAdiabatic, WallModel,
};
use gas::species::Species;
use rustix::time::{ClockId, clock_gettime};
use std::hint::black_box;
use std::marker::PhantomData;

const REPEATS: usize = 5;

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

struct March<G, W> {
    n_cells: usize,
    n_steps: usize,
    gas: G,
    wall: PhantomData<W>,
}

trait MakeGas<const S: usize> {
    fn make<L: Lane>(&self) -> impl PipeGas<L, S>;
}

struct Perfect;

impl<const S: usize> MakeGas<S> for Perfect {
    #[inline(always)]
    fn make<L: Lane>(&self) -> impl PipeGas<L, S> {
        PerfectGas::new(L::splat(1.4), L::splat(287.0))
    }
}

struct Full;

impl MakeGas<N_TRANSPORTED> for Full {
    #[inline(always)]
    fn make<L: Lane>(&self) -> impl PipeGas<L, N_TRANSPORTED> {
        let air = Composition::dry_air();
        let fuel = Composition::from_moles(&[(Species::IsoOctane, 1.0)]);
        let charge = Composition::blend(&[(&air, 14.0), (&fuel, 1.0)]);
        let burned = equilibrate(&charge, 1700.0, 1e5).expect("an ordinary mixture").composition;
        Mixture::new(&[[air, fuel, burned]])
    }
}

struct Run<const S: usize, M, W>(March<M, W>);

impl<const S: usize, M: MakeGas<S>, W: WallModel> Program for Run<S, M, W> {
    type Output = f64;
    #[inline(always)]
    fn run<X: Layout>(self) -> f64 {
        let March { n_cells, n_steps, gas, .. } = self.0;
        let gas = gas.make::<X::Body>();
        let shape = PipeShape::tapered(0.6, 0.040, 0.036, n_cells)
            .and_then(|s| s.with_wall(2e-5, 400.0, 1.0, 1.0))
            .expect("a plain pipe");
        let mut pipe = Pipe::<X, S>::new(&vec![shape; X::End::N]).expect("same cells");
        let mut best = f64::INFINITY;
        for _ in 0..REPEATS {
            for lane in 0..X::End::N {
                pipe.fill::<_, W>(lane, &gas, |i| CellState {
                    rho_kg_per_m3: 1.2,
                    u_m_per_s: 10.0,
                    p_pa: 1e5 * (1.0 + 0.1 * (i as f64 * 0.2).sin()),
                    y: [0.3; S],
                });
            }
            let zero = X::End::splat(0.0);
            let mut flux = Flux::<X::End, S>::zero();
            flux.momentum = X::End::splat(1e5);
            let difference = Differences::<X::End, S>::default();
            let end = EndConditions { flux, difference };
            let mut dt = X::End::splat(0.3) * pipe.dx() / pipe.fastest();
            let start = cpu_s();
            for _ in 0..n_steps {
                let (fastest, _) = pipe.step::<_, W>(&gas, dt, &end, &end);
                dt = X::End::splat(0.8) * pipe.dx() / fastest;
            }
            best = best.min(cpu_s() - start);
            black_box(zero);
        }
        let variants = X::End::N;
        (n_cells * n_steps * variants) as f64 / best
    }
}

fn rate<const S: usize, M: MakeGas<S>, W: WallModel>(
    gas: M,
    n_cells: usize,
    width: Width,
    along: bool,
) -> f64 {
    let lanes = if along { 1 } else { width.lanes() };
    let n_steps = 2_000_000 * width.lanes() / (n_cells * lanes);
    let run = Run::<S, M, W>(March { n_cells, n_steps, gas, wall: PhantomData });
    if along { dispatch_along(width, run) } else { dispatch(width, run) }
}

fn main() {
    let mut peak = 0.0;
    for &width in widths() {
        peak = dispatch(width, Peak);
        println!("multiply-add peak, {} lanes: {:.1} GFLOP/s", width.lanes(), peak / 1e9);
    }
    let _ = peak;
    for &width in widths().iter().rev() {
        for along in [true, false] {
            for n in [60, 4000] {
                let how = if along { "along" } else { "lanes" };
                println!(
                    "{how} {} n={n}: S=0 {:.1}  S=1 {:.1}  S=1+wall {:.1} full {:.1} full+wall {:.1}",
                    width.lanes(),
                    rate::<0, _, SmoothAdiabatic>(Perfect, n, width, along) / 1e6,
                    rate::<1, _, SmoothAdiabatic>(Perfect, n, width, along) / 1e6,
                    rate::<1, _, RoughHeated>(Perfect, n, width, along) / 1e6,
                    rate::<2, _, SmoothAdiabatic>(Full, n, width, along) / 1e6,
                    rate::<2, _, RoughHeated>(Full, n, width, along) / 1e6
                );
            }
        }
    }
}
