//! `headroom new`: a commented build sheet from a few readings.

use std::io::{BufRead, IsTerminal, Write};
use std::path::PathBuf;

use anyhow::{Context, Result, anyhow, bail};
use clap::Args;
use sheet::{Answers, new_sheet};

use super::output::print;
use crate::exit::Exit;

/// What is known.
#[derive(Args, Debug)]
pub struct NewArgs {
    /// What to call the build
    name: String,
    /// Number of cylinders
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u8).range(1..=16))]
    cylinders: u8,
    /// Rows of cylinders: 2 for a V
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u8).range(1..=4))]
    banks: u8,
    /// Intake valves a cylinder
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u8).range(1..=3))]
    intake_valves: u8,
    /// Exhaust valves a cylinder
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u8).range(1..=3))]
    exhaust_valves: u8,
    /// A reading, such as block.bore="82.25 mm ± 0.01"; may be given many times
    #[arg(long = "set", value_name = "PATH=READING")]
    given: Vec<String>,
    /// Ask for the readings one after another; an empty line leaves one out
    #[arg(long)]
    ask: bool,
    /// Write to this file instead of the terminal; a file that exists is left alone
    #[arg(long, short)]
    output: Option<PathBuf>,
}

/// Writes the sheet.
pub fn run(args: &NewArgs) -> Result<Exit> {
    let mut answers = Answers::new(
        &args.name,
        args.cylinders.into(),
        args.banks.into(),
        args.intake_valves.into(),
        args.exhaust_valves.into(),
    );
    for given in &args.given {
        let (path, text) =
            given.split_once('=').ok_or_else(|| anyhow!("found --set {given}, expected PATH=READING"))?;
        answers.give(path.trim(), text.trim().trim_matches('"'))?;
    }
    if args.ask {
        ask(&mut answers)?;
    }
    let text = new_sheet(&answers);
    match &args.output {
        None => print(&text),
        Some(path) => {
            let file = std::fs::OpenOptions::new().write(true).create_new(true).open(path);
            file.and_then(|mut file| file.write_all(text.as_bytes()))
                .with_context(|| format!("{} cannot be written", path.display()))?;
        }
    }
    Ok(Exit::Clear)
}

/// Asks for every reading that a first answer rests on, in the order they are taken at the bench.
fn ask(answers: &mut Answers) -> Result<()> {
    const FIRST: [&str; 7] =
        ["bore", "stroke", "thickness", "opening", "chamber_volume", "deck_offset", "valve_lift"];
    const OF_VALVES: [&str; 4] = ["head_diameter", "x", "y", "recess"];
    if !std::io::stdin().is_terminal() {
        bail!("--ask needs a terminal; use --set PATH=READING");
    }
    let mut lines = std::io::stdin().lock().lines();
    for path in answers.known_paths() {
        let last = path.rsplit('.').next().unwrap_or(&path);
        let asked = if path.contains("valve.") { OF_VALVES.contains(&last) } else { FIRST.contains(&last) };
        if !asked {
            continue;
        }
        loop {
            let _ = write!(anstream::stderr(), "{path}: ");
            let _ = anstream::stderr().flush();
            let Some(line) = lines.next().transpose()? else { return Ok(()) };
            if line.trim().is_empty() {
                break;
            }
            match answers.give(&path, line.trim()) {
                Ok(()) => break,
                Err(wrong) => {
                    let _ = writeln!(anstream::stderr(), "  {wrong}");
                }
            }
        }
    }
    Ok(())
}
