//! `headroom pull`: the torque and power an engine should give, speed by speed.

use std::path::PathBuf;

use anyhow::{Result, anyhow};
use clap::{Args, ValueEnum};
use headroom::pull::{Fidelity, PullAnswer, PullOptions, USUAL_POINTS, pull};
use headroom::pull_wire::PullWire;
use headroom::pull_words;
use units::UnitSystem;

use super::check::{cautions_text, quiet, verdict_text};
use super::output::{heading, print, print_json, table};
use super::pulls_calibrate::{calibration, calibration_text};
use super::{Common, Format, sheets};
use crate::exit::Exit;

/// What to run.
#[derive(Args, Debug)]
pub struct PullArgs {
    /// The build sheet (*.build.toml)
    build: PathBuf,
    /// Swap sheets (*.swap.toml) or other build sheets, each run as well
    candidates: Vec<PathBuf>,
    /// First speed, rpm; from the sheet's band when left out
    #[arg(long, value_name = "RPM")]
    from: Option<f64>,
    /// Last speed, rpm
    #[arg(long, value_name = "RPM")]
    to: Option<f64>,
    /// Number of speeds
    #[arg(long, default_value_t = USUAL_POINTS as u32, value_parser = clap::value_parser!(u32).range(2..=200))]
    points: u32,
    /// How finely to compute
    #[arg(long, value_enum, default_value = "normal")]
    fidelity: Fineness,
    /// What `headroom pulls calibrate` found on pulls of the base
    #[arg(long, value_name = "FILE")]
    calibration: Option<PathBuf>,
    #[command(flatten)]
    common: Common,
}

/// How finely to compute, as it is typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Fineness {
    /// Coarse, to tell many apart
    Screen,
    /// For a curve
    Normal,
    /// Cells half as long as normal
    Fine,
}

impl Fineness {
    /// The same for the layers below.
    pub fn fidelity(self) -> Fidelity {
        match self {
            Self::Screen => Fidelity::Screen,
            Self::Normal => Fidelity::Normal,
            Self::Fine => Fidelity::Fine,
        }
    }
}

/// Answers it.
pub fn run(args: &PullArgs) -> Result<Exit> {
    let file = args.calibration.as_ref().map(calibration).transpose()?;
    let options = PullOptions {
        from_rpm: args.from,
        to_rpm: args.to,
        n_points: args.points as usize,
        fidelity: args.fidelity.fidelity(),
        calibration: file.as_ref().map(|file| file.multipliers()),
    };
    let mut builds = vec![sheets::build(&args.build)?.build];
    for candidate in &args.candidates {
        let candidate = sheets::candidate(&args.build, candidate)?;
        builds.push(parts::Build { name: candidate.name, ..candidate.build });
    }
    let mut answers = Vec::new();
    for build in &builds {
        answers.push(pull(build, &options).map_err(|error| anyhow!("{}: {error}", build.name))?);
    }
    let system = args.common.system();
    match args.common.format {
        Format::Json => {
            let wires: Vec<PullWire> = answers
                .iter()
                .map(|answer| PullWire::new(answer, pull_words::verdict(answer, system)))
                .collect();
            print_json(&wires)?;
        }
        Format::Text => {
            for answer in &answers {
                let verdict = pull_words::verdict(answer, system);
                if args.common.quiet {
                    print(&format!("{}: {}", answer.name, quiet(&verdict)));
                } else {
                    let calibration =
                        file.as_ref().map_or(String::new(), |file| calibration_text(file, &builds[0].name));
                    print(&answer_text(answer, &verdict, &calibration, system));
                }
            }
        }
    }
    Ok(Exit::Clear)
}

fn answer_text(answer: &PullAnswer, verdict: &[String], calibration: &str, system: UnitSystem) -> String {
    let mut out = format!("{}\n\n{}", answer.name, verdict_text(verdict));
    out.push_str(&heading("Speed by speed"));
    out.push_str(&table(&pull_words::rows(answer, system), &[0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10]));
    if !answer.assumed.is_empty() {
        out.push_str(&heading("Assumed about running, because nobody gave it"));
        let rows: Vec<Vec<String>> =
            answer.assumed.iter().map(|a| vec![a.path.clone(), a.shown(system), a.rule.to_owned()]).collect();
        out.push_str(&table(&rows, &[]));
    }
    out.push_str(calibration);
    out.push_str(&cautions_text());
    out
}
