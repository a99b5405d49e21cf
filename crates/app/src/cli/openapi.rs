//! `headroom openapi`: the description of the bench's interface, as OpenAPI.

use anyhow::Result;

use super::output::print;
use crate::exit::Exit;

/// Prints it.
pub fn run() -> Result<Exit> {
    print(&server::openapi_text());
    Ok(Exit::Clear)
}
