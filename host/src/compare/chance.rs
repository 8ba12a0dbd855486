//! Whether what came now and then has gone, or only has not come yet.

use super::constants::SURE;

/// Beyond so many cycles nobody waits.
const PATIENCE: usize = 1_000;

/// Something was found in some cycles before a repair, and in none after it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotSeen {
    /// In how many cycles it was found before.
    pub found: usize,
    /// How many cycles there were before the repair.
    pub before: usize,
    /// In how many it was not, after.
    pub after: usize,
}

impl NotSeen {
    /// The probability that it would not have come if nothing had changed. Every rate of coming being as likely at first, the rule of
    /// succession (Laplace, 1774) gives each next cycle without it (n - k + 1) / (n + 2), where k of n had it.
    #[must_use]
    pub fn by_chance(&self) -> f64 {
        let without = (self.before + 1).saturating_sub(self.found) as f64;
        let all = (self.before + 2) as f64;
        (0..self.after).map(|i| (without + i as f64) / (all + i as f64)).product()
    }

    /// Whether it is taken for gone.
    #[must_use]
    pub fn is_gone(&self) -> bool {
        self.by_chance() <= SURE.get()
    }

    /// How many cycles without it, in all, would show that it has gone; `None` where there is no hope of so many.
    #[must_use]
    pub fn enough(&self) -> Option<usize> {
        (self.after..PATIENCE).find(|&after| Self { after, ..*self }.is_gone())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `scipy.stats.betabinom.pmf(0, after, found + 1, before - found + 1)`, SciPy 1.17.1 (`tests/references/chance.py`).
    #[test]
    fn agrees_with_the_beta_binomial_distribution() {
        for (found, before, after, expected) in [
            (1, 6, 6, 0.269_230_769),
            (3, 6, 6, 0.048_951_049),
            (1, 1, 1, 0.333_333_333),
            (6, 6, 2, 0.027_777_778),
            (2, 10, 20, 0.036_707_453),
        ] {
            let found = NotSeen { found, before, after }.by_chance();
            assert!((found - expected).abs() < 1e-8, "{found} for {expected}");
        }
    }

    #[test]
    fn a_fault_of_one_cycle_in_six_is_not_gone_after_six() {
        let once = NotSeen { found: 1, before: 6, after: 6 };
        assert!(!once.is_gone());
        let enough = once.enough().unwrap();
        assert!(
            NotSeen { after: enough, ..once }.is_gone() && !NotSeen { after: enough - 1, ..once }.is_gone()
        );
        assert!(NotSeen { found: 6, before: 6, after: 6 }.is_gone());
    }
}
