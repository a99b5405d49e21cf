//! How far is a payoff, and is it to go on? Leaves out who asks: a job of the bench, or nobody.

use std::sync::{Mutex, PoisonError};

use crate::payoff::PayoffError;

/// What is being marched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doing {
    /// Base, candidate, and every mixture of them.
    Changes,
    /// Both beside the band.
    Beside,
    /// Both with one reading moved.
    Readings,
    /// Both on another grid.
    Grid,
    /// Sampled pairs.
    Samples,
}

/// How far a payoff has come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PayoffProgress {
    /// What is being marched.
    pub doing: Doing,
    /// Engine speeds of it that are done.
    pub n_done: usize,
    /// Engine speeds of it that there are.
    pub n_points: usize,
    /// Share of the whole that is done, by what the speeds cost, from 0 to 1.
    pub share: f64,
}

/// Hears of every speed that is done, from any thread, and ends the work by saying false.
pub type GoOn<'a> = &'a (dyn Fn(PayoffProgress) -> bool + Sync);

impl Doing {
    /// For people.
    pub fn words(self) -> &'static str {
        match self {
            Self::Changes => "each change by itself and with the others",
            Self::Beside => "below and above the band",
            Self::Readings => "what each reading does",
            Self::Grid => "what the grid does",
            Self::Samples => "sampled pairs of engines",
        }
    }
}

impl PayoffProgress {
    /// For people: `what each reading does, 12 of 84 engine speeds`.
    pub fn words(&self) -> String {
        format!("{}, {} of {} engine speeds", self.doing.words(), self.n_done, self.n_points)
    }
}

/// Adds up what was done of everything that is to be done.
pub(crate) struct Progress<'a> {
    go_on: GoOn<'a>,
    cost: f64,
    spent: Mutex<Spent>,
}

#[derive(Default)]
struct Spent {
    cost: f64,
    stopped: bool,
}

impl<'a> Progress<'a> {
    /// Of work that costs so much altogether, in any unit.
    pub fn new(go_on: GoOn<'a>, cost: f64) -> Self {
        Self { go_on, cost, spent: Mutex::default() }
    }

    /// One more speed is done; false once the work is to stop.
    pub fn one_more(&self, doing: Doing, n_done: usize, n_points: usize, cost: f64) -> bool {
        let mut spent = self.spent.lock().unwrap_or_else(PoisonError::into_inner);
        spent.cost += cost;
        let share = (spent.cost / self.cost).clamp(0.0, 1.0);
        spent.stopped |= !(self.go_on)(PayoffProgress { doing, n_done, n_points, share });
        !spent.stopped
    }

    /// The error that ends the work, once it is to stop.
    pub fn stopped(&self) -> Result<(), PayoffError> {
        let spent = self.spent.lock().unwrap_or_else(PoisonError::into_inner);
        if spent.stopped { Err(PayoffError::Stopped) } else { Ok(()) }
    }
}
