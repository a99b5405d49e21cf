//! The payoff of a swap as a job. Engines that were marched stay at hand: other units, or a dyno that repeats otherwise, word
//! the same march again. Leaves out jobs as such: `jobs.rs`.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

use headroom::check::check_watched;
use headroom::payoff::{PayoffError, USUAL_REPEATABILITY, payoff_watched};
use headroom::payoff_wire::PayoffWire;
use headroom::{CheckAnswer, CheckOptions, PayoffAnswer, PayoffOptions, payoff_words};

use crate::answer::{Units, json};
use crate::failure::Failure;
use crate::job_kinds::{Done, Finely};
use crate::jobs::Watch;
use crate::state::Bench;
use crate::subject::Subject;

/// Payoffs that were marched since the server started, the newest last.
#[derive(Default)]
pub struct Marched {
    kept: Mutex<VecDeque<([u8; 32], Arc<Payoff>)>>,
}

/// As many as somebody goes to and fro between.
const MOST_KEPT: usize = 8;

struct Payoff {
    fit: CheckAnswer,
    answer: PayoffAnswer,
}

/// How a payoff is asked for.
#[derive(Clone, Copy, Debug)]
pub struct AskedPayoff {
    /// How finely; by the number of cylinders when left out.
    pub fidelity: Option<Finely>,
    /// What the dyno repeats to, percent; the swap sheet's own when left out.
    pub repeatability_percent: Option<f64>,
    /// Pairs of engines under sampled readings.
    pub samples: u32,
    /// Units of the sentences.
    pub units: Units,
}

/// Most pairs of engines under sampled readings: what a night gives.
pub const MOST_SAMPLES: u32 = 4096;

/// A dyno that repeats to worse than this, percent, is broken.
pub const MOST_REPEATABILITY_PERCENT: f64 = 20.0;

/// Of the work, for the check of the candidate.
const FOR_FIT: f64 = 0.05;

impl AskedPayoff {
    /// Refuses what cannot be done.
    pub fn is_sensible(&self) -> Result<(), Failure> {
        let no_dyno = |percent: &f64| !(0.0 < *percent && *percent <= MOST_REPEATABILITY_PERCENT);
        if let Some(percent) = self.repeatability_percent.filter(no_dyno) {
            let what = format!(
                "a dyno that repeats to {percent} percent: expected more than 0 and at most {MOST_REPEATABILITY_PERCENT}"
            );
            return Err(Failure::not_sensible(what));
        }
        if self.samples > MOST_SAMPLES {
            let what = format!("{} sampled pairs: at most {MOST_SAMPLES} are marched", self.samples);
            return Err(Failure::not_sensible(what));
        }
        Ok(())
    }

    /// What the march depends on besides the sheets.
    fn of_march(&self) -> String {
        format!("{:?} {}", self.fidelity, self.samples)
    }
}

/// Marches both engines, unless that was done already, and words the answer.
pub fn payoff(
    bench: &Bench,
    subject: &Subject,
    asked: &AskedPayoff,
    watch: &Watch<'_>,
) -> Result<Done, Failure> {
    let key = shop::digest(&[&bench.program, asked.of_march().as_bytes(), &subject.texts]);
    let known = match bench.marched.known(&key) {
        Some(known) => known,
        None => match march(subject, asked, watch)? {
            Some(marched) => bench.marched.keep(key, marched),
            None => return Ok(Done::Stopped),
        },
    };
    let own = subject.candidate.as_ref().and_then(|candidate| candidate.payoff.repeatability);
    let asked_for = asked.repeatability_percent.map(|percent| percent / 100.0);
    let repeatability = asked_for.or(own).unwrap_or(USUAL_REPEATABILITY);
    let answer = known.answer.judged_by(&known.fit, repeatability);
    let system = asked.units.system();
    let sentences = payoff_words::sentences(&answer, known.fit.status(), system);
    Ok(Done::Result(json(&PayoffWire::new(&answer, sentences, system))?))
}

fn march(subject: &Subject, asked: &AskedPayoff, watch: &Watch<'_>) -> Result<Option<Payoff>, Failure> {
    let Some(candidate) = &subject.candidate else {
        return Err(Failure::not_sensible("a build by itself has no payoff: expected a swap on it"));
    };
    let mut go_on = |share: f64| watch.go_on(FOR_FIT * share, "whether it clears");
    let Some(fit) = check_watched(&candidate.build, &CheckOptions::default(), &mut go_on) else {
        return Ok(None);
    };
    if !watch.go_on(FOR_FIT, "what has to be cut, and every mixture of both engines") {
        return Ok(None);
    }
    let options = PayoffOptions {
        fidelity: asked.fidelity.map(Finely::fidelity),
        n_samples: asked.samples,
        ..PayoffOptions::default()
    };
    let marched = payoff_watched(&subject.base.build, candidate, &fit, &options, &|progress| {
        watch.go_on(FOR_FIT + (1.0 - FOR_FIT) * progress.share, &progress.words())
    });
    match marched {
        Ok(answer) => Ok(Some(Payoff { fit, answer })),
        Err(PayoffError::Stopped) => Ok(None),
        Err(error) => {
            Err(Failure::not_sensible(format!("what it does to torque cannot be reckoned: {error}")))
        }
    }
}

impl Marched {
    fn known(&self, key: &[u8; 32]) -> Option<Arc<Payoff>> {
        let kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        kept.iter().find(|(known, _)| known == key).map(|(_, payoff)| Arc::clone(payoff))
    }

    fn keep(&self, key: [u8; 32], payoff: Payoff) -> Arc<Payoff> {
        let payoff = Arc::new(payoff);
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() >= MOST_KEPT {
            kept.pop_front();
        }
        kept.push_back((key, Arc::clone(&payoff)));
        payoff
    }
}
