//! How much of what several changes did together each of them brought: Shapley values, exactly or from sampled orders.
//! Leaves out what the changes are and how a mixture of them is judged; the caller judges all mixtures, so that it may
//! do so in batches.

use std::collections::BTreeMap;

/// Changes up to which all mixtures are worked out: 256 of them.
pub const MOST_EXACT: usize = 8;

/// The share of each change in `values[all] - values[none]`; the shares add up to it.
///
/// `values[set]` is what the mixture with the changes of `set` (one bit a change) comes to; there are 2^n of them.
///
/// The Shapley value: the mean gain that making the change brings, over all orders in which the changes could be made.
///
/// ```text
/// share_i = sum over sets S without i of  |S|! (n - |S| - 1)! / n!  (v(S + i) - v(S))
/// ```
/// Shapley (1953), A value for n-person games, in Contributions to the Theory of Games II, Princeton, pp. 307-317
/// (from memory).
pub fn exact_shares(values: &[f64]) -> Vec<f64> {
    let n = values.len().trailing_zeros() as usize;
    debug_assert_eq!(values.len(), 1 << n, "one value a set");
    let weights = order_weights(n);
    (0..n)
        .map(|idx| {
            let without = (0..values.len()).filter(|set| set & (1 << idx) == 0);
            without
                .map(|set| weights[set.count_ones() as usize] * (values[set | (1 << idx)] - values[set]))
                .sum()
        })
        .collect()
}

/// `s! (n - s - 1)! / n!` for every size s below n, by its own recurrence from `1/n` at s = 0.
fn order_weights(n: usize) -> Vec<f64> {
    let mut weight = 1.0 / n.max(1) as f64;
    (0..n)
        .map(|size| {
            let here = weight;
            weight *= (size + 1) as f64 / (n.saturating_sub(size + 1)).max(1) as f64;
            here
        })
        .collect()
}

/// Orders in which changes are made one after another, drawn evenly from all orders; each comes with its reverse.
#[derive(Clone, Debug, PartialEq)]
pub struct Orders {
    n: usize,
    pairs: Vec<[Vec<usize>; 2]>,
}

/// A share and how far it may be off for being sampled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SampledShare {
    /// The mean gain over the orders.
    pub share: f64,
    /// One standard deviation of that mean; 0 for a change that always brings the same.
    pub standard_error: f64,
}

impl Orders {
    /// `n_pairs` orders of `n` changes and their reverses. The same numbers give the same orders.
    ///
    /// An order is the ranking of one point of a scrambled Sobol sequence; a change that gains from coming late in an order
    /// comes early in its reverse, which takes much of the scatter away (antithetic sampling; Mitchell et al. (2022),
    /// Sampling permutations for Shapley value estimation, JMLR 23:43, section 3, from memory).
    ///
    /// At most 128 changes: a mixture is one bit a change.
    pub fn sample(n: usize, n_pairs: usize, seed: u32) -> Self {
        debug_assert!(n <= u128::BITS as usize, "{n} changes");
        let pairs = (0..n_pairs as u32)
            .map(|point| {
                let at: Vec<f32> =
                    (0..n as u32).map(|change| sobol_burley::sample(point, change, seed)).collect();
                let mut order: Vec<usize> = (0..n).collect();
                order.sort_by(|&a, &b| at[a].total_cmp(&at[b]));
                let reverse = order.iter().rev().copied().collect();
                [order, reverse]
            })
            .collect();
        Self { n, pairs }
    }

    /// Every mixture that the orders pass through, one bit a change, each once.
    pub fn sets(&self) -> Vec<u128> {
        let mut sets: Vec<u128> = vec![0];
        for order in self.pairs.iter().flatten() {
            sets.extend(order.iter().scan(0, |set, &change| {
                *set |= 1u128 << change;
                Some(*set)
            }));
        }
        sets.sort_unstable();
        sets.dedup();
        sets
    }

    /// The share of each change, from the values of all [`Orders::sets`]; they add up to the whole change exactly.
    ///
    /// `None` when a value is missing or there is no order.
    pub fn shares(&self, values: &BTreeMap<u128, f64>) -> Option<Vec<SampledShare>> {
        let mut gains: Vec<Vec<f64>> = vec![Vec::new(); self.n];
        for pair in &self.pairs {
            let mut of_pair = vec![0.0; self.n];
            for order in pair {
                let mut set = 0;
                let mut before = *values.get(&set)?;
                for &change in order {
                    set |= 1u128 << change;
                    let after = *values.get(&set)?;
                    of_pair[change] += (after - before) / pair.len() as f64;
                    before = after;
                }
            }
            for (gains, gain) in gains.iter_mut().zip(of_pair) {
                gains.push(gain);
            }
        }
        if self.pairs.is_empty() {
            return None;
        }
        Some(gains.iter().map(|gains| mean_and_error(gains)).collect())
    }
}

fn mean_and_error(gains: &[f64]) -> SampledShare {
    let n = gains.len() as f64;
    let mean = gains.iter().sum::<f64>() / n;
    let squares: f64 = gains.iter().map(|gain| (gain - mean) * (gain - mean)).sum();
    SampledShare { share: mean, standard_error: (squares / (n - 1.0).max(1.0) / n).sqrt() }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A game with pairs and a triple that only work together; the last change does nothing.
    fn game(n: usize, set: u128) -> f64 {
        let has = |idx: usize| f64::from(u8::from(set & (1 << idx) != 0));
        let alone: f64 = (0..n - 1).map(|idx| (idx as f64 - 1.5) * has(idx)).sum();
        alone + 3.0 * has(0) * has(1) - 2.0 * has(1) * has(2) + 5.0 * has(0) * has(1) * has(2)
    }

    /// Share of a change by walking through every order there is.
    fn by_all_orders(n: usize) -> Vec<f64> {
        /// Number of orders in which the changes outside `set` can follow; each leads through the same gain here.
        fn walk(n: usize, set: u128, shares: &mut [f64]) -> f64 {
            let left: Vec<usize> = (0..n).filter(|idx| set & (1 << idx) == 0).collect();
            if left.is_empty() {
                return 1.0;
            }
            let mut orders = 0.0;
            for idx in left {
                let after = set | (1 << idx);
                let below = walk(n, after, shares);
                shares[idx] += below * (game(n, after) - game(n, set));
                orders += below;
            }
            orders
        }
        let mut shares = vec![0.0; n];
        let orders = walk(n, 0, &mut shares);
        shares.iter().map(|share| share / orders).collect()
    }

    #[test]
    fn exact_shares_are_the_mean_over_all_orders() {
        for n in 4..=6 {
            let values: Vec<f64> = (0..1u128 << n).map(|set| game(n, set)).collect();
            let shares = exact_shares(&values);
            for (share, expected) in shares.iter().zip(by_all_orders(n)) {
                assert!((share - expected).abs() < 1e-12, "{share} {expected}");
            }
        }
    }

    #[test]
    fn exact_shares_add_up_and_idle_changes_get_nothing() {
        let n = 8;
        let values: Vec<f64> = (0..1u128 << n).map(|set| game(n, set)).collect();
        let shares = exact_shares(&values);
        let total = values[values.len() - 1] - values[0];
        assert!((shares.iter().sum::<f64>() - total).abs() < 1e-12 * total.abs());
        assert_eq!(shares[n - 1], 0.0);
    }

    #[test]
    fn exact_pair_halves_what_only_both_bring() {
        assert_eq!(exact_shares(&[0.0, 1.0, 2.0, 10.0]), [4.5, 5.5]);
    }

    /// Sampled shares lie within four of their own standard errors of the exact ones and add up exactly.
    #[test]
    fn converges_sampled_shares_to_exact_ones() {
        let n = 8;
        let values: Vec<f64> = (0..1u128 << n).map(|set| game(n, set)).collect();
        let exact = exact_shares(&values);
        let mut previous = f64::INFINITY;
        for n_pairs in [16, 256, 4096] {
            let orders = Orders::sample(n, n_pairs, 7);
            let values: BTreeMap<u128, f64> =
                orders.sets().into_iter().map(|set| (set, game(n, set))).collect();
            let shares = orders.shares(&values).expect("all sets are there");
            let total = game(n, (1 << n) - 1) - game(n, 0);
            assert!((shares.iter().map(|s| s.share).sum::<f64>() - total).abs() < 1e-9);
            let mut worst: f64 = 0.0;
            for (sampled, exact) in shares.iter().zip(&exact) {
                let off = (sampled.share - exact).abs();
                assert!(off <= 4.0 * sampled.standard_error + 1e-9, "{off} {sampled:?}");
                worst = worst.max(off);
            }
            assert!(worst < previous, "{worst} after {previous}");
            previous = worst;
        }
    }

    #[test]
    fn a_missing_mixture_is_told() {
        let orders = Orders::sample(3, 4, 1);
        assert_eq!(orders.shares(&BTreeMap::from([(0, 0.0)])), None);
    }
}
