//! The report's part about what to measure next: readings without which something cannot be told, then the least sure
//! ones, those first that could still turn an answer.

use handover::Section;
use headroom::finding::{Cure, Status};
use headroom::relief_words::left_words;
use headroom::{payoff_words, volumes_words, words};

use super::report_document::{self, Answered, paragraph, table};
use super::volumes::small;

/// A reading worth a line makes at least this much of a gap's variance.
const LEAST_SHARE: f64 = 0.1;

/// Below this the answer is settled for all that one more reading could say: a chance under 0.1 % or over 99.9 %.
const LEAST_OPEN: f64 = 1e-3;

/// The section.
pub fn section(answered: &Answered) -> Section {
    let mut rows = missing(answered);
    match &answered.payoff {
        Some(Ok(payoff)) => {
            rows.extend(payoff_words::next_rows(&payoff.next, answered.system));
            for row in least_sure(answered) {
                if !rows.iter().any(|other| is_of(&other[0], &row[0])) {
                    rows.push(row);
                }
            }
        }
        _ => rows.extend(least_sure(answered)),
    }
    if let Some(compression) = of_compression(answered) {
        match rows.iter_mut().find(|row| is_of(&row[0], &compression[0])) {
            Some(row) => row[2] = format!("{}; {}", row[2], compression[2]),
            None => rows.push(compression),
        }
    }
    if rows.is_empty() {
        let text = "Nothing: no reading is missing, and none is unsure.";
        return report_document::section("Measure next", vec![paragraph(text)]);
    }
    let second = if matches!(answered.payoff, Some(Ok(_))) { "how, or what it is now" } else { "it is" };
    let head = ["reading", second, "why"].map(str::to_owned).to_vec();
    rows.insert(0, head);
    report_document::section("Measure next", vec![table(rows, &[])])
}

/// Whether a row is about a reading, whichever engine it is said to be of.
fn is_of(row: &str, path: &str) -> bool {
    row.strip_prefix(path).is_some_and(|rest| rest.is_empty() || rest.starts_with(" of the "))
}

/// What no check can do without.
fn missing(answered: &Answered) -> Vec<Vec<String>> {
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut add = |reading: &str, why: String| {
        if !rows.iter().any(|row| row[0] == reading) {
            rows.push(vec![reading.to_owned(), "missing".to_owned(), why]);
        }
    };
    for finding in &answered.swap.fit.findings {
        for cure in &finding.cures {
            if let Cure::Measure(path) = cure {
                add(path, format!("{} cannot be told without it", words::subject(finding)));
            }
        }
    }
    let relief = &answered.relief;
    let block = relief.valves.iter().filter_map(|one| one.cut.as_ref().ok()).map(|cut| &cut.left);
    let crown = relief.pistons.iter().filter_map(|one| one.cut.as_ref().ok()).map(|cut| &cut.left);
    for line in block.chain(crown).flatten() {
        if let (None, Some(needed)) = (line.left, line.needed) {
            add(needed, format!("{} after the cut cannot be told without it", left_words(line.of)));
        }
    }
    rows
}

/// The least sure reading of each gap that is open, too small or in the way, those first whose answer is most open.
fn least_sure(answered: &Answered) -> Vec<Vec<String>> {
    let mut found: Vec<(f64, Vec<String>)> = Vec::new();
    for finding in &answered.swap.fit.findings {
        let Some(seen) = &finding.seen else { continue };
        let Some(weakest) = seen.weakest.as_ref().filter(|weakest| weakest.share >= LEAST_SHARE) else {
            continue;
        };
        // The variance of a yes-or-no answer: greatest when it is as likely as not, nothing when it is certain.
        let open = seen.chance_under_limit * (1.0 - seen.chance_under_limit);
        if open < LEAST_OPEN && !matches!(finding.status, Status::Hits | Status::Tight) {
            continue;
        }
        let why = format!(
            "{:.0} % of the doubt in {}, which is under its limit with a chance of {}",
            100.0 * weakest.share,
            words::subject(finding),
            words::chance(seen.chance_under_limit)
        );
        match found.iter_mut().find(|(_, row)| row[0] == weakest.path) {
            Some((most, row)) if open > *most => (*most, row[2]) = (open, why),
            Some(_) => {}
            None => found.push((open, vec![weakest.path.clone(), weakest.basis.to_string(), why])),
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.into_iter().map(|(_, row)| row).collect()
}

/// The reading that makes the candidate's compression most uncertain.
fn of_compression(answered: &Answered) -> Option<Vec<String>> {
    let group = answered.volumes[1]
        .groups
        .iter()
        .max_by(|a, b| a.compression.tolerance.value.total_cmp(&b.compression.tolerance.value))?;
    let effect = group.effects.first()?;
    let share = 100.0 * volumes_words::share_of_variance(effect, &group.effects);
    Some(vec![
        effect.path.clone(),
        effect.basis.word().to_owned(),
        format!("moves compression by {}, {share:.0} % of the doubt in it", small(effect.effect)),
    ])
}
