//! How often something comes, by how often it came.

use super::distributions::beta_quantile;

/// The interval of the rate of what came `came` times in `all` (Clopper and Pearson, Biometrika 26, 1934; NIST/SEMATECH e-Handbook, 7.2.4.1): at least this confidence, whatever the
/// rate is.
#[must_use]
pub fn proportion(came: usize, all: usize, confidence: f64) -> (f64, f64) {
    let rest = (1.0 - confidence) / 2.0;
    let (k, n) = (came.min(all) as f64, all as f64);
    let low = if came == 0 { 0.0 } else { beta_quantile(rest, k, n - k + 1.0) };
    let high = if came >= all { 1.0 } else { beta_quantile(1.0 - rest, k + 1.0, n - k) };
    (low, high)
}

/// The rate that it is at most, at this confidence.
#[must_use]
pub fn at_most(came: usize, all: usize, confidence: f64) -> f64 {
    if came >= all { 1.0 } else { beta_quantile(confidence, came as f64 + 1.0, (all - came) as f64) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH e-Handbook, 7.2.4.1: 4 of 20 at 90 %: 0.071354 and 0.401029. The others by `scipy.stats.beta.ppf`, SciPy 1.17.1
    /// (`tests/references/bench.py`).
    #[test]
    fn agrees_with_clopper_and_pearson() {
        for (came, all, sure, low, high) in [
            (4, 20, 0.90, 0.071_354, 0.401_029),
            (0, 20, 0.90, 0.0, 0.139_108_341),
            (1, 8, 0.95, 0.003_159_724, 0.526_509_671),
            (8, 8, 0.95, 0.630_583_352, 1.0),
        ] {
            let found = proportion(came, all, sure);
            assert!(
                (found.0 - low).abs() < 2e-6 && (found.1 - high).abs() < 2e-6,
                "{came} of {all}: {found:?}"
            );
        }
        // Twenty clean runs: less than once in 7.19, at 95 %.
        assert!((1.0 / at_most(0, 20, 0.95) - 7.188_642).abs() < 1e-4);
        assert_eq!((proportion(0, 0, 0.95), at_most(0, 0, 0.95)), ((0.0, 1.0), 1.0));
    }
}
