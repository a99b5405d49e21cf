//! `headroom search`: what on the shelf would be better still? Every combination of a plan, judged in stages.

use std::path::PathBuf;
use std::time::Instant;

use anyhow::{Context, Result};
use clap::Args;
use headroom::search::stages::{Progress, Stage, Watch};
use headroom::search::wire::SearchWire;
use headroom::search::words;
use headroom::search::{Question, SearchAnswer, SearchOptions, row, search};
use units::UnitSystem;

use super::check::{cautions_text, notes_text, quiet, verdict_text};
use super::output::{heading, print, print_json, say, table};
use super::search_journal::JournalFile;
use super::{Common, Format, sheets};
use crate::exit::Exit;

/// What to search.
#[derive(Args, Debug)]
pub struct SearchArgs {
    /// The plan (*.plan.toml)
    plan: PathBuf,
    /// Write every combination to this file
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Where to keep what has been done; beside the plan when left out
    #[arg(long, value_name = "FILE")]
    journal: Option<PathBuf>,
    /// Begin anew, whatever the journal holds
    #[arg(long)]
    fresh: bool,
    /// The most combinations that are run at normal fidelity
    #[arg(long, value_name = "N", default_value_t = SearchOptions::default().most_normal)]
    normal: usize,
    /// Combinations of the random sample that is run in full
    #[arg(long, value_name = "N", default_value_t = SearchOptions::default().n_sample)]
    sample: usize,
    /// How many of the front have their settings tuned
    #[arg(long, value_name = "N", default_value_t = SearchOptions::default().n_refined)]
    refine: usize,
    #[command(flatten)]
    common: Common,
}

/// Rows of the front that are shown.
const MOST_SHOWN: usize = 20;

/// Answers it.
pub fn run(args: &SearchArgs) -> Result<Exit> {
    let question =
        Question::new(sheets::plan(&args.plan)?).with_context(|| args.plan.display().to_string())?;
    let path = args.journal.clone().unwrap_or_else(|| args.plan.with_extension("journal"));
    let (mut journal, file) = JournalFile::open(&path, &question, args.fresh)?;
    let options = SearchOptions { most_normal: args.normal, n_sample: args.sample, n_refined: args.refine };
    let mut watch =
        Screen { file, begun: Instant::now(), last: Instant::now(), stage: None, quiet: args.common.quiet };
    let answer = search(&question, &options, &mut journal, &mut watch)?;
    watch.end();
    if let Some(path) = &args.csv {
        let lines = answer.rows.iter().map(|row| row::line(&question, row));
        let text: String = std::iter::once(row::header(&question)).chain(lines).collect();
        std::fs::write(path, text).with_context(|| format!("{} cannot be written", path.display()))?;
    }
    let verdict = words::verdict(&question, &answer);
    match args.common.format {
        Format::Json => print_json(&SearchWire::new(&question, &answer, verdict))?,
        Format::Text if args.common.quiet => print(&format!("{}: {}", question.plan.name, quiet(&verdict))),
        Format::Text => print(&answer_text(&question, &answer, &verdict, args.common.system())),
    }
    Ok(if answer.named.is_some() { Exit::Clear } else { Exit::NotClear })
}

fn answer_text(question: &Question, answer: &SearchAnswer, verdict: &[String], system: UnitSystem) -> String {
    let mut out = format!("{}\n  on {}\n\n", question.plan.name, words::base_line(answer));
    out.push_str(&verdict_text(verdict));
    if !answer.front.is_empty() {
        let more = answer.front.len().saturating_sub(MOST_SHOWN);
        let title = if more > 0 {
            format!("The front ({more} more in --format json)")
        } else {
            "The front".to_owned()
        };
        out.push_str(&heading(&title));
        out.push_str(&table(&words::front_rows(question, answer, MOST_SHOWN), &[0, 1, 2, 3, 4, 5]));
    }
    if !answer.refined.is_empty() {
        out.push_str(&heading("Settings between those of the plan"));
        out.push_str(&table(&words::refined_rows(question, answer), &[0, 2, 3]));
    }
    if !answer.excluded.is_empty() {
        out.push_str(&heading("Excluded, and by which limit"));
        out.push_str(&table(&words::excluded_rows(&answer.excluded), &[1, 2]));
    }
    out.push_str(&notes_text(&words::method(question, answer)));
    out.push_str(&heading("Assumed"));
    let mut rows: Vec<Vec<String>> =
        words::assumptions(question).into_iter().map(|text| vec![text]).collect();
    out.push_str(&table(&rows, &[]));
    let of_running = answer.base.assumed.iter();
    rows = of_running.map(|a| vec![a.path.clone(), a.shown(system), a.rule.to_owned()]).collect();
    if !rows.is_empty() {
        out.push_str(&table(&rows, &[]));
    }
    out.push_str(&cautions_text());
    out
}

/// Tells on standard error how far it is, and keeps the journal.
struct Screen {
    file: JournalFile,
    begun: Instant,
    last: Instant,
    stage: Option<(Stage, Instant, u64)>,
    quiet: bool,
}

impl Watch for Screen {
    fn keep(&mut self, block: &str) -> Result<(), String> {
        self.file.append(block)
    }

    fn go_on(&mut self, progress: &Progress) -> bool {
        let (stage, since, from) = match self.stage {
            Some((stage, since, from)) if stage == progress.stage && from == progress.n_known => {
                (stage, since, from)
            }
            // What the journal held says nothing about the rate.
            _ => (progress.stage, self.last, progress.n_known),
        };
        self.stage = Some((stage, since, from));
        self.last = Instant::now();
        if !self.quiet {
            let seconds = since.elapsed().as_secs_f64();
            say(&progress_text(progress, (progress.n_done - from) as f64, seconds));
        }
        true
    }
}

fn progress_text(progress: &Progress, n_since: f64, seconds: f64) -> String {
    let what = match progress.stage {
        Stage::Screen => "screen",
        Stage::Normal => "normal",
        Stage::Sample => "sample",
        Stage::Refine => "settings",
    };
    let (done, all) = (words::counted(progress.n_done), words::counted(progress.n_all));
    let percent = 100.0 * progress.n_done as f64 / progress.n_all.max(1) as f64;
    let known = match progress.n_known {
        0 => String::new(),
        n => format!(", {} from the journal", words::counted(n)),
    };
    let rate = if n_since > 0.0 && seconds > 0.0 {
        let rate = n_since / seconds;
        let left = (progress.n_all - progress.n_done) as f64 / rate;
        format!(", {rate:.1} a second, about {} left", time_text(left))
    } else {
        String::new()
    };
    format!("{what}: {done} of {all} ({percent:.0} %){known}{rate}")
}

fn time_text(seconds: f64) -> String {
    match seconds {
        s if s < 90.0 => format!("{s:.0} s"),
        s if s < 5400.0 => format!("{:.0} min", s / 60.0),
        s => format!("{:.1} h", s / 3600.0),
    }
}

impl Screen {
    fn end(&self) {
        if !self.quiet {
            say(&format!("done in {}", time_text(self.begun.elapsed().as_secs_f64())));
        }
    }
}
