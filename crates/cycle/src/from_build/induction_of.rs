//! The intake side as pipes and volumes: air cleaner, throttles, plenum or individual runners, ports.

use std::f64::consts::PI;

use parts::running::{Induction, InductionLayout, Mouth};
use parts::{Build, Duty};

use super::bench_flow::BENCH_DENSITY_KG_PER_M3;
use super::pipe_of::{Made, Network, Run, meeting_m3, partners, port_run};
use super::{FromBuildError, si};
use crate::model::{End, Loss, Side};

/// Heat that comes through the wall of a plenum, W/(m2 K) (common practice, no source).
const PLENUM_W_PER_M2_K: f64 = 20.0;
/// Share of a siamesed port that both cylinders use (common practice, no source).
const SHARED: f64 = 0.6;

/// Joins the intake side to a source.
///
/// Source, air cleaner and throttles are one pipe into the plenum; individual throttles stand at the mouths of their
/// runners. A runner and its port are one pipe. Siamesed ports share the runner and the outer part of the port.
pub(super) fn join(network: &mut Network, build: &Build, source: usize) -> Result<(), FromBuildError> {
    let induction = &build.running.induction;
    let port = &build.running.ports.intake;
    let n_cylinders = build.cylinders.len();
    let partner = partners(&port.siamesed, n_cylinders, "port.intake.siamesed")?;
    let n_runners = n_cylinders - port.siamesed.len();
    let plenum =
        (induction.layout != Some(InductionLayout::Individual)).then(|| inlet(network, build, source));
    let wall_k = si(induction.wall_temperature, 320.0);
    for (at, partner) in partner.iter().copied().enumerate() {
        let open_end = match plenum {
            Some(volume) => End::Volume(volume, mouth_loss(induction, 0.0, 1.0)),
            None => End::Source(source, individual_loss(induction, n_runners)),
        };
        let n_valves = build.cylinders[at].head.valves.iter().filter(|v| v.duty == Duty::Intake).count();
        let run =
            if plenum.is_some() { runner(induction, wall_k) } else { throttled_runner(induction, wall_k) };
        let valves = End::Valves(at, Side::Intake);
        match partner {
            None => {
                network.pipe(Side::Intake, open_end, valves, port_run(run, port, n_valves, 0.0, 1.0));
            }
            // The later of the two has been joined with the earlier.
            Some(other) if other < at => {}
            Some(other) => {
                let meeting = meeting_m3(si(port.entry_diameter, 0.03));
                let meeting = network.volume(Side::Intake, meeting, si(port.wall_temperature, 350.0), 0.0);
                let joined = End::Volume(meeting, Loss::NONE);
                network.pipe(Side::Intake, open_end, joined, port_run(run, port, n_valves, 0.0, SHARED));
                for valves in [at, other].map(|of| End::Valves(of, Side::Intake)) {
                    let stub = port_run(Run::default(), port, n_valves, SHARED, 1.0);
                    network.pipe(Side::Intake, End::Volume(meeting, TURN), valves, stub);
                }
            }
        }
    }
    Ok(())
}

/// Into a branch from where pipes meet: a turn, no vena contracta (common practice, no source).
const TURN: Loss = Loss { into: 0.2, out: 0.0, open: 1.0 };

/// The pipe from the air to the plenum; returns the plenum.
fn inlet(network: &mut Network, build: &Build, source: usize) -> usize {
    let induction = &build.running.induction;
    let n_throttles = induction.throttles.unwrap_or(1).max(1) as f64;
    // Throttles side by side, as one of their area.
    let throttle_m = si(induction.throttle_diameter, 0.05) * n_throttles.sqrt();
    let area_m2 = 0.25 * PI * throttle_m * throttle_m;
    let wall_k = si(induction.wall_temperature, 320.0);
    let into = 0.1 + cleaner_loss(induction, area_m2);
    let left = End::Source(source, Loss { into, ..Loss::NONE });
    let plenum = network.volume(Side::Intake, si(induction.plenum_volume, 1e-3), wall_k, PLENUM_W_PER_M2_K);
    let right = End::Volume(
        plenum,
        Loss { into: 0.0, out: venturi_loss(induction), open: si(induction.throttle_opening, 1.0) },
    );
    let length_m = si(induction.inlet_length, 0.25);
    let run =
        through_venturi(Run::default(), induction, length_m, throttle_m, throttle_m, n_throttles, wall_k);
    network.pipe(Side::Intake, left, right, run);
    plenum
}

/// Loss coefficient of the air cleaner on the dynamic head in a pipe of this area: it costs `drop` at `flow` of bench air.
fn cleaner_loss(induction: &Induction, area_m2: f64) -> f64 {
    let (drop_pa, flow) = (si(induction.air_cleaner_drop, 0.0), si(induction.air_cleaner_flow, 0.0));
    if drop_pa <= 0.0 || flow <= 0.0 {
        return 0.0;
    }
    let speed = flow / area_m2;
    drop_pa / (0.5 * BENCH_DENSITY_KG_PER_M3 * speed * speed)
}

/// What does not come back after a venturi, of the dynamic head in the throttle's bore: 0.15 of the throat's excess
/// (diffusers of 7 to 10 degrees lose 0.1 to 0.2; common practice, no source).
fn venturi_loss(induction: &Induction) -> f64 {
    let (venturi_m, bore_m) = (si(induction.venturi_diameter, 0.0), si(induction.throttle_diameter, 0.0));
    if venturi_m <= 0.0 || venturi_m >= bore_m {
        return 0.0;
    }
    0.15 * ((bore_m / venturi_m).powi(4) - 1.0)
}

/// A stretch with the venturi, where there is one, in its second quarter.
fn through_venturi(
    run: Run,
    induction: &Induction,
    length_m: f64,
    from_m: f64,
    to_m: f64,
    n_throttles: f64,
    wall_k: f64,
) -> Run {
    let venturi_m = si(induction.venturi_diameter, 0.0) * n_throttles.sqrt();
    if venturi_m <= 0.0 || venturi_m >= from_m.min(to_m) {
        return run.then(length_m, from_m, to_m, wall_k, Made::Pipe);
    }
    run.then(0.25 * length_m, from_m, venturi_m, wall_k, Made::Pipe)
        .then(0.5 * length_m, venturi_m, to_m, wall_k, Made::Pipe)
        .then(0.25 * length_m, to_m, to_m, wall_k, Made::Pipe)
}

/// Losses at the mouth of a runner, with more in front of it and a throttle that leaves `open`.
///
/// Of the dynamic head: 0.05 bellmouth, 0.5 flush in a wall, 0.9 a plain pipe end (I. E. Idelchik, "Handbook of
/// Hydraulic Resistance", section 3; from memory).
fn mouth_loss(induction: &Induction, before: f64, open: f64) -> Loss {
    let into = match induction.mouth {
        Some(Mouth::Bellmouth) => 0.05,
        Some(Mouth::Flush) | None => 0.5,
        Some(Mouth::Plain) => 0.9,
    };
    Loss { into: into + before, out: 0.0, open }
}

fn individual_loss(induction: &Induction, n_runners: usize) -> Loss {
    let mouth_m = si(induction.runner_mouth_diameter, 0.04);
    let together_m2 = 0.25 * PI * mouth_m * mouth_m * n_runners as f64;
    let before = cleaner_loss(induction, together_m2) + venturi_loss(induction);
    mouth_loss(induction, before, si(induction.throttle_opening, 1.0))
}

fn runner(induction: &Induction, wall_k: f64) -> Run {
    let (mouth_m, head_m) =
        (si(induction.runner_mouth_diameter, 0.04), si(induction.runner_head_diameter, 0.04));
    Run::default().then(si(induction.runner_length, 0.2), mouth_m, head_m, wall_k, Made::Pipe)
}

/// A runner with its own throttle or carburettor in the outer half.
fn throttled_runner(induction: &Induction, wall_k: f64) -> Run {
    let (mouth_m, head_m) =
        (si(induction.runner_mouth_diameter, 0.04), si(induction.runner_head_diameter, 0.04));
    let throttle_m = si(induction.throttle_diameter, mouth_m);
    let length_m = si(induction.runner_length, 0.2);
    let outer = through_venturi(Run::default(), induction, 0.5 * length_m, mouth_m, throttle_m, 1.0, wall_k);
    outer.then(0.5 * length_m, throttle_m, head_m, wall_k, Made::Pipe)
}
