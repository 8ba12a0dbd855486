//! Statistics that several stages use: medians, and limits that foresee the next value from few.

/// How far each of so many limits reaches so that the next healthy cycle is outside of any of them with this probability: the quantile of
/// the standard normal distribution (Sidak, Journal of the American Statistical Association 62, 1967).
pub fn reach(limits: usize, risk: f64) -> f64 {
    let each = 1.0 - (1.0 - risk).powf(1.0 / limits.max(1) as f64);
    let (mut low, mut high) = (0.0, 10.0);
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if above(middle) > each { low = middle } else { high = middle }
    }
    high
}

/// The part of the standard normal distribution above this.
pub fn above(z: f64) -> f64 {
    0.5 * libm::erfc(z / std::f64::consts::SQRT_2)
}

/// The value in the middle of an odd number of values, the mean of the two in the middle of an even number. Of none it panics.
pub fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let half = sorted.len() / 2;
    if sorted.len() % 2 == 1 { sorted[half] } else { (sorted[half - 1] + sorted[half]) / 2.0 }
}

/// The weighted median of (value, weight).
pub fn weighted_median(values: impl Iterator<Item = (f64, f64)>) -> Option<f64> {
    weighted_quantile(values, 0.5)
}

/// The value below which `part` of the weight lies, of (value, weight).
pub fn weighted_quantile(values: impl Iterator<Item = (f64, f64)>, part: f64) -> Option<f64> {
    let mut values: Vec<(f64, f64)> = values.collect();
    values.sort_by(|a, b| a.0.total_cmp(&b.0));
    let below = values.iter().map(|v| v.1).sum::<f64>() * part;
    let mut passed = 0.0;
    let reaches = |(_, weight): &&(f64, f64)| {
        passed += weight;
        passed >= below
    };
    values.iter().find(reaches).map(|v| v.0)
}

/// The median absolute deviation, as the standard deviation of a normal distribution that has it.
pub fn normal_mad(values: &[f64]) -> f64 {
    // The upper quartile of the standard normal distribution.
    const QUARTILE: f64 = 0.674_489_750_196_081_7;
    let middle = median(values);
    let deviations: Vec<f64> = values.iter().map(|v| (v - middle).abs()).collect();
    median(&deviations) / QUARTILE
}

/// What is believed of how much something varies before any of it is seen.
#[derive(Clone, Copy, Debug)]
pub struct Prior {
    /// Standard deviation, in the unit of the values.
    pub spread: f64,
    /// It counts as much as so many values.
    pub worth: f64,
}

/// Limits within which the next value lies, so many deviations of a known normal distribution wide: the predictive distribution of a normal
/// model with an inverse chi-squared prior on its variance (Gelman et al., Bayesian Data Analysis, 3rd ed., 2.6 and 3.2), which is
/// Student's t with prior + n - 1 degrees of freedom.
pub fn predictive(values: &[f64], Prior { spread, worth }: Prior, reach: f64) -> (f64, f64) {
    let n = values.len() as f64;
    let (mean, squares) = mean_and_squares(values);
    let freedom = worth + n - 1.0;
    let deviation = ((worth * spread * spread + squares) / freedom).sqrt();
    let reach = t(reach, freedom) * deviation * (1.0 + 1.0 / n).sqrt();
    (mean - reach, mean + reach)
}

/// Mean, and sum of squares about it: two passes, for the first alone loses what is small beside the mean.
pub fn mean_and_squares(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let (sum, squares) = values.iter().fold((0.0, 0.0), |(s, q), v| (s + (v - mean), q + (v - mean).powi(2)));
    // The correction of Chan, Golub and LeVeque, The American Statistician 37 (1983).
    (mean, squares - sum * sum / n)
}

/// The quantile of Student's t where the normal distribution has this one, by the expansion about it (Abramowitz and Stegun, 26.7.5).
fn t(z: f64, freedom: f64) -> f64 {
    let g1 = (z.powi(3) + z) / 4.0;
    let g2 = (5.0 * z.powi(5) + 16.0 * z.powi(3) + 3.0 * z) / 96.0;
    let g3 = (3.0 * z.powi(7) + 19.0 * z.powi(5) + 17.0 * z.powi(3) - 15.0 * z) / 384.0;
    let g4 = (79.0 * z.powi(9) + 776.0 * z.powi(7) + 1_482.0 * z.powi(5) - 1_920.0 * z.powi(3) - 945.0 * z)
        / 92_160.0;
    z + g1 / freedom + g2 / freedom.powi(2) + g3 / freedom.powi(3) + g4 / freedom.powi(4)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `statistics.NormalDist().inv_cdf((1 - p) ** (1 / n))` of Python 3.11.
    #[test]
    fn many_limits_reach_further() {
        for (limits, risk, expected) in
            [(1, 0.001, 3.090_232_306), (2, 0.02, 2.324_457_018), (50, 0.02, 3.350_058_464)]
        {
            assert!((reach(limits, risk) - expected).abs() < 1e-6, "{limits}: {}", reach(limits, risk));
        }
    }

    /// NIST Statistical Reference Datasets, univariate: NumAcc1 (three values), NumAcc3 (1,001 values about
    /// 1,000,000.2) and NumAcc4 (about 10,000,000.2). Certified means 10,000,002, 1,000,000.2 and 10,000,000.2;
    /// certified standard deviations 1, 0.1 and 0.1.
    #[test]
    fn agrees_with_certified_values() {
        let alternating = |base: f64| -> Vec<f64> {
            std::iter::once(base + 0.2)
                .chain((0..1_000).map(|i| base + if i % 2 == 0 { 0.1 } else { 0.3 }))
                .collect()
        };
        let sets = [
            (vec![10_000_001.0, 10_000_003.0, 10_000_002.0], 10_000_002.0, 1.0, 1e-12),
            (alternating(1_000_000.0), 1_000_000.2, 0.1, 1e-8),
            (alternating(10_000_000.0), 10_000_000.2, 0.1, 1e-7),
        ];
        for (values, mean, deviation, tolerance) in sets {
            let (found, squares) = mean_and_squares(&values);
            let found_deviation = (squares / (values.len() as f64 - 1.0)).sqrt();
            assert!((found / mean - 1.0).abs() < 1e-12, "{found}");
            assert!((found_deviation / deviation - 1.0).abs() < tolerance, "{found_deviation}");
        }
    }

    /// Student's t at 0.999, from the table of any statistics handbook (NIST/SEMATECH e-Handbook, 1.3.6.7.2).
    #[test]
    fn t_agrees_with_the_table() {
        for (freedom, t) in [(4.0, 7.173), (6.0, 5.208), (10.0, 4.144), (30.0, 3.385), (100.0, 3.174)] {
            assert!((super::t(3.090_232_306, freedom) / t - 1.0).abs() < 0.01, "{freedom}: {t}");
        }
    }

    /// `scipy.stats.median_abs_deviation(x, scale="normal")` and `numpy.median(x)` of scipy 1.17.1 and numpy 2.4.6
    /// (`tests/references/robust.py`), among them the ion counts of the NIST/SEMATECH e-Handbook, 1.3.5.17.1, whose 245.57
    /// that handbook finds to be an outlier.
    #[test]
    fn agrees_with_scipy_on_robust_statistics() {
        let ions = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57];
        let odd = [3.0, 1.0, 4.0, 1.0, 5.0, 9.0, 2.0];
        let even = [2.7, 1.8, 2.8, 1.8, 2.8, 4.5, 9.0, 4.5];
        let expected: [(&[f64], f64, f64); 3] = [
            (&ions, 201.37, 1.475_189_207_413_080_6),
            (&odd, 3.0, 2.965_204_437_011_204),
            (&even, 2.8, 1.482_602_218_505_602),
        ];
        for (values, middle, deviation) in expected {
            assert!((median(values) - middle).abs() < 1e-9, "{}", median(values));
            assert!((normal_mad(values) - deviation).abs() < 1e-9, "{}", normal_mad(values));
        }
    }
}
