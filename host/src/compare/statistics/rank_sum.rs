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
            (self.mean - 0.5 - reach(1, part) * self.deviation).floor()
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
