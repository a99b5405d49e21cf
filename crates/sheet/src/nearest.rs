//! Which valid word somebody probably meant.

/// Less alike than this, and a suggestion would be a guess.
const LEAST_ALIKE: f64 = 0.75;

/// The valid word most like `typed`; `None` when none is much like it.
pub(crate) fn nearest<'w>(typed: &str, words: impl Iterator<Item = &'w str>) -> Option<&'w str> {
    if typed.len() > 60 {
        return None;
    }
    let typed = typed.to_lowercase().replace(['-', ' '], "_");
    let alike = words.map(|word| (word, strsim::jaro_winkler(&typed, word)));
    let best = alike.max_by(|a, b| a.1.total_cmp(&b.1))?;
    (best.1 >= LEAST_ALIKE).then_some(best.0)
}
