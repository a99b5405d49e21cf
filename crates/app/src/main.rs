//! The `headroom` command.

mod cli;
mod exit;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run().into()
}
