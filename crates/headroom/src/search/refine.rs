//! Settings between those of the plan: where in its ranges a combination gives most.
//!
//! By COBYLA, M. J. D. Powell (1994), "A direct search optimization method that models the objective and constraint
//! functions by linear interpolation", Advances in Optimization and Numerical Analysis, 51-67: it needs no derivatives and
//! keeps constraints. Leaves out ranges that come in steps.

use std::cell::RefCell;

use cobyla::{RhoBeg, StopTols, minimize};
use cycle::fidelity::Fidelity;
use sheet::plan::{AdjustedKind, Clear};
use units::Quantity;

use super::answer::BaseSeen;
use super::limit::Broken;
use super::question::{Combination, Question};
use super::row::{Row, line_of, parse_with};
use super::run::run_combinations;
use super::stages::score;

/// A combination of the front with its settings tuned.
#[derive(Clone, Debug, PartialEq)]
pub struct Refined {
    /// The settings, in SI, in the order of the plan.
    pub settings_si: Vec<f64>,
    /// What it comes to at `normal`, under the number of the combination it began from.
    pub row: Row,
    /// Engines run at `screen` on the way.
    pub n_runs: usize,
    /// Whether that is better than where it began; else it is where it began.
    pub is_better: bool,
}

/// The most engines that are run for one combination.
const MOST_RUNS: usize = 40;

/// Share of its range that a setting is first moved by, and below which the search ends.
const FIRST_MOVE: f64 = 0.2;
const LAST_MOVE: f64 = 0.01;

/// Tunes the continuous settings of a combination for the plan's weights; `start` is its row at `normal`.
pub fn refine(question: &Question, base: &BaseSeen, start: &Row) -> Refined {
    let combination = question.combination(start.index);
    let ranges: Vec<(usize, [f64; 2])> = question
        .plan
        .adjustments
        .iter()
        .enumerate()
        .filter(|(_, adjustment)| adjustment.continuous)
        .map(|(at, adjustment)| (at, adjustment.range_si))
        .collect();
    let at_shares = |shares: &[f64]| {
        let mut settings_si = combination.settings_si.clone();
        for ((at, [from, to]), share) in ranges.iter().zip(shares) {
            let si = from + share.clamp(0.0, 1.0) * (to - from);
            settings_si[*at] = settable(question.plan.adjustments[*at].of.kind(), si).clamp(*from, *to);
        }
        Combination { options: combination.options.clone(), settings_si }
    };
    let run = |combination: Combination, fidelity: Fidelity| {
        let mut rows = run_combinations(question, &[start.index], &[combination], fidelity, &|row| {
            row.compression.is_some()
        });
        rows.pop().expect("one row comes of one combination")
    };
    let seen: RefCell<Vec<(Vec<f64>, Row)>> = RefCell::new(Vec::new());
    let look = |shares: &[f64]| -> Row {
        let combination = at_shares(shares);
        let known =
            seen.borrow().iter().find(|(si, _)| *si == combination.settings_si).map(|(_, row)| row.clone());
        known.unwrap_or_else(|| {
            let si = combination.settings_si.clone();
            let row = run(combination, Fidelity::Screen);
            seen.borrow_mut().push((si, row.clone()));
            row
        })
    };
    let objective = |shares: &[f64], (): &mut ()| {
        let gives = look(shares).gives;
        // Where there is no engine it is as if it gave nothing.
        gives.map_or(100.0, |gives| -base.score(question, &gives, &base.screen))
    };
    let room = |shares: &[f64], (): &mut ()| room(question, &look(shares));
    let first: Vec<f64> =
        ranges.iter().map(|(at, [from, to])| (combination.settings_si[*at] - from) / (to - from)).collect();
    let bounds = vec![(0.0, 1.0); first.len()];
    let stop =
        StopTols { xtol_rel: 0.0, ftol_rel: 0.0, ftol_abs: 0.0, xtol_abs: vec![LAST_MOVE; first.len()] };
    // Where it ends is among those seen; how it ends does not matter.
    let _ =
        minimize(objective, &first, &bounds, &[&room], (), MOST_RUNS, RhoBeg::All(FIRST_MOVE), Some(stop));
    let seen = seen.into_inner();
    let n_runs = seen.len();
    let gain = |row: &Row| {
        row.gives.as_ref().map_or(f64::NEG_INFINITY, |gives| base.score(question, gives, &base.screen))
    };
    let found =
        seen.into_iter().filter(|(_, row)| row.keeps_all()).max_by(|a, b| gain(&a.1).total_cmp(&gain(&b.1)));
    let begun = Refined {
        settings_si: combination.settings_si.clone(),
        row: start.clone(),
        n_runs,
        is_better: false,
    };
    let Some((settings_si, _)) = found else { return begun };
    let row = run(
        Combination { options: combination.options.clone(), settings_si: settings_si.clone() },
        Fidelity::Normal,
    );
    if row.keeps_all() && score(question, base, &row) > score(question, base, start) {
        Refined { settings_si, row, n_runs, is_better: true }
    } else {
        begun
    }
}

/// To what a shop can set it: a tenth of a degree, a hundredth of a millimetre, a thousandth of ratio.
fn settable(kind: AdjustedKind, si: f64) -> f64 {
    match kind {
        AdjustedKind::Angle => ((si.to_degrees() * 10.0).round() / 10.0).to_radians(),
        AdjustedKind::Length => (si * 1e5).round() / 1e5,
        AdjustedKind::Ratio => (si * 1e3).round() / 1e3,
    }
}

/// What is left to the nearest limit, each in its own measure; negative where one is broken.
fn room(question: &Question, row: &Row) -> f64 {
    let must = &question.plan.must;
    let other = |broken: &Broken| {
        matches!(broken, Broken::Unbuildable | Broken::NotRun | Broken::Budget | Broken::Metal)
    };
    let mut least = if row.broken.list().iter().any(other) { -1.0 } else { 1.0 };
    let [low, high] = row.compression.unwrap_or([0.0, f64::INFINITY]);
    least = must.compression_least.map_or(least, |asked| f64::min(least, low - asked.si()));
    least = must.compression_most.map_or(least, |asked| f64::min(least, asked.si() - high));
    if let Some(margin_mm) = row.margin_mm.filter(|_| must.clear != Clear::Ignore) {
        least = least.min(if must.clear == Clear::Limits { margin_mm } else { least });
    }
    if row.broken.is_empty() { least.max(0.0) } else { least.min(-1e-3) }
}

impl Refined {
    /// For the journal: settings, then the row with them.
    pub fn text(&self, question: &Question) -> String {
        let settings: Vec<String> = self.settings_si.iter().map(|si| format!("{si}")).collect();
        let of =
            Combination { settings_si: self.settings_si.clone(), ..question.combination(self.row.index) };
        let row = line_of(question, &self.row, &of);
        format!("{} {} {}\n{row}", self.n_runs, self.is_better, settings.join(" "))
    }

    /// From [`Self::text`].
    pub fn parse(question: &Question, text: &str) -> Option<Self> {
        let (head, line) = text.split_once('\n')?;
        let mut words = head.split(' ');
        let n_runs = words.next()?.parse().ok()?;
        let is_better = words.next()?.parse().ok()?;
        let settings_si: Vec<f64> = words.map(|word| word.parse().ok()).collect::<Option<_>>()?;
        if settings_si.len() != question.plan.adjustments.len() {
            return None;
        }
        let row = parse_with(question, line, Some(&settings_si))?;
        Some(Self { settings_si, row, n_runs, is_better })
    }
}
