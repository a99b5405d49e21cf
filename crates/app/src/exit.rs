//! What the command says to the shell when it ends.

use std::process::ExitCode;

/// How a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// Answered, and nothing hits or is under its limit.
    Clear,
    /// Answered, and something hits or is under its limit.
    NotClear,
    /// The input is wrong; it was said where and why.
    BadInput,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        match exit {
            Exit::Clear => Self::SUCCESS,
            Exit::NotClear => Self::from(1),
            Exit::BadInput => Self::from(2),
        }
    }
}
