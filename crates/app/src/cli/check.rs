//! `headroom check`: does one build clear?

use std::path::PathBuf;

use anyhow::Result;
use clap::Args;
use headroom::place::Surface;
use headroom::wire::CheckWire;
use headroom::{CheckAnswer, CheckOptions, Finding, Status, words};
use parts::Build;
use units::{UnitSystem, show};

use super::output::{coloured, heading, print, print_json, status, table, wrapped};
use super::{Common, Format, sheets};
use crate::exit::Exit;

/// What to check.
#[derive(Args, Debug)]
pub struct CheckArgs {
    /// The build sheet (*.build.toml)
    build: PathBuf,
    /// Tolerance samples for each chance that is neither certain nor impossible
    #[arg(long, default_value_t = CheckOptions::default().n_samples, value_parser = clap::value_parser!(u32).range(1..))]
    samples: u32,
    #[command(flatten)]
    common: Common,
}

/// Answers it.
pub fn run(args: &CheckArgs) -> Result<Exit> {
    let sheet = sheets::build(&args.build)?;
    let answer = headroom::check(&sheet.build, &CheckOptions { n_samples: args.samples });
    let system = args.common.system();
    let verdict = words::verdict(&answer, sheet.build.cylinders.len(), system);
    match args.common.format {
        Format::Json => print_json(&CheckWire::new(&answer, verdict))?,
        Format::Text if args.common.quiet => print(&quiet(&verdict)),
        Format::Text => {
            let mut out = format!("{}\n\n", sheet.build.name);
            out.push_str(&verdict_text(&verdict));
            out.push_str(&findings_text(&answer, &sheet.build, system));
            out.push_str(&assumed_text(&answer, system));
            let notes = notes(&sheet.notes, &answer, sheet.build.cylinders.len(), system);
            out.push_str(&notes_text(&notes));
            out.push_str(&cautions_text());
            print(&out);
        }
    }
    Ok(exit(&answer))
}

/// How the shell is told.
pub fn exit(answer: &CheckAnswer) -> Exit {
    match answer.status() {
        Status::Hits | Status::Tight => Exit::NotClear,
        Status::Clear | Status::Unmeasured => Exit::Clear,
    }
}

/// The first sentence of a verdict, which alone decides.
pub fn quiet(verdict: &[String]) -> String {
    verdict.first().map_or(String::new(), |sentence| wrapped(sentence, 0))
}

/// The whole verdict.
pub fn verdict_text(verdict: &[String]) -> String {
    wrapped(&verdict.join(" "), 0)
}

/// Findings that need something done, at length; then one table of the others.
pub fn findings_text(answer: &CheckAnswer, build: &Build, system: UnitSystem) -> String {
    let mut out = heading("Findings");
    let needs_work = |finding: &&Finding| matches!(finding.status, Status::Hits | Status::Tight);
    for finding in answer.findings.iter().filter(needs_work) {
        out.push_str(&finding_text(finding, build.cylinders.len(), system));
    }
    let others: Vec<&Finding> = answer.findings.iter().filter(|finding| !needs_work(finding)).collect();
    if !others.is_empty() {
        let head = ["", "check", "least gap", "limit", "at lift", "where", "chance under limit"];
        let mut rows = vec![head.map(str::to_owned).to_vec()];
        rows.extend(others.iter().map(|finding| row(finding, build.cylinders.len(), system)));
        out.push_str(&table(&rows, &[]));
    }
    coloured(&out)
}

fn finding_text(finding: &Finding, n_cylinders: usize, system: UnitSystem) -> String {
    let subject = words::subject(finding);
    let Some(seen) = &finding.seen else { return String::new() };
    let limit = show(finding.limit, system);
    let mut out =
        format!("  {} {subject}: {} (limit {limit})\n", status(finding.status), words::gap(seen, system));
    for line in finding_lines(finding, n_cylinders, system) {
        out.push_str(&wrapped(&format!("{:13}{line}", ""), 15));
    }
    out
}

/// Where, how sure, what to do and who sets the limit, a line each; nothing for a check that lacks a reading.
pub fn finding_lines(finding: &Finding, n_cylinders: usize, system: UnitSystem) -> Vec<String> {
    let Some(seen) = &finding.seen else { return Vec::new() };
    let mut lines = Vec::new();
    let mut line = |text: String| lines.push(text);
    if let Some(contact) = &seen.first_contact {
        let lift = show(contact.lift, system);
        let interval = contact.interval.map_or(String::new(), |[low, high]| {
            format!(" (95 times in 100 between {} and {})", show(low, system), show(high, system))
        });
        let surface = contact.place.on.words();
        line(format!(
            "touches first at {lift} lift{interval}: {surface}, {}",
            words::place(&contact.place, system)
        ));
    }
    let lift = seen.lift.map_or(String::new(), |lift| format!(" at {} lift", show(lift, system)));
    line(joined(&[
        format!("least{lift}{}: {}", words::crank(seen) + &words::phaser(seen), seen.place.on.words()),
        words::place(&seen.place, system),
    ]));
    line(format!(
        "on {}{}",
        words::cylinders(&finding.cylinders, n_cylinders),
        others(finding, n_cylinders, system)
    ));
    line(format!(
        "chance of touching {}, of being under the limit {}",
        words::chance(seen.chance_of_hitting),
        words::chance(seen.chance_under_limit)
    ));
    if let Some(weakest) = &seen.weakest {
        let share = 100.0 * weakest.share;
        line(format!("least sure reading: {} ({}), {share:.0} % of the doubt", weakest.path, weakest.basis));
    }
    for (idx, cure) in finding.cures.iter().enumerate() {
        let lead = if idx == 0 { "to do: " } else { "or: " };
        line(format!("{lead}{}", words::cure(cure, system)));
    }
    line(format!("limit: {}", finding.limit_source));
    lines
}

fn joined(parts: &[String]) -> String {
    let some: Vec<&str> = parts.iter().map(String::as_str).filter(|part| !part.is_empty()).collect();
    some.join(", ")
}

fn others(finding: &Finding, n_cylinders: usize, system: UnitSystem) -> String {
    let list: Vec<String> = finding
        .others
        .iter()
        .map(|(numbers, gap)| format!("{} on {}", show(*gap, system), words::cylinders(numbers, n_cylinders)))
        .collect();
    if list.is_empty() { String::new() } else { format!("; {}", list.join(", ")) }
}

fn row(finding: &Finding, n_cylinders: usize, system: UnitSystem) -> Vec<String> {
    let subject = words::subject(finding);
    let limit = show(finding.limit, system);
    let Some(seen) = &finding.seen else {
        let needed: Vec<String> = finding.cures.iter().map(|cure| words::cure(cure, system)).collect();
        return vec![
            status(finding.status),
            subject,
            "unknown".into(),
            limit,
            String::new(),
            needed.join(", "),
            String::new(),
        ];
    };
    let on = words::cylinders(&finding.cylinders, n_cylinders);
    let place = match seen.place.on {
        Surface::Anywhere => on,
        Surface::HeadFace => format!("{}, {on}", seen.place.on.words()),
        surface => format!("{}, {} o'clock, {on}", surface.words(), seen.place.clock()),
    };
    let lift = seen.lift.map_or(String::new(), |lift| show(lift, system));
    let chance = words::chance(seen.chance_under_limit);
    vec![status(finding.status), subject, words::gap(seen, system), limit, lift, place, chance]
}

/// What was taken for readings that nobody gave.
pub fn assumed_text(answer: &CheckAnswer, system: UnitSystem) -> String {
    if answer.assumed.is_empty() {
        return String::new();
    }
    let mut out = heading("Assumed, because nobody gave it");
    let rows: Vec<Vec<String>> = answer
        .assumed
        .iter()
        .map(|assumed| vec![assumed.path.clone(), assumed.shown(system), assumed.rule.to_owned()])
        .collect();
    out.push_str(&table(&rows, &[]));
    out
}

/// Remarks of the sheet reader, and what measured contacts say.
pub fn notes(
    of_sheet: &[String],
    answer: &CheckAnswer,
    n_cylinders: usize,
    system: UnitSystem,
) -> Vec<String> {
    let contacts = answer.contacts.iter().map(|contact| words::contact(contact, n_cylinders, system));
    let running = words::running(&answer.running_quench, system);
    contacts.chain([running]).chain(answer.notes.iter().cloned()).chain(of_sheet.iter().cloned()).collect()
}

/// Remarks.
pub fn notes_text(notes: &[String]) -> String {
    if notes.is_empty() {
        return String::new();
    }
    let lines: String = notes.iter().map(|note| wrapped(&format!("  {note}"), 4)).collect();
    format!("{}{lines}", heading("Notes"))
}

/// The cautions that go with every answer.
pub fn cautions_text() -> String {
    let lines: String = words::CAUTIONS.iter().map(|caution| wrapped(caution, 0)).collect();
    format!("\n{lines}")
}
