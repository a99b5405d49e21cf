//! `headroom pulls compare`: whether a change made a difference.

use std::fmt::Write as _;
use std::path::PathBuf;

use anyhow::{Result, anyhow};
use clap::{Args, ValueEnum};
use headroom::pulls_wire::ComparisonWire;
use headroom::{pulls_svg, pulls_words};
use pulls::compare_findings::OUTLIER_CHANCE;
use pulls::{CompareFinding, CompareOptions, Comparison, Measure, Standard, Weights, compare};
use units::UnitSystem;

use super::output::{heading, print, print_json, table, wrapped};
use super::picture::write_png;
use super::pulls::{ProcessingArgs, all_stored, write};
use super::pulls_correct::standard;
use super::{Common, Format};
use crate::exit::Exit;

/// Which pulls, and how.
#[derive(Args, Debug)]
pub struct CompareArgs {
    /// Stored pulls (*.pull.toml) with their groups: A, B and A2
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Correct to: sae, std, iso, din, jis, eec, or none
    #[arg(long, value_name = "STANDARD", default_value = "sae", value_parser = standard_or_none)]
    standard: StandardChoice,
    /// The band, "3000-6000" rpm (what all pulls cover otherwise)
    #[arg(long, value_name = "BAND", value_parser = band)]
    band: Option<(f64, f64)>,
    /// Step of the common speeds, rpm
    #[arg(long, value_name = "RPM", default_value_t = 100.0, value_parser = positive)]
    step: f64,
    /// What is averaged
    #[arg(long, value_enum, default_value = "torque")]
    measure: MeasureChoice,
    /// How much speeds count, straight lines between: "3000:1, 5500:2, 6000:1"
    #[arg(long, value_name = "WEIGHTS", value_parser = weights)]
    weights: Option<Weights>,
    /// Draw all pulls over each other, and what B gained
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// The same as PNG
    #[arg(long, value_name = "FILE")]
    png: Option<PathBuf>,
    /// Write the gain at every speed
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    #[command(flatten)]
    processing: ProcessingArgs,
    #[command(flatten)]
    common: Common,
}

#[derive(Clone, Copy, Debug)]
struct StandardChoice(Option<Standard>);

#[derive(Clone, Copy, Debug, ValueEnum)]
enum MeasureChoice {
    /// Torque
    Torque,
    /// Power
    Power,
}

fn standard_or_none(text: &str) -> Result<StandardChoice, String> {
    if text == "none" {
        Ok(StandardChoice(None))
    } else {
        standard(text).map(|one| StandardChoice(Some(one)))
    }
}

fn band(text: &str) -> Result<(f64, f64), String> {
    let number = |text: &str| text.trim().trim_end_matches("rpm").trim().parse::<f64>().ok();
    let ends = text.split_once(['-', '\u{2013}']).and_then(|(low, high)| Some((number(low)?, number(high)?)));
    ends.ok_or_else(|| "expected two speeds such as 3000-6000".to_owned())
}

/// A number above 0.
pub fn positive(text: &str) -> Result<f64, String> {
    let number = text.trim().trim_end_matches("rpm").trim().parse::<f64>().ok();
    number.filter(|number| *number >= 1.0 && *number <= 1e5).ok_or_else(|| "expected at least 1".to_owned())
}

fn weights(text: &str) -> Result<Weights, String> {
    let point = |part: &str| {
        let (rpm, weight) = part.split_once(':')?;
        Some((rpm.trim().parse().ok()?, weight.trim().parse().ok()?))
    };
    let points: Option<Vec<(f64, f64)>> = text.split(',').map(point).collect();
    let points = points.ok_or("expected speeds and weights such as 3000:1, 6000:2")?;
    Weights::new(points).map_err(|wrong| wrong.to_string())
}

/// Answers it.
pub fn run(args: &CompareArgs) -> Result<Exit> {
    let pulls = all_stored(&args.files, &args.processing)?;
    let options = CompareOptions {
        standard: args.standard.0,
        band_rpm: args.band,
        step_rpm: args.step,
        measure: match args.measure {
            MeasureChoice::Torque => Measure::Torque,
            MeasureChoice::Power => Measure::Power,
        },
        weights: args.weights.clone().unwrap_or_default(),
        ..CompareOptions::default()
    };
    let comparison = compare(&pulls, &options).map_err(|wrong| anyhow!("{wrong}"))?;
    let system = args.common.system();
    if let Some(path) = &args.svg {
        write(path, pulls_svg::svg(&comparison, system).as_bytes())?;
    }
    write_png(args.png.as_deref(), || pulls_svg::svg(&comparison, system))?;
    if let Some(path) = &args.csv {
        write(path, csv(&comparison).as_bytes())?;
    }
    let verdict = pulls_words::verdict(&comparison, system);
    match args.common.format {
        Format::Json => print_json(&ComparisonWire::new(&comparison, system))?,
        Format::Text if args.common.quiet => print(&wrapped(verdict.first().map_or("", String::as_str), 0)),
        Format::Text => {
            let assumed: Vec<String> = pulls
                .iter()
                .flat_map(|pull| pull.assumed.iter().map(move |line| format!("{}: {line}", pull.name)))
                .collect();
            print(&text(&comparison, &verdict, &assumed, system));
        }
    }
    Ok(exit(&comparison))
}

/// What speaks against the test says so to the shell.
fn exit(comparison: &Comparison) -> Exit {
    let grave = comparison.findings.iter().any(|finding| {
        !matches!(
            finding,
            CompareFinding::TemperatureUnknown { .. }
                | CompareFinding::FewPulls { .. }
                | CompareFinding::OrderForTime
        )
    });
    if grave { Exit::NotClear } else { Exit::Clear }
}

fn text(comparison: &Comparison, verdict: &[String], assumed: &[String], system: UnitSystem) -> String {
    let mut out: String = verdict.iter().map(|sentence| wrapped(sentence, 0)).collect();
    out.push_str(&heading("What has to be said with it"));
    if comparison.findings.is_empty() {
        out.push_str("  nothing: the base was run again, no pull stands apart, temperatures match\n");
    }
    for finding in &comparison.findings {
        out.push_str(&wrapped(&format!("  {}", pulls_words::finding(finding, system)), 4));
    }
    out.push_str(&heading("Pulls"));
    let unit_rows = comparison.pulls.iter().map(|pull| {
        let off = pull.off_percent.map_or(String::new(), pulls_words::signed);
        let outlier = pull.outlier_chance.is_some_and(|chance| chance < OUTLIER_CHANCE);
        vec![
            pull.name.clone(),
            pull.group.key().to_owned(),
            pull.correction.as_ref().map_or(String::new(), |one| format!("{:.4}", one.factor)),
            pulls_words::amount(pull.mean, comparison.measure, system),
            off,
            if outlier { "stands apart".to_owned() } else { String::new() },
        ]
    });
    let head = ["pull", "part", "factor", "mean", "off the fit", ""].map(str::to_owned).to_vec();
    let rows: Vec<Vec<String>> = std::iter::once(head).chain(unit_rows).collect();
    out.push_str(&table(&rows, &[2, 3, 4]));
    out.push_str(&repeat_text(comparison));
    out.push_str(&gain_text(comparison));
    out.push_str(&assumed_text(assumed));
    out.push_str(&format!("\n{}", wrapped(pulls_words::CAUTION, 0)));
    out
}

fn repeat_text(comparison: &Comparison) -> String {
    let mut out = heading("How well they repeat");
    for group in &comparison.groups {
        let Some((deviation, spread)) = group.deviation_percent.zip(group.spread_percent) else { continue };
        let line = format!(
            "  {}: {} pulls, standard deviation {deviation:.2} %, {spread:.1} % from lowest to highest",
            group.group, group.n
        );
        out.push_str(&wrapped(&line, 4));
    }
    if let Some(difference) = &comparison.difference {
        if let Some(scatter) = difference.scatter_percent {
            out.push_str(&format!(
                "  scatter of one pull about the fit {scatter:.2} %, {} degrees of freedom\n",
                difference.degrees_of_freedom
            ));
        }
        if let Some(could) = difference.could_show_percent {
            let line = format!(
                "  a true difference of {could:.1} % would be shown {:.0} times in 100",
                100.0 * comparison.chance
            );
            out.push_str(&wrapped(&line, 4));
        }
    }
    out
}

/// The gain at some of the speeds.
fn gain_text(comparison: &Comparison) -> String {
    const MOST_ROWS: usize = 16;
    if comparison.by_speed.is_empty() {
        return String::new();
    }
    let every = comparison.by_speed.len().div_ceil(MOST_ROWS);
    let mut rows = vec![["rpm", "B against A", "interval"].map(str::to_owned).to_vec()];
    for gain in comparison.by_speed.iter().step_by(every) {
        let interval = gain.interval_percent.map_or(String::new(), |(low, high)| {
            format!("{} to {}", pulls_words::signed(low), pulls_words::signed(high))
        });
        rows.push(vec![pulls_words::thousands(gain.speed_rpm), pulls_words::signed(gain.percent), interval]);
    }
    let name = format!("By speed ({:.0} % interval of each speed by itself)", 100.0 * comparison.confidence);
    format!("{}{}", heading(&name), table(&rows, &[0, 1, 2]))
}

/// What was supposed, each thing once with the number of pulls.
fn assumed_text(assumed: &[String]) -> String {
    let mut counted: Vec<(&str, usize)> = Vec::new();
    for line in assumed {
        let what = line.split_once(": ").map_or(line.as_str(), |(_, what)| what);
        match counted.iter_mut().find(|(known, _)| *known == what) {
            Some((_, n)) => *n += 1,
            None => counted.push((what, 1)),
        }
    }
    if counted.is_empty() {
        return String::new();
    }
    let lines = counted
        .iter()
        .map(|(what, n)| wrapped(&format!("  {what} ({n} pulls)").replace("(1 pulls)", "(1 pull)"), 4));
    format!("{}{}", heading("Assumed"), lines.collect::<String>())
}

fn csv(comparison: &Comparison) -> String {
    let mut out = String::from("speed_rpm,difference_percent,low_percent,high_percent\n");
    for gain in &comparison.by_speed {
        let (low, high) = gain.interval_percent.map_or((String::new(), String::new()), |(low, high)| {
            (format!("{low:.3}"), format!("{high:.3}"))
        });
        let _ = writeln!(out, "{:.0},{:.3},{low},{high}", gain.speed_rpm, gain.percent);
    }
    out
}
