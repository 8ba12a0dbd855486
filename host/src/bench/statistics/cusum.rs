//! The cumulative sum: how far the values have gone to one side of their target, in all.

/// The sums after each value.
#[derive(Clone, Debug, PartialEq)]
pub struct Cusum {
    /// How far above the target, value by value, in the unit of the values.
    pub high: Vec<f64>,
    /// How far below it.
    pub low: Vec<f64>,
    /// The sum at which it signals.
    pub decision: f64,
}

impl Cusum {
    /// The first value after which a sum is beyond the decision limit, from 0 on.
    #[must_use]
    pub fn signal(&self) -> Option<usize> {
        self.high.iter().zip(&self.low).position(|(h, l)| *h > self.decision || *l > self.decision)
    }
}

/// The tabular cusum of values in their order (Page, Biometrika 41, 1954; NIST/SEMATECH e-Handbook, 6.3.2.3), with allowance and decision limit in
/// the unit of the values.
#[must_use]
pub fn cusum(values: &[f64], target: f64, allowance: f64, decision: f64) -> Cusum {
    let (mut above, mut below) = (0.0_f64, 0.0_f64);
    let (mut high, mut low) = (Vec::new(), Vec::new());
    for value in values {
        above = (above + value - target - allowance).max(0.0);
        below = (below + target - allowance - value).max(0.0);
        high.push(above);
        low.push(below);
    }
    Cusum { high, low, decision }
}

#[cfg(test)]
mod tests {
    use super::super::random::Random;
    use super::*;

    const ALLOWANCE: f64 = 0.5;
    const DECISION: f64 = 5.0;

    /// NIST/SEMATECH e-Handbook, 6.3.2.3: target 325, h 4.1959, k 0.3175; the sums as it prints them, which signal at the 14th value.
    #[test]
    fn agrees_with_the_example() {
        let values = [
            324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600,
            324.625, 325.150, 328.325, 327.250, 327.825, 328.500, 326.675, 327.775, 326.875, 328.350,
        ];
        let high = [3.01, 4.94, 7.45, 10.63, 11.99, 14.44, 16.00, 19.04];
        let low = [0.0, 0.01, 0.0, 0.33, 0.0, 0.0, 0.56, 0.72, 0.17, 0.25, 0.31, 0.0];
        let found = cusum(&values, 325.0, 0.317_5, 4.195_9);
        found.high[12..].iter().zip(high).for_each(|(f, e)| assert!((f - e).abs() < 0.006, "{f} for {e}"));
        found.low.iter().zip(low).for_each(|(f, e)| assert!((f - e).abs() < 0.006, "{f} for {e}"));
        assert_eq!(found.signal(), Some(13));
    }

    /// By the Markov chain of Brook and Evans, Biometrika 59 (1972): 465.4, 10.376 and 4.009 values (`tests/references/bench.py`). Here by
    /// simulation, whose standard error is below 1.5 %.
    #[test]
    fn runs_are_as_long_as_is_published() {
        let mut random = Random::new(3);
        for (shift, published, charts) in [(0.0, 465.426, 6_000), (1.0, 10.376, 20_000), (2.0, 4.009, 20_000)]
        {
            let mut total = 0_u32;
            for _ in 0..charts {
                let (mut high, mut low) = (0.0_f64, 0.0_f64);
                while high <= DECISION && low <= DECISION {
                    total += 1;
                    let value = random.normal() + shift;
                    // The sums go on from where they were: a value that is as much greater has the same sum from zero.
                    let up = cusum(&[value + high], 0.0, ALLOWANCE, DECISION);
                    let down = cusum(&[value - low], 0.0, ALLOWANCE, DECISION);
                    (high, low) = (up.high[0], down.low[0]);
                }
            }
            let found = f64::from(total) / f64::from(charts);
            assert!((found / published - 1.0).abs() < 0.04, "{found} for {published}");
        }
    }
}
