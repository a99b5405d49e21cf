//! How much of the speed of its bare pipes a whole network keeps, as thread CPU time, best of several.
//!
//! `cargo bench -p headroom-gas --bench network`. The pipes are the same in both, and their ends change as little.
#![expect(clippy::print_stdout, reason = "a bench talks to its user")]

use gas::composition::Composition;
use gas::equilibrium::equilibrate;
use gas::lane::{Lane, Layout, Program, dispatch, dispatch_along, widths};
use gas::network::{EndKind, Network, NetworkGas, Opening, PipePlan, Plan, Stagnant};
use gas::pipe::{
    CellState, Differences, EndConditions, Flux, Mixture, MixtureFamily, N_TRANSPORTED, Pipe, PipeShape,
    RoughHeated,
};
use gas::species::Species;
use rustix::time::{ClockId, clock_gettime};

const REPEATS: usize = 15;
const N_PIPES: usize = 8;

fn cpu_s() -> f64 {
    let now = clock_gettime(ClockId::ThreadCPUTime);
    now.tv_sec as f64 + 1e-9 * now.tv_nsec as f64
}

fn parts() -> [Composition; 3] {
    let air = Composition::dry_air();
    let fuel = Composition::from_moles(&[(Species::IsoOctane, 1.0)]);
    let charge = Composition::blend(&[(&air, 14.0), (&fuel, 1.0)]);
    let burned = equilibrate(&charge, 1700.0, 1e5).expect("an ordinary mixture").composition;
    [air, fuel, burned]
}

fn shape(n_cells: usize) -> PipeShape {
    PipeShape::tapered(0.5, 0.040, 0.036, n_cells)
        .and_then(|s| s.with_wall(2e-5, 400.0, 1.0, 1.0))
        .expect("a plain pipe")
}

/// Eight pipes between a volume and a port each, one from a source into the volume. Seconds a step.
struct NetworkMarch {
    n_steps: usize,
    n_cells: usize,
    /// Of the ports: 0 is a valve shut in all of them.
    opening: f64,
}

impl Program for NetworkMarch {
    type Output = f64;
    #[inline(always)]
    fn run<X: Layout>(self) -> f64 {
        let pipes = (0..N_PIPES)
            .map(|i| PipePlan { left: EndKind::Volume(0), right: EndKind::Port(i) })
            .chain([PipePlan { left: EndKind::Source(0), right: EndKind::Volume(0) }])
            .collect();
        let plan = Plan { pipes, n_sources: 1, n_volumes: 1, n_ports: N_PIPES };
        let gas = NetworkGas { body: Mixture::new(&[parts()]), end: Mixture::new(&[parts()]) };
        let e = X::End::splat;
        let rest = Stagnant::at(&gas.end, e(1e5), e(300.0), [e(0.0); N_TRANSPORTED]);
        let shapes = vec![vec![shape(self.n_cells); X::End::N]; N_PIPES + 1];
        let mut network: Network<X, MixtureFamily, RoughHeated, N_TRANSPORTED> =
            Network::new(plan, gas, &shapes, &[e(3e-3)], &rest).expect("a plain network");
        for port in &mut network.ports {
            port.outside = Stagnant::at(&gas.end, e(1.2e5), e(600.0), [e(0.0), e(0.5)]);
        }
        for openings in &mut network.openings {
            openings[1] = Opening { out: e(self.opening), into: e(self.opening) };
        }
        let mut best = f64::INFINITY;
        for _ in 0..REPEATS {
            let start = cpu_s();
            for _ in 0..self.n_steps {
                network.step(network.longest_step(0.8)).expect("nothing happens to it");
            }
            best = best.min(cpu_s() - start);
        }
        best / self.n_steps as f64
    }
}

/// The same nine pipes alone, closed by given fluxes, with a length of step each. Seconds a step.
struct PipesAlone {
    n_steps: usize,
    n_cells: usize,
}

impl Program for PipesAlone {
    type Output = f64;
    #[inline(always)]
    fn run<X: Layout>(self) -> f64 {
        let gas: Mixture<X::Body> = Mixture::new(&[parts()]);
        let mut pipes: Vec<Pipe<X, N_TRANSPORTED>> = (0..=N_PIPES)
            .map(|_| Pipe::new(&vec![shape(self.n_cells); X::End::N]).expect("same cells"))
            .collect();
        for pipe in &mut pipes {
            for lane in 0..X::End::N {
                pipe.fill::<_, RoughHeated>(lane, &gas, |i| CellState {
                    rho_kg_per_m3: 1.0,
                    u_m_per_s: 10.0,
                    p_pa: 1e5 * (1.0 + 0.02 * (i as f64 * 0.2).sin()),
                    y: [0.0, 0.1],
                });
            }
        }
        let mut flux = Flux::<X::End, N_TRANSPORTED>::zero();
        flux.momentum = X::End::splat(1e5);
        let end = EndConditions { flux, difference: Differences::<X::End, N_TRANSPORTED>::default() };
        let mut dt = X::End::splat(0.3) * pipes[0].dx() / pipes[0].fastest();
        let mut best = f64::INFINITY;
        for _ in 0..REPEATS {
            let start = cpu_s();
            for _ in 0..self.n_steps {
                let mut fastest = X::End::splat(0.0);
                for pipe in &mut pipes {
                    fastest = fastest.max(pipe.step::<_, RoughHeated>(&gas, dt, &end, &end).0);
                }
                dt = X::End::splat(0.8) * pipes[0].dx() / fastest;
            }
            best = best.min(cpu_s() - start);
        }
        best / self.n_steps as f64
    }
}

fn main() {
    println!("million cell updates a second: pipes alone, network (share), network with shut ports (share)");
    for &width in widths().iter().rev() {
        for along in [true, false] {
            for n_cells in [24, 45, 60] {
                let lanes = if along { 1 } else { width.lanes() };
                let cells = ((N_PIPES + 1) * n_cells * lanes) as f64 / 1e6;
                let n_steps = 90_000 / (n_cells * lanes);
                let march = |opening| NetworkMarch { n_steps, n_cells, opening };
                let alone = PipesAlone { n_steps, n_cells };
                let [alone, open, shut] = if along {
                    let network = |opening| dispatch_along(width, march(opening));
                    [dispatch_along(width, alone), network(0.3), network(0.0)]
                } else {
                    let network = |opening| dispatch(width, march(opening));
                    [dispatch(width, alone), network(0.3), network(0.0)]
                };
                println!(
                    "{} {} lanes, {n_cells} cells: {:6.1} {:6.1} ({:.0} %) {:6.1} ({:.0} %)",
                    if along { "along,   " } else { "variants," },
                    width.lanes(),
                    cells / alone,
                    cells / open,
                    100.0 * alone / open,
                    cells / shut,
                    100.0 * alone / shut
                );
            }
        }
    }
}
