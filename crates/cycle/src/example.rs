//! Invented engines in plain numbers, for tests and benches: any number of cylinders, sizes as asked.
//!
//! Open air, throttle, plenum, a runner with port to each cylinder, a port with primary from each, a collector, a
//! tail pipe. Leaves out everything a build sheet would know.

use crate::model::{
    Burn, Charge, Cylinder, End, Friction, FrictionLaw, Heat, HeatLaw, Loss, Model, Pipe, Side, Source,
    Spark, ValveFlow, Volume,
};
use gas::fuel::Fuel;
use std::f64::consts::PI;

/// What of an invented engine may be chosen; lengths in m, angles in degrees of crank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sizes {
    /// Number of cylinders; they fire at even intervals.
    pub n_cylinders: usize,
    /// Bore.
    pub bore_m: f64,
    /// Stroke.
    pub stroke_m: f64,
    /// Compression ratio.
    pub compression: f64,
    /// Plenum to valve, and the diameter there; the other end is 20 % wider.
    pub runner_m: [f64; 2],
    /// Valve to collector, and the diameter at the valve; the other end is 10 % wider.
    pub primary_m: [f64; 2],
    /// Intake head diameter over bore.
    pub intake_over_bore: f64,
    /// Largest intake lift over intake head diameter; the exhaust valve lifts as far.
    pub lift_over_head: f64,
    /// Intake opens before the gas exchange TDC, closes after the BDC that follows.
    pub intake_deg: [f64; 2],
    /// Exhaust opens before BDC, closes after the gas exchange TDC.
    pub exhaust_deg: [f64; 2],
    /// Plenum over displacement.
    pub plenum: f64,
    /// Open share of the throttle.
    pub throttle: f64,
}

impl Default for Sizes {
    /// Two litres, two valves a cylinder, a warm road engine.
    fn default() -> Self {
        Self {
            n_cylinders: 4,
            bore_m: 0.086,
            stroke_m: 0.086,
            compression: 10.0,
            runner_m: [0.35, 0.036],
            primary_m: [0.7, 0.036],
            intake_over_bore: 0.50,
            lift_over_head: 0.25,
            intake_deg: [20.0, 60.0],
            exhaust_deg: [60.0, 20.0],
            plenum: 1.5,
            throttle: 1.0,
        }
    }
}

/// The engine of these sizes.
pub fn engine(sizes: &Sizes) -> Model {
    let Sizes { n_cylinders, bore_m, stroke_m, .. } = *sizes;
    let swept = 0.25 * PI * bore_m * bore_m * stroke_m;
    let displacement = swept * n_cylinders as f64;
    let head_in = sizes.intake_over_bore * bore_m;
    let lift = sizes.lift_over_head * head_in;
    let (before, after) = (sizes.intake_deg[0], sizes.intake_deg[1]);
    let intake = poppet(head_in, lift, 360.0 - before, 540.0 + after, 0.66);
    let (before, after) = (sizes.exhaust_deg[0], sizes.exhaust_deg[1]);
    let exhaust = poppet(0.84 * head_in, lift, 180.0 - before, 360.0 + after, 0.68);
    let cylinder = |fires_at_deg: f64| Cylinder {
        bore_m,
        stroke_m,
        rod_m: 1.65 * stroke_m,
        pin_offset_m: 0.0,
        clearance_m3: swept / (sizes.compression - 1.0),
        crevice_m3: 0.01 * swept / (sizes.compression - 1.0),
        fires_at_deg,
        head_area_ratio: 1.25,
        crown_area_ratio: 1.05,
        flame_travel: 0.65,
        intake: intake.clone(),
        exhaust: exhaust.clone(),
    };
    let cylinders =
        (0..n_cylinders).map(|i| cylinder(720.0 * i as f64 / n_cylinders as f64)).collect::<Vec<_>>();
    let wide = (displacement / 0.002).sqrt();
    let pipe = |side, left, right, length: f64, d: [f64; 2], wall_k, wall_factor| Pipe {
        side,
        left,
        right,
        bore_m: vec![(0.0, d[0]), (length, d[1])],
        wall_k,
        roughness_m: 2e-5,
        wall_factor,
    };
    let inlet = Loss { into: 0.2, out: 0.0, open: sizes.throttle };
    let mouth = Loss { into: 0.1, ..Loss::NONE };
    let mut pipes = vec![pipe(
        Side::Intake,
        End::Source(0, Loss { into: 0.5, ..Loss::NONE }),
        End::Volume(0, inlet),
        0.3,
        [0.060 * wide; 2],
        310.0,
        1.0,
    )];
    for i in 0..n_cylinders {
        let [length, d] = sizes.runner_m;
        let valves = End::Valves(i, Side::Intake);
        pipes.push(pipe(Side::Intake, End::Volume(0, mouth), valves, length, [1.2 * d, d], 330.0, 1.5));
    }
    for i in 0..n_cylinders {
        let [length, d] = sizes.primary_m;
        let (valves, into) = (End::Valves(i, Side::Exhaust), End::Volume(1, Loss::NONE));
        pipes.push(pipe(Side::Exhaust, valves, into, length, [d, 1.1 * d], 750.0, 1.5));
    }
    let tail = [0.055 * wide; 2];
    let out = End::Source(0, Loss::NONE);
    pipes.push(pipe(Side::Exhaust, End::Volume(1, Loss::NONE), out, 1.0, tail, 600.0, 1.0));
    let chamber = |side, volume_m3, wall_k| Volume { side, volume_m3, wall_w_per_k: 0.0, wall_k };
    Model {
        cylinders,
        pipes,
        volumes: vec![
            chamber(Side::Intake, sizes.plenum * displacement, 320.0),
            chamber(Side::Exhaust, displacement, 700.0),
        ],
        sources: vec![Source { p_pa: 101_325.0, t_k: 298.0, humidity: 0.008, work_j_per_kg: 0.0 }],
        charge: Charge { fuel: Fuel::Gasoline, lambda: 0.9, vapour: 0.5, ron: 95.0, mon: 85.0 },
        spark: Spark::HalfBurnedAt(8.0),
        burn: Burn::Given { delay_deg: 22.0, duration_deg: 28.0 },
        heat: Heat { law: HeatLaw::Woschni, factor: 1.0, head_k: 480.0, crown_k: 520.0, bore_k: 400.0 },
        friction: Friction { law: FrictionLaw::BarnesMoss, factor: 1.0 },
    }
}

/// One poppet valve: a sine-squared lift, curtain area up to the throat of 0.85 of the head, one coefficient.
fn poppet(head_m: f64, lift_m: f64, opens_deg: f64, closes_deg: f64, coefficient: f64) -> ValveFlow {
    let head_area_m2 = 0.25 * PI * head_m * head_m;
    let throat = 0.85 * 0.85 * head_area_m2;
    let effective = |angle: f64| {
        let part = (angle - opens_deg) / (closes_deg - opens_deg);
        if !(0.0..=1.0).contains(&part) {
            return 0.0;
        }
        let lift = lift_m * (PI * part).sin().powi(2);
        // Curtain and throat in a row: the two resistances add.
        let curtain = PI * head_m * lift;
        coefficient * curtain * throat / curtain.hypot(throat)
    };
    let into_m2: Vec<f64> = (0..720).map(|i| effective(f64::from(i))).collect();
    ValveFlow { out_m2: into_m2.clone(), into_m2, head_area_m2, lift_m: Vec::new() }
}
