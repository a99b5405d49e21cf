//! A search as JSON; every number has its unit in its name. Leaves out the rows, which are CSV.

use serde::Serialize;
use units::UnitSystem;

use super::answer::{BaseSeen, SearchAnswer, band_rpm};
use super::question::Question;
use super::row::{Gives, Row, setting_column, setting_shown};
use super::words;
use crate::wire::FORMAT;

/// [`SearchAnswer`].
#[derive(Debug, Serialize)]
pub struct SearchWire {
    format: u32,
    name: String,
    plan_digest: String,
    verdict: Vec<String>,
    band_rpm: [f64; 3],
    n_combinations: u64,
    n_run_screen: usize,
    n_run_normal: usize,
    base: BaseWire,
    named: Option<u64>,
    front: Vec<RowWire>,
    screen_front: Vec<u64>,
    refined: Vec<RefinedWire>,
    excluded: Vec<ExcludedWire>,
    recall: RecallWire,
    assumed: Vec<String>,
    assumed_about_running: Vec<AssumedWire>,
    cautions: Vec<&'static str>,
}

#[derive(Debug, Serialize)]
struct BaseWire {
    name: String,
    screen: GivesWire,
    normal: GivesWire,
    compression: Option<[f64; 2]>,
    breaks: Vec<&'static str>,
}

#[derive(Debug, Serialize)]
struct GivesWire {
    torque_below_n_m: f64,
    power_above_kw: f64,
    peak_torque_n_m: f64,
    peak_power_kw: f64,
    knock_integral: f64,
    retard_deg: f64,
    n_speeds_unsettled: u32,
}

#[derive(Debug, Serialize)]
struct RowWire {
    index: u64,
    changes: Vec<String>,
    choices: Vec<ChoiceWire>,
    settings: Vec<SettingWire>,
    price: u64,
    metal_removed_mm: f64,
    compression: Option<[f64; 2]>,
    margin_mm: Option<f64>,
    margin_of: String,
    gives: Option<GivesWire>,
    torque_below_gain_percent: Option<f64>,
    power_above_gain_percent: Option<f64>,
}

#[derive(Debug, Serialize)]
struct ChoiceWire {
    name: String,
    option: String,
}

#[derive(Debug, Serialize)]
struct SettingWire {
    name: String,
    value: f64,
}

#[derive(Debug, Serialize)]
struct RefinedWire {
    better: bool,
    n_runs: usize,
    row: RowWire,
}

#[derive(Debug, Serialize)]
struct ExcludedWire {
    by: &'static str,
    n: usize,
    n_alone: usize,
}

#[derive(Debug, Serialize)]
struct RecallWire {
    n_sample: usize,
    n_true: usize,
    n_found: usize,
    torque_spread_percent: f64,
    power_spread_percent: f64,
    margin_percent: f64,
}

#[derive(Debug, Serialize)]
struct AssumedWire {
    path: String,
    taken: String,
    rule: &'static str,
}

impl SearchWire {
    /// With its sentences.
    pub fn new(question: &Question, answer: &SearchAnswer, verdict: Vec<String>) -> Self {
        let base = &answer.base;
        let row = |row: &Row, settings_si: Option<&[f64]>| row_wire(question, base, row, settings_si);
        Self {
            format: FORMAT,
            name: question.plan.name.clone(),
            plan_digest: question.digest.clone(),
            verdict,
            band_rpm: band_rpm(question),
            n_combinations: question.n(),
            n_run_screen: answer.rows.iter().filter(|row| row.gives.is_some()).count(),
            n_run_normal: answer.n_normal,
            base: BaseWire {
                name: base.name.clone(),
                screen: gives(&base.screen),
                normal: gives(&base.normal),
                compression: base.compression,
                breaks: base.broken.list().iter().map(|broken| broken.key()).collect(),
            },
            named: answer.named.as_ref().map(|named| named.row.index),
            front: answer.front.iter().map(|one| row(one, None)).collect(),
            screen_front: answer.screen_front.clone(),
            refined: answer
                .refined
                .iter()
                .map(|refined| RefinedWire {
                    better: refined.is_better,
                    n_runs: refined.n_runs,
                    row: row(&refined.row, Some(&refined.settings_si)),
                })
                .collect(),
            excluded: answer
                .excluded
                .iter()
                .map(|excluded| ExcludedWire {
                    by: excluded.by.key(),
                    n: excluded.n,
                    n_alone: excluded.n_alone,
                })
                .collect(),
            recall: RecallWire {
                n_sample: answer.recall.n_sample,
                n_true: answer.recall.n_true,
                n_found: answer.recall.n_found,
                torque_spread_percent: 100.0 * answer.recall.torque_spread,
                power_spread_percent: 100.0 * answer.recall.power_spread,
                margin_percent: 100.0 * answer.margin,
            },
            assumed: words::assumptions(question),
            assumed_about_running: base
                .assumed
                .iter()
                .map(|assumed| AssumedWire {
                    path: assumed.path.clone(),
                    taken: assumed.shown(UnitSystem::Metric),
                    rule: assumed.rule,
                })
                .collect(),
            cautions: crate::words::CAUTIONS.to_vec(),
        }
    }
}

fn gives(gives: &Gives) -> GivesWire {
    GivesWire {
        torque_below_n_m: gives.torque_below_n_m,
        power_above_kw: gives.power_above_kw,
        peak_torque_n_m: gives.peak_torque_n_m,
        peak_power_kw: gives.peak_power_kw,
        knock_integral: gives.knock,
        retard_deg: gives.retard_deg,
        n_speeds_unsettled: gives.n_unsettled,
    }
}

fn row_wire(question: &Question, base: &BaseSeen, row: &Row, settings_si: Option<&[f64]>) -> RowWire {
    let combination = question.combination(row.index);
    let settings = settings_si.unwrap_or(&combination.settings_si);
    let gains = row.gives.as_ref().map(|gives| BaseSeen::gains(gives, &base.normal));
    RowWire {
        index: row.index,
        changes: words::changes(question, row.index, settings_si),
        choices: (question.plan.choices.iter().zip(&combination.options))
            .map(|(choice, option)| ChoiceWire {
                name: choice.name.clone(),
                option: choice.options[*option].name.clone(),
            })
            .collect(),
        settings: (question.plan.adjustments.iter().zip(settings))
            .map(|(adjustment, si)| SettingWire {
                name: setting_column(adjustment.of),
                value: super::row::rounded(setting_shown(adjustment.of, *si)),
            })
            .collect(),
        price: row.price,
        metal_removed_mm: row.metal_mm,
        compression: row.compression,
        margin_mm: row.margin_mm,
        margin_of: row.margin_of.clone(),
        gives: row.gives.as_ref().map(gives),
        torque_below_gain_percent: gains.map(|gains| super::row::rounded(gains[0])),
        power_above_gain_percent: gains.map(|gains| super::row::rounded(gains[1])),
    }
}
