//! The limits a combination may break, as a set that fits into a number. Leaves out finding out.

use parts::Duty;
use parts::limit::Check;

use crate::slack_search::Limited;

/// Something that excludes a combination.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Broken {
    /// The options do not make an engine together, or one has nothing to set.
    Unbuildable,
    /// Over the budget.
    Budget,
    /// Metal taken off where none, or not so much, may be.
    Metal,
    /// Compression under the window.
    CompressionLow,
    /// Over it.
    CompressionHigh,
    /// A gap, a valve train at speed or the running quench.
    Fit(Limited),
    /// Knock at some speed.
    Knock,
    /// Spark too late for knock at some speed.
    Retard,
    /// The gas in it could not be computed at some speed.
    NotRun,
}

impl Broken {
    /// All of them, in the order they are looked at.
    pub fn all() -> Vec<Self> {
        let mut all =
            vec![Self::Unbuildable, Self::Budget, Self::Metal, Self::CompressionLow, Self::CompressionHigh];
        all.extend(Check::ALL.map(|check| Self::Fit(Limited::Gap(check))));
        all.extend([Duty::Intake, Duty::Exhaust].map(|duty| Self::Fit(Limited::TrainHeld(duty))));
        all.extend([Self::Fit(Limited::QuenchAtSpeed), Self::Knock, Self::Retard, Self::NotRun]);
        all
    }

    /// Its word in a table.
    pub fn key(self) -> &'static str {
        match self {
            Self::Unbuildable => "unbuildable",
            Self::Budget => "budget",
            Self::Metal => "metal",
            Self::CompressionLow => "compression_least",
            Self::CompressionHigh => "compression_most",
            Self::Fit(Limited::TrainHeld(Duty::Intake)) => "train_held_intake",
            Self::Fit(Limited::TrainHeld(Duty::Exhaust)) => "train_held_exhaust",
            Self::Fit(limited) => limited.key(),
            Self::Knock => "knock",
            Self::Retard => "retard",
            Self::NotRun => "not_run",
        }
    }

    /// Whether it is known without running the engine, and exactly.
    pub fn is_exact(self) -> bool {
        !matches!(self, Self::Knock | Self::Retard | Self::NotRun)
    }
}

/// A set of broken limits.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct BrokenSet {
    bits: u32,
}

impl BrokenSet {
    /// Adds one.
    pub fn insert(&mut self, broken: Broken) {
        let at = Broken::all().iter().position(|one| *one == broken).expect("all of them are listed");
        self.bits |= 1 << at;
    }

    /// With those of another set.
    pub fn with(self, other: Self) -> Self {
        Self { bits: self.bits | other.bits }
    }

    /// Whether none is broken.
    pub fn is_empty(self) -> bool {
        self.bits == 0
    }

    /// Those that are, in order.
    pub fn list(self) -> Vec<Broken> {
        let all = Broken::all().into_iter().enumerate();
        all.filter(|(at, _)| self.bits & (1 << at) != 0).map(|(_, broken)| broken).collect()
    }

    /// For a table: keys with `+` between.
    pub fn text(self) -> String {
        self.list().iter().map(|broken| broken.key()).collect::<Vec<_>>().join("+")
    }

    /// From [`Self::text`].
    pub fn parse(text: &str) -> Option<Self> {
        let mut set = Self::default();
        let all = Broken::all();
        for key in text.split('+').filter(|key| !key.is_empty()) {
            set.insert(*all.iter().find(|broken| broken.key() == key)?);
        }
        Some(set)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_sets_there_and_back() {
        assert!(Broken::all().len() <= 32, "more limits than bits");
        let mut set = BrokenSet::default();
        assert!(set.is_empty() && set.text().is_empty());
        for broken in Broken::all() {
            set.insert(broken);
            assert_eq!(BrokenSet::parse(&set.text()), Some(set));
        }
        assert_eq!(set.list(), Broken::all());
        assert_eq!(BrokenSet::parse("budget+nonsense"), None);
    }
}
