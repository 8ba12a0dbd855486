//! Learns the baselines of a machine from good runs.

use tubtrace_units::Seconds;

use super::baseline::{Good, Limit};
use super::list::all;
use super::measure::signs;
use crate::chart::{Baselines, Value};
use crate::intervals::Cycle;

/// All baselines, in the order of the chart's file.
pub fn baselines() -> impl Iterator<Item = &'static dyn Limit> {
    all().flat_map(|check| check.baselines.iter().copied())
}

/// The baselines of good runs of one machine; `resolution` is the time between two readings.
#[must_use]
pub fn learn(good: &[&Cycle], resolution: Seconds) -> Baselines {
    let good = Good { runs: good.iter().map(|cycle| signs(cycle)).collect(), resolution };
    let learned = baselines().filter_map(|baseline| Some((baseline, rounded(baseline.learn(&good)?))));
    learned.filter(|(baseline, value)| baseline.common() != Some(*value)).map(|(h, v)| (h.key(), v)).collect()
}

/// To the thousandth: more digits say nothing to whoever reads the file.
fn rounded(value: Value) -> Value {
    let round = |number: f64| (number * 1_000.0).round() / 1_000.0;
    match value {
        Value::Number(number) => Value::Number(round(number)),
        Value::Range(range) => Value::Range(range.map(round)),
        Value::Count(_) => value,
    }
}
