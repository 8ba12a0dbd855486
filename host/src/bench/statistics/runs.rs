//! How many clean runs show something.

/// Runs without a failure after which, with this confidence, fewer than `rate` of all runs fail: ln(1 - confidence) / ln(1 - rate), for that many clean runs would
/// be less likely otherwise (Meeker, Hahn and Escobar, Statistical Intervals, 2017, 6.2). Rate and confidence are between 0 and 1; of a rate of 0 there are never
/// enough.
#[must_use]
pub fn clean_runs(rate: f64, confidence: f64) -> Option<usize> {
    let runs = (1.0 - confidence).ln() / (1.0 - rate).ln();
    // What is a whole number but for rounding is one.
    (rate > 0.0 && runs.is_finite()).then_some((runs - 1e-9).ceil().max(1.0) as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// SciPy's Python (`tests/references/bench.py`); 59 runs for 5 % at 95 % is the textbook's number.
    #[test]
    fn agrees_with_the_formula() {
        for (confidence, rate, runs) in [(0.95, 0.125, 23), (0.95, 0.05, 59), (0.90, 0.1, 22), (0.99, 0.5, 7)]
        {
            assert_eq!(clean_runs(rate, confidence), Some(runs), "{confidence} {rate}");
        }
        assert_eq!(clean_runs(0.0, 0.95), None);
        assert_eq!(clean_runs(1.0, 0.95), Some(1));
    }
}
