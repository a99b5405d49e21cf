//! What has to be said with a comparison: outliers, drift, temperatures that do not match, a base not run again. Leaves out
//! their words for people.

use units::thermodynamic_temperature::degree_celsius;

use crate::column_kind::ColumnKind;
use crate::compare::{ComparedPull, Difference, Drift, GroupRepeat};
use crate::pull::{Group, Pull, Sweep};

/// Something a reader of the difference has to know.
#[derive(Clone, Debug, PartialEq)]
pub enum CompareFinding {
    /// The base was not run again after the change: drift and part are nearly one.
    NotReturned {
        /// Share of the part's column that time explains.
        explained_by_time: f64,
        /// Half-width with the drift allowed for.
        half_width_with_drift_percent: Option<f64>,
    },
    /// A pull far off the rest. It is kept.
    Outlier {
        /// Its name.
        pull: String,
        /// How far off.
        off_percent: f64,
        /// Chance of that among so many pulls.
        chance: f64,
    },
    /// The base moved more than a brake repeats.
    BaseMoved {
        /// From first to last pull.
        percent: f64,
    },
    /// A temperature of B differs from that of A.
    TemperatureMismatch {
        /// Which.
        kind: ColumnKind,
        /// Mean of A, degC.
        base_c: f64,
        /// Mean of B, degC.
        changed_c: f64,
        /// What may differ, in kelvins.
        allowed_k: f64,
    },
    /// A temperature not read in every pull, so nobody can tell whether it matched.
    TemperatureUnknown {
        /// Which.
        kind: ColumnKind,
    },
    /// Fewer pulls than a scatter can be told from.
    FewPulls {
        /// Which group.
        group: Group,
        /// Its pulls.
        n: usize,
    },
    /// Pulls of one group scatter more than a brake should.
    Scatter {
        /// Which group.
        group: Group,
        /// Standard deviation.
        deviation_percent: f64,
    },
    /// Pulls were corrected outside the window of the standard.
    OutsideWindow {
        /// Their names.
        pulls: Vec<String>,
    },
    /// Sweeps up, sweeps down and held speeds do not compare.
    MixedSweeps,
    /// Settings differ between pulls.
    MixedProcessing,
    /// Engine and wheels are mixed.
    MixedPlace,
    /// Times are missing or the same; pulls are taken to follow each other evenly.
    OrderForTime,
}

/// Between means of groups, in kelvins: coolant, oil, inlet air. Common practice, no source, after the usual oil window of
/// 200 to 220 degF (11 K), half of it for coolant and air.
const ALLOWED_K: [(ColumnKind, f64); 3] =
    [(ColumnKind::Coolant, 5.0), (ColumnKind::Oil, 11.0), (ColumnKind::InletAir, 5.0)];
/// A base may move this far: repeatability of an engine brake on one day, 0.5 to 1 %. Source: trade press;
/// no standard known here.
const MOST_DRIFT_PERCENT: f64 = 1.0;
/// And single pulls may scatter that much.
const MOST_SCATTER_PERCENT: f64 = 1.0;
/// An outlier's chance, times the number of pulls.
pub const OUTLIER_CHANCE: f64 = 0.05;
/// Pulls a group should have.
const LEAST_PULLS: usize = 3;

/// Collects them, gravest first.
pub(crate) fn findings(
    pulls: &[&Pull],
    compared: &[ComparedPull],
    groups: &[GroupRepeat],
    difference: Option<&Difference>,
    by_clock: bool,
) -> Vec<CompareFinding> {
    let mut out = Vec::new();
    match difference.map(|difference| difference.drift) {
        Some(Drift::NotSeparable { half_width_with_drift_percent, explained_by_time }) => {
            out.push(CompareFinding::NotReturned { explained_by_time, half_width_with_drift_percent });
        }
        Some(Drift::Fitted { percent, .. }) if percent.abs() > MOST_DRIFT_PERCENT => {
            out.push(CompareFinding::BaseMoved { percent });
        }
        _ => {}
    }
    for pull in compared {
        if let (Some(off_percent), Some(chance)) = (pull.off_percent, pull.outlier_chance)
            && chance < OUTLIER_CHANCE
        {
            out.push(CompareFinding::Outlier { pull: pull.name.clone(), off_percent, chance });
        }
    }
    out.extend(temperatures(pulls, difference.is_some()));
    let differ =
        |of: &dyn Fn(&Pull) -> bool| pulls.iter().any(|pull| of(pull)) && !pulls.iter().all(|pull| of(pull));
    if differ(&|pull| pull.at_wheels) {
        out.push(CompareFinding::MixedPlace);
    }
    if [Sweep::Up, Sweep::Down, Sweep::Stepped].iter().any(|sweep| differ(&|pull| pull.sweep == *sweep)) {
        out.push(CompareFinding::MixedSweeps);
    }
    if pulls.iter().any(|pull| pull.processing != pulls[0].processing) {
        out.push(CompareFinding::MixedProcessing);
    }
    let outside =
        compared.iter().filter(|pull| pull.correction.as_ref().is_some_and(|one| !one.inside_window()));
    let outside: Vec<String> = outside.map(|pull| pull.name.clone()).collect();
    if !outside.is_empty() {
        out.push(CompareFinding::OutsideWindow { pulls: outside });
    }
    for group in groups {
        if let Some(deviation_percent) = group.deviation_percent.filter(|one| *one > MOST_SCATTER_PERCENT) {
            out.push(CompareFinding::Scatter { group: group.group, deviation_percent });
        }
        if group.n < LEAST_PULLS {
            out.push(CompareFinding::FewPulls { group: group.group, n: group.n });
        }
    }
    if !by_clock && difference.is_some() {
        out.push(CompareFinding::OrderForTime);
    }
    out
}

/// Temperatures of a pull, degC: its column, and for the air what was read of the weather.
fn temperature_c(pull: &Pull, kind: ColumnKind) -> Option<f64> {
    let of_weather = || pull.weather.inlet.map(|inlet| inlet.get::<degree_celsius>());
    pull.rows.mean_of(kind).or_else(|| if kind == ColumnKind::InletAir { of_weather() } else { None })
}

fn temperatures(pulls: &[&Pull], is_test: bool) -> Vec<CompareFinding> {
    if !is_test {
        return Vec::new();
    }
    let mean = |kind, changed| -> Option<f64> {
        let of = pulls.iter().filter(|pull| pull.group.is_some_and(Group::is_changed) == changed);
        let known: Option<Vec<f64>> = of.map(|pull| temperature_c(pull, kind)).collect();
        known.map(|known| known.iter().sum::<f64>() / known.len() as f64)
    };
    let one = |(kind, allowed_k): (ColumnKind, f64)| match (mean(kind, false), mean(kind, true)) {
        (Some(base_c), Some(changed_c)) if (base_c - changed_c).abs() > allowed_k => {
            Some(CompareFinding::TemperatureMismatch { kind, base_c, changed_c, allowed_k })
        }
        (Some(_), Some(_)) => None,
        _ => Some(CompareFinding::TemperatureUnknown { kind }),
    };
    ALLOWED_K.into_iter().filter_map(one).collect()
}
