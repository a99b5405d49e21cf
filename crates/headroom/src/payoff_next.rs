//! What to measure next: readings ranked by how likely it is that pinning them down turns the answer, for fit and payoff, with
//! the way to take them and what doubt would be left. Leaves out readings that no sheet can hold.

use sheet::vocabulary::Form;
use sheet::vocabulary::find::entry_of;
use statrs::distribution::{ContinuousCDF, Normal};
use units::reading::SDS_IN_TOLERANCE;
use units::{Basis, UnitSystem};

use crate::check::CheckAnswer;
use crate::finding::{Finding, Status};
use crate::payoff_doubt::{Chances, Doubt};
use crate::payoff_readings::PairedReading;
use crate::words::subject;

/// A reading worth taking, or taking again.
#[derive(Clone, Debug, PartialEq)]
pub struct Next {
    /// Its path in the sheet.
    pub path: String,
    /// Whether it is of the base alone, of the candidate alone, or of both.
    pub of: &'static str,
    /// Where it comes from now.
    pub basis: Basis,
    /// The payoff's reading; `None` where only the fit is about it.
    reading: Option<PairedReading>,
    /// How it is taken: instrument and procedure.
    pub procedure: String,
    /// 95 % half-width it would be known to then, SI, where the sheet's usual tolerance says it.
    then_si: Option<f64>,
    /// Chance that the answer about fit turns.
    pub turns_fit: f64,
    /// Chance that the answer about payoff turns.
    pub turns_payoff: f64,
    /// Its share of what the readings make uncertain in the payoff.
    pub share_of_payoff: f64,
    /// The gap it makes most uncertain, and its share of that.
    pub gap: Option<(String, f64)>,
    /// 95 % half-width of the relative gain once it is taken.
    pub half_width_then: f64,
}

impl Next {
    /// What it is now, for people; empty where only the fit is about it.
    pub fn now(&self, system: UnitSystem) -> String {
        self.shown(self.reading.as_ref().map(|reading| reading.tolerance_si), system)
    }

    /// What it would be known to then, for people; empty where nobody can say.
    pub fn then(&self, system: UnitSystem) -> String {
        self.shown(self.then_si, system)
    }

    fn shown(&self, tolerance_si: Option<f64>, system: UnitSystem) -> String {
        let both = self.reading.as_ref().zip(tolerance_si);
        both.map_or(String::new(), |(reading, tolerance_si)| {
            reading.kind.shown(reading.value_si, tolerance_si, system)
        })
    }
}

/// Readings that are told at most.
const MOST: usize = 6;

/// Shares below this are not worth a walk to the shop.
const LEAST_SHARE: f64 = 0.02;

/// Ranked by the chance of turning either answer, then by their share of the doubt.
pub(crate) fn next(fit: &CheckAnswer, doubts: &[Doubt], chances: &Chances) -> Vec<Next> {
    let mut found: Vec<Next> = doubts
        .iter()
        .filter(|doubt| doubt.share >= LEAST_SHARE)
        .filter_map(|doubt| of_payoff(doubt, chances))
        .collect();
    for finding in &fit.findings {
        add_of_fit(&mut found, finding, fit.status(), chances);
    }
    let turns = |one: &Next| one.turns_fit.max(one.turns_payoff);
    let share = |one: &Next| one.share_of_payoff.max(one.gap.as_ref().map_or(0.0, |gap| gap.1));
    found.sort_by(|a, b| {
        // A chance under a hundredth is no reason to prefer one over another.
        let rounded = |one: &Next| (100.0 * turns(one)).round();
        rounded(b).total_cmp(&rounded(a)).then(share(b).total_cmp(&share(a))).then(a.path.cmp(&b.path))
    });
    found.truncate(MOST);
    found
}

/// A reading that moves the payoff; `None` where taking it again would leave as much doubt as there is.
fn of_payoff(doubt: &Doubt, chances: &Chances) -> Option<Next> {
    let reading = &doubt.reading;
    let taking = Taking::of(&reading.path);
    let left = taking.tolerance_si.map_or(0.0, |tolerance| (tolerance / reading.tolerance_si).min(1.0));
    if reading.basis == Basis::Measured && left > 0.9 {
        return None;
    }
    let learned = doubt.on_gain.abs() * (1.0 - left * left).sqrt();
    let sd = (chances.sd() * chances.sd() - learned * learned).max(0.0).sqrt();
    Some(Next {
        path: reading.path.clone(),
        of: match (reading.in_base, reading.in_candidate) {
            (true, false) => "base",
            (false, true) => "candidate",
            _ => "both",
        },
        basis: reading.basis,
        reading: Some(reading.clone()),
        then_si: taking.tolerance_si.map(|tolerance| tolerance.min(reading.tolerance_si)),
        procedure: taking.words,
        turns_fit: 0.0,
        turns_payoff: turns(chances.gain, learned, chances.repeatability),
        share_of_payoff: doubt.share,
        gap: None,
        half_width_then: SDS_IN_TOLERANCE * sd,
    })
}

/// Chance that a gain moves to another side of what a dyno can tell when `learned` (one standard deviation) comes to light:
/// less, no matter, more.
fn turns(gain: f64, learned: f64, repeatability: f64) -> f64 {
    if learned <= 0.0 {
        return 0.0;
    }
    let (low, high) = if gain > repeatability {
        (repeatability, f64::INFINITY)
    } else if gain < -repeatability {
        (f64::NEG_INFINITY, -repeatability)
    } else {
        (-repeatability, repeatability)
    };
    let normal = Normal::standard();
    let below = |limit: f64| normal.cdf((limit - gain) / learned);
    1.0 - (below(high) - below(low))
}

/// The least sure reading of a gap.
///
/// Pinned down it moves the gap by up to the square root of its share of the variance; the fit turns when that carries the gap
/// over its limit (or back over it, where this gap alone is short).
fn add_of_fit(found: &mut Vec<Next>, finding: &Finding, status: Status, chances: &Chances) {
    let Some(seen) = &finding.seen else { return };
    let Some(weakest) = &seen.weakest else { return };
    let known = seen.tolerance.value / SDS_IN_TOLERANCE * weakest.share.sqrt();
    // A gap whose doubt has no number says nothing about what would settle it.
    if !known.is_finite() || known <= 0.0 || weakest.share < LEAST_SHARE {
        return;
    }
    let spare = (seen.gap - finding.limit).value;
    let crosses = Normal::standard().cdf(-spare.abs() / known);
    // A gap that is short beside others that are short turns nothing by itself; it is still worth telling.
    let turns_fit = if finding.status == status || status == Status::Clear { crosses } else { 0.0 };
    let gap = (subject(finding), weakest.share);
    if let Some(next) = found.iter_mut().find(|next| next.path == weakest.path && next.of != "base") {
        next.turns_fit = next.turns_fit.max(turns_fit);
        if next.gap.as_ref().is_none_or(|known| known.1 < gap.1) {
            next.gap = Some(gap);
        }
        return;
    }
    if turns_fit < 1e-3 {
        return;
    }
    let taking = Taking::of(&weakest.path);
    found.push(Next {
        path: weakest.path.clone(),
        of: "candidate",
        basis: weakest.basis,
        reading: None,
        then_si: None,
        procedure: taking.words,
        turns_fit,
        turns_payoff: 0.0,
        share_of_payoff: 0.0,
        gap: Some(gap),
        half_width_then: chances.half_width,
    });
}

/// How a reading is taken.
struct Taking {
    words: String,
    /// What it is then known to.
    tolerance_si: Option<f64>,
}

/// A flow bench on the same head on one day repeats to this (racing press: 0.5 to 1 %).
const SAME_BENCH: f64 = 0.01;

/// What is said where no instrument takes a reading.
const BY_A_PULL: &str = "no instrument of a shop: a measured pull of the base, set against the predicted one";

impl Taking {
    fn of(path: &str) -> Self {
        if path.starts_with("flow.") && path.ends_with(".factor") {
            let words = "flow both heads on one bench, one day, one bore sleeve, against an orifice plate; three times each";
            return Self { words: words.to_owned(), tolerance_si: Some(SAME_BENCH) };
        }
        let Some(entry) = entry_of(path) else {
            return Self { words: BY_A_PULL.to_owned(), tolerance_si: None };
        };
        let tolerance_si = match &entry.form {
            Form::Reading { reads, usual, .. } => Some(reads.metric.difference_to_si(usual.measured)),
            _ => None,
        };
        let words = if entry.words.measure.is_empty() { BY_A_PULL } else { entry.words.measure };
        Self { words: words.to_owned(), tolerance_si }
    }
}
