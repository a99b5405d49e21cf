//! Pipes, volumes and losses in plain numbers: what the intake and the exhaust side are put together from.

use std::f64::consts::PI;

use parts::running::Port;

use super::{FromBuildError, si};
use crate::model::{End, Pipe, Side, Source, Volume};

/// Roughness of cast and drawn walls, m: 0.02 to 0.3 mm (common practice, no source).
const CAST_M: f64 = 1e-4;
const DRAWN_M: f64 = 3e-5;
/// Wall heat transfer and friction of a port over those of a straight pipe, and of a runner or header with its bends
/// (common practice, no source).
const IN_PORT: f64 = 2.0;
const IN_BENDS: f64 = 1.3;
/// Where two diameters meet, the step is spread over this length, m.
const STEP_M: f64 = 0.004;

/// The network as it grows.
#[derive(Default)]
pub(super) struct Network {
    pub pipes: Vec<Pipe>,
    pub volumes: Vec<Volume>,
    pub sources: Vec<Source>,
}

impl Network {
    /// Adds a volume and returns its number. `loss_w_per_m2_k` is the heat it loses by its walls.
    pub fn volume(&mut self, side: Side, volume_m3: f64, wall_k: f64, loss_w_per_m2_k: f64) -> usize {
        // As if it were a cube.
        let walls_m2 = 6.0 * volume_m3.powf(2.0 / 3.0);
        self.volumes.push(Volume { side, volume_m3, wall_w_per_k: walls_m2 * loss_w_per_m2_k, wall_k });
        self.volumes.len() - 1
    }

    /// Adds a pipe.
    pub fn pipe(&mut self, side: Side, left: End, right: End, run: Run) {
        self.pipes.push(run.pipe(side, left, right));
    }
}

/// Stretches of pipe in a row.
#[derive(Clone, Default)]
pub(super) struct Run {
    bore_m: Vec<(f64, f64)>,
    /// Length times wall temperature and length times wall factor.
    wall_k_m: f64,
    factor_m: f64,
    cast_m: f64,
}

/// What a stretch is made of.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Made {
    /// A passage in the head.
    Port,
    /// A drawn pipe or a runner.
    Pipe,
}

impl Run {
    /// Adds a stretch from one diameter to another.
    pub fn then(mut self, length_m: f64, from_m: f64, to_m: f64, wall_k: f64, made: Made) -> Self {
        let mut start = self.length_m();
        if let Some(&(_, last)) = self.bore_m.last() {
            if last != from_m {
                let step = STEP_M.min(0.5 * length_m);
                self.bore_m.push((start + step, from_m));
            }
        } else {
            self.bore_m.push((0.0, from_m));
            start = 0.0;
        }
        self.bore_m.push((start + length_m, to_m));
        let factor = if made == Made::Port { IN_PORT } else { IN_BENDS };
        self.wall_k_m += wall_k * length_m;
        self.factor_m += factor * length_m;
        if made == Made::Port {
            self.cast_m += length_m;
        }
        self
    }

    fn length_m(&self) -> f64 {
        self.bore_m.last().map_or(0.0, |&(x, _)| x)
    }

    /// The same from the other end.
    pub fn turned(mut self) -> Self {
        let length = self.length_m();
        self.bore_m.reverse();
        self.bore_m.iter_mut().for_each(|(x, _)| *x = length - *x);
        self
    }

    fn pipe(self, side: Side, left: End, right: End) -> Pipe {
        let length = self.length_m();
        let cast = self.cast_m / length;
        Pipe {
            side,
            left,
            right,
            wall_k: self.wall_k_m / length,
            roughness_m: CAST_M * cast + DRAWN_M * (1.0 - cast),
            wall_factor: self.factor_m / length,
            bore_m: self.bore_m,
        }
    }
}

/// A share of a port, from its flange toward the valves: the outer part up to `from`, the whole from 0 to 1.
///
/// Its diameter goes from the entry to the throat (of all valves together), by way of the middle that its poured volume
/// asks for: two frusta, V = pi L / 24 (de2 + de dm + 2 dm2 + dm dt + dt2).
pub(super) fn port_run(run: Run, port: &Port, n_valves: usize, from: f64, to: f64) -> Run {
    let length_m = si(port.length, 0.1);
    let throat_m = si(port.throat_diameter, 0.03) * (n_valves as f64).sqrt();
    let entry_m = si(port.entry_diameter, throat_m);
    let middle_m = match port.volume {
        Some(_) => middle_diameter_m(si(port.volume, 0.0), length_m, entry_m, throat_m),
        None => 0.5 * (entry_m + throat_m),
    };
    let at = |x: f64| {
        if x < 0.5 {
            entry_m + (middle_m - entry_m) * 2.0 * x
        } else {
            middle_m + (throat_m - middle_m) * (2.0 * x - 1.0)
        }
    };
    let wall_k = si(port.wall_temperature, 350.0);
    let mut stations = vec![from];
    if from < 0.5 && 0.5 < to {
        stations.push(0.5);
    }
    stations.push(to);
    stations.windows(2).fold(run, |run, pair| {
        run.then((pair[1] - pair[0]) * length_m, at(pair[0]), at(pair[1]), wall_k, Made::Port)
    })
}

/// How far the middle may differ from the ends before the poured volume is taken for a mistake.
const MIDDLE_RANGE: (f64, f64) = (0.5, 2.0);

fn middle_diameter_m(volume_m3: f64, length_m: f64, entry_m: f64, throat_m: f64) -> f64 {
    let sum = entry_m + throat_m;
    let rest = entry_m * entry_m + throat_m * throat_m - 24.0 * volume_m3 / (PI * length_m);
    // 2 dm2 + sum dm + rest = 0; the root is real and positive wherever the volume is that of more than two cones.
    let root = 0.25 * ((sum * sum - 8.0 * rest).max(0.0).sqrt() - sum);
    root.clamp(MIDDLE_RANGE.0 * entry_m.min(throat_m), MIDDLE_RANGE.1 * entry_m.max(throat_m))
}

/// Volume of a place where pipes of this diameter meet: a cylinder as long as it is wide, m3.
pub(super) fn meeting_m3(diameter_m: f64) -> f64 {
    0.25 * PI * diameter_m.powi(3)
}

/// The partner of each cylinder in pairs of cylinder numbers; an error where a pair names a cylinder that is not there,
/// itself, or one twice.
pub(super) fn partners(
    pairs: &[[usize; 2]],
    n_cylinders: usize,
    place: &'static str,
) -> Result<Vec<Option<usize>>, FromBuildError> {
    let mut partner = vec![None; n_cylinders];
    for &[a, b] in pairs {
        let known = |number: usize| (1..=n_cylinders).contains(&number);
        if !known(a) || !known(b) || a == b || partner[a - 1].is_some() || partner[b - 1].is_some() {
            let found = format!("the pair {a} and {b}");
            let expected = "pairs of different cylinders, each cylinder once at most";
            return Err(FromBuildError::Grouping { place, found, expected });
        }
        partner[a - 1] = Some(b - 1);
        partner[b - 1] = Some(a - 1);
    }
    Ok(partner)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_a_poured_volume_comes_back() {
        // A straight port of 40 mm.
        let volume = 0.25 * PI * 0.04 * 0.04 * 0.1;
        assert!((middle_diameter_m(volume, 0.1, 0.04, 0.04) - 0.04).abs() < 1e-12);
        // A wider middle.
        let (de, dm, dt) = (0.038, 0.043, 0.036);
        let sum: f64 = de * de + de * dm + 2.0 * dm * dm + dm * dt + dt * dt;
        let found = middle_diameter_m(PI * 0.11 / 24.0 * sum, 0.11, de, dt);
        assert!((found - dm).abs() < 1e-12, "{found}");
    }

    #[test]
    fn exact_stretches_add_up_either_way() {
        let run = Run::default().then(0.2, 0.04, 0.036, 330.0, Made::Pipe).then(
            0.1,
            0.034,
            0.034,
            360.0,
            Made::Port,
        );
        let pipe = run.clone().pipe(Side::Intake, End::Closed, End::Closed);
        assert!((pipe.length_m() - 0.3).abs() < 1e-12);
        assert!((pipe.wall_k - 340.0).abs() < 1e-9);
        let back = run.turned().pipe(Side::Intake, End::Closed, End::Closed);
        for x in [0.0, 0.03, 0.1, 0.17, 0.29] {
            assert!((pipe.diameter_m(x) - back.diameter_m(0.3 - x)).abs() < 1e-12);
        }
    }
}
