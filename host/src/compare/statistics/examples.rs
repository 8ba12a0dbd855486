//! What the tests of the statistics are worked on, and held against.

use libm::lgamma;

/// Permeability of a membrane at term and early: Hollander, Wolfe and Chicken, Nonparametric Statistical Methods, example 4.1.
pub const TERM: [f64; 10] = [0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46];
/// See TERM.
pub const EARLY: [f64; 5] = [1.15, 0.88, 0.90, 0.74, 1.21];

/// Invented seconds of a drain, with ties.
pub const FIRST: [f64; 8] = [61.0, 62.0, 60.0, 61.0, 63.0, 61.0, 60.0, 62.0];
/// See FIRST: from after a repair.
pub const SECOND: [f64; 8] = [64.0, 63.0, 66.0, 64.0, 65.0, 64.0, 63.0, 90.0];

/// How often something comes in two groups, to hold the permutation of it against: the probability of two counts that differ as much or more,
/// where both groups have one rate and the total is what it is. Fisher's exact test, two-sided by adding up what is no likelier (Fisher, Statistical Methods for Research Workers, 1934; Freeman and Halton, 1951).
/// `first` and `second` are how often it came, and in how many.
pub fn fisher(first: (usize, usize), second: (usize, usize)) -> f64 {
    let (all, came) = (first.1 + second.1, first.0 + second.0);
    let ways = |n: usize, k: usize| {
        let [n, k] = [n, k].map(|x| x as f64);
        lgamma(n + 1.0) - lgamma(k + 1.0) - lgamma(n - k + 1.0)
    };
    let likely = |k: usize| (ways(first.1, k) + ways(second.1, came - k) - ways(all, came)).exp();
    let range = came.saturating_sub(second.1)..=came.min(first.1);
    let observed = likely(first.0);
    // What is as likely but for rounding is as likely.
    range.map(likely).filter(|p| *p <= observed * (1.0 + 1e-7)).sum::<f64>().min(1.0)
}
