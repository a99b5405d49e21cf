//! What jobs there are, and how each is done. A new kind is a variant here and the work in its arm.

use headroom::check::check_watched;
use headroom::payoff_wire::PayoffWire;
use headroom::pull::{Fidelity, PullOptions, pull_watched};
use headroom::pull_wire::PullWire;
use headroom::slack::{rev_slack, slack};
use headroom::slack_wire::SlackWire;
use headroom::wire::CheckWire;
use headroom::{CheckOptions, pull_words, slack_words, words};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::answer::{Question, Units, digest, json};
use crate::failure::Failure;
use crate::jobs::Watch;
use crate::payoff_job::{AskedPayoff, payoff};
use crate::state::Bench;
use crate::subject::Subject;

/// A job to be done.
#[derive(Clone, Debug, Deserialize, Serialize, ToSchema)]
#[serde(tag = "job", rename_all = "snake_case", deny_unknown_fields)]
pub enum JobKind {
    /// A check with many samples: chances that are settled to a fraction of a percent.
    Uncertainty {
        /// The build.
        build: i64,
        /// A swap on it.
        swap: Option<i64>,
        /// Tolerance samples for each chance.
        #[schema(minimum = 1, maximum = 65536)]
        samples: u32,
        /// Units of the sentences.
        #[serde(default)]
        units: Units,
    },
    /// How far each adjustment may go.
    Slack {
        /// The build.
        build: i64,
        /// A swap on it.
        swap: Option<i64>,
        /// Units of the sentences.
        #[serde(default)]
        units: Units,
    },
    /// Torque and power over the band of the sheet, speed after speed.
    Pull {
        /// The build.
        build: i64,
        /// A swap on it.
        swap: Option<i64>,
        /// How finely.
        #[serde(default)]
        fidelity: Finely,
        /// Units of the sentences.
        #[serde(default)]
        units: Units,
    },
    /// Whether a swap is better where the engine is used, by how much, why, and how sure that is.
    Payoff {
        /// The build it starts from.
        build: i64,
        /// The swap.
        swap: i64,
        /// How finely; by the number of cylinders when left out.
        fidelity: Option<Finely>,
        /// What the dyno repeats to; the swap sheet's own when left out, else 1.
        #[schema(exclusive_minimum = 0, maximum = 20)]
        repeatability_percent: Option<f64>,
        /// Pairs of engines to march under sampled readings, in the place of what each reading does by itself.
        #[serde(default)]
        #[schema(maximum = 4096)]
        samples: u32,
        /// Units of the sentences.
        #[serde(default)]
        units: Units,
    },
}

/// How finely an engine is marched.
#[derive(Clone, Copy, Debug, Default, Deserialize, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Finely {
    /// A quick look.
    Screen,
    /// What a comparison wants.
    #[default]
    Normal,
    /// To look at one engine closely.
    Fine,
}

impl Finely {
    /// As the engines are marched.
    pub fn fidelity(self) -> Fidelity {
        match self {
            Self::Screen => Fidelity::Screen,
            Self::Normal => Fidelity::Normal,
            Self::Fine => Fidelity::Fine,
        }
    }
}

/// What came of a job.
#[derive(Serialize, ToSchema)]
#[serde(untagged)]
#[expect(dead_code, clippy::large_enum_variant, reason = "describes results, which are kept as text")]
pub enum JobResult {
    /// Of `uncertainty`.
    #[schema(title = "Uncertainty")]
    Uncertainty(CheckWire),
    /// Of `slack`.
    #[schema(title = "Slack")]
    Slack(SlackWire),
    /// Of `pull`.
    #[schema(title = "Pull")]
    Pull(PullWire),
    /// Of `payoff`.
    #[schema(title = "Payoff")]
    Payoff(PayoffWire),
}

/// How the work ended.
pub enum Done {
    /// With an answer, as JSON.
    Result(String),
    /// Because it was to stop.
    Stopped,
}

/// Points of the quasi-random sequence that samples are drawn from.
const MOST_SAMPLES: u32 = 65_536;

impl JobKind {
    /// Refuses what cannot be done.
    pub fn is_sensible(&self) -> Result<(), Failure> {
        match self {
            Self::Uncertainty { samples, .. } if !(1..=MOST_SAMPLES).contains(samples) => Err(
                Failure::not_sensible(format!("{samples} samples: from 1 to {MOST_SAMPLES} can be drawn")),
            ),
            &Self::Payoff { fidelity, repeatability_percent, samples, units, .. } => {
                AskedPayoff { fidelity, repeatability_percent, samples, units }.is_sensible()
            }
            _ => Ok(()),
        }
    }

    /// The build and the swap it is about.
    pub fn subject(&self) -> (i64, Option<i64>) {
        match self {
            Self::Uncertainty { build, swap, .. }
            | Self::Slack { build, swap, .. }
            | Self::Pull { build, swap, .. } => (*build, *swap),
            Self::Payoff { build, swap, .. } => (*build, Some(*swap)),
        }
    }

    /// Does it, unless it was done before.
    pub fn work(&self, bench: &Bench, watch: &Watch<'_>) -> Result<Done, Failure> {
        let (build, swap) = self.subject();
        let subject = bench.subjects.get(&bench.reader(), build, swap)?;
        let question = Question { kind: "job", asked: json(self)?, build, swap };
        let digest = digest(bench, &question, &subject);
        if let Some(kept) = bench.reader().kept_result(&digest)? {
            return Ok(Done::Result(kept));
        }
        let done = match self {
            Self::Uncertainty { samples, units, .. } => uncertainty(&subject, *samples, *units, watch)?,
            Self::Slack { units, .. } => slacks(&subject, *units, watch)?,
            Self::Pull { fidelity, units, .. } => pulled(&subject, *fidelity, *units, watch)?,
            &Self::Payoff { fidelity, repeatability_percent, samples, units, .. } => {
                let asked = AskedPayoff { fidelity, repeatability_percent, samples, units };
                payoff(bench, &subject, &asked, watch)?
            }
        };
        if let Done::Result(text) = &done {
            // A result that cannot be kept can still be fetched until the server stops.
            let _ = bench.writer().keep_result(&digest, question.kind, text);
        }
        Ok(done)
    }
}

fn uncertainty(subject: &Subject, n_samples: u32, units: Units, watch: &Watch<'_>) -> Result<Done, Failure> {
    let build = subject.build();
    let mut go_on = |share: f64| watch.go_on(share, "drawing samples");
    let Some(answer) = check_watched(build, &CheckOptions { n_samples }, &mut go_on) else {
        return Ok(Done::Stopped);
    };
    let verdict = words::verdict(&answer, build.cylinders.len(), units.system());
    Ok(Done::Result(json(&CheckWire::new(&answer, verdict))?))
}

fn slacks(subject: &Subject, units: Units, watch: &Watch<'_>) -> Result<Done, Failure> {
    let build = subject.build();
    if !watch.go_on(0.0, "turning adjustments") {
        return Ok(Done::Stopped);
    }
    let slacks = slack(build);
    if !watch.go_on(0.8, "turning faster") {
        return Ok(Done::Stopped);
    }
    let revs = rev_slack(build);
    let verdict = slack_words::verdict(&slacks, revs.as_ref(), units.system());
    Ok(Done::Result(json(&SlackWire::new(&build.name, &slacks, revs.as_ref(), verdict))?))
}

fn pulled(subject: &Subject, finely: Finely, units: Units, watch: &Watch<'_>) -> Result<Done, Failure> {
    let options = PullOptions { fidelity: finely.fidelity(), ..PullOptions::default() };
    let mut go_on = |share: f64| watch.go_on(share, "marching the engine");
    let answer = pull_watched(subject.build(), &options, &mut go_on)
        .map_err(|error| Failure::not_sensible(format!("this engine cannot be run: {error}")))?;
    let Some(answer) = answer else { return Ok(Done::Stopped) };
    let verdict = pull_words::verdict(&answer, units.system());
    Ok(Done::Result(json(&PullWire::new(&answer, verdict))?))
}
