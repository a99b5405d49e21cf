//! A search in words for a builder: first the answer, then why, then what it costs, then what was not looked at.

use sheet::plan::{Adjusted, AdjustedKind, Objective};

use super::answer::{BaseSeen, Excluded, SearchAnswer, Without, band_rpm, octane};
use super::limit::Broken;
use super::question::{Combination, Digit, Question};
use super::row::{Row, setting_shown};
use super::stages::{SAME_PERCENT, base_digit};
use crate::pull::USUAL_ERROR;
use crate::slack_search::Limited;

/// The answer in a few sentences; the first two let somebody decide.
pub fn verdict(question: &Question, answer: &SearchAnswer) -> Vec<String> {
    let n = question.n();
    let Some(named) = &answer.named else {
        let most = answer.excluded.first();
        let by = most.map_or(String::new(), |excluded| {
            format!(": {} alone excludes {}", limit_words(excluded.by), counted(excluded.n as u64))
        });
        return vec![
            format!("Nothing on this shelf keeps every limit{by}."),
            format!(
                "All {} combinations were looked at; loosen the limit that excludes most, or widen the shelf.",
                counted(n)
            ),
        ];
    };
    let tuned =
        answer.refined.first().filter(|refined| refined.is_better && refined.row.index == named.row.index);
    let row = tuned.map_or(&named.row, |refined| &refined.row);
    let settings = tuned.map(|refined| refined.settings_si.as_slice());
    let mut sentences = Vec::new();
    let what = changes(question, row.index, settings);
    if what.is_empty() {
        sentences.push("Leave it as it is: nothing that keeps every limit is worth its money.".to_owned());
    } else {
        sentences.push(format!("Take {}: {}.", what.join(", "), gain_words(question, answer, row)));
    }
    let cost = price_words(question, row.price);
    let metal =
        if row.metal_mm > 0.0 { format!(" and {:.2} mm of metal", row.metal_mm) } else { String::new() };
    let squeeze = row.compression.map_or(String::new(), |[_, high]| format!("; compression {high:.1} to 1"));
    sentences.push(if named.n_alike > 1 && named.best.index != named.row.index {
        format!(
            "It costs {cost}{metal}{squeeze}, and is the cheapest of {} that gain the same within {SAME_PERCENT:.0} %; the very best costs \
             {}.",
            named.n_alike,
            price_words(question, named.best.price)
        )
    } else {
        format!("It costs {cost}{metal}{squeeze}; nothing else within {SAME_PERCENT:.0} % of it is cheaper.")
    });
    if !row.margin_of.is_empty() {
        let margin = row.margin_mm.unwrap_or_default();
        let over = if margin >= 0.0 { "over" } else { "under" };
        let of = row.margin_of.replace('_', " ");
        sentences.push(format!(
            "It clears by the readings: nearest is {of}, {:.2} mm {over} its limit.",
            margin.abs()
        ));
    }
    sentences.extend(why(question, &named.without));
    if let Some(refined) = tuned {
        let by = refined.row.gives.zip(named.row.gives);
        let by = by.map_or(0.0, |(with, without)| {
            answer.base.score(question, &with, &answer.base.normal)
                - answer.base.score(question, &without, &answer.base.normal)
        });
        sentences.push(format!("Setting it between the steps of the plan gave another {by:.1} %."));
    }
    if !answer.base.broken.is_empty() {
        let list: Vec<String> = answer.base.broken.list().into_iter().map(limit_words).collect();
        sentences.push(format!("The base itself does not keep {}.", list.join(", ")));
    }
    sentences.push(format!(
        "Predicted without a measured pull: usually {:.0} to {:.0} % off in power, less between combinations of one engine.",
        100.0 * USUAL_ERROR[0],
        100.0 * USUAL_ERROR[1]
    ));
    sentences
}

/// `+3.1 % mean torque from 5200 to 7000 rpm, +4.0 % mean power above`.
fn gain_words(question: &Question, answer: &SearchAnswer, row: &Row) -> String {
    let Some(gives) = &row.gives else { return "not run".to_owned() };
    let [torque, power] = BaseSeen::gains(gives, &answer.base.normal);
    let [from, split, to] = band_rpm(question);
    format!(
        "mean torque from {from:.0} to {split:.0} rpm {torque:+.1} % ({:.0} N m), mean power from there to {to:.0} rpm {power:+.1} % \
         ({:.1} kW)",
        gives.torque_below_n_m, gives.power_above_kw
    )
}

/// What differs from the base, thing by thing.
pub fn changes(question: &Question, index: u64, settings_si: Option<&[f64]>) -> Vec<String> {
    let digits = question.space.digits(index);
    let mut combination = question.combination(index);
    if let Some(settings_si) = settings_si {
        combination.settings_si = settings_si.to_vec();
    }
    let mut all = Vec::new();
    for (digit, value) in question.digits.iter().zip(digits) {
        match digit {
            Digit::Choice(choice) if base_digit(question, *digit) != Some(value) => {
                let choice = &question.plan.choices[*choice];
                all.push(format!("{} \"{}\"", choice.name.replace('_', " "), choice.options[value].name));
            }
            Digit::Adjustment(at) => all.extend(setting_words(question, &combination, *at)),
            Digit::Choice(_) => {}
        }
    }
    all
}

/// A setting in words where it is not what the base has.
fn setting_words(question: &Question, combination: &Combination, at: usize) -> Option<String> {
    let of = question.plan.adjustments[at].of;
    let si = combination.settings_si[at];
    let left = super::setting::set(&mut question.plan.base.clone(), of, si) == Some(false);
    if left {
        return None;
    }
    let shown = setting_shown(of, si);
    let value = match of.kind() {
        AdjustedKind::Angle => format!("{:.1} deg", shown.abs()),
        AdjustedKind::Length => format!("{shown:.2} mm"),
        AdjustedKind::Ratio => format!("{shown:.3}"),
    };
    let way = if shown < 0.0 { "later" } else { "earlier" };
    Some(match of {
        Adjusted::CamAdvance => format!("both cams {value} {way}"),
        Adjusted::IntakeAdvance => format!("the intake cam {value} {way}"),
        Adjusted::ExhaustAdvance => format!("the exhaust cam {value} {way}"),
        Adjusted::GasketThickness => format!("a gasket of {value}"),
        Adjusted::Skim => format!("{value} off the head"),
        Adjusted::Deck => format!("{value} off the deck"),
        Adjusted::IntakeRatio => format!("intake rockers of {value}"),
        Adjusted::ExhaustRatio => format!("exhaust rockers of {value}"),
        Adjusted::IntakeLash => format!("intake lash {value}"),
        Adjusted::ExhaustLash => format!("exhaust lash {value}"),
    })
}

/// Which of the changes carry the gain, and which are needed to keep the limits.
fn why(question: &Question, without: &[Without]) -> Vec<String> {
    let name = |digit: Digit| match digit {
        Digit::Choice(choice) => question.plan.choices[choice].name.replace('_', " "),
        Digit::Adjustment(at) => question.plan.adjustments[at].of.key().replace('_', " "),
    };
    let mut gains: Vec<(f64, String)> = Vec::new();
    let mut needed: Vec<String> = Vec::new();
    for one in without {
        match (&one.row.gives, &one.with.gives) {
            (Some(back), Some(with)) if one.row.broken.is_empty() => {
                let gain = |with: f64, back: f64| 100.0 * (with / back - 1.0);
                let torque = gain(with.torque_below_n_m, back.torque_below_n_m);
                let power = gain(with.power_above_kw, back.power_above_kw);
                let weights = question.plan.prefer.map(f64::from);
                let weighted =
                    (torque * weights[0] + power * weights[1]) / (weights[0] + weights[1]).max(1.0);
                gains.push((
                    weighted,
                    format!("{} ({torque:+.1} % torque below, {power:+.1} % power above)", name(one.digit)),
                ));
            }
            _ => {
                let broken: Vec<String> = one.row.broken.list().into_iter().map(limit_words).collect();
                needed.push(format!("{} (else it breaks {})", name(one.digit), broken.join(" and ")));
            }
        }
    }
    gains.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut sentences = Vec::new();
    if !gains.is_empty() {
        let list: Vec<String> = gains.into_iter().map(|gain| gain.1).collect();
        sentences.push(format!("What each change adds to the others: {}.", list.join(", ")));
    }
    if !needed.is_empty() {
        sentences.push(format!("Needed to keep the limits: {}.", needed.join(", ")));
    }
    sentences
}

/// A limit as a builder says it.
pub fn limit_words(broken: Broken) -> String {
    match broken {
        Broken::Unbuildable => "parts that do not go together".to_owned(),
        Broken::Budget => "the budget".to_owned(),
        Broken::Metal => "the metal that may come off".to_owned(),
        Broken::CompressionLow => "the least compression".to_owned(),
        Broken::CompressionHigh => "the most compression".to_owned(),
        Broken::Knock => "knock".to_owned(),
        Broken::Retard => "the spark held too late by knock".to_owned(),
        Broken::NotRun => "a run that breaks off".to_owned(),
        Broken::Fit(Limited::Gap(check)) => format!("the limit {}", check.key().replace('_', " ")),
        Broken::Fit(Limited::TrainHeld(duty)) => {
            let duty = match duty {
                parts::Duty::Intake => "intake",
                parts::Duty::Exhaust => "exhaust",
            };
            format!("the {duty} springs at the rev limit")
        }
        Broken::Fit(Limited::QuenchAtSpeed) => "piston to head at the rev limit".to_owned(),
    }
}

/// A number with its thousands set apart.
pub fn counted(n: u64) -> String {
    let digits = n.to_string();
    let mut out = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            out.push(' ');
        }
        out.push(digit);
    }
    out
}

/// A price with its currency.
pub fn price_words(question: &Question, price: u64) -> String {
    match &question.plan.currency {
        Some(currency) => format!("{} {currency}", counted(price)),
        None => counted(price),
    }
}

/// The front as a table, the best by the plan's weights first; at most `most` rows of it.
pub fn front_rows(question: &Question, answer: &SearchAnswer, most: usize) -> Vec<Vec<String>> {
    let mut head = vec!["no.".to_owned(), "torque below".to_owned(), "power above".to_owned()];
    head.extend(["price", "metal off", "compression", "nearest limit", "knock", "what"].map(str::to_owned));
    let mut by_score: Vec<&Row> = answer.front.iter().collect();
    let score = |row: &Row| super::stages::score(question, &answer.base, row);
    by_score.sort_by(|a, b| score(b).total_cmp(&score(a)).then(a.index.cmp(&b.index)));
    let mut rows = vec![head];
    for row in by_score.into_iter().take(most) {
        let Some(gives) = &row.gives else { continue };
        let [torque, power] = BaseSeen::gains(gives, &answer.base.normal);
        let what = changes(question, row.index, None);
        rows.push(vec![
            row.index.to_string(),
            format!("{:.1} N m ({torque:+.1} %)", gives.torque_below_n_m),
            format!("{:.1} kW ({power:+.1} %)", gives.power_above_kw),
            counted(row.price),
            format!("{:.2} mm", row.metal_mm),
            row.compression.map_or(String::new(), |[_, high]| format!("{high:.1}")),
            format!("{:.2} mm {}", row.margin_mm.unwrap_or_default(), row.margin_of.replace('_', " ")),
            format!("{:.2}", gives.knock),
            if what.is_empty() { "as it is".to_owned() } else { what.join(", ") },
        ]);
    }
    rows
}

/// What was excluded, by which limit, as a table.
pub fn excluded_rows(excluded: &[Excluded]) -> Vec<Vec<String>> {
    let mut rows = vec![["limit", "break it", "break nothing else"].map(str::to_owned).to_vec()];
    for excluded in excluded {
        let words = limit_words(excluded.by);
        rows.push(vec![words, counted(excluded.n as u64), counted(excluded.n_alone as u64)]);
    }
    rows
}

/// What was done and how far it can be trusted.
pub fn method(question: &Question, answer: &SearchAnswer) -> Vec<String> {
    let n_run = answer.rows.iter().filter(|row| row.gives.is_some()).count() as u64;
    let recall = &answer.recall;
    let objectives: Vec<&str> =
        question.plan.objectives.iter().map(|objective| objective_words(*objective)).collect();
    let mut lines = vec![
        format!(
            "{} combinations: {} broke a limit before they were run, {} were run at screen fidelity at {} speeds, {} near the front at \
             normal.",
            counted(question.n()),
            counted(question.n() - n_run),
            counted(n_run),
            question.speeds_rpm.len(),
            counted(answer.n_normal as u64)
        ),
        format!(
            "The front is what no other beats in {}; it has {} combinations.",
            objectives.join(", "),
            answer.front.len()
        ),
    ];
    if recall.n_sample > 0 {
        lines.push(format!(
            "A random sample of {} that break no exact limit was run in full: of the {} that are best there, the stages would have \
             taken on {}. Screen and normal rank them apart by {:.1} % in torque and {:.1} % in power (one standard deviation); what \
             lay within {:.2} % of the front was taken on.",
            recall.n_sample,
            recall.n_true,
            recall.n_found,
            100.0 * recall.torque_spread,
            100.0 * recall.power_spread,
            100.0 * answer.margin,
        ));
    }
    lines
}

fn objective_words(objective: Objective) -> &'static str {
    match objective {
        Objective::TorqueBelow => "torque below the split",
        Objective::PowerAbove => "power above it",
        Objective::Cost => "cost",
        Objective::MetalRemoved => "metal taken off",
    }
}

/// What was assumed for all combinations alike.
pub fn assumptions(question: &Question) -> Vec<String> {
    let mut all = vec![
        "every combination is judged by its nominal readings; the chances that tolerances leave are told by headroom swap".to_owned(),
        "the spark is that of the base's sheet for every combination, unless the sheet lets it be found".to_owned(),
    ];
    let adjusts = |of: Adjusted| question.plan.adjustments.iter().any(|adjustment| adjustment.of == of);
    if adjusts(Adjusted::Skim) {
        all.push("a skim takes its depth times the area of the chamber's edge from the chamber, walls taken as upright: pour it \
                  afterwards".to_owned());
    }
    if let Some(octane) = octane(question) {
        all.push(format!("all run on fuel of research octane {octane:.0}; its motor octane is estimated"));
    }
    if question.plan.band.split.is_none() {
        all.push("below and above are parted in the middle of the band".to_owned());
    }
    all
}

/// Settings found between those of the plan.
pub fn refined_rows(question: &Question, answer: &SearchAnswer) -> Vec<Vec<String>> {
    let mut rows = vec![["from no.", "settings", "torque below", "power above"].map(str::to_owned).to_vec()];
    for refined in &answer.refined {
        let combination = Combination {
            settings_si: refined.settings_si.clone(),
            ..question.combination(refined.row.index)
        };
        let settings: Vec<String> = (0..question.plan.adjustments.len())
            .filter(|at| question.plan.adjustments[*at].continuous)
            .map(|at| {
                setting_words(question, &combination, at).unwrap_or_else(|| {
                    format!("{} as it is", question.plan.adjustments[at].of.key().replace('_', " "))
                })
            })
            .collect();
        let gains = refined.row.gives.as_ref().map(|gives| BaseSeen::gains(gives, &answer.base.normal));
        let [torque, power] = gains.unwrap_or_default();
        let kept = if refined.is_better { "" } else { " (no better found)" };
        rows.push(vec![
            refined.row.index.to_string(),
            settings.join(", ") + kept,
            format!("{torque:+.1} %"),
            format!("{power:+.1} %"),
        ]);
    }
    rows
}

/// The base in a line.
pub fn base_line(answer: &SearchAnswer) -> String {
    let gives = &answer.base.normal;
    let squeeze =
        answer.base.compression.map_or(String::new(), |[_, high]| format!(", compression {high:.1} to 1"));
    format!(
        "{}: {:.1} N m below, {:.1} kW above{squeeze}",
        answer.base.name, gives.torque_below_n_m, gives.power_above_kw
    )
}
