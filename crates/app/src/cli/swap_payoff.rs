//! `headroom swap`'s second half: is the candidate better where the engine is used? Leaves out fit and compression.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use anyhow::Result;
use clap::Args;
use headroom::calibrate_file::CalibrationFile;
use headroom::calibrated::{calibrated_base, calibrated_candidate};
use headroom::payoff::PayoffOptions;
use headroom::{PayoffAnswer, Status, payoff, payoff_words};
use parts::Build;
use sheet::Candidate;
use units::UnitSystem;

use super::output::{heading, table, wrapped};
use super::pull::Fineness;
use super::pulls_calibrate::calibration;

/// How the payoff is judged.
#[derive(Args, Debug)]
pub struct PayoffArgs {
    /// Fit and compression alone
    #[arg(long)]
    no_payoff: bool,
    /// How finely to march the engines that are compared; normal for one or two cylinders, else screen
    #[arg(long, value_enum)]
    fidelity: Option<Fineness>,
    /// What the dyno repeats to, percent; the swap sheet's own when left out, else 1
    #[arg(long, value_name = "PERCENT")]
    repeatability: Option<f64>,
    /// Pairs of engines to march under sampled readings, in the place of what each reading does by itself
    #[arg(long, value_name = "PAIRS", default_value_t = 0, value_parser = clap::value_parser!(u32).range(0..=4096))]
    payoff_samples: u32,
    /// Reckon with what `headroom pulls calibrate` found on pulls of the base
    #[arg(long, value_name = "FILE")]
    calibration: Option<PathBuf>,
}

impl PayoffArgs {
    /// What was found on pulls of the base, where it was given.
    pub fn calibration(&self) -> Result<Option<CalibrationFile>> {
        self.calibration.as_ref().map(calibration).transpose()
    }

    /// The file it stands in.
    pub fn calibration_path(&self) -> Option<&Path> {
        self.calibration.as_deref()
    }

    /// The payoff of a candidate, or why there is none; `None` when nobody wants it.
    pub fn answer(
        &self,
        base: &Build,
        candidate: &Candidate,
        fit: &headroom::CheckAnswer,
        calibration: Option<&CalibrationFile>,
    ) -> Option<Result<PayoffAnswer, String>> {
        if self.no_payoff {
            return None;
        }
        let options = PayoffOptions {
            fidelity: self.fidelity.map(Fineness::fidelity),
            repeatability: self.repeatability.map(|percent| percent / 100.0),
            n_samples: self.payoff_samples,
            ..PayoffOptions::default()
        };
        let answer = match calibration {
            Some(file) => {
                let (base, candidate) = (calibrated_base(base, file), calibrated_candidate(candidate, file));
                payoff(&base, &candidate, fit, &options)
            }
            None => payoff(base, candidate, fit, &options),
        };
        Some(answer.map_err(|error| error.to_string()))
    }
}

/// Where a candidate's picture goes: of several, one each, numbered from the second on.
pub fn numbered(path: &Path, idx: usize) -> PathBuf {
    let mut path = path.to_owned();
    if idx > 0 {
        let word =
            |part: Option<&OsStr>| part.map_or_else(String::new, |part| part.to_string_lossy().into_owned());
        let (stem, ending) = (word(path.file_stem()), word(path.extension()));
        path.set_file_name(format!("{stem}-{}.{ending}", idx + 1));
    }
    path
}

/// The sentence that decides, and the ones after it, each about one thing.
pub fn sentences(
    answer: &Result<PayoffAnswer, String>,
    fit: Status,
    system: UnitSystem,
) -> (String, Vec<String>) {
    match answer {
        Ok(answer) => {
            let mut all = payoff_words::sentences(answer, fit, system);
            let first = all.remove(0);
            (first, all)
        }
        Err(reason) => (format!("What it does to torque cannot be reckoned: {reason}."), Vec::new()),
    }
}

/// The waterfall, the reasons and what to measure next.
pub fn payoff_text(answer: &PayoffAnswer, more: &[String], system: UnitSystem) -> String {
    let mut out = heading("Payoff: mean torque over the band, change by change");
    out.push_str(&table(&payoff_words::waterfall(answer, system), &[1, 2]));
    for sentence in more {
        out.push_str(&wrapped(&format!("  {sentence}"), 4));
    }
    if let Some(sampled) = &answer.sampled {
        let text = format!(
            "  Of {} sampled pairs {} give more than the base; {} clear everywhere, {} do both; {} do not run.",
            sampled.gains.len(),
            sampled.gains.iter().filter(|gain| **gain > 0.0).count(),
            sampled.clear,
            sampled.clear_and_better,
            sampled.failed
        );
        out.push_str(&wrapped(&text, 4));
    }
    if !answer.next.is_empty() {
        out.push_str(&heading("Measure next, what is likeliest to turn the answer first"));
        for row in payoff_words::next_rows(&answer.next, system) {
            let [path, how, why] = row.as_slice() else { continue };
            out.push_str(&wrapped(&format!("  {path}: {how}"), 4));
            out.push_str(&wrapped(&format!("    {why}"), 4));
        }
    }
    out
}
