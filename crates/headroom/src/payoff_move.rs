//! How far a reading moves the numbers an engine is marched with, so that those which cannot matter are not marched. Leaves out
//! what the move does to torque.

use cycle::model::{Cylinder, Model, Pipe, ValveFlow};

/// Moves that are not worth a march, relative. Torque follows no number of the model faster than that number moves (filling goes
/// at most with the flow area, efficiency with a quarter of the clearance volume), so a whole tolerance of less makes less than
/// this in the gain, a fifth of what the best dyno resolves; many such add as squares.
pub(crate) const LEAST_MOVE: f64 = 1e-3;

/// The largest relative difference between the numbers of two models: sizes of cylinders, areas of valves, pipes, volumes.
/// Infinite where they differ in anything else that gas or friction feels. The head area of valves only scales the Mach index.
pub(crate) fn largest_move(a: &Model, b: &Model) -> f64 {
    let same = a.charge == b.charge
        && a.spark == b.spark
        && a.burn == b.burn
        && a.heat == b.heat
        && a.friction == b.friction
        && a.sources == b.sources
        && a.cylinders.len() == b.cylinders.len()
        && a.pipes.len() == b.pipes.len()
        && a.volumes.len() == b.volumes.len();
    if !same {
        return f64::INFINITY;
    }
    let cylinders = a.cylinders.iter().zip(&b.cylinders).map(|(a, b)| of_cylinder(a, b));
    let pipes = a.pipes.iter().zip(&b.pipes).map(|(a, b)| of_pipe(a, b));
    let volumes = a.volumes.iter().zip(&b.volumes).map(|(a, b)| {
        largest([(a.volume_m3, b.volume_m3), (a.wall_w_per_k, b.wall_w_per_k), (a.wall_k, b.wall_k)])
    });
    cylinders.chain(pipes).chain(volumes).fold(0.0, f64::max)
}

fn of_cylinder(a: &Cylinder, b: &Cylinder) -> f64 {
    let sizes = largest([
        (a.bore_m, b.bore_m),
        (a.stroke_m, b.stroke_m),
        (a.rod_m, b.rod_m),
        (a.stroke_m + a.pin_offset_m, a.stroke_m + b.pin_offset_m),
        (a.clearance_m3, b.clearance_m3),
        (a.crevice_m3 + a.clearance_m3, b.crevice_m3 + a.clearance_m3),
        (a.fires_at_deg + 720.0, b.fires_at_deg + 720.0),
        (a.head_area_ratio, b.head_area_ratio),
        (a.crown_area_ratio, b.crown_area_ratio),
        (a.flame_travel, b.flame_travel),
    ]);
    sizes.max(of_valves(&a.intake, &b.intake)).max(of_valves(&a.exhaust, &b.exhaust))
}

/// Of the largest area of the table, so that the foot of a ramp does not count as if it were the whole.
fn of_valves(a: &ValveFlow, b: &ValveFlow) -> f64 {
    let of = |a: &[f64], b: &[f64]| {
        if a.len() != b.len() {
            return f64::INFINITY;
        }
        let most = a.iter().copied().fold(f64::MIN_POSITIVE, f64::max);
        a.iter().zip(b).map(|(a, b)| (a - b).abs() / most).fold(0.0, f64::max)
    };
    of(&a.into_m2, &b.into_m2).max(of(&a.out_m2, &b.out_m2))
}

fn of_pipe(a: &Pipe, b: &Pipe) -> f64 {
    if a.left != b.left || a.right != b.right || a.bore_m.len() != b.bore_m.len() {
        return f64::INFINITY;
    }
    let length = a.length_m();
    let bores = a.bore_m.iter().zip(&b.bore_m);
    let shape = bores.map(|(a, b)| ((a.0 - b.0) / length).abs().max(((a.1 - b.1) / a.1).abs()));
    let walls =
        largest([(a.wall_k, b.wall_k), (a.roughness_m, b.roughness_m), (a.wall_factor, b.wall_factor)]);
    shape.fold(walls, f64::max)
}

/// The largest relative difference of some pairs.
fn largest<const N: usize>(pairs: [(f64, f64); N]) -> f64 {
    let apart = |(a, b): (f64, f64)| if a == b { 0.0 } else { ((b - a) / a).abs() };
    pairs.into_iter().map(apart).fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_moves_are_relative_and_other_things_count_whole() {
        let build =
            sheet::read_build(include_str!("../../../demos/kestrel.build.toml")).expect("a demo").build;
        let (model, _) = cycle::from_build::model(&build).expect("it runs");
        assert_eq!(largest_move(&model, &model), 0.0);
        let mut other = model.clone();
        other.cylinders[0].clearance_m3 *= 1.01;
        assert!((largest_move(&model, &other) - 0.01).abs() < 1e-12);
        other = model.clone();
        other.charge.lambda += 1e-9;
        assert_eq!(largest_move(&model, &other), f64::INFINITY);
        other = model.clone();
        other.cylinders[0].intake.head_area_m2 *= 2.0;
        assert_eq!(largest_move(&model, &other), 0.0);
    }
}
