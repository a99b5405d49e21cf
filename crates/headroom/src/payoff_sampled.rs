//! Pairs of engines under the same sampled readings, marched and checked: what a payoff's linear reckoning of doubt is held
//! against. Leaves out what each reading does by itself: `payoff_doubt.rs`.

use cycle::fidelity::Fidelity;
use cycle::from_build::{LobeFits, model_with};
use cycle::model::Model;
use rayon::prelude::*;

use crate::check::{CheckOptions, check};
use crate::finding::Status;
use crate::payoff::{Pair, PayoffError, gain};
use crate::payoff_march::{BandSpeeds, March, all_means};
use crate::payoff_progress::{Doing, Progress};
use crate::payoff_readings::{PairedReading, moved};
use crate::sampling::{MOST_DIMENSIONS, deviations};

/// What sampled engines say.
#[derive(Clone, Debug, PartialEq)]
pub struct Sampled {
    /// Relative gain of each pair, in the order of the samples; pairs that do not run are left out.
    pub gains: Vec<f64>,
    /// Pairs that do not run.
    pub failed: usize,
    /// Pairs whose candidate, cuts made, also clears everywhere.
    pub clear: usize,
    /// Pairs whose candidate clears and gives more than the base.
    pub clear_and_better: usize,
}

impl Sampled {
    /// Standard deviation of the gains.
    pub fn sd(&self) -> f64 {
        let n = self.gains.len() as f64;
        let mean = self.gains.iter().sum::<f64>() / n;
        let squares: f64 = self.gains.iter().map(|gain| (gain - mean) * (gain - mean)).sum();
        (squares / (n - 1.0).max(1.0)).sqrt()
    }
}

/// Pairs of engines under the same sampled readings, each pair asked for its gain and its candidate whether it clears.
///
/// Samples come from a fixed quasi-random sequence, so they are the same every time and at any number of threads. A pull with
/// a speed that broke is compared over the others.
pub(crate) fn sampled(
    pair: &Pair,
    readings: &[PairedReading],
    band: &BandSpeeds,
    fidelity: Fidelity,
    n_samples: u32,
    fits: &LobeFits,
    progress: &Progress<'_>,
) -> Result<Sampled, PayoffError> {
    let some = &readings[..readings.len().min(MOST_DIMENSIONS as usize)];
    let pairs: Vec<Option<(Pair, [Model; 2])>> = (0..n_samples)
        .into_par_iter()
        .map(|sample| {
            let mut off = vec![0.0; some.len()];
            deviations(sample, &mut off);
            let pair = moved(pair, some, &off);
            let mut fits = fits.clone();
            let base = model_with(&pair.base, &mut fits).ok()?.0;
            let candidate = model_with(&pair.candidate, &mut fits).ok()?.0;
            Some((pair, [base, candidate]))
        })
        .collect();
    let failed = pairs.iter().filter(|pair| pair.is_none()).count();
    let pairs: Vec<(Pair, [Model; 2])> = pairs.into_iter().flatten().collect();
    let models: Vec<Model> = pairs.iter().flat_map(|(_, models)| models.iter().cloned()).collect();
    let marched = March::of(Doing::Samples, &models, &band.speeds_rpm, fidelity).run(progress)?;
    let clears: Vec<bool> = pairs
        .par_iter()
        .map(|(pair, _)| {
            check(&pair.candidate, &CheckOptions { n_samples: 1 }).status() <= Status::Unmeasured
        })
        .collect();
    let mut all = Sampled { gains: Vec::new(), failed, clear: 0, clear_and_better: 0 };
    for (pulls, clears) in marched.chunks(2).zip(clears) {
        let Some(means) = all_means(pulls, band) else {
            all.failed += 1;
            continue;
        };
        let gain = gain(&[means[0], means[1]]);
        all.gains.push(gain);
        all.clear += usize::from(clears);
        all.clear_and_better += usize::from(clears && gain > 0.0);
    }
    Ok(all)
}
