//! Networks against closed forms: rest, conservation, nozzles, resonances, a bottle, a sudden change of area.
#![expect(
    clippy::unwrap_used,
    clippy::print_stderr,
    reason = "a test fails by panicking and tells what it measured"
)]

use gas::composition::Composition;
use gas::equilibrium::equilibrate;
use gas::lane::{Lane, Layout, Program, Width, dispatch_along};
use gas::network::{EndKind, Network, NetworkGas, PipePlan, Plan, Stagnant};
use gas::pipe::{
    CellState, GasFamily, Mixture, MixtureFamily, PerfectFamily, PerfectGas, PipeShape, RoughHeated, Side,
    SmoothAdiabatic, WallModel,
};
use gas::species::Species;
use std::f64::consts::PI;

const R: f64 = 287.0;
const GAMMA: f64 = 1.4;

type Net<X, F, W, const S: usize> = Network<X, F, W, S>;

fn splat<X: Layout>(value: f64) -> X::End {
    X::End::splat(value)
}

fn perfect<X: Layout>() -> NetworkGas<PerfectGas<X::Body>, PerfectGas<X::End>> {
    NetworkGas {
        body: PerfectGas::new(X::Body::splat(GAMMA), X::Body::splat(R)),
        end: PerfectGas::new(splat::<X>(GAMMA), splat::<X>(R)),
    }
}

fn components() -> [Composition; 3] {
    let air = Composition::dry_air();
    let fuel = Composition::from_moles(&[(Species::IsoOctane, 1.0)]);
    let charge = Composition::blend(&[(&air, 14.0), (&fuel, 1.0)]);
    [air, fuel, equilibrate(&charge, 1700.0, 1e5).unwrap().composition]
}

fn mixture<X: Layout>() -> NetworkGas<Mixture<X::Body>, Mixture<X::End>> {
    NetworkGas { body: Mixture::new(&[components()]), end: Mixture::new(&[components()]) }
}

fn straight(length_m: f64, diameter_m: f64, n: usize) -> Vec<PipeShape> {
    vec![PipeShape::tapered(length_m, diameter_m, diameter_m, n).unwrap()]
}

/// One pipe between two ends, perfect gas, no wall effects.
fn single<X: Layout>(
    left: EndKind,
    right: EndKind,
    shape: Vec<PipeShape>,
    volume: &[f64],
) -> Net<X, PerfectFamily, SmoothAdiabatic, 0> {
    let plan =
        Plan { pipes: vec![PipePlan { left, right }], n_sources: 2, n_volumes: volume.len(), n_ports: 0 };
    let gas = perfect::<X>();
    let rest = Stagnant::at(&gas.end, splat::<X>(1e5), splat::<X>(300.0), []);
    let volumes: Vec<X::End> = volume.iter().map(|&v| splat::<X>(v)).collect();
    Network::new(plan, gas, &[shape], &volumes, &rest).unwrap()
}

fn run<P: Program>(program: P) -> P::Output {
    dispatch_along(Width::widest(), program)
}

struct Rest;

impl Program for Rest {
    type Output = f64;
    #[inline(always)]
    fn run<X: Layout>(self) -> f64 {
        let plan = Plan {
            pipes: vec![PipePlan { left: EndKind::Volume(0), right: EndKind::Closed }],
            n_sources: 0,
            n_volumes: 1,
            n_ports: 0,
        };
        let gas = mixture::<X>();
        let y = [splat::<X>(0.05), splat::<X>(0.3)];
        let rest = Stagnant::at(&gas.end, splat::<X>(1.3e5), splat::<X>(700.0), y);
        let shape = PipeShape::from_diameter(0.5, 21, |x| 0.02 + 0.05 * x + 0.01 * (20.0 * x).sin())
            .and_then(|s| s.with_wall(1e-5, 700.0, 1.0, 0.0))
            .unwrap();
        let mut net = Net::<X, MixtureFamily, RoughHeated, 2>::new(
            plan,
            gas,
            &[vec![shape]],
            &[splat::<X>(1e-3)],
            &rest,
        )
        .unwrap();
        // Same pressure and velocity everywhere, but density and composition vary.
        net.fill_pipe(0, 0, |i| CellState {
            rho_kg_per_m3: 0.4 + 0.03 * i as f64,
            u_m_per_s: 0.0,
            p_pa: 1.3e5,
            y: [0.05, 0.3 + 0.02 * i as f64],
        });
        let mut worst: f64 = 0.0;
        for _ in 0..10_000 {
            net.step(net.longest_step(0.8)).unwrap();
            for i in 0..21 {
                worst = worst.max(net.pipe(0).cell_state(0, i).u_m_per_s.abs());
            }
        }
        worst
    }
}

#[test]
fn exact_rest_in_any_taper() {
    let worst = run(Rest);
    eprintln!("rest: fastest {worst:e} m/s");
    assert!(worst < 1e-10, "gas at rest moves at {worst:e} m/s");
}

struct Closed;

impl Program for Closed {
    type Output = [f64; 3];
    #[inline(always)]
    fn run<X: Layout>(self) -> [f64; 3] {
        let plan = Plan {
            pipes: vec![
                PipePlan { left: EndKind::Closed, right: EndKind::Volume(0) },
                PipePlan { left: EndKind::Volume(0), right: EndKind::Join(2, Side::Left) },
                PipePlan { left: EndKind::Join(1, Side::Right), right: EndKind::Volume(1) },
            ],
            n_sources: 0,
            n_volumes: 2,
            n_ports: 0,
        };
        let gas = mixture::<X>();
        let rest = Stagnant::at(&gas.end, splat::<X>(1e5), splat::<X>(400.0), [splat::<X>(0.0); 2]);
        let pipe = |d: f64, n| {
            let shape = PipeShape::tapered(0.02 * n as f64, d, 0.8 * d, n).unwrap();
            vec![shape.with_wall(2e-5, 400.0, 1.0, 0.0).unwrap()]
        };
        let shapes = [pipe(0.03, 5), pipe(0.04, 4), pipe(0.025, 6)];
        let volumes = [splat::<X>(2e-4), splat::<X>(1e-4)];
        let mut net =
            Net::<X, MixtureFamily, RoughHeated, 2>::new(plan, gas, &shapes, &volumes, &rest).unwrap();
        for (pipe, n) in [(0, 5), (1, 4), (2, 6)] {
            net.fill_pipe(pipe, 0, |i| CellState {
                rho_kg_per_m3: 0.5 + 0.1 * (pipe + i) as f64,
                u_m_per_s: 30.0 - 12.0 * i as f64,
                p_pa: 1e5 * (1.0 + 0.3 * pipe as f64 + 0.1 * i as f64),
                y: [0.02 * i as f64, 0.8 - 0.1 * i as f64],
            });
            assert_eq!(net.pipe(pipe).n_cells(), n);
        }
        let before = net.totals(0);
        for _ in 0..1_000_000 {
            net.step(net.longest_step(0.8)).unwrap();
        }
        let after = net.totals(0);
        let off = |a: f64, b: f64| (a / b - 1.0).abs();
        let parts = off(after.2[0], before.2[0]).max(off(after.2[1], before.2[1]));
        [off(after.0, before.0), off(after.1, before.1), parts]
    }
}

#[test]
fn exact_closed_system_conserves_for_a_million_steps() {
    let off = run(Closed);
    eprintln!("conservation: mass {:e}, energy {:e}, components {:e}", off[0], off[1], off[2]);
    assert!(off.iter().all(|&o| o < 1e-12), "{off:?}");
}

struct Nozzle {
    p_exit: f64,
    n: usize,
}

/// Mach number at an area ratio A/A*.
fn mach_at(area_ratio: f64, supersonic: bool) -> f64 {
    let ratio = |m: f64| {
        (2.0 / (GAMMA + 1.0) * (1.0 + 0.5 * (GAMMA - 1.0) * m * m)).powf(0.5 * (GAMMA + 1.0) / (GAMMA - 1.0))
            / m
    };
    let (mut low, mut high) = if supersonic { (1.0, 20.0) } else { (1e-9, 1.0) };
    for _ in 0..100 {
        let mid = 0.5 * (low + high);
        if (ratio(mid) > area_ratio) == supersonic { high = mid } else { low = mid }
    }
    0.5 * (low + high)
}

fn pressure_at(mach: f64) -> f64 {
    (1.0 + 0.5 * (GAMMA - 1.0) * mach * mach).powf(-GAMMA / (GAMMA - 1.0))
}

impl Program for Nozzle {
    /// Worst relative error of the pressure over all cells.
    type Output = f64;
    #[inline(always)]
    fn run<X: Layout>(self) -> f64 {
        let n = self.n;
        let diameter = |x: f64| 0.05 - 0.01 * (PI * x / 0.4).sin().powi(2);
        let shape = PipeShape::from_diameter(0.4, n, diameter).unwrap();
        let areas = shape.face_areas_m2().to_vec();
        let mut net = single::<X>(EndKind::Source(0), EndKind::Source(1), vec![shape], &[]);
        let gas = perfect::<X>();
        net.sources[0] = Stagnant::at(&gas.end, splat::<X>(1e5), splat::<X>(300.0), []);
        net.sources[1] = Stagnant::at(&gas.end, splat::<X>(self.p_exit), splat::<X>(300.0), []);
        for _ in 0..200 * n {
            net.step(net.longest_step(0.8)).unwrap();
        }
        let throat = areas.iter().copied().fold(f64::INFINITY, f64::min);
        let exit = areas[n];
        let choked = self.p_exit < 0.6e5;
        let critical = if choked {
            throat
        } else {
            let z = (GAMMA - 1.0) / GAMMA;
            let m = (2.0 / (GAMMA - 1.0) * ((1e5 / self.p_exit).powf(z) - 1.0)).sqrt();
            let ratio = (2.0 / (GAMMA + 1.0) * (1.0 + 0.5 * (GAMMA - 1.0) * m * m))
                .powf(0.5 * (GAMMA + 1.0) / (GAMMA - 1.0))
                / m;
            exit / ratio
        };
        let mut worst: f64 = 0.0;
        for i in 0..n {
            // The mean of the exact pressure over the cell, the cell's own meaning.
            let mean = |k: i32| {
                let x = (i as f64 + (f64::from(k) + 0.5) / 8.0) / n as f64 * 0.4;
                let area = 0.25 * PI * diameter(x).powi(2);
                pressure_at(mach_at((area / critical).max(1.0), choked && x > 0.2))
            };
            let exact = (0..8).map(mean).sum::<f64>() / 8.0;
            worst = worst.max((net.pipe(0).cell_state(0, i).p_pa / 1e5 / exact - 1.0).abs());
        }
        worst
    }
}

#[test]
fn exact_nozzle_follows_the_area_mach_relation() {
    for (p_exit, what) in [(0.93e5, "subsonic"), (0.2e5, "choked, supersonic")] {
        let errors: Vec<f64> = [50, 100, 200].map(|n| run(Nozzle { p_exit, n })).to_vec();
        eprintln!("nozzle {what}: worst pressure error {errors:?}");
        assert!(errors[2] < 5e-4, "{what}: {errors:?}");
    }
}

struct Ring {
    left: EndKind,
    volume: Option<f64>,
    length: f64,
    diameter: f64,
    n: usize,
    /// Initial pressure disturbance at a place, relative.
    shape: fn(f64) -> f64,
    /// Which cell is watched.
    watch: usize,
}

impl Program for Ring {
    /// Frequency from the zero crossings of the watched pressure.
    type Output = f64;
    #[inline(always)]
    fn run<X: Layout>(self) -> f64 {
        let volumes: Vec<f64> = self.volume.into_iter().collect();
        let mut net = single::<X>(
            self.left,
            EndKind::Source(1),
            straight(self.length, self.diameter, self.n),
            &volumes,
        );
        let swing = 1e-4;
        let (p0, rho0) = (1e5, 1e5 / (R * 300.0));
        net.fill_pipe(0, 0, |i| {
            let p = p0 * (1.0 + swing * (self.shape)((i as f64 + 0.5) / self.n as f64));
            CellState { rho_kg_per_m3: rho0 * (p / p0).powf(1.0 / GAMMA), u_m_per_s: 0.0, p_pa: p, y: [] }
        });
        if self.volume.is_some() {
            net.volumes[0].mass = net.volumes[0].mass * splat::<X>(1.0 + swing / GAMMA);
            net.volumes[0].energy = net.volumes[0].energy * splat::<X>(1.0 + swing);
        }
        let (mut t, mut last, mut crossings) = (0.0, None, Vec::new());
        while crossings.len() < 9 {
            t += net.step(net.longest_step(0.8)).unwrap().get(0);
            let now = if self.volume.is_some() {
                net.volumes[0].energy.get(0) / (net.volumes[0].volume_m3.get(0) * 2.5e5) - 1.0
            } else {
                net.pipe(0).cell_state(0, self.watch).p_pa / p0 - 1.0
            };
            if let Some((before, t_before)) = last
                && before < 0.0
                && now >= 0.0
            {
                let before: f64 = before;
                crossings.push(t_before + (t - t_before) * before / (before - now));
            }
            last = Some((now, t));
            assert!(t < 1.0, "no oscillation found");
        }
        8.0 / (crossings[8] - crossings[0])
    }
}

#[test]
fn exact_quarter_and_half_wave_resonance() {
    let c = (GAMMA * R * 300.0_f64).sqrt();
    let quarter = run(Ring {
        left: EndKind::Closed,
        volume: None,
        length: 0.5,
        diameter: 0.04,
        n: 60,
        shape: |x| (0.5 * PI * x).cos(),
        watch: 0,
    });
    let half = run(Ring {
        left: EndKind::Source(0),
        volume: None,
        length: 0.5,
        diameter: 0.04,
        n: 60,
        shape: |x| (PI * x).sin(),
        watch: 30,
    });
    eprintln!("quarter wave {:e}, half wave {:e}", quarter / (c / 2.0) - 1.0, half / c - 1.0);
    assert!((quarter / (c / (4.0 * 0.5)) - 1.0).abs() < 2e-3, "{quarter}");
    assert!((half / (c / (2.0 * 0.5)) - 1.0).abs() < 2e-3, "{half}");
}

struct Mode {
    left: EndKind,
    n: usize,
}

impl Program for Mode {
    /// Worst error of the pressure after a period and a quarter of the first mode, over its amplitude.
    type Output = f64;
    #[inline(always)]
    fn run<X: Layout>(self) -> f64 {
        let Self { left, n } = self;
        let mut net = single::<X>(left, EndKind::Source(1), straight(0.5, 0.04, n), &[]);
        let (p0, rho0, swing) = (1e5, 1e5 / (R * 300.0), 1e-7);
        let c = (GAMMA * R * 300.0_f64).sqrt();
        let closed = left == EndKind::Closed;
        let k = if closed { 0.5 * PI } else { PI };
        let shape = |x: f64| if closed { (k * x).cos() } else { (k * x).sin() };
        // Means over a cell, so that the start is exact to second order and beyond.
        let mean = |i: usize| {
            let at = |j: i32| shape((i as f64 + (f64::from(j) + 0.5) / 8.0) / n as f64);
            (0..8).map(at).sum::<f64>() / 8.0
        };
        net.fill_pipe(0, 0, |i| {
            let p = p0 * (1.0 + swing * mean(i));
            CellState { rho_kg_per_m3: rho0 * (p / p0).powf(1.0 / GAMMA), u_m_per_s: 0.0, p_pa: p, y: [] }
        });
        let end = 1.25 * 2.0 * PI / (k * c / 0.5);
        // The pressure passes through zero there; a little later it does not.
        let end = end * 1.1;
        let mut t = 0.0;
        while t < end {
            let dt = net.longest_step(0.8).min(splat::<X>(end - t));
            t += net.step(dt).unwrap().get(0);
        }
        let now = (k * c / 0.5 * end).cos();
        (0..n)
            .map(|i| ((net.pipe(0).cell_state(0, i).p_pa / p0 - 1.0) / swing - mean(i) * now).abs())
            .fold(0.0, f64::max)
    }
}

/// The ends are as accurate as the pipe: a standing wave between closed and open ends, worst cell.
#[test]
fn converges_second_order_with_its_ends() {
    for left in [EndKind::Closed, EndKind::Source(0)] {
        let errors: Vec<f64> = [20, 40, 80, 160].map(|n| run(Mode { left, n })).to_vec();
        let orders: Vec<f64> = errors.windows(2).map(|e| (e[0] / e[1]).log2()).collect();
        eprintln!("standing wave from {left:?}: {errors:?}, orders {orders:?}");
        assert!(orders[2] > 1.9, "{left:?}: orders {orders:?}");
    }
}

/// 1 litre, neck 20 mm by 50 mm: f = c/(2 pi) sqrt(A/(L V)); the lumped formula itself is good to (k L)^2/6 = 0.3 %.
#[test]
fn exact_helmholtz_bottle() {
    let c = (GAMMA * R * 300.0_f64).sqrt();
    let found = run(Ring {
        left: EndKind::Volume(0),
        volume: Some(1e-3),
        length: 0.05,
        diameter: 0.02,
        n: 10,
        shape: |_| 0.0,
        watch: 0,
    });
    let expected = c / (2.0 * PI) * (0.25 * PI * 0.02_f64.powi(2) / (0.05 * 1e-3)).sqrt();
    eprintln!("bottle: {found} Hz, {expected} Hz, off {:e}", found / expected - 1.0);
    assert!((found / expected - 1.0).abs() < 0.01);
}

struct Step {
    d_left: f64,
    d_right: f64,
}

impl Program for Step {
    /// Mean pressures of the two pipes, density and velocities.
    type Output = [f64; 5];
    #[inline(always)]
    fn run<X: Layout>(self) -> [f64; 5] {
        let plan = Plan {
            pipes: vec![
                PipePlan { left: EndKind::Source(0), right: EndKind::Join(1, Side::Left) },
                PipePlan { left: EndKind::Join(0, Side::Right), right: EndKind::Source(1) },
            ],
            n_sources: 2,
            n_volumes: 0,
            n_ports: 0,
        };
        let gas = perfect::<X>();
        let rest = Stagnant::at(&gas.end, splat::<X>(1e5), splat::<X>(300.0), []);
        let shapes = [straight(0.3, self.d_left, 16), straight(0.3, self.d_right, 16)];
        let mut net =
            Net::<X, PerfectFamily, SmoothAdiabatic, 0>::new(plan, gas, &shapes, &[], &rest).unwrap();
        net.sources[0] = Stagnant::at(&gas.end, splat::<X>(1.01e5), splat::<X>(300.0), []);
        for _ in 0..20_000 {
            net.step(net.longest_step(0.8)).unwrap();
        }
        let (a, b) = (net.pipe(0).cell_state(0, 8), net.pipe(1).cell_state(0, 8));
        [a.p_pa, b.p_pa, a.rho_kg_per_m3, a.u_m_per_s, b.u_m_per_s]
    }
}

#[test]
fn exact_sudden_expansion_loses_as_borda_carnot() {
    let [p1, p2, rho, u1, u2] = run(Step { d_left: 0.03, d_right: 0.04 });
    let loss = (p1 + 0.5 * rho * u1 * u1) - (p2 + 0.5 * rho * u2 * u2);
    let expected = 0.5 * rho * (u1 - u2).powi(2);
    eprintln!("expansion: u {u1} to {u2} m/s, loss {loss} Pa, Borda-Carnot {expected} Pa");
    // The Mach number is near 0.2: compressibility enters at its square.
    assert!((loss / expected - 1.0).abs() < 0.1);
}

fn name_all<W: WallModel, F: GasFamily<0>>() {}

#[test]
fn exact_plans_that_lead_nowhere_are_refused() {
    name_all::<SmoothAdiabatic, PerfectFamily>();
    let plan = |left| Plan {
        pipes: vec![PipePlan { left, right: EndKind::Closed }],
        n_sources: 1,
        n_volumes: 0,
        n_ports: 0,
    };
    assert!(plan(EndKind::Volume(0)).check().is_err());
    assert!(plan(EndKind::Join(0, Side::Right)).check().is_err());
    assert!(plan(EndKind::Source(0)).check().is_ok());
}

/// From 20 cells on a pipe into 50: mass and energy stay, and it runs on.
struct Refine;

impl Program for Refine {
    /// Relative changes of mass and energy.
    type Output = [f64; 2];
    #[inline(always)]
    fn run<X: Layout>(self) -> [f64; 2] {
        let net = |n| single::<X>(EndKind::Closed, EndKind::Volume(0), straight(0.4, 0.03, n), &[1e-3]);
        let (mut coarse, mut fine) = (net(20), net(50));
        coarse.fill_pipe(0, 0, |i| CellState {
            rho_kg_per_m3: if i < 8 { 3.0 } else { 1.0 },
            u_m_per_s: 20.0,
            p_pa: if i < 8 { 3e5 } else { 1e5 },
            y: [],
        });
        for _ in 0..40 {
            coarse.step(coarse.longest_step(0.8)).unwrap();
        }
        assert!(fine.unpack(0, &coarse.pack(0)).is_err(), "the wrong number of cells");
        fine.unpack_from_grid(0, &coarse.pack(0), &[20]).unwrap();
        let (before, after) = (coarse.totals(0), fine.totals(0));
        for _ in 0..40 {
            fine.step(fine.longest_step(0.8)).unwrap();
        }
        [after.0 / before.0 - 1.0, after.1 / before.1 - 1.0]
    }
}

#[test]
fn exact_a_finer_grid_keeps_mass_and_energy() {
    let [mass, energy] = run(Refine);
    assert!(mass.abs() < 1e-13 && energy.abs() < 1e-13, "mass {mass:e}, energy {energy:e}");
}
