//! From numbers to rows: combinations weighed, what is left run over the band, side by side.

use std::collections::BTreeMap;
use std::ops::Range;

use cycle::fidelity::Fidelity;
use cycle::from_build::{LobeFits, model_with};
use cycle::model::Model;
use cycle::speed_point::{Outcome, SpeedPoint};
use parts::Build;
use rayon::prelude::*;

use super::limit::{Broken, BrokenSet};
use super::question::{Combination, Digit, Question};
use super::row::{Gives, Row, rounded};
use super::setting::set;
use super::weigh::{Fitted, Weighed, cost, fitted, weigh};

/// Combinations that are weighed and run together: a good size for one piece of work, and what is kept at a time.
pub const CHUNK: u64 = 256;

/// The rows of the numbers in a range, in their order, at `screen` fidelity.
///
/// A pure function of the plan and the range: a row is the same whichever range it is part of, on any number of threads.
/// Numbers from [`Question::n`] on have no rows.
pub fn run_range(question: &Question, range: Range<u64>) -> Vec<Row> {
    let end = range.end.min(question.n());
    let mut rows = Vec::new();
    let mut from = range.start;
    while from < end {
        // To the next round number, so that a piece shares as much as it can.
        let to = ((from / CHUNK + 1) * CHUNK).min(end);
        let indices: Vec<u64> = (from..to).collect();
        rows.extend(run_numbers(question, &indices, Fidelity::Screen, &|row| row.broken.is_empty()));
        from = to;
    }
    rows
}

/// The rows of some numbers, in their order; those for which `asked` is false when they have been weighed are not run.
pub fn run_numbers(
    question: &Question,
    indices: &[u64],
    fidelity: Fidelity,
    asked: &(dyn Fn(&Row) -> bool + Sync),
) -> Vec<Row> {
    let combinations: Vec<Combination> = indices.iter().map(|index| question.combination(*index)).collect();
    run_combinations(question, indices, &combinations, fidelity, asked)
}

/// The same for combinations whose settings may lie between those of the plan; each row gets the number that stands at
/// its place in `indices`.
pub fn run_combinations(
    question: &Question,
    indices: &[u64],
    combinations: &[Combination],
    fidelity: Fidelity,
    asked: &(dyn Fn(&Row) -> bool + Sync),
) -> Vec<Row> {
    let mut rows = weigh_all(question, indices, combinations);
    let builds = builds_of(question, combinations);
    let models: Vec<(usize, Result<Model, Broken>)> = (0..rows.len())
        .into_par_iter()
        .filter(|at| asked(&rows[*at]))
        .map_init(LobeFits::default, |fits, at| {
            let build = &builds[&combinations[at].options];
            (at, model_of(question, build, &combinations[at], fits))
        })
        .collect();
    let mut runs = Vec::new();
    for (at, model) in models {
        match model {
            Ok(model) => runs.push((at, model)),
            Err(broken) => rows[at].broken.insert(broken),
        }
    }
    let (at, models): (Vec<usize>, Vec<Model>) = runs.into_iter().unzip();
    let swept = cycle::batch::sweep_batch(&models, &question.speeds_rpm, fidelity);
    for ((at, model), points) in at.into_iter().zip(&models).zip(swept) {
        judge(question, &mut rows[at], model, points.as_deref().ok());
    }
    rows
}

/// The engine of a combination as numbers; what it breaks when there is none.
pub fn model_of(
    question: &Question,
    parts: &Result<Build, String>,
    combination: &Combination,
    fits: &mut LobeFits,
) -> Result<Model, Broken> {
    let mut build = parts.as_ref().map_err(|_| Broken::Unbuildable)?.clone();
    for (adjustment, si) in question.plan.adjustments.iter().zip(&combination.settings_si) {
        set(&mut build, adjustment.of, *si).ok_or(Broken::Unbuildable)?;
    }
    model_with(&build, fits).map(|(model, _)| model).map_err(|_| Broken::Unbuildable)
}

/// Everything but the gas, for each of some combinations.
fn weigh_all(question: &Question, indices: &[u64], combinations: &[Combination]) -> Vec<Row> {
    let of_fit = |combination: &Combination| fit_options(question, combination);
    let mut parts: Vec<Vec<usize>> = combinations.iter().map(of_fit).collect();
    parts.sort();
    parts.dedup();
    let parts: BTreeMap<Vec<usize>, Option<(Build, Fitted)>> = parts
        .into_par_iter()
        .map(|options| {
            let build = question.parts_of(&options).ok();
            (options, build.map(|build| (build.clone(), fitted(&build))))
        })
        .collect();
    // Neighbours often differ only in what fit does not depend on.
    let alike = |a: usize, b: usize| {
        let (a, b) = (&combinations[a], &combinations[b]);
        a.settings_si == b.settings_si && of_fit(a) == of_fit(b)
    };
    let mut firsts: Vec<usize> = Vec::new();
    for at in 0..combinations.len() {
        if firsts.last().is_none_or(|first| !alike(*first, at)) {
            firsts.push(at);
        }
    }
    let weighed: Vec<Option<Weighed>> = firsts
        .par_iter()
        .map(|at| {
            let known = parts[&of_fit(&combinations[*at])].as_ref();
            known.map(|(_, fitted)| weigh(question, fitted, &combinations[*at].settings_si))
        })
        .collect();
    let mut group = 0;
    let mut rows = Vec::with_capacity(indices.len());
    for (at, (index, combination)) in indices.iter().zip(combinations).enumerate() {
        while group + 1 < firsts.len() && firsts[group + 1] <= at {
            group += 1;
        }
        let known = parts[&of_fit(combination)].as_ref();
        rows.push(row(question, *index, combination, known.map(|(build, _)| build), weighed[group].as_ref()));
    }
    rows
}

/// The options with the first of every choice that fit does not depend on.
fn fit_options(question: &Question, combination: &Combination) -> Vec<usize> {
    let mut options = vec![0; combination.options.len()];
    for digit in &question.digits[..question.n_fit_digits] {
        if let Digit::Choice(choice) = digit {
            options[*choice] = combination.options[*choice];
        }
    }
    options
}

fn row(
    question: &Question,
    index: u64,
    combination: &Combination,
    build: Option<&Build>,
    weighed: Option<&Weighed>,
) -> Row {
    let mut unbuildable = BrokenSet::default();
    unbuildable.insert(Broken::Unbuildable);
    let (price, metal_mm, mut broken) = cost(question, build.unwrap_or(&question.plan.base), combination);
    broken = broken.with(weighed.map_or(unbuildable, |weighed| weighed.broken));
    let margin = weighed.and_then(|weighed| weighed.margin.clone());
    Row {
        index,
        price,
        metal_mm,
        compression: weighed.and_then(|weighed| weighed.compression),
        margin_mm: margin.as_ref().map(|margin| margin.0),
        margin_of: margin.map(|margin| margin.1).unwrap_or_default(),
        broken,
        gives: None,
    }
}

/// The builds of all options that some combinations ask for.
fn builds_of(
    question: &Question,
    combinations: &[Combination],
) -> BTreeMap<Vec<usize>, Result<Build, String>> {
    let mut options: Vec<&Vec<usize>> = combinations.iter().map(|combination| &combination.options).collect();
    options.sort();
    options.dedup();
    options.into_par_iter().map(|options| (options.clone(), question.parts_of(options))).collect()
}

/// Puts what an engine gives, and the limits of running it breaks, into its row.
pub fn judge(question: &Question, row: &mut Row, model: &Model, points: Option<&[SpeedPoint]>) {
    let gives = points.and_then(|points| gives(question, points));
    let Some(gives) = gives else {
        row.broken.insert(Broken::NotRun);
        return;
    };
    if gives.knock > question.knock_most(&model.spark) {
        row.broken.insert(Broken::Knock);
    }
    let retard_most = question.plan.must.retard_most;
    if retard_most.is_some_and(|most| rounded(most.degrees()) < gives.retard_deg) {
        row.broken.insert(Broken::Retard);
    }
    row.gives = Some(gives);
}

/// What the points of the band come to; `None` when one of them could not be computed.
pub fn gives(question: &Question, points: &[SpeedPoint]) -> Option<Gives> {
    if points.len() < 2 || points.iter().any(|point| matches!(point.outcome, Outcome::Broke(_))) {
        return None;
    }
    let (first, last) = (points[0].rpm, points[points.len() - 1].rpm);
    let mean = |from: f64, to: f64, of: &dyn Fn(&SpeedPoint) -> f64| mean_between(points, from, to, of);
    let most = |of: &dyn Fn(&SpeedPoint) -> f64| points.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
    let cylinders = || points.iter().flat_map(|point| &point.cylinders);
    let knock = cylinders().map(|cylinder| cylinder.knock).fold(0.0, f64::max);
    let held = cylinders().filter(|cylinder| cylinder.knock_limited);
    let retard_deg = held.map(|cylinder| cylinder.retard_deg).fold(0.0, f64::max);
    let gives = Gives {
        torque_below_n_m: rounded(mean(first, question.split_rpm, &|point| point.torque_n_m)),
        power_above_kw: rounded(1e-3 * mean(question.split_rpm, last, &|point| point.power_w)),
        peak_torque_n_m: rounded(most(&|point| point.torque_n_m)),
        peak_power_kw: rounded(1e-3 * most(&|point| point.power_w)),
        knock: rounded(knock),
        retard_deg: rounded(retard_deg),
        n_unsettled: points.iter().filter(|point| point.outcome != Outcome::Converged).count() as u32,
    };
    [gives.torque_below_n_m, gives.power_above_kw, gives.knock]
        .iter()
        .all(|value| value.is_finite())
        .then_some(gives)
}

/// Mean over a stretch of speeds of a curve that is straight between its points: the area under it over its width.
fn mean_between(points: &[SpeedPoint], from: f64, to: f64, of: &dyn Fn(&SpeedPoint) -> f64) -> f64 {
    let mut area = 0.0;
    for pair in points.windows(2) {
        let (a, b) = (pair[0].rpm.max(from), pair[1].rpm.min(to));
        if a < b {
            let at = |rpm: f64| {
                let share = (rpm - pair[0].rpm) / (pair[1].rpm - pair[0].rpm);
                of(&pair[0]) + share * (of(&pair[1]) - of(&pair[0]))
            };
            area += 0.5 * (at(a) + at(b)) * (b - a);
        }
    }
    area / (to - from)
}
