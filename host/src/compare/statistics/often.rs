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

#[cfg(test)]
mod tests {
    use super::*;

    /// `scipy.stats.fisher_exact`, SciPy 1.17.1 (`tests/references/groups.py`); the first is Fisher's own, of the tea.
    #[test]
    fn agrees_with_fisher() {
        for (first, second, p) in [
            ((3, 4), (1, 4), 0.485_714_286),
            ((8, 10), (1, 6), 0.034_965_035),
            ((12, 200), (30, 200), 0.005_046_034),
            ((0, 40), (5, 35), 0.018_809_008),
        ] {
            assert!((fisher(first, second) - p).abs() < 1e-8, "{}", fisher(first, second));
        }
        assert_eq!(fisher((0, 4), (0, 7)), 1.0);
    }

    /// The 15 p-values of Benjamini and Hochberg, 1995, section 3.2: 4 are rejected, by Bonferroni 3; each adjusted as by
    /// `statsmodels.stats.multitest.multipletests`, statsmodels 0.15 (`tests/references/groups.py`).
    #[test]
    fn agrees_with_the_fifteen_of_1995() {
        let p = [
            0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262, 0.5719,
            0.6528, 0.7590, 1.0,
        ];
        let q = false_discoveries(&p);
        assert_eq!(q.iter().filter(|q| **q <= 0.05).count(), 4);
        assert_eq!(p.iter().filter(|p| **p <= 0.05 / 15.0).count(), 3);
        let expected = [
            0.0015, 0.003, 0.0095, 0.035_625, 0.0603, 0.063_857, 0.063_857, 0.0645, 0.0765, 0.486, 0.581_182,
            0.714_875, 0.753_231, 0.813_214, 1.0,
        ];
        q.iter().zip(expected).for_each(|(q, e)| assert!((q - e).abs() < 1e-6, "{q} for {e}"));
        let held = holm(&p);
        let expected = [0.0015, 0.0056, 0.0247, 0.114, 0.2211, 0.278, 0.278, 0.278, 0.3213, 1.0];
        held.iter().zip(expected).for_each(|(h, e)| assert!((h - e).abs() < 1e-9, "{h} for {e}"));
        // Their order says nothing.
        let backwards: Vec<f64> = p.into_iter().rev().collect();
        assert!(false_discoveries(&backwards).into_iter().rev().eq(q));
    }
}
