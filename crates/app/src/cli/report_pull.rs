//! What the report says of predicted torque and power: base and candidate over the same speeds, and what measured pulls corrected
//! in the model. Leaves out measured pulls themselves.

use handover::{Block, Section};
use headroom::calibrate_file::CalibrationFile;
use headroom::pull::{PullAnswer, PullOptions, pull};
use headroom::{pull_svg, pull_words, pulls_words};
use parts::Build;
use pulls::Measure;
use units::UnitSystem;

use super::report_document::{paragraph, section as section_of, table};

/// Speeds the two are marched at.
const N_SPEEDS: usize = 9;

/// Base and candidate over the band of the base.
pub struct Predicted {
    /// Both answers, or why there is none.
    pulls: Result<[PullAnswer; 2], String>,
    calibration: Option<CalibrationFile>,
}

impl Predicted {
    /// Marches both, with what pulls of the base corrected in the model.
    pub fn new(base: &Build, candidate: &Build, name: &str, calibration: Option<CalibrationFile>) -> Self {
        let options = PullOptions {
            n_points: N_SPEEDS,
            calibration: calibration.as_ref().map(CalibrationFile::multipliers),
            ..PullOptions::default()
        };
        Self { pulls: both(base, candidate, name, &options).map_err(|wrong| wrong.to_string()), calibration }
    }
}

impl Predicted {
    /// What was assumed for the candidate to run: reading, what was taken, the rule; nothing where it does not run.
    pub fn assumed_rows(&self, system: UnitSystem) -> Vec<Vec<String>> {
        let Ok([_, candidate]) = &self.pulls else { return Vec::new() };
        let assumed = candidate.assumed.iter();
        assumed.map(|one| vec![one.path.clone(), one.shown(system), one.rule.to_owned()]).collect()
    }

    /// Whether measured pulls corrected the model.
    pub fn is_calibrated(&self) -> bool {
        self.calibration.is_some()
    }
}

fn both(
    base: &Build,
    candidate: &Build,
    name: &str,
    options: &PullOptions,
) -> Result<[PullAnswer; 2], headroom::pull::PullError> {
    let of_base = pull(base, options)?;
    let ends = [of_base.points.first(), of_base.points.last()].map(|point| point.map(|point| point.rpm));
    let options = PullOptions { from_rpm: ends[0], to_rpm: ends[1], ..*options };
    let of_candidate = pull(candidate, &options)?;
    Ok([of_base, PullAnswer { name: name.to_owned(), ..of_candidate }])
}

/// The section.
pub fn section(predicted: &Predicted, system: UnitSystem) -> Section {
    let mut blocks = vec![paragraph(
        "As if everything cleared; what has to be cut comes first. The verdict compares both on one grid with every cut made: its \
         means differ a little from these.",
    )];
    match &predicted.pulls {
        Err(wrong) => blocks.push(paragraph(format!("No prediction: {wrong}."))),
        Ok(pulls) => {
            for answer in pulls {
                blocks.push(paragraph(format!(
                    "{}: {}",
                    answer.name,
                    pull_words::verdict(answer, system).join(" ")
                )));
            }
            blocks.push(Block::Figure {
                svg: pull_svg::svg(pulls, system),
                caption: "Torque and power over speed, predicted, base and candidate".to_owned(),
            });
            blocks.push(table(rows(pulls, system), &[0, 1, 2, 3, 4, 5]));
        }
    }
    if let Some(file) = &predicted.calibration {
        blocks.push(paragraph(format!(
            "Calibrated on {} of {}: {}.",
            file.pull_names().join(", "),
            file.engine,
            pull_words::multipliers(&file.multipliers())
        )));
        blocks.push(Block::List { items: file.verdict.clone() });
    }
    section_of("Predicted torque and power", blocks)
}

/// Headings, then a row a speed.
fn rows(pulls: &[PullAnswer; 2], system: UnitSystem) -> Vec<Vec<String>> {
    let head = ["rpm", "base torque", "candidate torque", "change", "base power", "candidate power"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    let [base, candidate] = pulls;
    for (of_base, of_candidate) in base.points.iter().zip(&candidate.points) {
        let sound = [of_base, of_candidate].map(|point| point.torque_n_m.is_finite());
        let torque = |idx: usize, nm: f64| {
            if sound[idx] { pulls_words::amount(nm, Measure::Torque, system) } else { "broke off".to_owned() }
        };
        let power = |idx: usize, w: f64| {
            if sound[idx] { pulls_words::amount(w / 1e3, Measure::Power, system) } else { String::new() }
        };
        let change = 100.0 * (of_candidate.torque_n_m / of_base.torque_n_m - 1.0);
        rows.push(vec![
            pulls_words::thousands(of_base.rpm),
            torque(0, of_base.torque_n_m),
            torque(1, of_candidate.torque_n_m),
            if sound == [true, true] { pulls_words::signed(change) } else { String::new() },
            power(0, of_base.power_w),
            power(1, of_candidate.power_w),
        ]);
    }
    rows
}
