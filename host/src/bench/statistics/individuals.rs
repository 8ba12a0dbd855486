//! The chart of single values, with limits by how much each differs from the one before.

/// Mean range of two values of a normal distribution, in standard deviations: 2 / sqrt(pi), as the tables of charts round it
/// (NIST/SEMATECH e-Handbook, 6.3.2.2).
const D2: f64 = 1.128;

/// Standard deviations from the centre to a limit of a chart (Shewhart, Economic Control of Quality of Manufactured Product, 1931).
pub const REACH: f64 = 3.0;

/// A chart of single values.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Individuals {
    /// Mean of the values.
    pub centre: f64,
    /// Mean of what two values in a row differ by.
    pub moving_range: f64,
    /// Standard deviation by that, which a slow drift hardly widens; no less than what was said to be the least.
    pub deviation: f64,
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
}

/// The individuals and moving range chart of values in their order (NIST/SEMATECH e-Handbook, 6.3.2.2), whose standard deviation is at least `least`, that of
/// what measured them; none of fewer than two.
#[must_use]
pub fn individuals(values: &[f64], least: f64) -> Option<Individuals> {
    if values.len() < 2 {
        return None;
    }
    let centre = values.iter().sum::<f64>() / values.len() as f64;
    let ranges = values.windows(2).map(|pair| (pair[1] - pair[0]).abs());
    let moving_range = ranges.sum::<f64>() / (values.len() - 1) as f64;
    let deviation = (moving_range / D2).max(least);
    let reach = REACH * deviation;
    Some(Individuals { centre, moving_range, deviation, low: centre - reach, high: centre + reach })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH e-Handbook, 6.3.2.2, the flowrate data: centre 50.81, mean moving range 1.8778, limits 45.8159 and 55.8041.
    #[test]
    fn agrees_with_the_flowrate_data() {
        let flow = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
        let chart = individuals(&flow, 0.0).unwrap();
        let found = [chart.centre, chart.moving_range, chart.low, chart.high];
        let expected = [50.81, 1.877_8, 45.815_9, 55.804_1];
        found.iter().zip(expected).for_each(|(f, e)| assert!((f - e).abs() < 1e-4, "{f} for {e}"));
        assert_eq!(individuals(&[1.0], 0.0), None);
    }
}
