//! `headroom schema`: the JSON Schema of sheets, for editors.

use anyhow::Result;
use clap::Args;

use super::output::print_json;
use crate::exit::Exit;

/// Which schema.
#[derive(Args, Debug)]
pub struct SchemaArgs {
    /// Of swap sheets instead of build sheets
    #[arg(long)]
    swap: bool,
    /// Of plans
    #[arg(long, conflicts_with = "swap")]
    plan: bool,
}

/// Prints it.
pub fn run(args: &SchemaArgs) -> Result<Exit> {
    let schema = match (args.swap, args.plan) {
        (true, _) => sheet::swap_schema(),
        (_, true) => sheet::plan_schema(),
        _ => sheet::schema(),
    };
    print_json(&schema)?;
    Ok(Exit::Clear)
}
