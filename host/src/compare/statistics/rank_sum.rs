//! The distribution of the rank sum of two groups that are alike, of one stratum or the sum over several.
//!
//! Mann and Whitney, Annals of Mathematical Statistics 18 (1947); over strata, van Elteren, Bulletin of the International Statistical
//! Institute 37 (1960), with each stratum's pairs counted as they are.

use crate::stats::{above, reach};

/// Up to so many pairs the distribution is counted; beyond, it is next to normal.
const COUNTED: usize = 400;

/// How many pairs of a value of the first group and one of the second have the second greater, where nothing differs: ties are none.
pub struct RankSum {
    /// Probability of each number of pairs, from 0 on; empty where it is not counted.
    probabilities: Vec<f64>,
    mean: f64,
    deviation: f64,
}

impl RankSum {
    /// For these numbers of values in the first and the second group, stratum by stratum.
    #[must_use]
    pub fn of(strata: &[(usize, usize)]) -> Self {
        let pairs: usize = strata.iter().map(|(a, b)| a * b).sum();
        let variance: f64 = strata.iter().map(|&(a, b)| (a * b * (a + b + 1)) as f64 / 12.0).sum();
        let mut probabilities = Vec::new();
        if pairs <= COUNTED {
            probabilities.push(1.0);
            for &(a, b) in strata {
                probabilities = together(&probabilities, &one(a, b));
            }
        }
        Self { probabilities, mean: pairs as f64 / 2.0, deviation: variance.sqrt() }
    }

    /// The probability of at least so many pairs, of which ties are a half each. Beyond what is counted, by the normal distribution with a
    /// correction for continuity.
    #[must_use]
    pub fn at_least(&self, pairs: f64) -> f64 {
        if self.probabilities.is_empty() {
            return above((pairs - 0.5 - self.mean) / self.deviation.max(f64::MIN_POSITIVE)).min(1.0);
        }
        let from = pairs.ceil().max(0.0) as usize;
        self.probabilities.iter().skip(from).sum::<f64>().min(1.0)
    }

    /// The greatest number of pairs, counted from either end, that leaves out no more than `part` on that side: which of the ordered
    /// differences bounds the interval (Hollander, Wolfe and Chicken, Nonparametric Statistical Methods, 3rd ed., 4.3). None, where
    /// there are too few to leave out so little.
    #[must_use]
    pub fn leaves_out(&self, part: f64) -> Option<usize> {
        let bound = if self.probabilities.is_empty() {
            (self.mean - 0.5 - reach(1, part) * self.deviation).floor() + 1.0
        } else {
            let mut below = 0.0;
            let within = self.probabilities.iter().take_while(|p| {
                below += **p;
                below <= part
            });
            within.count() as f64
        };
        (bound >= 1.0).then_some(bound as usize)
    }
}

/// Probability of each number of pairs of one stratum, by the recursion of Mann and Whitney: the greatest value of all is of either group.
fn one(a: usize, b: usize) -> Vec<f64> {
    // rows[j] is the distribution for i values of the first group and j of the second.
    let mut rows: Vec<Vec<f64>> = vec![vec![1.0]; b + 1];
    for i in 1..=a {
        for j in 1..=b {
            let all = (i + j) as f64;
            let (fewer, row) = (rows[j - 1].clone(), rows[j].clone());
            let mut next = vec![0.0; i * j + 1];
            for (at, p) in row.iter().enumerate() {
                next[at] += p * i as f64 / all;
            }
            // The greatest is of the second group: it is above all i of the first.
            for (at, p) in fewer.iter().enumerate() {
                next[at + i] += p * j as f64 / all;
            }
            rows[j] = next;
        }
    }
    rows.swap_remove(b)
}

/// The distribution of the sum of two.
fn together(a: &[f64], b: &[f64]) -> Vec<f64> {
    let mut sum = vec![0.0; a.len() + b.len() - 1];
    for (i, p) in a.iter().enumerate() {
        for (j, q) in b.iter().enumerate() {
            sum[i + j] += p * q;
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By counting all 3,003 ways to choose 5 places of 15 (`tests/references/groups.py`).
    #[test]
    fn agrees_with_counting() {
        let rank_sum = RankSum::of(&[(10, 5)]);
        let below = |k: usize| 1.0 - rank_sum.at_least(k as f64 + 1.0);
        for (k, p) in [(6, 0.009_657_010), (8, 0.019_980_020), (9, 0.027_639_028), (13, 0.082_251_082)] {
            assert!((below(k) - p).abs() < 1e-8, "{k}: {}", below(k));
        }
        // 0 to 8 pairs are left out on either side of an interval of 95 %.
        assert_eq!(rank_sum.leaves_out(0.025), Some(9));
        assert_eq!(RankSum::of(&[(3, 3)]).leaves_out(0.025), None);
    }

    #[test]
    fn counted_and_normal_are_alike_where_the_one_becomes_the_other() {
        let counted = RankSum::of(&[(20, 20)]);
        let normal = RankSum { probabilities: Vec::new(), ..RankSum::of(&[(20, 20)]) };
        for pairs in [200.0, 230.0, 270.0, 300.0] {
            assert!((counted.at_least(pairs) - normal.at_least(pairs)).abs() < 0.003, "{pairs}");
        }
        assert_eq!(counted.leaves_out(0.025), normal.leaves_out(0.025));
    }

    #[test]
    fn strata_add_up() {
        let both = RankSum::of(&[(3, 4), (5, 2)]);
        assert!((both.at_least(11.0) + both.at_least(12.0) - 1.0).abs() < 1e-12, "22 pairs lie about 11");
        let mean: f64 = both.probabilities.iter().enumerate().map(|(k, p)| k as f64 * p).sum();
        let squares: f64 =
            both.probabilities.iter().enumerate().map(|(k, p)| (k as f64 - mean).powi(2) * p).sum();
        assert!((mean - 11.0).abs() < 1e-12 && (squares.sqrt() - both.deviation).abs() < 1e-12);
    }
}
