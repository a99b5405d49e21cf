//! How likely a moving gap is under a value. Leaves out what one reading does to it, which is `moving_spread.rs`.

use crate::clearance::SAMPLES_SAVED;
use crate::moving_parts::{moving_parts, pair_least_m};
use crate::moving_spread::{Change, Of, off_by};
use crate::sampling::{chance_below, deviations};

/// A reading is bent where its bend gives more than this part of the gap's variance.
const BENT: f64 = 1e-3;

/// Samples of the bent readings, and how much wider than the readings they are spread: rare cases then come up among them,
/// each with the weight it deserves.
const N_BENT: u32 = 256;
const WIDER: f64 = 1.5;

/// Chances below this, or above 1 less this, are not worth following whole cylinders for.
const CERTAIN: f64 = 1e-4;

/// What is known of the spread of a pair's least gap.
pub struct Chances<'a> {
    of: &'a Of<'a>,
    straight: Vec<&'a Change>,
    bent: Vec<&'a Change>,
    /// Gaps at samples of the bent readings, all others as read, with their weights, which add to 1.
    gaps: Vec<(f64, f64)>,
}

impl<'a> Chances<'a> {
    /// Samples the readings that bend the gap, all at once. Most readings change a gap in proportion, and the sum of what they
    /// do is normal. But a valve that leaves the middle of its pocket only loses, and offsets of head, valve and pocket add up
    /// before they count: no sum over single readings knows that.
    pub fn new(of: &'a Of<'a>, changes: &'a [Change]) -> Self {
        let variance_m2: f64 = changes.iter().map(Change::variance_m2).sum();
        let (bent, straight) = changes
            .iter()
            .partition(|change: &&Change| 0.5 * change.bend_m * change.bend_m > BENT * variance_m2);
        let mut chances = Self { of, straight, bent, gaps: Vec::new() };
        chances.gaps = chances.sampled_gaps();
        chances
    }

    /// Standard deviation of the gap about its nominal value, in metres.
    pub fn sd_m(&self) -> f64 {
        let bent: f64 =
            self.gaps.iter().map(|(gap_m, weight)| weight * (gap_m - self.of.gap_m).powi(2)).sum();
        (self.straight_m2() + bent).sqrt()
    }

    /// Chance that the least gap is below a value, in metres: over the samples of the bent readings the normal chance that the
    /// straight ones do the rest; put right by some samples in which the whole cylinder is followed, unless it is certain.
    pub fn under(&self, below_m: f64, n_samples: u32) -> f64 {
        let sd_m = self.straight_m2().sqrt();
        let chance: f64 =
            self.gaps.iter().map(|(gap_m, weight)| weight * chance_below(below_m, *gap_m, sd_m)).sum();
        if chance < CERTAIN || 1.0 - chance < CERTAIN {
            return chance;
        }
        self.put_right(chance, below_m, n_samples.div_ceil(SAMPLES_SAVED))
    }

    /// The two ways to the gap agree in most samples, so few are enough to find what they differ by.
    fn put_right(&self, chance: f64, below_m: f64, n_samples: u32) -> f64 {
        let mut off = vec![0.0; self.straight.len() + self.bent.len()];
        let mut more_below = 0_i32;
        for sample_idx in 0..n_samples {
            deviations(sample_idx, &mut off);
            let (of_straight, of_bent) = off.split_at(self.straight.len());
            let all =
                moved(&self.straight, of_straight).chain(moved(&self.bent, of_bent)).collect::<Vec<_>>();
            let (cylinder, motions) = off_by(self.of, &all);
            let Ok(parts) = moving_parts(&cylinder, &motions) else { continue };
            let followed_m = pair_least_m(&parts, &cylinder, self.of.dips);
            let by_straight: f64 =
                self.straight.iter().zip(of_straight).map(|(change, off)| change.by_m * off).sum();
            let told_m = self.bent_gap_m(of_bent) + by_straight;
            more_below += i32::from(followed_m < below_m) - i32::from(told_m < below_m);
        }
        (chance + f64::from(more_below) / f64::from(n_samples.max(1))).clamp(0.0, 1.0)
    }

    fn straight_m2(&self) -> f64 {
        self.straight.iter().map(|change| change.by_m * change.by_m).sum()
    }

    fn sampled_gaps(&self) -> Vec<(f64, f64)> {
        if self.bent.is_empty() {
            return vec![(self.of.gap_m, 1.0)];
        }
        let mut off = vec![0.0; self.bent.len()];
        let mut gaps = Vec::new();
        for sample_idx in 0..N_BENT {
            deviations(sample_idx, &mut off);
            let square: f64 = off.iter().map(|off| off * off).sum();
            off.iter_mut().for_each(|off| *off *= WIDER);
            // Ratio of the two normal densities there, but for a factor that all samples share.
            gaps.push((self.bent_gap_m(&off), (-0.5 * square * (WIDER * WIDER - 1.0)).exp()));
        }
        let sum: f64 = gaps.iter().map(|(_, weight)| weight).sum();
        gaps.into_iter().map(|(gap_m, weight)| (gap_m, weight / sum)).collect()
    }

    /// The least gap with the bent readings off by so many standard deviations, in metres.
    fn bent_gap_m(&self, off: &[f64]) -> f64 {
        if self.bent.is_empty() {
            return self.of.gap_m;
        }
        let (cylinder, motions) = off_by(self.of, &moved(&self.bent, off).collect::<Vec<_>>());
        // A cylinder that cannot turn, or a margin that does not reach into its pocket at all, has no gap to compare.
        let gap_m = moving_parts(&cylinder, &motions)
            .map_or(f64::INFINITY, |parts| self.of.compared_m(&parts, &cylinder));
        let nominal_m = self.of.compared_m(self.of.parts, self.of.cylinder);
        if gap_m.is_finite() { self.of.gap_m + gap_m - nominal_m } else { self.of.gap_m }
    }
}

fn moved<'a>(changes: &'a [&Change], off: &'a [f64]) -> impl Iterator<Item = (&'a str, f64)> {
    changes.iter().zip(off).map(|(change, off)| (change.path.as_str(), change.sd * off))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::motions::Motions;
    use crate::moving_spread::{Nudges, changes_m};
    use fit::two_turns::{Pair, Way};
    use fit::two_turns_scan::find_dips_of;

    const DUNLIN: &str = include_str!("../../../demos/dunlin.build.toml");

    /// Reference: every reading drawn at random, the whole cylinder followed each time. Sums over single readings gave a tenth
    /// of the rare chances.
    #[test]
    fn regress_offsets_in_a_pocket_add_up_before_they_count() {
        const N: u32 = 8_000;
        let build = sheet::read_build(DUNLIN).unwrap_or_else(|problems| panic!("{problems}")).build;
        let cylinder = &build.cylinders[0];
        let motions = Motions::new(&cylinder.gear);
        let parts = moving_parts(cylinder, &motions).expect("it turns");
        let dips =
            |way: Way| find_dips_of(&parts, 5e-4, |pair| pair == Pair::ValveToPiston(0, way)).remove(0);
        let (radial, axial) = (dips(Way::Radial), dips(Way::Axial));
        let gap_m = pair_least_m(&parts, cylinder, &radial);
        let crank_deg = axial.dips[0].at;
        let of = Of { cylinder, motions: &motions, parts: &parts, dips: &radial, gap_m, crank_deg };
        let changes = changes_m(&of, &Nudges::default());
        let chances = Chances::new(&of, &changes);
        let all: Vec<&Change> = changes.iter().collect();
        let mut off = vec![0.0; all.len()];
        let mut followed_m = |idx| {
            deviations(idx, &mut off);
            let (cylinder, motions) = off_by(&of, &moved(&all, &off).collect::<Vec<_>>());
            pair_least_m(&moving_parts(&cylinder, &motions).expect("turns"), &cylinder, &radial)
        };
        let mut gaps: Vec<f64> = (0..N).map(&mut followed_m).collect();
        gaps.sort_by(f64::total_cmp);
        for share in [0.002, 0.005, 0.02, 0.1, 0.5, 0.9] {
            let told = chances.under(gaps[(share * f64::from(N)) as usize], 1024);
            // Half of a rare chance; of a common one what 64 followed cylinders leave open.
            assert!((told - share).abs() < (0.5 * share).min(0.1), "{share} of the cylinders, told {told}");
        }
    }
}
