//! Learns the habits of a machine from good runs.

use tubtrace_units::Seconds;

use super::all;
use super::habit::{Good, Limit};
use super::measure::signs;
use crate::chart::Habits;
use crate::intervals::Cycle;

/// All habits, in the order of the chart's file.
pub fn habits() -> impl Iterator<Item = &'static dyn Limit> {
    all().flat_map(|check| check.habits.iter().copied())
}

/// The habits of good runs of one machine; `resolution` is the time between two readings.
#[must_use]
pub fn learn(good: &[&Cycle], resolution: Seconds) -> Habits {
    let good = Good { runs: good.iter().map(|cycle| signs(cycle)).collect(), resolution };
    let learned = habits().filter_map(|habit| Some((habit, habit.learn(&good)?)));
    learned.filter(|(habit, value)| habit.common() != Some(*value)).map(|(h, v)| (h.key(), v)).collect()
}
