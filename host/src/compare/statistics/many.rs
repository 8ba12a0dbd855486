//! Which of many answers stand.

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
