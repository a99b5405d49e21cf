//! `headroom slack`: how far each adjustment may still go, and what stops it.

use std::path::PathBuf;

use anyhow::Result;
use clap::Args;
use headroom::slack::{Slack, rev_slack, slack};
use headroom::slack_wire::SlackWire;
use headroom::slack_words;
use units::UnitSystem;

use super::check::{cautions_text, quiet, verdict_text};
use super::output::{heading, print, print_json, table};
use super::{Common, Format, sheets};
use crate::exit::Exit;

/// What to follow.
#[derive(Args, Debug)]
pub struct SlackArgs {
    /// The build sheet (*.build.toml)
    build: PathBuf,
    /// A swap sheet (*.swap.toml) or second build sheet: the slack of that candidate
    #[arg(long, value_name = "SHEET")]
    candidate: Option<PathBuf>,
    #[command(flatten)]
    common: Common,
}

/// Answers it.
pub fn run(args: &SlackArgs) -> Result<Exit> {
    let build = match &args.candidate {
        None => sheets::build(&args.build)?.build,
        Some(candidate) => sheets::candidate(&args.build, candidate)?.build,
    };
    let (slacks, revs) = (slack(&build), rev_slack(&build));
    let system = args.common.system();
    let verdict = slack_words::verdict(&slacks, revs.as_ref(), system);
    match args.common.format {
        Format::Json => print_json(&SlackWire::new(&build.name, &slacks, revs.as_ref(), verdict))?,
        Format::Text if args.common.quiet => print(&quiet(&verdict)),
        Format::Text => {
            let mut out = format!("{}\n\n{}", build.name, verdict_text(&verdict));
            out.push_str(&heading("How far each adjustment may go alone, and what stops it"));
            out.push_str(&slack_table(&slacks, system));
            out.push_str(&cautions_text());
            print(&out);
        }
    }
    let short = slacks.iter().any(|slack| !slack.more.short_already.is_empty());
    Ok(if short { Exit::NotClear } else { Exit::Clear })
}

fn slack_table(slacks: &[Slack], system: UnitSystem) -> String {
    let mut rows = vec![["adjustment", "", "may go", "and next"].map(str::to_owned).to_vec()];
    for slack in slacks {
        let (name, words) = slack_words::adjustment(slack.adjustment);
        for (idx, (word, way)) in words.into_iter().zip([&slack.more, &slack.less]).enumerate() {
            let second = way.second.as_ref().map_or(String::new(), |second| {
                let at = slack_words::amount(slack.adjustment, second.at_si, system);
                format!("{at}, {}", slack_words::stop(second))
            });
            let name = if idx == 0 { name.clone() } else { String::new() };
            let first = slack_words::way(slack.adjustment, way, slack.most_si, system);
            rows.push(vec![name, word.to_owned(), first, second]);
        }
    }
    table(&rows, &[])
}
