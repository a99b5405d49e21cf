//! Random networks with random states end finite and positive or with a named error; lanes do not see each other.
#![expect(
    clippy::unwrap_used,
    clippy::print_stderr,
    reason = "a test fails by panicking and tells what it measured"
)]

use gas::composition::Composition;
use gas::equilibrium::equilibrate;
use gas::lane::{Lane, Layout, Program, Width, dispatch, dispatch_along, widths};
use gas::network::{EndKind, Network, NetworkError, NetworkGas, Opening, PipePlan, Plan, Stagnant};
use gas::pipe::{CellState, Mixture, MixtureFamily, PipeShape, RoughHeated, Side};
use gas::species::Species;
use proptest::prelude::*;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

fn components() -> [Composition; 3] {
    static ONCE: OnceLock<[Composition; 3]> = OnceLock::new();
    *ONCE.get_or_init(|| {
        let air = Composition::dry_air();
        let fuel = Composition::from_moles(&[(Species::IsoOctane, 1.0)]);
        let charge = Composition::blend(&[(&air, 14.0), (&fuel, 1.0)]);
        [air, fuel, equilibrate(&charge, 1700.0, 1e5).unwrap().composition]
    })
}

/// A small generator, so that a case is one number.
struct Dice(u64);

impl Dice {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
    fn below(&mut self, n: usize) -> usize {
        (self.unit() * n as f64) as usize
    }
    fn log_between(&mut self, low: f64, high: f64) -> f64 {
        (self.between(low.ln(), high.ln())).exp()
    }
}

/// What the plan and cell counts are; states and measures vary with the variant.
fn plan_of(dice: &mut Dice) -> (Plan, Vec<usize>) {
    let n_pipes = 1 + dice.below(4);
    let n_volumes = dice.below(3);
    let mut pipes = Vec::new();
    let mut n_ports = 0;
    for _ in 0..n_pipes {
        let mut end = || match dice.below(5) {
            0 => EndKind::Closed,
            1 => EndKind::Source(dice.below(2)),
            2 => {
                n_ports += 1;
                EndKind::Port(n_ports - 1)
            }
            _ if n_volumes > 0 => EndKind::Volume(dice.below(n_volumes)),
            _ => EndKind::Source(1),
        };
        pipes.push(PipePlan { left: end(), right: end() });
    }
    if n_pipes > 1 && dice.below(2) == 0 {
        // Join the first two, once any port has been kept whole.
        if !matches!(pipes[0].right, EndKind::Port(_)) && !matches!(pipes[1].left, EndKind::Port(_)) {
            pipes[0].right = EndKind::Join(1, Side::Left);
            pipes[1].left = EndKind::Join(0, Side::Right);
        }
    }
    let cells = (0..n_pipes).map(|_| 3 + dice.below(18)).collect();
    (Plan { pipes, n_sources: 2, n_volumes, n_ports }, cells)
}

fn shape_of(dice: &mut Dice, n: usize) -> PipeShape {
    let d = dice.log_between(5e-3, 0.15);
    let taper = dice.between(0.6, 1.6);
    PipeShape::tapered(dice.log_between(0.05, 2.0), d, d * taper, n)
        .and_then(|s| s.with_wall(dice.between(0.0, 1e-4), dice.between(280.0, 1000.0), 1.0, 1.5))
        .unwrap()
}

struct Case {
    seed: u64,
    variants: Vec<u64>,
    n_steps: usize,
}

impl Program for Case {
    /// The packed state of every variant, or the error.
    type Output = Result<Vec<Vec<f64>>, NetworkError>;

    #[inline(always)]
    fn run<X: Layout>(self) -> Self::Output {
        let (plan, cells) = plan_of(&mut Dice(self.seed));
        let lanes = X::End::N;
        let mut dice: Vec<Dice> =
            (0..lanes).map(|lane| Dice(self.variants[lane % self.variants.len()])).collect();
        let shapes: Vec<Vec<PipeShape>> =
            cells.iter().map(|&n| dice.iter_mut().map(|d| shape_of(d, n)).collect()).collect();
        let draw = |dice: &mut Vec<Dice>, low: f64, high: f64| {
            let mut lane = 0;
            X::End::splat(0.0).map(|_| {
                lane += 1;
                dice[lane - 1].log_between(low, high)
            })
        };
        let volumes: Vec<X::End> = (0..plan.n_volumes).map(|_| draw(&mut dice, 1e-5, 1e-2)).collect();
        let gas = NetworkGas {
            body: Mixture::<X::Body>::new(&[components()]),
            end: Mixture::<X::End>::new(&[components()]),
        };
        let stagnant = |dice: &mut Vec<Dice>| {
            let (p, t) = (draw(dice, 2e4, 2e7), draw(dice, 250.0, 3000.0));
            let y = [draw(dice, 1e-3, 0.15), draw(dice, 1e-3, 0.8)];
            Stagnant::at(&gas.end, p, t, y)
        };
        let rest = stagnant(&mut dice);
        let mut net = Network::<X, MixtureFamily, RoughHeated, 2>::new(plan, gas, &shapes, &volumes, &rest)?;
        for source in 0..2 {
            net.sources[source] = stagnant(&mut dice);
        }
        for (pipe, &n) in cells.iter().enumerate() {
            for side in 0..2 {
                net.openings[pipe][side] =
                    Opening { out: draw(&mut dice, 1e-3, 1.0), into: draw(&mut dice, 1e-3, 1.0) };
            }
            for (lane, dice) in dice.iter_mut().enumerate() {
                let (p, t, u) =
                    (dice.log_between(2e4, 5e6), dice.between(250.0, 2800.0), dice.between(-300.0, 300.0));
                let jump = dice.log_between(0.3, 3.0);
                let at = dice.below(n);
                let y = [dice.between(0.0, 0.1), dice.between(0.0, 0.8)];
                net.fill_pipe(pipe, lane, |i| {
                    let factor = if i < at { 1.0 } else { jump };
                    CellState {
                        rho_kg_per_m3: p / (287.0 * t) * factor.sqrt(),
                        u_m_per_s: if i < at { u } else { -0.5 * u },
                        p_pa: p * factor,
                        y: if i < at { y } else { [y[1] * 0.1, y[0]] },
                    }
                });
            }
        }
        for _ in 0..self.n_steps {
            for port in 0..net.ports.len() {
                net.ports[port].outside = stagnant(&mut dice);
            }
            net.step(net.longest_step(0.8))?;
        }
        Ok((0..lanes).map(|lane| net.pack(lane)).collect())
    }
}

static NAMED_ERRORS: AtomicUsize = AtomicUsize::new(0);
static CASES: AtomicUsize = AtomicUsize::new(0);

proptest! {
    #![proptest_config(ProptestConfig { cases: 10_000, failure_persistence: None, ..ProptestConfig::default() })]

    /// Ten thousand networks: no number that is not finite, no hang; a named error is an answer.
    #[test]
    fn exact_random_networks_stay_finite(seed in any::<u64>()) {
        let found = dispatch_along(Width::widest(), Case { seed, variants: vec![seed ^ 0x5555], n_steps: 60 });
        CASES.fetch_add(1, Ordering::Relaxed);
        match found {
            Ok(states) => prop_assert!(states[0].iter().all(|v| v.is_finite()), "not finite"),
            Err(NetworkError::PipeEmptied { .. } | NetworkError::VolumeEmptied { .. }) => {
                NAMED_ERRORS.fetch_add(1, Ordering::Relaxed);
            }
            Err(other) => prop_assert!(false, "{}", other),
        }
        if CASES.load(Ordering::Relaxed).is_multiple_of(2500) {
            eprintln!("{} cases, {} named errors", CASES.load(Ordering::Relaxed), NAMED_ERRORS.load(Ordering::Relaxed));
        }
    }
}

/// The same variants at every width, along the pipe, and in other company: the same bits.
#[test]
fn exact_lanes_have_the_bits_of_the_plain_path() {
    let mut compared = 0;
    for seed in 0..60_u64 {
        let case = |variants: Vec<u64>| Case { seed: seed * 7919 + 1, variants, n_steps: 150 };
        let variants: Vec<u64> = (0..8).map(|v| seed * 1000 + v).collect();
        let plain: Vec<_> = variants.iter().map(|&v| dispatch(Width::One, case(vec![v]))).collect::<Vec<_>>();
        if plain.iter().any(Result::is_err) {
            continue;
        }
        let plain: Vec<Vec<f64>> = plain.into_iter().map(|p| p.unwrap().remove(0)).collect();
        for &width in widths() {
            let along = dispatch_along(width, case(vec![variants[0]])).unwrap();
            assert!(same_bits(&along[0], &plain[0]), "seed {seed}: along the pipe at {width:?}");
            let across = dispatch(width, case(variants.clone())).unwrap();
            for (lane, state) in across.iter().enumerate() {
                assert!(same_bits(state, &plain[lane]), "seed {seed}: lane {lane} of {width:?}");
            }
            let mut reversed = variants.clone();
            reversed[..width.lanes()].reverse();
            let turned = dispatch(width, case(reversed)).unwrap();
            assert!(same_bits(&turned[width.lanes() - 1], &plain[0]), "seed {seed}: other company");
            compared += 1;
        }
    }
    assert!(compared > 30, "only {compared} comparisons");
}

fn same_bits(a: &[f64], b: &[f64]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(x, y)| x.to_bits() == y.to_bits())
}
