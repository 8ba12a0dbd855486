//! The exponentially weighted moving average: what is slow shows in it before it shows in single values.

/// The average after each value.
#[derive(Clone, Debug, PartialEq)]
pub struct Ewma {
    /// The average, value by value.
    pub path: Vec<f64>,
    /// Lower limit, where it has settled.
    pub low: f64,
    /// Upper limit, where it has settled.
    pub high: f64,
}

impl Ewma {
    /// The first value after which the average is beyond its limits, from 0 on.
    #[must_use]
    pub fn signal(&self) -> Option<usize> {
        self.path.iter().position(|z| *z < self.low || *z > self.high)
    }
}

/// The average of values in their order, from `target` on (Roberts, Technometrics 1, 1959; NIST/SEMATECH e-Handbook, 6.3.2.4), where each has this
/// standard deviation.
#[must_use]
pub fn ewma(values: &[f64], target: f64, deviation: f64, weight: f64, reach: f64) -> Ewma {
    let mut average = target;
    let next = |value: &f64| {
        average += weight * (value - average);
        average
    };
    let half = reach * deviation * (weight / (2.0 - weight)).sqrt();
    Ewma { path: values.iter().map(next).collect(), low: target - half, high: target + half }
}

#[cfg(test)]
mod tests {
    use super::super::random::Random;
    use super::*;

    const WEIGHT: f64 = 0.2;
    const REACH: f64 = 2.962;

    /// NIST/SEMATECH e-Handbook, 6.3.2.4: mean 50, s 2.0539, weight 0.3; limits 47.4115 and 52.5884, the averages as it prints them.
    #[test]
    fn agrees_with_the_example() {
        let values = [
            52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2,
            52.6, 52.4, 53.6, 52.1,
        ];
        let printed = [
            50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05,
            49.38, 49.92, 50.73, 51.23, 51.94, 51.99,
        ];
        let found = ewma(&values, 50.0, 2.053_9, 0.3, 3.0);
        assert!((found.low - 47.411_5).abs() < 2e-4 && (found.high - 52.588_4).abs() < 2e-4, "{found:?}");
        found.path.iter().zip(printed).for_each(|(f, p)| assert!((f - p).abs() < 0.005_1, "{f} for {p}"));
        assert_eq!(found.signal(), None);
    }

    /// Lucas and Saccucci, Technometrics 32 (1990): 500, 10.5 and 3.7 values; by their Markov chain 499.676, 10.542 and 3.743
    /// (`tests/references/bench.py`). Here by simulation, whose standard error is below 1.5 %.
    #[test]
    fn runs_are_as_long_as_is_published() {
        let mut random = Random::new(2);
        for (shift, published, charts) in [(0.0, 499.676, 6_000), (1.0, 10.542, 20_000), (2.0, 3.743, 20_000)]
        {
            let mut total = 0_u32;
            for _ in 0..charts {
                let mut average = 0.0;
                loop {
                    total += 1;
                    let one = ewma(&[random.normal() + shift], average, 1.0, WEIGHT, REACH);
                    average = one.path[0];
                    let half = REACH * (WEIGHT / (2.0 - WEIGHT)).sqrt();
                    if average.abs() > half {
                        break;
                    }
                }
            }
            let found = f64::from(total) / f64::from(charts);
            assert!((found / published - 1.0).abs() < 0.04, "{found} for {published}");
        }
    }
}
