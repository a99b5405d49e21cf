//! A base and its candidate with what measured pulls of the base corrected in the model, as readings: what is marched then carries
//! the correction, and what is uncertain about it counts like any other reading. Leaves out how the factors were found.

use parts::Build;
use parts::estimate_running::filled;
use parts::running::flow::BenchTable;
use sheet::Candidate;
use units::{Quantity, Ratio, Reading};

use crate::calibrate_file::CalibrationFile;
use crate::calibrate_prior::Multiplier;
use crate::payoff_readings::part_of;

/// What is off by a factor, and what the factor is known to.
#[derive(Clone, Copy)]
struct Known {
    factor: f64,
    /// 95 % half-width relative to the factor; nothing where the reading's own tolerance stays.
    relative: Option<f64>,
}

/// The base with the factors of a calibration on its readings of flow, friction, burn and walls. A factor that was found narrows
/// its reading to the factor's own interval; one that was held leaves the tolerance as it is.
pub fn calibrated_base(base: &Build, file: &CalibrationFile) -> Build {
    calibrated(base, file, |_| true)
}

/// A candidate with the same factors. A reading of another piece than the base's keeps its own tolerance: pulls of the base say
/// nothing about that piece.
pub fn calibrated_candidate(candidate: &Candidate, file: &CalibrationFile) -> Candidate {
    let of_base = |path: &str| !part_of(path).is_some_and(|part| candidate.is_another_piece(part));
    let build = calibrated(&candidate.build, file, of_base);
    let mut with = candidate.clone();
    with.build = build;
    with
}

fn calibrated(build: &Build, file: &CalibrationFile, of_base: impl Fn(&str) -> bool) -> Build {
    let mut running = filled(build).running;
    let known = |one: Multiplier, path: &str| {
        let (factor, half_width) = file.factor(one);
        Known { factor, relative: half_width.filter(|_| of_base(path)).map(|half| half / factor) }
    };
    let flow = known(Multiplier::Flow, "flow");
    let tables = [
        &mut running.flow.intake,
        &mut running.flow.intake_reverse,
        &mut running.flow.exhaust,
        &mut running.flow.exhaust_reverse,
    ];
    tables.into_iter().flatten().for_each(|table: &mut BenchTable| put(&mut table.factor, flow));
    let one = Reading::assumed(Ratio::from_si(1.0), Ratio::default());
    put(running.friction.factor.get_or_insert(one), known(Multiplier::Friction, "friction"));
    put(running.walls.factor.get_or_insert(one), known(Multiplier::HeatLoss, "walls"));
    let burn = known(Multiplier::Burn, "burning");
    let burning = &mut running.burning;
    match (&mut burning.delay, &mut burning.duration) {
        (Some(delay), Some(duration)) => {
            put(delay, burn);
            put(duration, burn);
        }
        _ => put(burning.factor.get_or_insert(one), burn),
    }
    Build { running, ..build.clone() }
}

fn put<Q: Quantity>(reading: &mut Reading<Q>, by: Known) {
    let value = by.factor * reading.value.si();
    let own = by.factor * reading.tolerance.si();
    let tolerance = by.relative.map_or(own, |relative| own.min(relative * value.abs()));
    reading.value = Q::from_si(value);
    reading.tolerance = Q::from_si(tolerance);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibrate_file::read;

    const HERON: &str = include_str!("../../../demos/heron.build.toml");
    const FILE: &str = "format = 1\nengine = \"Heron\"\n\
        [[factor]]\nname = \"flow\"\nvalue = 0.97\nhalf_width = 0.02\n\
        [[factor]]\nname = \"friction\"\nvalue = 1.2\nhalf_width = 0.06\n\
        [[factor]]\nname = \"burn\"\nvalue = 1.1\n\
        [[factor]]\nname = \"heat-loss\"\nvalue = 0.9\n";

    #[test]
    fn exact_readings_with_the_factors_make_the_model_with_the_factors() {
        let base = sheet::read_build(HERON).expect("a demo").build;
        let file = read(FILE).expect("a calibration");
        let by_readings = cycle::from_build::model(&calibrated_base(&base, &file)).expect("it runs").0;
        let by_model = cycle::from_build::model(&base).expect("it runs").0.multiplied(&file.multipliers());
        assert_eq!(by_readings.burn, by_model.burn);
        let near = |a: f64, b: f64| assert!((a - b).abs() <= 1e-12 * b.abs(), "{a} and {b}");
        near(by_readings.friction.factor, by_model.friction.factor);
        near(by_readings.heat.factor, by_model.heat.factor);
        for (one, other) in by_readings.cylinders.iter().zip(&by_model.cylinders) {
            for (one, other) in [(&one.intake, &other.intake), (&one.exhaust, &other.exhaust)] {
                one.into_m2.iter().zip(&other.into_m2).for_each(|(a, b)| near(*a, *b));
                one.out_m2.iter().zip(&other.out_m2).for_each(|(a, b)| near(*a, *b));
            }
        }
        let running = calibrated_base(&base, &file).running;
        let friction = running.friction.factor.expect("it was put in");
        assert!((friction.tolerance.si() - 0.06 * friction.value.si() / 1.2).abs() < 1e-12, "{friction:?}");
        let burning = running.burning.factor.expect("it was put in");
        assert!(
            (burning.tolerance.si() - 1.1 * 0.2).abs() < 1e-12,
            "held factors leave the doubt: {burning:?}"
        );
    }
}
