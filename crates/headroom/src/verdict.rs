//! What a swap comes to: does the candidate clear, and what does it do to compression?

use parts::Build;
use sheet::{Candidate, PartName};
use units::UnitSystem;

use crate::check::{CheckAnswer, CheckOptions, check};
use crate::finding::Status;
use crate::volumes_change::{ChangeShare, CompressionChange, CylinderChange, compression_change};
use crate::volumes_words::ratio;
use crate::words;

/// The answer for one candidate.
#[derive(Clone, Debug)]
pub struct SwapAnswer {
    /// Name of the candidate.
    pub name: String,
    /// Parts that differ from the base and matter for fit and compression.
    pub parts_replaced: Vec<PartName>,
    /// Whether it clears.
    pub fit: CheckAnswer,
    /// Whether the base clears, by the same readings.
    pub base_status: Status,
    /// What happens to compression, and which change is to thank or to blame.
    pub compression: CompressionChange,
    /// Number of cylinders.
    pub n_cylinders: usize,
    /// Remarks of the sheet reader.
    pub notes: Vec<String>,
}

/// Judges a candidate against its base.
pub fn swap(base: &Build, candidate: &Candidate, options: &CheckOptions) -> SwapAnswer {
    SwapAnswer {
        name: candidate.name.clone(),
        parts_replaced: candidate.parts_replaced.iter().copied().filter(|part| !part.only_runs()).collect(),
        fit: check(&candidate.build, options),
        // How the base stands needs no chances.
        base_status: check(base, &CheckOptions { n_samples: 1 }).status(),
        compression: compression_change(base, candidate),
        n_cylinders: candidate.build.cylinders.len(),
        notes: candidate.notes.clone(),
    }
}

/// The answer in a few sentences; the first says whether it clears, the second what compression does.
pub fn sentences(answer: &SwapAnswer, system: UnitSystem) -> Vec<String> {
    let mut sentences = words::verdict(&answer.fit, answer.n_cylinders, system);
    if let Some(change) = largest(&answer.compression) {
        sentences.insert(1.min(sentences.len()), compression_sentence(change, &answer.compression));
    }
    match answer.base_status {
        Status::Hits => sentences.push("The base itself does not clear by these readings.".to_owned()),
        Status::Tight => sentences.push("The base itself is under a limit by these readings.".to_owned()),
        Status::Clear | Status::Unmeasured => {}
    }
    sentences
}

/// The cylinder where compression changes most.
fn largest(compression: &CompressionChange) -> Option<&CylinderChange> {
    let size = |change: &CylinderChange| change.difference.value.value.abs();
    compression.groups.iter().max_by(|a, b| size(a).total_cmp(&size(b)))
}

fn compression_sentence(change: &CylinderChange, all: &CompressionChange) -> String {
    let by = change.difference.value.value;
    let on = if all.groups.len() > 1 { " where it changes most" } else { "" };
    if by.abs() < 0.5 * change.difference.tolerance.value.max(LEAST_SAID) {
        return format!(
            "Compression stays at {} as far as these readings can tell.",
            ratio(&change.candidate)
        );
    }
    let goes = if by > 0.0 { "rises" } else { "falls" };
    let reasons: Vec<String> = change.shares.iter().take(2).filter_map(|share| reason(share, by)).collect();
    let because = if reasons.is_empty() { String::new() } else { format!(": {}", reasons.join(", ")) };
    format!("Compression {goes} from {} to {}{on}{because}.", ratio(&change.base), ratio(&change.candidate))
}

/// The smallest change of compression worth a word.
const LEAST_SAID: f64 = 0.02;

/// `the chamber volume takes 1.3`, for a share that counts beside the whole change.
fn reason(share: &ChangeShare, whole: f64) -> Option<String> {
    const WORTH_SAYING: f64 = 0.1;
    let by = share.share.value.value;
    (by.abs() > (WORTH_SAYING * whole.abs()).max(LEAST_SAID)).then(|| {
        let verb = if by > 0.0 { "gives" } else { "takes" };
        format!("{} {verb} {:.2}", share.change.words(), by.abs())
    })
}
