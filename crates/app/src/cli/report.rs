//! `headroom report`: the whole answer for a swap as PDF, as one HTML file and as pictures.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, bail};
use clap::{ArgGroup, Args, ValueEnum};
use handover::{Document, Paper};
use pulls::{CompareOptions, Comparison, compare};
use serde::Serialize;

use super::output::{heading, print, print_json, wrapped};
use super::report_document::{Answered, digest, document};
use super::sheets::InputText;
use super::swap_payoff::PayoffArgs;
use super::{Common, Format, check, pulls as pulls_command, report_figures, sheets};
use crate::exit::Exit;

/// What to write, and about which swap.
#[derive(Args, Debug)]
#[command(group(ArgGroup::new("written").args(["out", "html", "figures"]).required(true).multiple(true)))]
pub struct ReportArgs {
    /// The build sheet of the engine as it is
    base: PathBuf,
    /// A swap sheet (*.swap.toml) or other build sheet
    candidate: PathBuf,
    /// Write the report as PDF
    #[arg(long, short, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Write it as one HTML file that needs nothing else
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
    /// Write every picture of it into this folder: SVG, and PNG of 1920 by 1080 dots, light and dark
    #[arg(long, value_name = "FOLDER")]
    figures: Option<PathBuf>,
    /// Compare the stored pulls (*.pull.toml) of this folder in it
    #[arg(long, value_name = "FOLDER")]
    pulls: Option<PathBuf>,
    /// The paper it is printed on
    #[arg(long, value_enum, default_value = "a4")]
    paper: PaperArg,
    #[command(flatten)]
    payoff: PayoffArgs,
    #[command(flatten)]
    common: Common,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum PaperArg {
    /// 210 by 297 mm
    A4,
    /// 8 1/2 by 11 in
    Letter,
}

/// What was written, for programs.
#[derive(Serialize)]
struct ReportWire {
    verdict: Vec<String>,
    input_blake3: String,
    written: Vec<String>,
}

/// Writes it.
pub fn run(args: &ReportArgs) -> Result<Exit> {
    let base = sheets::build(&args.base)?.build;
    let (candidate, mut texts) = sheets::candidate_with_texts(&args.base, &args.candidate)?;
    let comparison = args.pulls.as_deref().map(|folder| comparison(folder, &mut texts)).transpose()?;
    let paper = match args.paper {
        PaperArg::A4 => Paper::A4,
        PaperArg::Letter => Paper::Letter,
    };
    let file = args.payoff.calibration()?;
    if let Some(path) = args.payoff.calibration_path() {
        texts.push(sheets::input_text(path)?);
    }
    let answered =
        Answered::new(&base, &candidate, comparison.as_ref(), file, &args.payoff, args.common.system());
    let document = document(&answered, &texts, paper);
    let written = write(args, &document)?;
    let verdict = answered.verdict();
    match args.common.format {
        Format::Json => {
            let written = written.iter().map(|path| path.display().to_string()).collect();
            print_json(&ReportWire { verdict, input_blake3: digest(&texts), written })?;
        }
        Format::Text if args.common.quiet => print(&check::quiet(&verdict)),
        Format::Text => {
            let lines: String = written.iter().map(|path| format!("  {}\n", path.display())).collect();
            let verdict = wrapped(&verdict.join(" "), 0);
            print(&format!("{}\n\n{verdict}{}{lines}", document.title, heading("Written")));
        }
    }
    Ok(check::exit(&answered.swap.fit))
}

/// The pulls of a folder against each other; their files count as input.
fn comparison(folder: &Path, texts: &mut Vec<InputText>) -> Result<Comparison> {
    let entries = fs::read_dir(folder).with_context(|| format!("{} cannot be read", folder.display()))?;
    let mut paths = Vec::new();
    for entry in entries {
        let path = entry.with_context(|| format!("{} cannot be read", folder.display()))?.path();
        if path.to_string_lossy().ends_with(".pull.toml") {
            paths.push(path);
        }
    }
    if paths.is_empty() {
        bail!("{}: found no *.pull.toml, expected stored pulls of groups A and B", folder.display());
    }
    paths.sort();
    let mut stored = Vec::new();
    for path in &paths {
        stored.push(pulls_command::stored(path)?);
        texts.push(sheets::input_text(path)?);
    }
    compare(&stored, &CompareOptions::default()).map_err(|wrong| anyhow!("{}: {wrong}", folder.display()))
}

fn write(args: &ReportArgs, document: &Document) -> Result<Vec<PathBuf>> {
    let mut written = Vec::new();
    if let Some(path) = &args.out {
        put(path, &pdf(document)?, &mut written)?;
    }
    if let Some(path) = &args.html {
        put(path, handover::html(document).as_bytes(), &mut written)?;
    }
    if let Some(folder) = &args.figures {
        report_figures::write(document, folder, &mut written)?;
    }
    Ok(written)
}

#[cfg(feature = "pdf")]
fn pdf(document: &Document) -> Result<Vec<u8>> {
    Ok(handover::pdf(document)?)
}

#[cfg(not(feature = "pdf"))]
fn pdf(_: &Document) -> Result<Vec<u8>> {
    bail!(
        "this headroom was built without PDF; write --html, or build it with `cargo build --release --bin headroom`"
    )
}

fn put(path: &Path, content: &[u8], written: &mut Vec<PathBuf>) -> Result<()> {
    fs::write(path, content).with_context(|| format!("{} cannot be written", path.display()))?;
    written.push(path.to_owned());
    Ok(())
}
