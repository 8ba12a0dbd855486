//! How long one interval lasted, run after run: its spread, its chart, its room within the limits, and the logger's part in it.

use tubtrace_units::Seconds;

use super::constants::{ALLOWANCE, CHARTED_FROM, DECISION, FORESEEN_FROM, REACH, WEIGHT};
use super::statistics::{
    CHART_REACH, Capability, Individuals, Rule, Signal, capability, cusum, ewma, individuals, signals,
};
use crate::chart::Limits;
use crate::stats::{Prior, mean_and_squares, median, predictive};

/// A value of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// The run, from 0 on.
    pub run: usize,
    /// How long the interval lasted.
    pub lasted: Seconds,
    /// Standard uncertainty of that.
    pub uncertainty: Seconds,
}

/// An interval of a programme, run after run.
#[derive(Clone, Debug)]
pub struct Series {
    /// The programme.
    pub programme: String,
    /// The interval as the chart calls it.
    pub name: String,
    /// Its limits in this test; none where it is open-ended.
    pub limits: Option<Limits<Seconds>>,
    /// What it did in the first, cold run, which is in no other number here.
    pub cold: Option<Point>,
    /// What it did in all others, in their order.
    pub points: Vec<Point>,
    /// What they come to; none where there are fewer than two.
    pub spread: Option<Spread>,
}

/// What several values come to, in seconds.
#[derive(Clone, Debug)]
pub struct Spread {
    /// The least.
    pub least: f64,
    /// The one in the middle.
    pub median: f64,
    /// The most.
    pub most: f64,
    /// Standard deviation.
    pub deviation: f64,
    /// How much of the variance is the logger's own, by the uncertainties that it states: from 0 to 1.
    pub gauge: f64,
    /// Whether the limits are closer together than the logger can tell: than four of its standard uncertainties.
    pub too_tight: bool,
    /// Room within the limits, with its interval.
    pub capability: Option<Capability>,
    /// The chart, from fifteen values on.
    pub chart: Option<Individuals>,
    /// Where the next value is expected, from few: predicted with the chance that a chart's limits have.
    pub foreseen: Option<(f64, f64)>,
    /// What looks like more than chance on the chart, by index of its point.
    pub signals: Vec<Signal>,
    /// The point at which the moving average signals a slow drift.
    pub drifts: Option<usize>,
    /// The point at which the cumulative sum does.
    pub sums: Option<usize>,
}

impl Series {
    /// What the values come to.
    pub(super) fn worked(mut self, confidence: f64) -> Self {
        let values: Vec<f64> = self.points.iter().map(|p| p.lasted.0).collect();
        if values.len() < 2 {
            return self;
        }
        let n = values.len();
        let (mean, squares) = mean_and_squares(&values);
        let deviation = (squares / (n as f64 - 1.0)).max(0.0).sqrt();
        let own = self.points.iter().map(|p| p.uncertainty.0.powi(2)).sum::<f64>() / n as f64;
        // What the logger cannot tell from nothing is no less than its own uncertainty.
        let least = own.sqrt();
        let limits = self.limits.map(|l| (l.low.0, l.high.0));
        let chart = individuals(&values, least).filter(|_| n >= CHARTED_FROM.get());
        let (mut drifts, mut sums, mut found) = (None, None, Vec::new());
        if let Some(chart) = chart.filter(|c| c.deviation > 0.0) {
            let (centre, sd) = (chart.centre, chart.deviation);
            found = signals(&values, centre, sd);
            // On which side of the centre a value is, says nothing where all of the spread is the logger's.
            found.retain(|signal| signal.rule != Rule::Eight || deviation > least);
            drifts = ewma(&values, centre, sd, WEIGHT.get(), REACH.get()).signal();
            sums = cusum(&values, centre, ALLOWANCE.get() * sd, DECISION.get() * sd).signal();
        }
        let foreseen = (FORESEEN_FROM.get()..CHARTED_FROM.get()).contains(&n);
        self.spread = Some(Spread {
            least: values.iter().copied().fold(f64::INFINITY, f64::min),
            median: median(&values),
            most: values.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            deviation,
            gauge: if deviation > least { own / deviation.powi(2) } else { 1.0 },
            too_tight: limits.is_some_and(|(low, high)| high - low < 4.0 * least),
            // From nothing on is no lower limit.
            capability: limits.and_then(|(low, high)| {
                capability(
                    n,
                    mean,
                    deviation.max(least),
                    ((low > 0.0).then_some(low), Some(high)),
                    confidence,
                )
            }),
            chart,
            foreseen: foreseen.then(|| predictive(&values, Prior { spread: 0.0, worth: 0.0 }, CHART_REACH)),
            signals: found,
            drifts,
            sums,
        });
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn series(values: &[f64], limits: (f64, f64)) -> Series {
        let point = |(run, &v): (usize, &f64)| Point { run, lasted: Seconds(v), uncertainty: Seconds(0.5) };
        let limits = Some(Limits { low: Seconds(limits.0), high: Seconds(limits.1) });
        let points = values.iter().enumerate().map(point).collect();
        let (programme, name) = (String::new(), String::new());
        Series { programme, name, limits, cold: None, points, spread: None }.worked(0.95)
    }

    /// The EWMA data of the NIST/SEMATECH e-Handbook, 6.3.2.4: 20 values, mean 50.4, standard deviation by NumPy 1.8646.
    #[test]
    fn twenty_values_have_a_chart_and_ten_what_is_foreseen() {
        let values = [
            52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2,
            52.6, 52.4, 53.6, 52.1,
        ];
        let all = series(&values, (40.0, 60.0)).spread.unwrap();
        assert!(all.chart.is_some() && all.foreseen.is_none());
        assert_eq!((all.least, all.median, all.most), (47.0, 50.75, 53.6));
        assert!((all.gauge - 0.25 / all.deviation.powi(2)).abs() < 1e-9 && !all.too_tight);
        let few = series(&values[..10], (49.5, 51.0)).spread.unwrap();
        assert!(few.chart.is_none() && few.signals.is_empty() && few.too_tight);
        // SciPy 1.17.1 (`tests/references/bench.py`): Student's t with 9 degrees of freedom where the normal is 3: 4.0942.
        let (low, high) = few.foreseen.unwrap();
        let half = 4.094_2 * few.deviation * 1.1_f64.sqrt();
        assert!(((high - low) / 2.0 / half - 1.0).abs() < 0.01, "{low} {high} {half}");
        assert!(series(&values[..4], (0.0, 60.0)).spread.unwrap().foreseen.is_none());
        assert!(series(&values[..1], (0.0, 60.0)).spread.is_none());
    }

    #[test]
    fn values_that_never_vary_are_all_the_loggers() {
        let all = series(&[50.0; 20], (40.0, 60.0)).spread.unwrap();
        assert_eq!((all.gauge, all.signals.len(), all.drifts, all.sums), (1.0, 0, None, None));
        // Ten from either limit, in three of the logger's half second.
        assert!((all.capability.unwrap().cpk - 10.0 / 1.5).abs() < 1e-9);
    }

    /// A tenth of a second that comes and goes is what a logger of half a second cannot tell.
    #[test]
    fn what_the_logger_cannot_tell_signals_nothing() {
        let values: Vec<f64> = (0..30).map(|run| if run < 15 { 50.0 } else { 50.1 }).collect();
        let all = series(&values, (40.0, 60.0)).spread.unwrap();
        assert_eq!((all.signals.len(), all.drifts, all.sums), (0, None, None));
        let values: Vec<f64> = (0..30).map(|run| if run < 15 { 50.0 } else { 53.0 }).collect();
        assert!(series(&values, (40.0, 60.0)).spread.unwrap().drifts.is_some());
    }
}
