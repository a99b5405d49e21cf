//! `headroom swap`: the main job. Does each candidate clear, is it better where it is used, and what does it do to compression?

use std::fs;
use std::path::PathBuf;

use anyhow::{Context as _, Result};
use clap::Args;
use headroom::payoff_wire::PayoffWire;
use headroom::volumes_change::CylinderChange;
use headroom::wire::SwapWire;
use headroom::{
    CheckOptions, PayoffAnswer, SwapAnswer, payoff_svg, payoff_words, verdict, volumes_words, words,
};
use parts::Build;
use units::UnitSystem;

use super::check::{assumed_text, cautions_text, exit, findings_text, notes, notes_text, verdict_text};
use super::output::{heading, print, print_json, table, wrapped};
use super::picture::write_png;
use super::pulls_calibrate::calibration_text;
use super::swap_payoff::PayoffArgs;
use super::{Common, Format, sheets, swap_payoff};
use crate::exit::Exit;

/// What to compare.
#[derive(Args, Debug)]
pub struct SwapArgs {
    /// The build sheet of the engine as it is
    base: PathBuf,
    /// Swap sheets (*.swap.toml) or other build sheets
    #[arg(required = true)]
    candidates: Vec<PathBuf>,
    /// Tolerance samples for each chance that is neither certain nor impossible
    #[arg(long, default_value_t = CheckOptions::default().n_samples, value_parser = clap::value_parser!(u32).range(1..))]
    samples: u32,
    #[command(flatten)]
    payoff: PayoffArgs,
    /// Write the shares of the changes as a picture (SVG)
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// The same as PNG
    #[arg(long, value_name = "FILE")]
    png: Option<PathBuf>,
    #[command(flatten)]
    common: Common,
}

/// Answers it: whether it clears is said at once, the rest when both engines have run.
pub fn run(args: &SwapArgs) -> Result<Exit> {
    let base = sheets::build(&args.base)?.build;
    let options = CheckOptions { n_samples: args.samples };
    let system = args.common.system();
    let mut candidates = Vec::new();
    for path in &args.candidates {
        candidates.push(sheets::candidate(&args.base, path)?);
    }
    let calibration = args.payoff.calibration()?;
    let mut wires = Vec::new();
    let mut all_clear = true;
    for (idx, candidate) in candidates.iter().enumerate() {
        let answer = headroom::swap(&base, candidate, &options);
        all_clear &= exit(&answer.fit) == Exit::Clear;
        let mut sentences = verdict::sentences(&answer, system);
        let first = sentences.remove(0);
        let text = args.common.format == Format::Text;
        if text && args.common.quiet {
            print(&format!("{}: {}", answer.name, wrapped(&first, 0)));
        } else if text {
            let gap = if idx == 0 { "" } else { "\n\n" };
            print(&format!("{gap}{}{}", head_text(&base, &answer), wrapped(&first, 0)));
        }
        let payoff = args.payoff.answer(&base, candidate, &answer.fit, calibration.as_ref());
        let said = payoff.as_ref().map(|payoff| swap_payoff::sentences(payoff, answer.fit.status(), system));
        if let Some(Ok(payoff)) = &payoff {
            write_pictures(args, payoff, idx, system)?;
        }
        let decides = said.as_ref().map(|said| said.0.clone());
        match args.common.format {
            Format::Json => {
                let all = [first].into_iter().chain(decides).chain(sentences).collect();
                let wire = SwapWire::new(&base.name, &answer, all);
                wires.push(match payoff {
                    Some(Ok(payoff)) => {
                        let sentences = payoff_words::sentences(&payoff, answer.fit.status(), system);
                        wire.with_payoff(PayoffWire::new(&payoff, sentences, system))
                    }
                    _ => wire,
                });
            }
            Format::Text if args.common.quiet => {
                decides.into_iter().for_each(|decides| print(&wrapped(&format!("  {decides}"), 2)));
            }
            Format::Text => {
                let mut out = decides.map_or(String::new(), |decides| wrapped(&decides, 0));
                out.push('\n');
                out.push_str(&verdict_text(&sentences));
                if let (Some(Ok(payoff)), Some(said)) = (&payoff, &said) {
                    out.push_str(&swap_payoff::payoff_text(payoff, &said.1, system));
                }
                if let Some(file) = &calibration {
                    out.push_str(&calibration_text(file, &base.name));
                }
                out.push_str(&answer_text(&answer, &candidate.build, system));
                print(&out);
            }
        }
    }
    if args.common.format == Format::Json {
        print_json(&wires)?;
    }
    Ok(if all_clear { Exit::Clear } else { Exit::NotClear })
}

/// The pictures that were asked for.
fn write_pictures(args: &SwapArgs, payoff: &PayoffAnswer, idx: usize, system: UnitSystem) -> Result<()> {
    if let Some(path) = &args.svg {
        let path = swap_payoff::numbered(path, idx);
        fs::write(&path, payoff_svg::svg(payoff, system))
            .with_context(|| format!("{} cannot be written", path.display()))?;
    }
    let png = args.png.as_deref().map(|path| swap_payoff::numbered(path, idx));
    write_png(png.as_deref(), || payoff_svg::svg(payoff, system))
}

fn head_text(base: &Build, answer: &SwapAnswer) -> String {
    let parts: Vec<&str> = answer.parts_replaced.iter().map(|part| part.key()).collect();
    format!("{}\n  on {}; changed: {}\n\n", answer.name, base.name, parts.join(", "))
}

/// Findings, compression, what was assumed, remarks and cautions.
fn answer_text(answer: &SwapAnswer, build: &Build, system: UnitSystem) -> String {
    let mut out = String::new();
    out.push_str(&findings_text(&answer.fit, build, system));
    out.push_str(&heading("Compression"));
    for change in &answer.compression.groups {
        out.push_str(&compression_text(change, answer.n_cylinders));
    }
    out.push_str(&assumed_text(&answer.fit, system));
    out.push_str(&notes_text(&notes(&answer.notes, &answer.fit, answer.n_cylinders, system)));
    out.push_str(&cautions_text());
    out
}

/// From base to candidate, change by change.
fn compression_text(change: &CylinderChange, n_cylinders: usize) -> String {
    let mut rows = vec![vec![
        "base".to_owned(),
        volumes_words::ratio(&change.base),
        words::cylinders(&change.cylinders, n_cylinders),
    ]];
    for share in &change.shares {
        let by = share.share.value.value;
        rows.push(vec![share.change.words().to_owned(), format!("{by:+.2}"), String::new()]);
    }
    rows.push(vec!["candidate".to_owned(), volumes_words::ratio(&change.candidate), String::new()]);
    table(&rows, &[])
}
