//! After each run: is it clear already?

/// Wald's sequential test of a rate (Annals of Mathematical Statistics 16, 1945): whether runs fail as seldom as `good`, or as often as `bad`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sequential {
    /// The rate of a control that may go back.
    pub good: f64,
    /// The rate of one that may not, greater than `good`.
    pub bad: f64,
    /// Chance that a good one is refused, about.
    pub refused: f64,
    /// Chance that a bad one is passed, about.
    pub passed: f64,
}

/// What a sequential test says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// It is clear that it fails as seldom as a good one.
    Good,
    /// It is clear that it fails as often as a bad one.
    Bad,
    /// Neither is clear.
    GoOn,
}

impl Sequential {
    /// What is clear after so many runs of which so many failed.
    #[must_use]
    pub fn after(&self, failed: usize, runs: usize) -> Answer {
        let clean = runs.saturating_sub(failed) as f64;
        let failing = if failed == 0 { 0.0 } else { failed as f64 * (self.bad / self.good).ln() };
        let evidence = failing + clean * ((1.0 - self.bad) / (1.0 - self.good)).ln();
        if evidence <= (self.passed / (1.0 - self.refused)).ln() {
            Answer::Good
        } else if evidence >= ((1.0 - self.passed) / self.refused).ln() {
            Answer::Bad
        } else {
            Answer::GoOn
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::random::Random;
    use super::*;

    const TEST: Sequential = Sequential { good: 0.01, bad: 0.125, refused: 0.05, passed: 0.05 };

    /// With no failure it passes after ln(0.05 / 0.95) / ln(0.875 / 0.99) = 23.85 runs, so 24.
    #[test]
    fn clean_runs_pass_when_the_formula_says() {
        assert_eq!(TEST.after(0, 23), Answer::GoOn);
        assert_eq!(TEST.after(0, 24), Answer::Good);
        assert_eq!(TEST.after(2, 2), Answer::Bad);
        assert_eq!(TEST.after(0, 0), Answer::GoOn);
        // Where a good one never fails, one failure is enough.
        assert_eq!(Sequential { good: 0.0, ..TEST }.after(1, 40), Answer::Bad);
    }

    /// Wald's bounds: a good one is refused in at most refused / (1 - passed), a bad one passed in at most passed / (1 - refused), both together in at most
    /// refused + passed. 20,000 simulated tests of each (`cargo xtask bench` prints the rates).
    #[test]
    fn errors_are_within_walds_bounds() {
        let mut random = Random::new(4);
        let mut wrong = |rate: f64, wrong: Answer| {
            let mut count = 0;
            for _ in 0..20_000 {
                let (mut failed, mut runs) = (0, 0);
                let answer = loop {
                    runs += 1;
                    failed += usize::from(random.part() < rate);
                    match TEST.after(failed, runs) {
                        Answer::GoOn => {}
                        answer => break answer,
                    }
                };
                count += u32::from(answer == wrong);
            }
            f64::from(count) / 20_000.0
        };
        let (refused, passed) = (wrong(TEST.good, Answer::Bad), wrong(TEST.bad, Answer::Good));
        let bound = 0.05 / 0.95 + 0.004;
        assert!(refused <= bound && passed <= bound && refused + passed <= 0.1 + 0.006, "{refused} {passed}");
        assert!(refused > 0.005 && passed > 0.02, "{refused} {passed}");
    }
}
