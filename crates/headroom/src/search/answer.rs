//! What a search came to: the base, the front, the one to take, what was excluded, what the stages may have missed.
//! Leaves out the words.

use cycle::from_build::Assumed;
use units::Quantity;

use super::limit::{Broken, BrokenSet};
use super::question::{Digit, Question};
use super::refine::Refined;
use super::row::{Gives, Row};

/// What a search came to.
#[derive(Clone, Debug)]
pub struct SearchAnswer {
    /// The engine as it is.
    pub base: BaseSeen,
    /// Every combination at `screen`, in the order of their numbers.
    pub rows: Vec<Row>,
    /// Numbers of the front at `screen`.
    pub screen_front: Vec<u64>,
    /// How many were run at `normal`.
    pub n_normal: usize,
    /// How near to the front at `screen` those lay, as a part of torque and power.
    pub margin: f64,
    /// The front at `normal`.
    pub front: Vec<Row>,
    /// The one to take; `None` when nothing keeps all limits.
    pub named: Option<Named>,
    /// Those of the front whose settings were tuned, the named one first.
    pub refined: Vec<Refined>,
    /// What the stages may have missed.
    pub recall: Recall,
    /// By which limit how many are excluded.
    pub excluded: Vec<Excluded>,
}

/// The engine as it is, over the same band and on the same fuel.
#[derive(Clone, Debug)]
pub struct BaseSeen {
    /// What people call it.
    pub name: String,
    /// What it gives at `screen`.
    pub screen: Gives,
    /// And at `normal`.
    pub normal: Gives,
    /// Least and greatest static compression.
    pub compression: Option<[f64; 2]>,
    /// What is left over the limit nearest to be broken, mm, and which.
    pub margin: Option<(f64, String)>,
    /// Limits the base itself does not keep.
    pub broken: BrokenSet,
    /// What was assumed about how it runs.
    pub assumed: Vec<Assumed>,
}

/// The one to take.
#[derive(Clone, Debug, PartialEq)]
pub struct Named {
    /// It.
    pub row: Row,
    /// The one with the greatest gain, which may be itself.
    pub best: Row,
    /// How many of the front gain as much as that within what can be told apart.
    pub n_alike: usize,
    /// What going back to the base in single things would do.
    pub without: Vec<Without>,
}

/// A combination with one thing taken back, both at `screen`.
#[derive(Clone, Debug, PartialEq)]
pub struct Without {
    /// Which thing.
    pub digit: Digit,
    /// Without it.
    pub row: Row,
    /// With it.
    pub with: Row,
}

/// What the stages may have missed, from a random sample that was run in full.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recall {
    /// Combinations of the sample.
    pub n_sample: usize,
    /// Those that are on the sample's front at `normal`.
    pub n_true: usize,
    /// Those of them that the stages would have taken on.
    pub n_found: usize,
    /// Standard deviation of the part by which torque below differs between `screen` and `normal`, about its mean.
    pub torque_spread: f64,
    /// The same of power above.
    pub power_spread: f64,
}

/// How many combinations a limit excludes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Excluded {
    /// Which.
    pub by: Broken,
    /// How many break it.
    pub n: usize,
    /// How many break it and nothing else.
    pub n_alone: usize,
}

impl BaseSeen {
    /// Gains of torque below and power above against one of its own, percent.
    pub fn gains(gives: &Gives, base: &Gives) -> [f64; 2] {
        let gain = |with: f64, without: f64| 100.0 * (with / without - 1.0);
        [gain(gives.torque_below_n_m, base.torque_below_n_m), gain(gives.power_above_kw, base.power_above_kw)]
    }

    /// Gain by the plan's weights, percent.
    pub fn score(&self, question: &Question, gives: &Gives, base: &Gives) -> f64 {
        let gains = Self::gains(gives, base);
        let weights = question.plan.prefer.map(f64::from);
        let sum: f64 = weights.iter().sum();
        if sum == 0.0 { 0.0 } else { (gains[0] * weights[0] + gains[1] * weights[1]) / sum }
    }
}

/// By which limit how many rows are excluded, the most first.
pub fn excluded(rows: &[Row]) -> Vec<Excluded> {
    let mut all: Vec<Excluded> =
        Broken::all().into_iter().map(|by| Excluded { by, n: 0, n_alone: 0 }).collect();
    for row in rows.iter().filter(|row| !row.broken.is_empty()) {
        let list = row.broken.list();
        for excluded in all.iter_mut().filter(|excluded| list.contains(&excluded.by)) {
            excluded.n += 1;
            excluded.n_alone += usize::from(list.len() == 1);
        }
    }
    all.retain(|excluded| excluded.n > 0);
    all.sort_by_key(|excluded| std::cmp::Reverse(excluded.n));
    all
}

/// The speeds of the band in words: from, split, to, rpm.
pub fn band_rpm(question: &Question) -> [f64; 3] {
    let speeds = &question.speeds_rpm;
    [speeds[0], question.split_rpm, speeds[speeds.len() - 1]]
}

/// Research octane that all combinations ran on, when the plan says.
pub fn octane(question: &Question) -> Option<f64> {
    question.plan.must.octane.map(|octane| octane.si())
}
