//! `headroom pull`: the torque and power an engine should give, speed by speed.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result, anyhow};
use clap::{Args, ValueEnum};
use headroom::pull::{Fidelity, PullAir, PullAnswer, PullOptions, USUAL_POINTS, pull};
use headroom::pull_wire::PullWire;
use headroom::{pull_csv, pull_svg, pull_trace, pull_words};
use pulls::Standard;
use units::{Pressure, Ratio, ThermodynamicTemperature, UnitSystem};

use super::check::{cautions_text, quiet, verdict_text};
use super::output::{heading, print, print_json, table};
use super::picture::write_png;
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
    /// First and last speed and the step between, such as 1500..7000:250; without the step, --points counts
    #[arg(long, value_name = "RPM..RPM:STEP", value_parser = speeds, conflicts_with_all = ["from", "to"])]
    speeds: Option<Speeds>,
    /// Number of speeds
    #[arg(long, default_value_t = USUAL_POINTS as u32, value_parser = clap::value_parser!(u32).range(2..=200))]
    points: u32,
    /// How finely to compute
    #[arg(long, value_enum, default_value = "normal")]
    fidelity: Fineness,
    /// What `headroom pulls calibrate` found on pulls of the base
    #[arg(long, value_name = "FILE")]
    calibration: Option<PathBuf>,
    /// Correct torque and power to a standard, as a brake's sheet does: sae, std, iso, din, jis, eec
    #[arg(long, value_name = "STANDARD", value_parser = standard)]
    corrected: Option<Standard>,
    /// The barometer at the engine ("98.2 kPa"), where the sheet's weather is not meant
    #[arg(long, value_name = "PRESSURE", value_parser = units::parse::<Pressure>)]
    baro: Option<Pressure>,
    /// The inlet air ("24 degC")
    #[arg(long, value_name = "TEMPERATURE", value_parser = units::parse::<ThermodynamicTemperature>)]
    air_temp: Option<ThermodynamicTemperature>,
    /// Relative humidity ("45 %")
    #[arg(long, value_name = "SHARE", value_parser = units::parse::<Ratio>)]
    humidity: Option<Ratio>,
    /// The accounts of mass and energy of the last cycle, and how well it repeats
    #[arg(long)]
    accounts: bool,
    /// Pressure, temperature, flow and lift by crank degree: in the JSON, some rows in the text, all of it with --traces-csv
    #[arg(long)]
    traces: bool,
    /// Write the traces of every cylinder and speed
    #[arg(long, value_name = "FILE")]
    traces_csv: Option<PathBuf>,
    /// Write every figure of every speed
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Draw torque and power over speed
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// The same as PNG
    #[arg(long, value_name = "FILE")]
    png: Option<PathBuf>,
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

/// What `--speeds` says.
#[derive(Clone, Copy, Debug)]
struct Speeds {
    from_rpm: f64,
    to_rpm: f64,
    step_rpm: Option<f64>,
}

fn speeds(text: &str) -> Result<Speeds, String> {
    let expected = || format!("found `{text}`, expected two speeds and a step in rpm such as 1500..7000:250");
    let number = |text: &str| text.trim().parse::<f64>().ok().filter(|n| n.is_finite());
    let (from, rest) = text.split_once("..").ok_or_else(expected)?;
    let (to, step) = rest.split_once(':').map_or((rest, None), |(to, step)| (to, Some(step)));
    let (Some(from_rpm), Some(to_rpm)) = (number(from), number(to)) else { return Err(expected()) };
    let step_rpm = step.map(|step| number(step).ok_or_else(expected)).transpose()?;
    Ok(Speeds { from_rpm, to_rpm, step_rpm })
}

fn standard(text: &str) -> Result<Standard, String> {
    Standard::parse(text).ok_or_else(|| {
        let keys: Vec<&str> = Standard::ALL.iter().map(|one| one.key()).collect();
        format!("found `{text}`, expected one of {}", keys.join(", "))
    })
}

/// Answers it.
pub fn run(args: &PullArgs) -> Result<Exit> {
    let file = args.calibration.as_ref().map(calibration).transpose()?;
    let options = PullOptions {
        from_rpm: args.speeds.map(|s| s.from_rpm).or(args.from),
        to_rpm: args.speeds.map(|s| s.to_rpm).or(args.to),
        n_points: args.points as usize,
        step_rpm: args.speeds.and_then(|s| s.step_rpm),
        air: PullAir { pressure: args.baro, temperature: args.air_temp, humidity: args.humidity },
        corrected_to: args.corrected,
        traces: args.traces || args.traces_csv.is_some(),
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
    write(args.csv.as_deref(), || pull_csv::csv(&answers))?;
    write(args.svg.as_deref(), || pull_svg::svg(&answers, system))?;
    write_png(args.png.as_deref(), || pull_svg::svg(&answers, system))?;
    write(args.traces_csv.as_deref(), || pull_trace::csv(&answers))?;
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
                    print(&answer_text(args, answer, &verdict, &calibration, system));
                }
            }
        }
    }
    Ok(Exit::Clear)
}

fn write(path: Option<&Path>, content: impl FnOnce() -> String) -> Result<()> {
    let Some(path) = path else { return Ok(()) };
    fs::write(path, content()).with_context(|| format!("{} cannot be written", path.display()))
}

fn answer_text(
    args: &PullArgs,
    answer: &PullAnswer,
    verdict: &[String],
    calibration: &str,
    system: UnitSystem,
) -> String {
    let numbers = |n: usize| (0..n).collect::<Vec<_>>();
    let mut out = format!("{}\n\n{}", answer.name, verdict_text(verdict));
    out.push_str(&heading("Speed by speed"));
    out.push_str(&table(&pull_words::rows(answer, system), &numbers(pull_words::N_NUMBERS)));
    out.push_str(&heading("Cylinders and gas"));
    out.push_str(&table(&pull_words::gas_rows(answer), &numbers(pull_words::N_GAS_NUMBERS)));
    if args.accounts {
        out.push_str(&heading(
            "Accounts of the last cycle: mass over that trapped, energy over that of the fuel",
        ));
        out.push_str(&table(&pull_words::account_rows(answer), &numbers(6)));
    }
    if args.traces
        && let Some(point) = answer.peak_torque()
    {
        out.push_str(&heading(&pull_trace::title(point)));
        out.push_str(&table(&pull_trace::rows(point), &numbers(pull_trace::N_COLUMNS)));
    }
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
