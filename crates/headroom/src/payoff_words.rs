//! A payoff in words: the first sentence decides, then the reasons, the biggest first. Leaves out the fit, which has its own
//! sentence before.

use cycle::speed_point::SpeedPoint;
use units::{Power, Quantity, Torque, UnitSystem, show_decimals};

use crate::finding::Status;
use crate::lift_words::tens;
use crate::payoff::{Outside, PayoffAnswer, Share};
use crate::payoff_demand::{Demand, MOST_MACH_INDEX};
use crate::payoff_next::Next;
use crate::relief::Outcome;
use crate::words::chance;

/// What a gain comes to, for somebody who must decide.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Worth {
    /// More, and a dyno would show it.
    Better,
    /// Probably more, but a dyno may not show it.
    PerhapsBetter,
    /// Nothing a dyno could show.
    NoMatter,
    /// Probably less, but a dyno may not show it.
    PerhapsWorse,
    /// Less, and a dyno would show it.
    Worse,
    /// Not to be told from these readings.
    Unknown,
}

/// Chances from which something is said without a perhaps.
const SURE: f64 = 0.8;
/// Chances from which something is said with one.
const LIKELY: f64 = 0.9;

impl Worth {
    /// Of an answer.
    pub fn of(answer: &PayoffAnswer) -> Self {
        let chances = &answer.chances;
        let between = 1.0 - chances.shows_better - chances.shows_worse;
        if chances.shows_better >= SURE {
            Self::Better
        } else if chances.shows_worse >= SURE {
            Self::Worse
        } else if between >= SURE {
            Self::NoMatter
        } else if chances.better >= LIKELY {
            Self::PerhapsBetter
        } else if chances.better <= 1.0 - LIKELY {
            Self::PerhapsWorse
        } else if between >= 0.5 {
            Self::NoMatter
        } else {
            Self::Unknown
        }
    }

    /// A word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Better => "better",
            Self::PerhapsBetter => "perhaps better",
            Self::NoMatter => "no matter",
            Self::PerhapsWorse => "perhaps worse",
            Self::Worse => "worse",
            Self::Unknown => "unknown",
        }
    }
}

/// The answer in a few sentences; the first, after that about the fit, lets the user decide.
pub fn sentences(answer: &PayoffAnswer, fit: Status, system: UnitSystem) -> Vec<String> {
    let mut sentences = vec![decision(answer, fit, system)];
    sentences.extend(knocking(answer));
    sentences.extend(reasons(&answer.shares));
    sentences.extend(answer.respark.map(|gain| resparked(answer.gain, gain)));
    sentences.extend(peaks(answer, system));
    sentences.extend(outside(&answer.outside));
    sentences.extend(answer.demand.as_ref().map(demanded));
    sentences.push(doubt(answer));
    sentences
}

/// Build it or leave it.
fn decision(answer: &PayoffAnswer, fit: Status, system: UnitSystem) -> String {
    let worth = Worth::of(answer);
    let gives = gives(answer, system);
    let shown = shown(answer);
    if let Some(cut) = answer.cut.as_ref().filter(|cut| cut.outcome == Outcome::DoesNot) {
        let because = lower_first(cut.because.trim_end_matches('.'));
        let then = if cut.made { "with that cut" } else { "if it turned all the same" };
        let so = match worth {
            Worth::Better | Worth::PerhapsBetter => "so it is worth another way to the room",
            Worth::NoMatter => "which no dyno would show, so nothing is lost by leaving it",
            Worth::Worse | Worth::PerhapsWorse => "so nothing is lost by leaving it",
            Worth::Unknown => "which says neither yes nor no",
        };
        return format!("Do not build it like this: {because}; and {then} it would {gives}, {so}.");
    }
    let (it, would) = match (&answer.cut, fit) {
        (Some(_), _) => ("With the cut made it", "would "),
        (None, Status::Hits) => ("If it did not hit it", "would "),
        _ => ("It", ""),
    };
    let verb = |plain: &str, after_would: &str| {
        if would.is_empty() { plain.to_owned() } else { format!("would {after_would}") }
    };
    let gives =
        if would.is_empty() { gives.replacen("give ", "gives ", 1) } else { format!("would {gives}") };
    match worth {
        Worth::Better => format!("{it} {} worth doing: it {gives}, {shown}.", verb("is", "be")),
        Worth::Worse => format!("{it} {} a step back: it {gives}, {shown}.", verb("is", "be")),
        Worth::NoMatter => {
            format!("{it} {} no difference worth the work: it {gives}, {shown}.", verb("makes", "make"))
        }
        Worth::PerhapsBetter => {
            format!(
                "{it} {} probably a little better, perhaps not by what a dyno shows: it {gives}, {shown}.",
                verb("is", "be")
            )
        }
        Worth::PerhapsWorse => {
            format!(
                "{it} {} probably a little worse, perhaps not by what a dyno shows: it {gives}, {shown}.",
                verb("is", "be")
            )
        }
        Worth::Unknown => {
            let first =
                answer.next.first().map_or(String::new(), |next| format!("; measure {} first", next.path));
            format!("Whether it is better cannot be told from these readings: it {gives}, {shown}{first}.")
        }
    }
}

/// `give 3.1 % (± 1.8) less torque from 3400 to 6000 rpm, 5 N m on average`.
fn gives(answer: &PayoffAnswer, system: UnitSystem) -> String {
    let [from, to] = answer.band_rpm;
    let way = if answer.gain < 0.0 { "less" } else { "more" };
    let by = (answer.means[1].torque_n_m - answer.means[0].torque_n_m).abs();
    let weighted = if answer.weighted { " as weighted" } else { "" };
    format!(
        "give {} % (± {}) {way} torque from {} to {} rpm{weighted}, {} on average",
        percent(answer.gain.abs()),
        percent(answer.chances.half_width),
        tens(from),
        tens(to),
        torque_text(by, system),
    )
}

/// `more than the 1 % a dyno repeats to with a chance of 93 %`.
fn shown(answer: &PayoffAnswer) -> String {
    let chances = &answer.chances;
    let more = if answer.gain < 0.0 { chances.shows_worse } else { chances.shows_better };
    format!(
        "with a chance of {} that it is more than the {} % a dyno repeats to",
        chance(more),
        percent(chances.repeatability)
    )
}

/// Percent with a decimal, without one from ten on.
pub fn percent(share: f64) -> String {
    let value = 100.0 * share;
    if value.abs() < 9.95 { format!("{value:.1}") } else { format!("{value:.0}") }
}

/// The same with its sign.
pub fn signed_percent(share: f64) -> String {
    let text = percent(share.abs());
    let sign = if text == "0.0" {
        ""
    } else if share < 0.0 {
        "-"
    } else {
        "+"
    };
    format!("{sign}{text}")
}

fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_lowercase().chain(letters).collect())
}

fn in_band(answer: &PayoffAnswer, of: usize) -> impl Iterator<Item = &SpeedPoint> {
    let [from, to] = answer.band_rpm;
    answer.points[of].iter().filter(move |point| from - 0.5 <= point.rpm && point.rpm <= to + 0.5)
}

/// What knock has to say: it breaks pistons, so it comes before the reasons.
fn knocking(answer: &PayoffAnswer) -> Option<String> {
    let knocks =
        |of: usize| in_band(answer, of).filter(|point| point.cylinders.iter().any(|c| c.knock > 1.0)).count();
    let held = |of: usize| {
        in_band(answer, of).filter(|point| point.cylinders.iter().any(|c| c.knock_limited)).count()
    };
    let n = in_band(answer, 1).count();
    let (knock, limited) = ([knocks(0), knocks(1)], [held(0), held(1)]);
    if knock[1] > 0 {
        return Some(format!(
            "It would knock at {} of {n} speeds with the spark it is given ({} before the change): less advance, less compression \
             or more octane, and listen for it; the torque above reckons with no damage.",
            knock[1], knock[0]
        ));
    }
    (limited[1] != limited[0]).then(|| {
        format!(
            "Knock holds its spark back at {} of {n} speeds, that of the base at {}.",
            limited[1], limited[0]
        )
    })
}

/// The shares in a sentence, as far as they count beside the largest.
fn reasons(shares: &[Share]) -> Option<String> {
    const WORTH_SAYING: f64 = 0.05;
    const LEAST: f64 = 5e-4;
    let largest = shares.first()?.gain.abs();
    let told = shares.iter().filter(|share| share.gain.abs() >= (WORTH_SAYING * largest).max(LEAST)).take(4);
    let list: Vec<String> =
        told.map(|share| format!("{} {} %", share.group.name, signed_percent(share.gain))).collect();
    (!list.is_empty()).then(|| format!("Biggest reason first: {}.", list.join(", ")))
}

/// What is left of it when each engine gets its own timing.
fn resparked(gain: f64, anew: f64) -> String {
    let way = if anew < 0.0 { "less" } else { "more" };
    let much = if (anew - gain).abs() < 0.005 {
        "the timing given is not the reason"
    } else {
        "the rest is timing, which costs nothing to set"
    };
    format!(
        "With the spark set anew for each, as early as knock allows, it would be {} % {way} torque: {much}.",
        percent(anew.abs())
    )
}

fn peaks(answer: &PayoffAnswer, system: UnitSystem) -> Option<String> {
    let peak = |of: usize, size: &dyn Fn(&SpeedPoint) -> f64| {
        answer.points[of].iter().max_by(|a, b| size(a).total_cmp(&size(b)))
    };
    let torque = |of: usize| peak(of, &|point| point.torque_n_m);
    let power = |of: usize| peak(of, &|point| point.power_w);
    let (t0, t1, p0, p1) = (torque(0)?, torque(1)?, power(0)?, power(1)?);
    Some(format!(
        "Peak torque goes from {} at {} rpm to {} at {}, peak power from {} at {} to {} at {}.",
        torque_text(t0.torque_n_m, system),
        tens(t0.rpm),
        torque_text(t1.torque_n_m, system),
        tens(t1.rpm),
        power_text(p0.power_w, system),
        tens(p0.rpm),
        power_text(p1.power_w, system),
        tens(p1.rpm),
    ))
}

fn outside(outside: &[Outside]) -> Option<String> {
    let list: Vec<String> = outside
        .iter()
        .map(|one| {
            let gain = one.means[1].torque_n_m / one.means[0].torque_n_m - 1.0;
            let way = if gain < 0.0 { "less" } else { "more" };
            let side = if one.above { "above" } else { "below" };
            format!(
                "{side} it ({} to {} rpm) {} % {way}",
                tens(one.rpm[0]),
                tens(one.rpm[1]),
                percent(gain.abs())
            )
        })
        .collect();
    (!list.is_empty()).then(|| format!("Beside the band: {}.", list.join(", ")))
}

fn demanded(demand: &Demand) -> String {
    let costs: Vec<String> = demand
        .with_flow
        .iter()
        .map(|(flow, gain)| {
            let way = if *flow < 1.0 { "less" } else { "more" };
            let does = if *gain < 0.0 { "cost" } else { "give" };
            format!("{:.0} % {way} would {does} {} %", 100.0 * (flow - 1.0).abs(), percent(gain.abs()))
        })
        .collect();
    let reckoned = if demand.reckoned { ", reckoned from there" } else { "" };
    format!(
        "At {} rpm the engine can use {:.0} % of the intake flow the head has (Mach index {:.2}; {MOST_MACH_INDEX:.1} is passed at \
         {} rpm{reckoned}); flow {}.",
        tens(demand.at_rpm),
        (100.0 * demand.flow_needed).min(100.0),
        demand.mach_index,
        tens(demand.limit_rpm),
        costs.join(", "),
    )
}

fn doubt(answer: &PayoffAnswer) -> String {
    let chances = &answer.chances;
    format!(
        "The ± is {} % from the readings, {} % from the model (a third of each change's share, common practice and judgement, no \
         publication) and {} % from the grid.",
        percent(chances.from_readings),
        percent(chances.from_model),
        percent(chances.from_grid),
    )
}

/// Torque for people.
pub fn torque_text(n_m: f64, system: UnitSystem) -> String {
    let decimals = usize::from(n_m.abs() < 9.95);
    show_decimals(Torque::from_si(n_m), system, decimals)
}

fn power_text(w: f64, system: UnitSystem) -> String {
    let decimals = match system {
        UnitSystem::Metric => 1,
        UnitSystem::Inch => 0,
    };
    show_decimals(Power::from_si(w), system, decimals)
}

/// Characters across the bars of a waterfall.
const BAR: usize = 32;

/// The waterfall from base to candidate: what, torque, percent, bar.
pub fn waterfall(answer: &PayoffAnswer, system: UnitSystem) -> Vec<Vec<String>> {
    let steps = steps(answer);
    let low = steps.iter().map(|(from, to)| from.min(*to)).fold(f64::INFINITY, f64::min);
    let high = steps.iter().map(|(from, to)| from.max(*to)).fold(f64::NEG_INFINITY, f64::max);
    let at = |torque: f64| ((torque - low) / (high - low).max(1e-9) * (BAR - 1) as f64).round() as usize;
    let [base, candidate] = answer.means.map(|mean| mean.torque_n_m);
    let mark = |torque: f64| format!("{}|", " ".repeat(at(torque)));
    let mut rows = vec![vec!["base".to_owned(), torque_text(base, system), String::new(), mark(base)]];
    for (share, (from, to)) in answer.shares.iter().zip(&steps) {
        let (left, right) = (at(from.min(*to)), at(from.max(*to)));
        let letter = if share.gain < 0.0 { "-" } else { "+" };
        let bar = format!("{}{}", " ".repeat(left), letter.repeat((right - left).max(1)));
        let error = if share.standard_error > 0.0 {
            format!(" (± {})", percent(1.96 * share.standard_error))
        } else {
            String::new()
        };
        rows.push(vec![
            share.group.name.clone(),
            signed_torque(share.torque_n_m, system),
            format!("{} %{error}", signed_percent(share.gain)),
            bar,
        ]);
    }
    rows.push(vec![
        "candidate".to_owned(),
        torque_text(candidate, system),
        format!("{} %", signed_percent(answer.gain)),
        mark(candidate),
    ]);
    rows
}

/// Torque before and after each share, in the order of the answer.
pub(crate) fn steps(answer: &PayoffAnswer) -> Vec<(f64, f64)> {
    let mut level = answer.means[0].torque_n_m;
    answer
        .shares
        .iter()
        .map(|share| {
            let from = level;
            level += share.torque_n_m;
            (from, level)
        })
        .collect()
}

fn signed_torque(n_m: f64, system: UnitSystem) -> String {
    let text = show_decimals(Torque::from_si(n_m.abs()), system, 1);
    let sign = if text.starts_with("0.0 ") {
        ""
    } else if n_m < 0.0 {
        "-"
    } else {
        "+"
    };
    format!("{sign}{text}")
}

/// What to measure next: reading, how, what it would settle.
pub fn next_rows(next: &[Next], system: UnitSystem) -> Vec<Vec<String>> {
    next.iter()
        .map(|one| {
            let mut why = Vec::new();
            if one.turns_fit >= 0.001 {
                why.push(format!("turns the fit with a chance of {}", chance(one.turns_fit)));
            }
            if one.turns_payoff >= 0.001 {
                why.push(format!("turns the payoff with a chance of {}", chance(one.turns_payoff)));
            }
            if one.share_of_payoff > 0.0 {
                why.push(format!(
                    "{:.0} % of the readings' doubt in the payoff, ± {} % would be left",
                    100.0 * one.share_of_payoff,
                    percent(one.half_width_then)
                ));
            }
            if let Some((gap, share)) = &one.gap {
                why.push(format!("{:.0} % of the doubt in {gap}", 100.0 * share));
            }
            let mut how = one.procedure.clone();
            let then = one.then(system);
            if !then.is_empty() {
                how = format!("{how}; now {} ({}), then {then}", one.now(system), one.basis);
            }
            let of = if one.of == "both" { String::new() } else { format!(" of the {}", one.of) };
            vec![format!("{}{of}", one.path), how, why.join("; ")]
        })
        .collect()
}
