//! `headroom swap`: the main job. Does each candidate clear, and what does it do to compression?

use std::path::PathBuf;

use anyhow::Result;
use clap::Args;
use headroom::volumes_change::CylinderChange;
use headroom::wire::SwapWire;
use headroom::{CheckOptions, SwapAnswer, verdict, volumes_words, words};
use parts::Build;
use units::UnitSystem;

use super::check::{
    assumed_text, cautions_text, exit, findings_text, notes, notes_text, quiet, verdict_text,
};
use super::output::{heading, print, print_json, table};
use super::{Common, Format, sheets};
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
    common: Common,
}

/// Answers it.
pub fn run(args: &SwapArgs) -> Result<Exit> {
    let base = sheets::build(&args.base)?.build;
    let options = CheckOptions { n_samples: args.samples };
    let system = args.common.system();
    let mut answers = Vec::new();
    for path in &args.candidates {
        let candidate = sheets::candidate(&args.base, path)?;
        let answer = headroom::swap(&base, &candidate, &options);
        answers.push((answer, candidate.build));
    }
    match args.common.format {
        Format::Json => {
            let wires: Vec<SwapWire> = answers
                .iter()
                .map(|(answer, _)| SwapWire::new(&base.name, answer, verdict::sentences(answer, system)))
                .collect();
            print_json(&wires)?;
        }
        Format::Text => {
            for (idx, (answer, build)) in answers.iter().enumerate() {
                let gap = if idx == 0 { "" } else { "\n\n" };
                let sentences = verdict::sentences(answer, system);
                if args.common.quiet {
                    print(&format!("{}: {}", answer.name, quiet(&sentences)));
                } else {
                    print(&format!("{gap}{}", answer_text(&base, answer, build, &sentences, system)));
                }
            }
        }
    }
    let all_clear = answers.iter().all(|(answer, _)| exit(&answer.fit) == Exit::Clear);
    Ok(if all_clear { Exit::Clear } else { Exit::NotClear })
}

fn answer_text(
    base: &Build,
    answer: &SwapAnswer,
    build: &Build,
    sentences: &[String],
    system: UnitSystem,
) -> String {
    let parts: Vec<&str> = answer.parts_replaced.iter().map(|part| part.key()).collect();
    let mut out = format!("{}\n  on {}; changed: {}\n\n", answer.name, base.name, parts.join(", "));
    out.push_str(&verdict_text(sentences));
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
