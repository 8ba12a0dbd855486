//! How often something comes in two groups, and which of many answers stand.

use libm::lgamma;

/// The probability of two counts that differ as much or more, where both groups have one rate and the total is what it is: Fisher's exact
/// test, two-sided by adding up what is no likelier (Fisher, Statistical Methods for Research Workers, 1934; Freeman and Halton, 1951).
/// `first` and `second` are how often it came, and in how many.
#[must_use]
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

/// For each of many p-values the least rate of false discoveries among what is called different at which it is among it (Benjamini and
/// Hochberg, Journal of the Royal Statistical Society B 57, 1995), in their order.
#[must_use]
pub fn false_discoveries(p: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..p.len()).collect();
    order.sort_by(|&a, &b| p[b].total_cmp(&p[a]));
    let (mut q, mut least) = (vec![1.0; p.len()], 1.0_f64);
    for (above, &i) in order.iter().enumerate() {
        least = least.min(p[i] * p.len() as f64 / (p.len() - above) as f64);
        q[i] = least;
    }
    q
}

/// For each of many p-values the least chance of any false alarm at which it stands, whatever they have to do with each other (Holm,
/// Scandinavian Journal of Statistics 6, 1979), in their order.
#[must_use]
pub fn holm(p: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..p.len()).collect();
    order.sort_by(|&a, &b| p[a].total_cmp(&p[b]));
    let (mut held, mut most) = (vec![1.0; p.len()], 0.0_f64);
    for (before, &i) in order.iter().enumerate() {
        most = most.max(p[i] * (p.len() - before) as f64).min(1.0);
        held[i] = most;
    }
    held
}
