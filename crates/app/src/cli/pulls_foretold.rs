//! `headroom pulls foretold`: whether a change did on the brake what was predicted for it.

use std::path::PathBuf;

use anyhow::{Result, anyhow};
use clap::Args;
use headroom::calibrate_wire::ForetoldWire;
use headroom::foretold::{foretold, rows, verdict};
use headroom::pull::PullOptions;
use headroom::pulls_words;
use pulls::{CompareOptions, compare};

use super::check::{quiet, verdict_text};
use super::output::{heading, print, print_json, table, wrapped};
use super::pull::Fineness;
use super::pulls::{ProcessingArgs, all_stored};
use super::pulls_calibrate::{calibration, calibration_text};
use super::{Common, Format, sheets};
use crate::exit::Exit;

/// Which change, and its pulls.
#[derive(Args, Debug)]
pub struct ForetoldArgs {
    /// The build sheet of the engine as it was
    base: PathBuf,
    /// The swap sheet (*.swap.toml) or build sheet of the engine as it is now
    candidate: PathBuf,
    /// Stored pulls (*.pull.toml) with their groups: A, B and A2
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// What `headroom pulls calibrate` found on pulls of the base
    #[arg(long, value_name = "FILE")]
    calibration: Option<PathBuf>,
    /// Number of speeds
    #[arg(long, default_value_t = 9, value_parser = clap::value_parser!(u32).range(2..=200))]
    points: u32,
    /// How finely to run the model
    #[arg(long, value_enum, default_value = "normal")]
    fidelity: Fineness,
    #[command(flatten)]
    processing: ProcessingArgs,
    #[command(flatten)]
    common: Common,
}

/// Answers it.
pub fn run(args: &ForetoldArgs) -> Result<Exit> {
    let base = sheets::build(&args.base)?.build;
    let candidate = sheets::candidate(&args.base, &args.candidate)?;
    let pulls = all_stored(&args.files, &args.processing)?;
    let comparison = compare(&pulls, &CompareOptions::default()).map_err(|wrong| anyhow!("{wrong}"))?;
    let file = args.calibration.as_ref().map(calibration).transpose()?;
    let options = PullOptions {
        n_points: args.points as usize,
        fidelity: args.fidelity.fidelity(),
        calibration: file.as_ref().map(|file| file.multipliers()),
        ..PullOptions::default()
    };
    let answer = foretold(&base, &candidate.build, &comparison, &options)
        .map_err(|error| anyhow!("{}: {error}", candidate.name))?
        .ok_or_else(|| anyhow!("nothing to hold a prediction against: pulls of A and of B are needed, and a model that runs over their band"))?;
    let sentences = verdict(&answer);
    match args.common.format {
        Format::Json => print_json(&ForetoldWire::new(&answer, sentences))?,
        Format::Text if args.common.quiet => print(&format!("{}: {}", candidate.name, quiet(&sentences))),
        Format::Text => {
            let mut out = format!("{} against {}\n\n{}", candidate.name, base.name, verdict_text(&sentences));
            out.push_str(&heading("By speed"));
            out.push_str(&table(&rows(&answer), &[0, 1, 2, 3]));
            if let Some(file) = &file {
                out.push_str(&calibration_text(file, &base.name));
            }
            out.push_str(&format!("\n{}", wrapped(pulls_words::CAUTION, 0)));
            print(&out);
        }
    }
    Ok(if answer.holds() { Exit::Clear } else { Exit::NotClear })
}
