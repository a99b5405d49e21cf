//! The command line: what was typed, and which command answers it. One file a command.

mod check;
mod swap;
mod swap_payoff;
mod relief;
mod relief_drawings;
mod relief_dye;
mod volumes;
mod lift;
mod slack;
mod pull;
mod pulls;
mod pulls_import;
mod pulls_show;
mod pulls_correct;
mod pulls_compare;
mod pulls_calibrate;
mod pulls_foretold;
mod search;
mod search_journal;
mod report;
mod report_document;
mod report_cuts;
mod report_volumes;
mod report_figures;
mod report_payoff;
mod report_pull;
mod report_next;
mod new;
mod schema;
mod shelf;
mod bench;
mod openapi;
mod output;
mod picture;
mod sheets;

use clap::{Args, Parser, Subcommand, ValueEnum};
use units::UnitSystem;

use crate::exit::Exit;

/// Does the engine clear, and what does the change do to it? Answers from readings, before metal is cut.
#[derive(Debug, Parser)]
#[command(name = "headroom", version, max_term_width = 100)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// What changes when parts of a build are swapped: does each candidate clear, and is it better where it is used
    Swap(swap::SwapArgs),
    /// Does one build clear?
    Check(check::CheckArgs),
    /// What to cut where a valve has no room, whether the engine survives it, and the ways around it
    Relief(relief::ReliefArgs),
    /// Every cc, the compression they make, and what a swap does to it
    Volumes(volumes::VolumesArgs),
    /// How the valves are moved: lift, events, springs over speed, as text, CSV and picture
    Lift(lift::LiftArgs),
    /// How far each adjustment may still go before the first limit, and which limit that is
    Slack(slack::SlackArgs),
    /// The torque and power an engine should give, speed by speed
    Pull(pull::PullArgs),
    /// What on the shelf would be better still: every combination of a plan, judged in stages
    Search(search::SearchArgs),
    /// Measured pulls: read in, corrected, compared
    Pulls(pulls::PullsArgs),
    /// The whole answer on paper: a PDF or an HTML file of a swap, with the cuts drawn at full size
    Report(report::ReportArgs),
    /// Write a commented build sheet from a few readings
    New(new::NewArgs),
    /// Print the JSON Schema of build sheets (or of swap sheets), for editors
    Schema(schema::SchemaArgs),
    /// What lies in the shop file: list, add, import, export, back up, undo
    Shelf(shelf::ShelfArgs),
    /// The whole job in the browser, beside the engine
    Bench(bench::BenchArgs),
    /// Print the OpenAPI description of the bench's interface
    Openapi,
}

/// Options every answering command takes.
#[derive(Args, Clone, Copy, Debug)]
struct Common {
    /// How to answer
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
    /// Units of the answer
    #[arg(long, value_enum, default_value = "metric")]
    units: Units,
    /// The verdict alone
    #[arg(long, short)]
    quiet: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people
    Text,
    /// For programs
    Json,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Units {
    /// Millimetres, cc
    Metric,
    /// Inches, cubic inches
    Inch,
}

impl Common {
    fn system(self) -> UnitSystem {
        match self.units {
            Units::Metric => UnitSystem::Metric,
            Units::Inch => UnitSystem::Inch,
        }
    }
}

/// Reads what was typed and answers it.
pub fn run() -> Exit {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => {
            // Help and version are answers; anything else is wrong input. A closed pipe leaves nobody to tell.
            let _ = error.print();
            return if error.use_stderr() { Exit::BadInput } else { Exit::Clear };
        }
    };
    let answered = match &cli.command {
        Command::Swap(args) => swap::run(args),
        Command::Check(args) => check::run(args),
        Command::Relief(args) => relief::run(args),
        Command::Volumes(args) => volumes::run(args),
        Command::Lift(args) => lift::run(args),
        Command::Slack(args) => slack::run(args),
        Command::Pull(args) => pull::run(args),
        Command::Search(args) => search::run(args),
        Command::Pulls(args) => pulls::run(args),
        Command::Report(args) => report::run(args),
        Command::New(args) => new::run(args),
        Command::Schema(args) => schema::run(args),
        Command::Shelf(args) => shelf::run(args),
        Command::Bench(args) => bench::run(args),
        Command::Openapi => openapi::run(),
    };
    answered.unwrap_or_else(|wrong| {
        output::complain(&wrong);
        Exit::BadInput
    })
}
