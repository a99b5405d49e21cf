//! What a candidate needs cut before its payoff means anything. Leaves out how the cut is found: `relief.rs`.

use parts::Build;

use crate::check::CheckAnswer;
use crate::finding::Status;
use crate::relief::{Outcome, ReliefOptions, relief};
use crate::relief_apply::with_reliefs;
use crate::relief_words;

/// A candidate with its cuts made.
#[derive(Clone, Debug)]
pub struct Cut {
    /// The candidate with every cut that gives room; the candidate itself where none does.
    pub build: Build,
    /// How the cuts come out.
    pub outcome: Outcome,
    /// Whether anything was cut.
    pub made: bool,
    /// The answer about the cuts in a sentence.
    pub because: String,
}

/// The cuts of a candidate that hits or is tight; `None` when it clears, or when what is in the way is no matter of a cut.
pub fn cut_for(candidate: &Build, fit: &CheckAnswer) -> Option<Cut> {
    if !matches!(fit.status(), Status::Hits | Status::Tight) {
        return None;
    }
    let answer = relief(candidate, &ReliefOptions::default());
    if answer.outcome() == Outcome::ClearsAsItIs {
        return None;
    }
    let made =
        answer.valves.iter().any(|one| one.cut.is_ok()) || answer.pistons.iter().any(|one| one.cut.is_ok());
    let because = relief_words::verdict(&answer).into_iter().next().unwrap_or_default();
    Some(Cut { build: with_reliefs(candidate, &answer), outcome: answer.outcome(), made, because })
}
