//! A whole search: everything weighed and screened, what is near the front run more finely, the front's settings tuned,
//! and a random sample run in full to see what the stages may have missed.

use cycle::fidelity::Fidelity;
use cycle::from_build::{LobeFits, model_with};
use cycle::sweep::sweep;
use parts::Build;
use thiserror::Error;

use super::answer::{BaseSeen, Named, Recall, SearchAnswer, Without, excluded};
use super::front::{front, near_front};
use super::journal::{Journal, block};
use super::question::{Digit, Question};
use super::refine::{Refined, refine};
use super::row::{Row, line, parse};
use super::run::{CHUNK, gives, run_numbers, run_range};
use super::weigh::{fitted, weigh};

/// How a search is done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SearchOptions {
    /// The most combinations that are run at `normal` fidelity.
    pub most_normal: usize,
    /// Combinations of the random sample.
    pub n_sample: usize,
    /// How many of the front have their settings tuned.
    pub n_refined: usize,
}

impl Default for SearchOptions {
    fn default() -> Self {
        Self { most_normal: 120, n_sample: 40, n_refined: 3 }
    }
}

/// Part by which `screen` may misjudge torque or power of one combination against another; what would not be beaten with
/// that much more is run at `normal`. The sample says how far they differ on the engine at hand.
pub const SCREEN_MARGIN: f64 = 0.01;

/// What a search is at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// All combinations weighed, those left run at `screen`.
    Screen,
    /// Those near the front run at `normal`.
    Normal,
    /// The random sample run in full.
    Sample,
    /// Settings tuned.
    Refine,
}

/// How far a stage has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Which.
    pub stage: Stage,
    /// Combinations done.
    pub n_done: u64,
    /// Of so many.
    pub n_all: u64,
    /// How many of those done were taken from the journal.
    pub n_known: u64,
}

/// Who keeps what has been done, and may end the search.
pub trait Watch {
    /// Keeps a block of the journal for good before it returns.
    fn keep(&mut self, block: &str) -> Result<(), String>;
    /// Whether to go on.
    fn go_on(&mut self, progress: &Progress) -> bool;
}

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum SearchError {
    /// It was told to end; what has been done is in the journal.
    #[error("ended before it was done; what has been done is kept")]
    Ended,
    /// The journal could not be kept.
    #[error("the journal cannot be written: {0}")]
    Journal(String),
    /// The base does not run, so nothing can be compared with it.
    #[error("the base cannot be run: {0}")]
    Base(String),
}

/// Searches a plan. What `journal` holds is not done again; what is done is added to it and handed to `watch`.
pub fn search(
    question: &Question,
    options: &SearchOptions,
    journal: &mut Journal,
    watch: &mut dyn Watch,
) -> Result<SearchAnswer, SearchError> {
    let base = base_seen(question)?;
    let mut work = Work { question, journal, watch };
    let rows = work.screen()?;
    let objectives = &question.plan.objectives;
    let screen_front: Vec<u64> = front(&rows, objectives).iter().map(|row| row.index).collect();
    let (margin, taken_on) = taken_on(question, &rows, options.most_normal);
    let normal = work.in_full(Stage::Normal, "normal", &taken_on)?;
    let sample = sample(question, &rows, options.n_sample);
    let sampled = work.in_full(Stage::Sample, "sample", &sample)?;
    let recall = recall(question, &rows, &sampled, margin);
    let front: Vec<Row> = front(&normal, objectives).into_iter().cloned().collect();
    let named = named(question, &base, &rows, &front);
    let refined = work.refined(&base, &front, named.as_ref(), options.n_refined)?;
    let excluded = excluded(&rows);
    Ok(SearchAnswer {
        base,
        screen_front,
        n_normal: normal.len(),
        margin,
        front,
        named,
        refined,
        recall,
        excluded,
        rows,
    })
}

/// The base over the same band.
fn base_seen(question: &Question) -> Result<BaseSeen, SearchError> {
    let build: Build = question.base();
    let (model, assumed) =
        model_with(&build, &mut LobeFits::default()).map_err(|error| SearchError::Base(error.to_string()))?;
    let at = |fidelity: Fidelity| {
        let points = sweep(&model, &question.speeds_rpm, fidelity);
        let points = points.map_err(|error| SearchError::Base(error.to_string()))?;
        let broke = || SearchError::Base("a speed of the band could not be computed".to_owned());
        gives(question, &points).ok_or_else(broke)
    };
    let mut alone = question.clone();
    alone.plan.adjustments.clear();
    let weighed = weigh(&alone, &fitted(&build), &[]);
    Ok(BaseSeen {
        name: build.name.clone(),
        screen: at(Fidelity::Screen)?,
        normal: at(Fidelity::Normal)?,
        compression: weighed.compression,
        margin: weighed.margin,
        broken: weighed.broken,
        assumed,
    })
}

/// A search at work: what it keeps and whom it tells.
struct Work<'a> {
    question: &'a Question,
    journal: &'a mut Journal,
    watch: &'a mut dyn Watch,
}

/// Combinations run in full between two blocks of the journal.
const IN_FULL_TOGETHER: usize = 8;

impl Work<'_> {
    /// Every row of the plan.
    fn screen(&mut self) -> Result<Vec<Row>, SearchError> {
        let n = self.question.n();
        let mut rows: Vec<Row> = Vec::new();
        let mut n_known = 0;
        let mut from = 0;
        while from < n {
            let to = (from + CHUNK).min(n);
            let name = format!("screen {from}");
            match self.known(&name).filter(|known| known.len() as u64 == to - from) {
                Some(known) => {
                    n_known += to - from;
                    rows.extend(known);
                }
                None => {
                    let new = run_range(self.question, from..to);
                    self.keep(name, &new)?;
                    rows.extend(new);
                }
            }
            from = to;
            self.tell(Progress { stage: Stage::Screen, n_done: from, n_all: n, n_known })?;
        }
        Ok(rows)
    }

    /// Some combinations at `normal`, also those that a coarser stage has excluded by their knock.
    fn in_full(&mut self, stage: Stage, name: &str, indices: &[u64]) -> Result<Vec<Row>, SearchError> {
        let mut rows: Vec<Row> = Vec::new();
        let mut n_known = 0;
        for (piece, indices_here) in indices.chunks(IN_FULL_TOGETHER).enumerate() {
            let name = format!("{name} {piece}");
            let same = |known: &Vec<Row>| known.iter().map(|row| row.index).eq(indices_here.iter().copied());
            match self.known(&name).filter(same) {
                Some(known) => {
                    n_known += known.len() as u64;
                    rows.extend(known);
                }
                None => {
                    let exact = |row: &Row| row.broken.is_empty();
                    let new = run_numbers(self.question, indices_here, Fidelity::Normal, &exact);
                    self.keep(name, &new)?;
                    rows.extend(new);
                }
            }
            let (n_done, n_all) = (rows.len() as u64, indices.len() as u64);
            self.tell(Progress { stage, n_done, n_all, n_known })?;
        }
        Ok(rows)
    }

    /// The named one and others of the front with their settings tuned.
    fn refined(
        &mut self,
        base: &BaseSeen,
        front: &[Row],
        named: Option<&Named>,
        n_most: usize,
    ) -> Result<Vec<Refined>, SearchError> {
        if !self.question.plan.adjustments.iter().any(|adjustment| adjustment.continuous) {
            return Ok(Vec::new());
        }
        let mut by_score: Vec<&Row> = front.iter().collect();
        by_score.sort_by(|a, b| score(self.question, base, b).total_cmp(&score(self.question, base, a)));
        let first = named.map(|named| &named.row);
        let others = by_score.into_iter().filter(|row| first.is_none_or(|first| first.index != row.index));
        let picked: Vec<&Row> = first.into_iter().chain(others).take(n_most).collect();
        let mut all = Vec::new();
        let mut n_known = 0;
        for row in &picked {
            let name = format!("refine {}", row.index);
            let known = self.journal.get(&name).and_then(|body| Refined::parse(self.question, body));
            let refined = match known {
                Some(refined) => {
                    n_known += 1;
                    refined
                }
                None => {
                    let refined = refine(self.question, base, row);
                    let body = refined.text(self.question);
                    self.watch.keep(&block(&name, &body)).map_err(SearchError::Journal)?;
                    self.journal.put(name, body);
                    refined
                }
            };
            all.push(refined);
            let (n_done, n_all) = (all.len() as u64, picked.len() as u64);
            self.tell(Progress { stage: Stage::Refine, n_done, n_all, n_known })?;
        }
        Ok(all)
    }

    fn known(&self, name: &str) -> Option<Vec<Row>> {
        let lines = self.journal.get(name)?.split_inclusive('\n');
        lines.map(|line| parse(self.question, line)).collect()
    }

    fn keep(&mut self, name: String, rows: &[Row]) -> Result<(), SearchError> {
        let body: String = rows.iter().map(|row| line(self.question, row)).collect();
        self.watch.keep(&block(&name, &body)).map_err(SearchError::Journal)?;
        self.journal.put(name, body);
        Ok(())
    }

    fn tell(&mut self, progress: Progress) -> Result<(), SearchError> {
        if self.watch.go_on(&progress) { Ok(()) } else { Err(SearchError::Ended) }
    }
}

/// What is run at `normal`: the front with all that lies within a margin of it; the widest margin with which there are no
/// more than `most`, but always the front.
fn taken_on(question: &Question, rows: &[Row], most: usize) -> (f64, Vec<u64>) {
    const NARROWER: [f64; 4] = [1.0, 0.5, 0.25, 0.0];
    for share in NARROWER {
        let margin = share * SCREEN_MARGIN;
        let near = near_front(rows, &question.plan.objectives, margin);
        if near.len() <= most || margin == 0.0 {
            return (margin, near.into_iter().map(|row| row.index).collect());
        }
    }
    unreachable!("the last margin is taken whatever comes of it")
}

/// A random sample of the combinations that break no limit which is known exactly; others cannot be missed.
fn sample(question: &Question, rows: &[Row], n: usize) -> Vec<u64> {
    let left = rows.iter().filter(|row| row.broken.list().iter().all(|broken| !broken.is_exact()));
    let mut keyed: Vec<(u64, u64)> =
        left.map(|row| (scrambled(row.index, &question.digest), row.index)).collect();
    keyed.sort_unstable();
    let mut picked: Vec<u64> = keyed.into_iter().take(n).map(|(_, index)| index).collect();
    picked.sort_unstable();
    picked
}

/// A number that looks random, the same for the same plan: splitmix64 (Steele, Lea, Flood (2014), "Fast splittable
/// pseudorandom number generators", OOPSLA, fig. 17 with the constants of its mix, from memory).
fn scrambled(index: u64, digest: &str) -> u64 {
    let seed = digest.bytes().fold(0_u64, |seed, byte| seed.wrapping_mul(31).wrapping_add(u64::from(byte)));
    let mut z = seed.wrapping_add(index.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15));
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// How much of the sample's true front the stages would have taken on, had the sample been everything there is.
fn recall(question: &Question, rows: &[Row], sampled: &[Row], margin: f64) -> Recall {
    let objectives = &question.plan.objectives;
    let screened: Vec<Row> = sampled.iter().map(|row| rows[row.index as usize].clone()).collect();
    let kept: Vec<u64> = near_front(&screened, objectives, margin).iter().map(|row| row.index).collect();
    let truth = front(sampled, objectives);
    let n_found = truth.iter().filter(|row| kept.contains(&row.index)).count();
    let both = || {
        let pairs = screened.iter().zip(sampled);
        pairs.filter_map(|(screen, full)| screen.gives.zip(full.gives))
    };
    // A shift that all share judges none against another; the spread about it does.
    let spread = |of: fn(&super::row::Gives) -> f64| {
        let ratios: Vec<f64> = both().map(|(screen, full)| of(&screen) / of(&full) - 1.0).collect();
        let n = ratios.len().max(1) as f64;
        let mean = ratios.iter().sum::<f64>() / n;
        (ratios.iter().map(|ratio| (ratio - mean).powi(2)).sum::<f64>() / n).sqrt()
    };
    Recall {
        n_sample: sampled.len(),
        n_true: truth.len(),
        n_found,
        torque_spread: spread(|gives| gives.torque_below_n_m),
        power_spread: spread(|gives| gives.power_above_kw),
    }
}

/// Gain over the base by the plan's weights, percent; both at `normal`.
pub fn score(question: &Question, base: &BaseSeen, row: &Row) -> f64 {
    row.gives.as_ref().map_or(f64::NEG_INFINITY, |gives| base.score(question, gives, &base.normal))
}

/// Gains within this of each other, percent, are the same to a builder: less than a dyno repeats.
pub const SAME_PERCENT: f64 = 1.0;

/// The one of the front that is named first.
fn named(question: &Question, base: &BaseSeen, rows: &[Row], front: &[Row]) -> Option<Named> {
    let of = |row: &Row| score(question, base, row);
    let best = front.iter().max_by(|a, b| of(a).total_cmp(&of(b)).then(b.index.cmp(&a.index)))?;
    let alike: Vec<&Row> = front.iter().filter(|row| of(best) - of(row) <= SAME_PERCENT).collect();
    let row = alike.iter().min_by(|a, b| {
        let metal = a.metal_mm.total_cmp(&b.metal_mm);
        a.price.cmp(&b.price).then(metal).then(of(b).total_cmp(&of(a))).then(a.index.cmp(&b.index))
    })?;
    Some(Named {
        row: (*row).clone(),
        best: best.clone(),
        n_alike: alike.len(),
        without: without(question, rows, row.index),
    })
}

/// What going back to the base in one thing would do to a combination, thing by thing, at `screen`.
fn without(question: &Question, rows: &[Row], index: u64) -> Vec<Without> {
    let digits = question.space.digits(index);
    let mut all = Vec::new();
    for (at, digit) in question.digits.iter().enumerate() {
        let Some(back) = base_digit(question, *digit).filter(|back| *back != digits[at]) else { continue };
        let mut other = digits.clone();
        other[at] = back;
        let row = &rows[question.space.index(&other) as usize];
        all.push(Without { digit: *digit, row: row.clone(), with: rows[index as usize].clone() });
    }
    all
}

/// The value of a digit that leaves the base as it is, where there is one.
pub fn base_digit(question: &Question, digit: Digit) -> Option<usize> {
    match digit {
        Digit::Choice(choice) => {
            question.plan.choices[choice].options.iter().position(|option| option.parts.is_empty())
        }
        Digit::Adjustment(at) => {
            let adjustment = &question.plan.adjustments[at];
            let settings = &adjustment.settings_si;
            let leaves = |si: &f64| {
                super::setting::set(&mut question.plan.base.clone(), adjustment.of, *si) == Some(false)
            };
            settings.iter().position(leaves)
        }
    }
}
