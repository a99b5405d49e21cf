//! Pulls, their corrections and a comparison as JSON; every number has its unit in its name.

use pulls::compare::{Comparison, Drift};
use pulls::pull::power_kw;
use pulls::{Correction, Curve, Import, Pull};
use serde::Serialize;
use units::UnitSystem;

use crate::pulls_words;
use crate::wire::FORMAT;

/// What an import came to.
#[derive(Debug, Serialize)]
pub struct ImportWire {
    format: u32,
    file: String,
    remembered: bool,
    written: Vec<String>,
    columns: Vec<ColumnWire>,
    pulls: Vec<PullWire>,
    notes: Vec<String>,
}

#[derive(Debug, Serialize)]
struct ColumnWire {
    name: String,
    taken_for: &'static str,
    unit: &'static str,
    because: &'static str,
}

/// One stored pull.
#[derive(Debug, Serialize)]
pub struct PullWire {
    name: String,
    group: Option<&'static str>,
    when: Option<String>,
    instrument: Option<String>,
    at_wheels: bool,
    sweep: &'static str,
    n_readings: usize,
    from_rpm: f64,
    to_rpm: f64,
    inertia_kg_m2: Option<f64>,
    smoothing_rpm: Option<f64>,
    assumed: Vec<String>,
}

/// A pull corrected to one or several standards.
#[derive(Debug, Serialize)]
pub struct CorrectedWire {
    format: u32,
    pull: PullWire,
    corrections: Vec<CorrectionWire>,
    curve: Vec<PointWire>,
}

#[derive(Debug, Serialize)]
struct CorrectionWire {
    standard: &'static str,
    factor: f64,
    inside_window: bool,
    marks: Vec<String>,
    source: &'static str,
}

#[derive(Debug, Serialize)]
struct PointWire {
    speed_rpm: f64,
    measured_torque_n_m: f64,
    measured_power_kw: f64,
    /// In the order of `corrections`.
    corrected_torque_n_m: Vec<f64>,
}

/// [`Comparison`].
#[derive(Debug, Serialize)]
pub struct ComparisonWire {
    format: u32,
    verdict: Vec<String>,
    corrected_to: String,
    measure: &'static str,
    band_rpm: [f64; 2],
    confidence: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    difference: Option<DifferenceWire>,
    groups: Vec<GroupWire>,
    pulls: Vec<ComparedWire>,
    by_speed: Vec<BySpeedWire>,
    findings: Vec<String>,
    caution: &'static str,
}

#[derive(Debug, Serialize)]
struct DifferenceWire {
    percent: f64,
    interval_percent: Option<[f64; 2]>,
    shown: bool,
    p_value: Option<f64>,
    degrees_of_freedom: usize,
    scatter_percent: Option<f64>,
    could_show_percent: Option<f64>,
    could_show_chance: f64,
    drift_percent: Option<f64>,
    drift_separable: bool,
}

#[derive(Debug, Serialize)]
struct GroupWire {
    group: &'static str,
    n: usize,
    mean: f64,
    deviation_percent: Option<f64>,
    spread_percent: Option<f64>,
}

#[derive(Debug, Serialize)]
struct ComparedWire {
    name: String,
    group: &'static str,
    time: f64,
    factor: Option<f64>,
    mean: f64,
    off_percent: Option<f64>,
    outlier_chance: Option<f64>,
}

#[derive(Debug, Serialize)]
struct BySpeedWire {
    speed_rpm: f64,
    percent: f64,
    interval_percent: Option<[f64; 2]>,
}

impl ImportWire {
    /// An import and the files written of it.
    pub fn new(file: &str, import: &Import, written: Vec<String>) -> Self {
        let columns = import.layout.columns.iter().map(|column| ColumnWire {
            name: column.name.clone(),
            taken_for: column.kind.key(),
            unit: column.unit.map_or("", |unit| unit.symbol()),
            because: column.why.words(),
        });
        Self {
            format: FORMAT,
            file: file.to_owned(),
            remembered: import.remembered,
            written,
            columns: columns.collect(),
            pulls: import.pulls.iter().map(PullWire::new).collect(),
            notes: import.notes.clone(),
        }
    }
}

impl PullWire {
    /// A pull without its readings.
    pub fn new(pull: &Pull) -> Self {
        let (from_rpm, to_rpm) = pull.rows.span_rpm();
        Self {
            name: pull.name.clone(),
            group: pull.group.map(|group| group.key()),
            when: pull.when.map(|when| when.to_string()),
            instrument: pull.instrument.clone(),
            at_wheels: pull.at_wheels,
            sweep: pull.sweep.key(),
            n_readings: pull.rows.len(),
            from_rpm,
            to_rpm,
            inertia_kg_m2: pull.processing.inertia_kg_m2,
            smoothing_rpm: pull.processing.smoothing_rpm,
            assumed: pull.assumed.clone(),
        }
    }
}

impl CorrectedWire {
    /// A pull, its corrections and its measured curve.
    pub fn new(pull: &Pull, corrections: &[Correction], measured: &Curve, system: UnitSystem) -> Self {
        let correction = |one: &Correction| CorrectionWire {
            standard: one.standard.name(),
            factor: one.factor,
            inside_window: one.inside_window(),
            marks: one.marks.iter().map(|mark| pulls_words::mark(mark, system)).collect(),
            source: one.standard.source(),
        };
        let points =
            measured.speed_rpm.iter().zip(&measured.torque_nm).map(|(speed_rpm, torque_nm)| PointWire {
                speed_rpm: *speed_rpm,
                measured_torque_n_m: *torque_nm,
                measured_power_kw: power_kw(*torque_nm, *speed_rpm),
                corrected_torque_n_m: corrections.iter().map(|one| one.apply(*torque_nm)).collect(),
            });
        Self {
            format: FORMAT,
            pull: PullWire::new(pull),
            corrections: corrections.iter().map(correction).collect(),
            curve: points.collect(),
        }
    }
}

impl ComparisonWire {
    /// A comparison with its words.
    pub fn new(comparison: &Comparison, system: UnitSystem) -> Self {
        let pair = |(low, high): (f64, f64)| [low, high];
        let difference = comparison.difference.as_ref().map(|one| DifferenceWire {
            percent: one.percent,
            interval_percent: one.interval_percent.map(pair),
            shown: one.is_shown(),
            p_value: one.p_value,
            degrees_of_freedom: one.degrees_of_freedom,
            scatter_percent: one.scatter_percent,
            could_show_percent: one.could_show_percent,
            could_show_chance: comparison.chance,
            drift_percent: match one.drift {
                Drift::Fitted { percent, .. } => Some(percent),
                Drift::NotSeparable { .. } => None,
            },
            drift_separable: matches!(one.drift, Drift::Fitted { .. }),
        });
        let groups = comparison.groups.iter().map(|group| GroupWire {
            group: group.group.key(),
            n: group.n,
            mean: group.mean,
            deviation_percent: group.deviation_percent,
            spread_percent: group.spread_percent,
        });
        let pulls = comparison.pulls.iter().map(|pull| ComparedWire {
            name: pull.name.clone(),
            group: pull.group.key(),
            time: pull.time,
            factor: pull.correction.as_ref().map(|one| one.factor),
            mean: pull.mean,
            off_percent: pull.off_percent,
            outlier_chance: pull.outlier_chance,
        });
        let by_speed = comparison.by_speed.iter().map(|one| BySpeedWire {
            speed_rpm: one.speed_rpm,
            percent: one.percent,
            interval_percent: one.interval_percent.map(pair),
        });
        let findings = comparison.findings.iter().map(|one| pulls_words::finding(one, system));
        Self {
            format: FORMAT,
            verdict: pulls_words::verdict(comparison, system),
            corrected_to: pulls_words::corrected_to(comparison.standard),
            measure: comparison.measure.word(),
            band_rpm: pair(comparison.band_rpm),
            confidence: comparison.confidence,
            difference,
            groups: groups.collect(),
            pulls: pulls.collect(),
            by_speed: by_speed.collect(),
            findings: findings.collect(),
            caution: pulls_words::CAUTION,
        }
    }
}
