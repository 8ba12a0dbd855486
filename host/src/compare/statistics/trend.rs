//! Whether values drift with time, and how fast.

use crate::stats::{above, median};

/// Up to so many values without ties the distribution is counted; beyond, it is next to normal.
const COUNTED: usize = 40;

/// The probability of as much order in values as they come, or more, where there is no drift, two-sided (Mann, Econometrica 13, 1945; Kendall,
/// Rank Correlation Methods, 4th ed.).
#[must_use]
pub fn drifts(values: &[f64]) -> f64 {
    let count = values.len();
    let later = |i: usize| values[i + 1..].iter().map(move |v| v - values[i]);
    let score: i64 = (0..count).flat_map(later).map(|d| if d > 0.0 { 1 } else { -i64::from(d < 0.0) }).sum();
    let ties = ties(values);
    if ties.is_empty() && count <= COUNTED { counted(score, count) } else { normal(score, count, &ties) }
}

/// The median of all slopes between two values, for each step from one value to the next (Sen, Journal of the American Statistical
/// Association 63, 1968). None of fewer than two.
#[must_use]
pub fn slope(values: &[f64]) -> Option<f64> {
    let slopes: Vec<f64> = (0..values.len())
        .flat_map(|i| values[i + 1..].iter().zip(1..).map(move |(v, n)| (v - values[i]) / f64::from(n)))
        .collect();
    (!slopes.is_empty()).then(|| median(&slopes))
}

/// How many values are equal, for each value that comes more than once.
fn ties(values: &[f64]) -> Vec<usize> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.chunk_by(|a, b| a == b).map(<[f64]>::len).filter(|n| *n > 1).collect()
}

/// By the normal distribution, with ties and a correction for continuity (Kendall; Gilbert, Statistical Methods for Environmental
/// Pollution Monitoring, 1987, 16.4.2).
fn normal(score: i64, count: usize, ties: &[usize]) -> f64 {
    let of = |n: usize| (n * (n - 1) * (2 * n + 5)) as f64;
    let variance = (of(count) - ties.iter().map(|&n| of(n)).sum::<f64>()) / 18.0;
    if variance <= 0.0 {
        return 1.0;
    }
    (2.0 * above((score.abs() as f64 - 1.0).max(0.0) / variance.sqrt())).min(1.0)
}

/// By counting the orders of so many values with each number of pairs out of order (Kendall).
fn counted(score: i64, count: usize) -> f64 {
    // The probability of each number of pairs out of order.
    let mut of = vec![1.0];
    for n in 2..=count {
        let mut next = vec![0.0; of.len() + n - 1];
        for (at, p) in of.iter().enumerate() {
            (0..n).for_each(|more| next[at + more] += p / n as f64);
        }
        of = next;
    }
    let pairs = (count * (count - 1) / 2) as i64;
    let out_of_order = ((pairs - score.abs()) / 2) as usize;
    (2.0 * of[..=out_of_order].iter().sum::<f64>()).min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `pymannkendall.original_test` 1.4.3 with ties, `scipy.stats.kendalltau(method="exact")` without (`tests/references/groups.py`).
    #[test]
    fn agrees_with_mann_kendall_and_sen() {
        let drift = [5.1, 5.3, 5.0, 5.6, 5.7, 5.5, 6.0, 5.9, 6.2, 6.1, 6.4, 6.3];
        assert!((drifts(&drift) - 0.000_107_423).abs() < 1e-8, "{}", drifts(&drift));
        assert!((slope(&drift).unwrap() - 0.118_333_333).abs() < 1e-8);
        assert!((normal(52, 12, &[]) - 0.000_470_169).abs() < 1e-8);
        let tied = [3.0, 3.0, 4.0, 4.0, 4.0, 5.0, 3.0, 4.0, 5.0, 5.0, 6.0, 5.0];
        assert!((drifts(&tied) - 0.006_054_826).abs() < 1e-8, "{}", drifts(&tied));
        assert!((slope(&tied).unwrap() - 0.2).abs() < 1e-12);
    }

    #[test]
    fn what_stands_still_does_not_drift() {
        assert_eq!((drifts(&[4.0; 9]), slope(&[4.0; 9])), (1.0, Some(0.0)));
        assert_eq!((drifts(&[1.0]), slope(&[1.0])), (1.0, None));
    }
}
