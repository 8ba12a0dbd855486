//! How much room values have within their limits.

use super::distributions::normal_quantile;

/// How far the nearer limit is from the mean, in three standard deviations: 1 where it is three away.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capability {
    /// The estimate, Cpk.
    pub cpk: f64,
    /// Lower end of its confidence interval.
    pub low: f64,
    /// Upper end of its confidence interval.
    pub high: f64,
}

/// Cpk of so many values with this mean and standard deviation (NIST/SEMATECH e-Handbook, 6.1.6), its interval at this confidence by the normal
/// approximation that stands there (Bissell, Applied Statistics 39, 1990). A limit that is none is open. None where both are, of fewer than two values, and of
/// values that do not vary.
#[must_use]
pub fn capability(
    count: usize,
    mean: f64,
    deviation: f64,
    limits: (Option<f64>, Option<f64>),
    confidence: f64,
) -> Option<Capability> {
    let room = [limits.0.map(|low| mean - low), limits.1.map(|high| high - mean)];
    let nearer = room.into_iter().flatten().min_by(f64::total_cmp)?;
    if count < 2 || !(deviation > 0.0 && deviation.is_finite()) {
        return None;
    }
    let (n, cpk) = (count as f64, nearer / (3.0 * deviation));
    let half = normal_quantile(f64::midpoint(1.0, confidence))
        * (1.0 / (9.0 * n) + cpk * cpk / (2.0 * (n - 1.0))).sqrt();
    Some(Capability { cpk, low: cpk - half, high: cpk + half })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH e-Handbook, 6.1.6: limits 8 and 20, mean 16, standard deviation 2: Cpk 0.6667. Intervals by its formula as SciPy 1.17.1 works it out
    /// (`tests/references/bench.py`).
    #[test]
    fn agrees_with_the_example() {
        let found = capability(20, 16.0, 2.0, (Some(8.0), Some(20.0)), 0.95).unwrap();
        assert!((found.cpk - 0.666_7).abs() < 1e-4, "{found:?}");
        assert!((found.low - 0.409_260).abs() < 1e-4 && (found.high - 0.924_140).abs() < 1e-4, "{found:?}");
        let found = capability(50, 0.0, 1.0, (None, Some(3.99)), 0.95).unwrap();
        assert!((found.low - 1.050_939).abs() < 1e-4 && (found.high - 1.609_061).abs() < 1e-4, "{found:?}");
        assert_eq!(capability(20, 1.0, 1.0, (None, None), 0.95), None);
        assert_eq!(capability(20, 1.0, 0.0, (None, Some(2.0)), 0.95), None);
    }
}
