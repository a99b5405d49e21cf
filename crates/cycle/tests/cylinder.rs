//! A cylinder with flow through its valves: accounts over a cycle, the same bits at every width, lanes that wait.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use cycle::burning::Burning;
use cycle::charge_gas::ChargeGas;
use cycle::cylinder::{Cylinder, CylinderSetup, N_PACKED, WorkingGas};
use cycle::example::{Sizes, engine};
use cycle::fuel_air_limit::{AtBottom, fuel_air_limit};
use cycle::model::{HeatLaw, Model};
use gas::lane::{Lane, Layout, Program, dispatch, widths};
use gas::network::{Gain, Stagnant};
use proptest::prelude::*;

/// One cylinder, valves open to gas at rest through small holes: a crude engine without pipes.
#[derive(Clone, Copy, Debug)]
struct Case {
    rpm: f64,
    half_deg: f64,
    law: HeatLaw,
    lambda: f64,
    compression: f64,
    crevice: f64,
    leak_m2: f64,
    vapour: f64,
    step_deg: f64,
    /// Intake closes after BDC, deg.
    closes_deg: f64,
    /// Behind the exhaust valves: Pa, K, mass fraction of burned gas.
    exhaust: [f64; 3],
}

const USUAL: Case = Case {
    rpm: 3000.0,
    half_deg: 8.0,
    law: HeatLaw::Woschni,
    lambda: 0.9,
    compression: 10.0,
    crevice: 0.01,
    leak_m2: 5e-7,
    vapour: 0.5,
    step_deg: 0.5,
    closes_deg: 60.0,
    exhaust: [1.05e5, 900.0, 1.0],
};

fn model(case: &Case) -> Model {
    let mut model = engine(&Sizes {
        compression: case.compression,
        intake_deg: [20.0, case.closes_deg],
        ..Sizes::default()
    });
    model.heat.law = case.law;
    model.charge.lambda = case.lambda;
    model.charge.vapour = case.vapour;
    model.cylinders[0].crevice_m3 = case.crevice * model.cylinders[0].clearance_m3;
    model
}

struct Prepared {
    model: Model,
    setup: CylinderSetup<f64>,
    fresh: [f64; 2],
    exhaust: [f64; 3],
}

fn prepare(case: &Case) -> Prepared {
    let model = model(case);
    let gas = ChargeGas::of(&model).unwrap();
    let working = WorkingGas::new(&gas, model.charge.fuel.vaporisation_j_per_kg()).unwrap();
    let burning = Burning::half_burned_at(case.half_deg, 22.0, 28.0);
    let setup = CylinderSetup::new(&model, &model.cylinders[0], &working, case.rpm, &burning)
        .with_blow_by(case.leak_m2);
    Prepared { setup, fresh: [gas.vapour_fraction, 0.0], exhaust: case.exhaust, model }
}

/// kg and J through a hole between a reservoir and the cylinder over a step; by the pressure difference alone.
#[inline(always)]
fn flow<L: Lane>(from: &Stagnant<L, 2>, to: &Stagnant<L, 2>, area: L, dt: L) -> Gain<L, 2> {
    let zero = L::splat(0.0);
    let dp = from.p - to.p;
    let forth = zero.lt(dp);
    let rho = L::sel(forth, from.rho, to.rho);
    let rate = area * ((rho + rho) * dp.abs()).sqrt() / (L::splat(1.0) + dp.abs() / (from.p + to.p));
    let mass = L::sel(forth, rate, -rate) * dt;
    let pick = |a: L, b: L| L::sel(forth, a, b);
    Gain {
        mass,
        enthalpy: mass * pick(from.h, to.h),
        component: [mass * pick(from.y[0], to.y[0]), mass * pick(from.y[1], to.y[1])],
    }
}

/// Runs so many cycles from -360 degrees; areas from the model's tables, read where each lane is.
#[inline(always)]
fn run<L: Lane>(cases: &[Prepared], step_deg: &[f64], n_cycles: usize) -> (Cylinder<L>, CylinderSetup<L>) {
    let setups: Vec<_> = cases.iter().map(|c| c.setup).collect();
    let setup = CylinderSetup::<L>::gather(&setups);
    let gather = |f: &dyn Fn(usize) -> f64| {
        let mut lane = 0;
        L::splat(0.0).map(|_| {
            lane += 1;
            f((lane - 1).min(cases.len() - 1))
        })
    };
    let y = [gather(&|i| cases[i].fresh[0]), gather(&|i| cases[i].fresh[1])];
    let at = L::splat(-360.0);
    let mut cylinder = Cylinder::filled(&setup, at, L::splat(1.0e5), L::splat(320.0), y);
    let intake = Cylinder::filled(&setup, at, L::splat(1.0e5), L::splat(310.0), y);
    let [p, t, burned] = [0, 1, 2].map(|k| gather(&|i| cases[i].exhaust[k]));
    let exhaust = Cylinder::filled(&setup, at, p, t, [y[0] * (L::splat(1.0) - burned), burned]);
    let zero = L::splat(0.0);
    let (intake, exhaust) = (intake.outside(&setup, at, at, zero), exhaust.outside(&setup, at, at, zero));
    let span = gather(&|i| step_deg[i.min(step_deg.len() - 1)]);
    let dt = span / (L::splat(6.0) * setup.speed_rpm);
    for _ in 0..n_cycles {
        let mut angle = gather(&|_| -360.0);
        for _ in 0..10_000 {
            let goes = angle.lt(L::splat(360.0 - 1e-6));
            if !L::any(goes) {
                break;
            }
            let step = L::sel(goes, span, zero);
            let dt = L::sel(goes, dt, zero);
            let next = angle + step;
            let seen = cylinder.outside(&setup, angle, next, dt);
            let area = |exhaust: bool| {
                let mut lane = 0;
                (angle + step * L::splat(0.5)).map(|a| {
                    let c = &cases[lane.min(cases.len() - 1)].model.cylinders[0];
                    lane += 1;
                    let table = if exhaust { &c.exhaust.into_m2 } else { &c.intake.into_m2 };
                    let at = (a + 720.0) / 720.0 * table.len() as f64;
                    let i = at as usize;
                    let (this, next) = (table[i % table.len()], table[(i + 1) % table.len()]);
                    this + (next - this) * (at - i as f64)
                })
            };
            let gains = [flow(&intake, &seen, area(false), dt), flow(&exhaust, &seen, area(true), dt)];
            cylinder.advance(&setup, [&gains[0], &gains[1]], angle, next, dt);
            angle = next;
        }
        cylinder.end_cycle(&setup, zero.lt(L::splat(1.0)));
    }
    (cylinder, setup)
}

/// What flowed in, burned, worked, cooled and leaked is what was there before and after.
#[test]
fn exact_accounts_close_over_cycles_with_flow() {
    for law in [HeatLaw::None, HeatLaw::Woschni, HeatLaw::Hohenberg, HeatLaw::Annand] {
        let case = Case { law, ..USUAL };
        let prepared = prepare(&case);
        let limit = fuel_air_limit(
            &prepared.model,
            &prepared.model.cylinders[0],
            &AtBottom { p_pa: 1e5, t_k: 330.0, residual: 0.05 },
        )
        .unwrap();
        let (cylinder, _) = run::<f64>(&[prepared], &[case.step_deg], 4);
        let sums = cylinder.last;
        let heat = sums.fuel * gas::fuel::Fuel::Gasoline.lower_heating_value_j_per_kg();
        assert!(sums.mass_gap().abs() < 1e-13 * sums.trapped, "mass gap {} kg", sums.mass_gap());
        assert!(sums.energy_gap().abs() < 1e-11 * heat, "energy gap {} of {heat} J", sums.energy_gap());
        assert!((0.01..0.15).contains(&sums.residual), "residual {}", sums.residual);
        let efficiency = (sums.gross_work + sums.pumping_work) / heat;
        assert!(
            (0.25..limit.efficiency).contains(&efficiency),
            "{law:?}: {efficiency} of {}",
            limit.efficiency
        );
        assert!(sums.pumping_work < 0.0 && 1e6 < sums.peak_pa && sums.knock.is_finite());
    }
}

/// Turned slowly without fire or heat loss between two quiet rooms a cylinder traps p V / (R T) of their gas.
#[test]
fn exact_slow_motoring_fills_the_cylinder() {
    for (rpm, tolerance) in [(1000.0, 2.5e-2), (500.0, 1e-2), (250.0, 4e-3)] {
        let case = Case {
            rpm,
            half_deg: 1000.0,
            law: HeatLaw::None,
            crevice: 0.0,
            leak_m2: 0.0,
            vapour: 1.0,
            step_deg: 0.125,
            // At the bottom the piston stands still, so that the last of the valve's closing squeezes nothing.
            closes_deg: 1.0,
            exhaust: [1.0e5, 310.0, 0.0],
            ..USUAL
        };
        let prepared = prepare(&case);
        let setup = prepared.setup;
        let room = Cylinder::filled(&setup, setup.closes_deg, 1.0e5, 310.0, prepared.fresh);
        let (cylinder, _) = run::<f64>(&[prepared], &[case.step_deg], 3);
        let full = cylinder.last.trapped / room.reading(&setup).mass_kg - 1.0;
        assert!(full.abs() < tolerance, "{rpm} rpm: trapped off by {full}");
    }
}

/// Flow, piston, flame and walls together are of second order, but for what the top land gives back (left out here).
#[test]
fn converges_with_the_square_of_the_step() {
    let at = |step_deg: f64| {
        let case = Case { crevice: 0.0, leak_m2: 0.0, ..USUAL };
        let (cylinder, _) = run::<f64>(&[prepare(&case)], &[step_deg], 1);
        let sums = cylinder.last;
        [sums.end_mass, sums.pumping_work, sums.gross_work]
    };
    let runs = [1.0, 0.5, 0.25, 0.125].map(at);
    // Two halvings make a sixteenth; the square root of the flow at equal pressures leaves somewhat less of the mass.
    for (k, fall) in [(0, 5.0), (1, 10.0)] {
        let change = |i: usize| (runs[i + 1][k] - runs[i][k]).abs() / runs[3][k].abs();
        assert!(change(0) < 5e-4, "{k}: a step of 1 degree is off by {:e}", change(0));
        assert!(change(2) < change(0) / fall, "{k}: {:e} {:e} {:e}", change(0), change(1), change(2));
    }
    let work = (runs[0][2] / runs[3][2] - 1.0).abs();
    assert!(work < 5e-5, "firing work at 1 degree is off by {work:e}");
}

struct Bits;
impl Program for Bits {
    type Output = Vec<Vec<u64>>;
    #[inline(always)]
    fn run<X: Layout>(self) -> Self::Output {
        let cases: Vec<Case> = (0..8)
            .map(|i| {
                let d = f64::from(i);
                Case {
                    rpm: 1500.0 + 700.0 * d,
                    half_deg: 2.0 + 2.0 * d,
                    compression: 8.0 + 0.5 * d,
                    lambda: 0.8 + 0.05 * d,
                    ..USUAL
                }
            })
            .collect();
        let steps: Vec<f64> = (0..8).map(|i| 0.5 + 0.1 * f64::from(i)).collect();
        let mut bits = Vec::new();
        for (chunk, steps) in cases.chunks(X::End::N).zip(steps.chunks(X::End::N)) {
            let prepared: Vec<_> = chunk.iter().map(prepare).collect();
            let (cylinder, _) = run::<X::End>(&prepared, steps, 2);
            for lane in 0..chunk.len() {
                let mut packed = Vec::new();
                cylinder.pack(lane, &mut packed);
                assert_eq!(packed.len(), N_PACKED);
                packed.push(cylinder.last.get(lane).gross_work);
                packed.push(cylinder.last.get(lane).knock);
                packed.push(cylinder.last.get(lane).heat);
                bits.push(packed.iter().map(|v| v.to_bits()).collect());
            }
        }
        bits
    }
}

/// Lanes with their own speed, burn and step do not see each other, and wait unchanged for those that take longer.
#[test]
fn exact_same_bits_at_every_width() {
    let reference = dispatch(widths()[0], Bits);
    for &width in widths() {
        assert!(dispatch(width, Bits) == reference, "{width:?} differs");
    }
}

#[test]
fn exact_packed_state_comes_back() {
    let (cylinder, setup) = run::<f64>(&[prepare(&USUAL)], &[1.0], 1);
    let mut packed = Vec::new();
    cylinder.pack(0, &mut packed);
    let mut other = Cylinder::filled(&setup, 0.0, 2e5, 400.0, [0.0, 0.0]);
    assert!(other.unpack(0, &packed).is_empty());
    let mut again = Vec::new();
    other.pack(0, &mut again);
    assert_eq!(packed, again);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    /// Whatever it is built like: finite, positive, accounts closed.
    #[test]
    fn exact_any_cylinder_stays_sound(
        rpm in 300.0..15_000.0_f64,
        half_deg in -20.0..60.0_f64,
        lambda in 0.65..1.6_f64,
        compression in 4.0..18.0_f64,
        crevice in 0.0..0.1_f64,
        leak_m2 in 0.0..1e-5_f64,
        vapour in 0.0..1.0_f64,
        step_deg in 0.2..4.0_f64,
        law in 0..4_usize,
    ) {
        let law = [HeatLaw::None, HeatLaw::Woschni, HeatLaw::Hohenberg, HeatLaw::Annand][law];
        // Valves this size empty a cylinder in a millisecond; the explicit flow of this test needs a tenth of that.
        let n = (720.0 / step_deg.min(6.0 * rpm * 1e-4)).ceil();
        let case = Case { rpm, half_deg, law, lambda, compression, crevice, leak_m2, vapour, step_deg: 720.0 / n, ..USUAL };
        let (cylinder, setup) = run::<f64>(&[prepare(&case)], &[case.step_deg], 2);
        prop_assert!(!cylinder.broken());
        let r = cylinder.reading(&setup);
        prop_assert!(r.p_pa > 0.0 && r.t_k > 100.0 && r.t_k < 4000.0, "{r:?}");
        let sums = cylinder.last;
        let scale = sums.gross_work.abs() + sums.heat.abs() + sums.start_energy.abs();
        prop_assert!(sums.mass_gap().abs() < 1e-12 * sums.start_mass.max(sums.trapped), "{}", sums.mass_gap());
        prop_assert!(sums.energy_gap().abs() < 1e-9 * scale, "{} of {scale}", sums.energy_gap());
    }
}
