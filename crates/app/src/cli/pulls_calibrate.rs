//! `headroom pulls calibrate`: the model of a build held against measured pulls of the same engine.

use std::path::PathBuf;

use anyhow::{Context, Result, anyhow};
use clap::Args;
use headroom::calibrate::{CalibrateOptions, Calibration, USUAL_MODEL_SD, calibrate};
use headroom::calibrate_prior::Multiplier;
use headroom::calibrate_wire::CalibrationWire;
use headroom::{calibrate_file, calibrate_words, pulls_words};
use pulls::Pull;
use units::UnitSystem;

use super::check::{cautions_text, quiet, verdict_text};
use super::output::{heading, print, print_json, table, wrapped};
use super::pull::Fineness;
use super::pulls::{ProcessingArgs, all_stored, write};
use super::{Common, Format, sheets};
use crate::exit::Exit;

/// Which engine and which pulls.
#[derive(Args, Debug)]
pub struct CalibrateArgs {
    /// The build sheet of the engine as it was on the brake
    build: PathBuf,
    /// Stored pulls (*.pull.toml) of that engine; those of group B are left out
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Factors to fit, the others stay at 1: flow, friction, burn, heat-loss
    #[arg(long, value_name = "FACTORS", value_delimiter = ',', default_value = "flow,friction", value_parser = multiplier)]
    fit: Vec<Multiplier>,
    /// Number of speeds at which curves are laid beside each other
    #[arg(long, default_value_t = 9, value_parser = clap::value_parser!(u32).range(3..=60))]
    points: u32,
    /// How finely to run the model
    #[arg(long, value_enum, default_value = "normal")]
    fidelity: Fineness,
    /// What the model gets wrong of a curve's shape at one speed, percent (standard deviation)
    #[arg(long, value_name = "PERCENT", default_value_t = 100.0 * USUAL_MODEL_SD, value_parser = percent)]
    model_error: f64,
    /// What the brake's scale is known to, percent (standard deviation)
    #[arg(long, value_name = "PERCENT", default_value_t = 0.5, value_parser = percent)]
    brake_error: f64,
    /// Write what was found, for --calibration of `headroom pull` and `headroom swap`
    #[arg(long, short, value_name = "FILE")]
    out: Option<PathBuf>,
    #[command(flatten)]
    processing: ProcessingArgs,
    #[command(flatten)]
    common: Common,
}

fn multiplier(text: &str) -> Result<Multiplier, String> {
    Multiplier::parse(text).ok_or_else(|| "expected flow, friction, burn or heat-loss".to_owned())
}

fn percent(text: &str) -> Result<f64, String> {
    let number = text.trim().trim_end_matches('%').trim().parse::<f64>().ok();
    number
        .filter(|number| (0.01..=20.0).contains(number))
        .ok_or_else(|| "expected 0.01 to 20 percent".to_owned())
}

/// Answers it.
pub fn run(args: &CalibrateArgs) -> Result<Exit> {
    let build = sheets::build(&args.build)?.build;
    let (of_base, left_out): (Vec<Pull>, Vec<Pull>) = all_stored(&args.files, &args.processing)?
        .into_iter()
        .partition(|pull| !pull.group.is_some_and(pulls::Group::is_changed));
    let options = CalibrateOptions {
        fitted: args.fit.clone(),
        n_speeds: args.points as usize,
        fidelity: args.fidelity.fidelity(),
        brake_sd: args.brake_error / 100.0,
        model_sd: args.model_error / 100.0,
    };
    let answer = calibrate(&build, &of_base, &options).map_err(|error| anyhow!("{}: {error}", build.name))?;
    let verdict = calibrate_words::verdict(&answer);
    if let Some(path) = &args.out {
        write(path, calibrate_file::write(&answer, verdict.clone()).as_bytes())?;
    }
    match args.common.format {
        Format::Json => print_json(&CalibrationWire::new(&answer, verdict))?,
        Format::Text if args.common.quiet => print(&format!("{}: {}", answer.engine, quiet(&verdict))),
        Format::Text => print(&text(&answer, &verdict, &left_out, options.model_sd, args.common.system())),
    }
    Ok(Exit::Clear)
}

fn text(
    answer: &Calibration,
    verdict: &[String],
    left_out: &[Pull],
    model_sd: f64,
    system: UnitSystem,
) -> String {
    let mut out = format!("{}\n\n{}", answer.engine, verdict_text(verdict));
    out.push_str(&heading("Factors on the model"));
    out.push_str(&table(&calibrate_words::factor_rows(answer), &[1]));
    out.push_str(&heading("Torque in the air of the sheet"));
    out.push_str(&table(&calibrate_words::curve_rows(answer, system), &[0, 1, 2, 3, 4, 5]));
    out.push_str(&heading("What the fit rests on"));
    for line in calibrate_words::suppositions(answer, model_sd) {
        out.push_str(&wrapped(&format!("  {line}"), 4));
    }
    let names: Vec<&str> = answer.pulls.iter().map(|pull| pull.name.as_str()).collect();
    out.push_str(&wrapped(&format!("  pulls: {}", names.join(", ")), 4));
    if !left_out.is_empty() {
        let names: Vec<&str> = left_out.iter().map(|pull| pull.name.as_str()).collect();
        out.push_str(&wrapped(
            &format!("  left out, because they are of the changed engine: {}", names.join(", ")),
            4,
        ));
    }
    if !answer.assumed.is_empty() {
        out.push_str(&heading("Assumed"));
        for line in &answer.assumed {
            out.push_str(&wrapped(&format!("  {line}"), 4));
        }
    }
    out.push_str(&format!("\n{}", wrapped(pulls_words::CAUTION, 0)));
    out.push_str(&cautions_text());
    out
}

/// A calibration file somebody named.
pub fn calibration(path: &PathBuf) -> Result<calibrate_file::CalibrationFile> {
    let text = std::fs::read_to_string(path).with_context(|| format!("{} cannot be read", path.display()))?;
    calibrate_file::read(&text).map_err(|wrong| anyhow!("{}: {wrong}", path.display()))
}

/// What a calibration rests on, for whoever predicts with it; a remark where it is that of another engine.
pub fn calibration_text(file: &calibrate_file::CalibrationFile, base: &str) -> String {
    let mut out = heading("Calibration");
    let by = headroom::pull_words::multipliers(&file.multipliers());
    out.push_str(&wrapped(&format!("  {by}; of {} on {}", file.engine, file.pull_names().join(", ")), 4));
    if file.engine != base {
        let line = format!(
            "  made for another build than {base}: its factors are carried over, which is a guess (assumed)"
        );
        out.push_str(&wrapped(&line, 4));
    }
    out
}
