//! What the tests of groups are worked on.

use tubtrace_simulator::board::record;
use tubtrace_simulator::machine::Appliance;
use tubtrace_simulator::scenario::Night;

use super::asked::Measured;
use super::measures::{Measure, Question};
use crate::analysis::Analysis;
use crate::intervals::Cycle;
use crate::log::{Assumptions, parse};

/// The cycle of a healthy night.
pub fn cycle() -> Cycle {
    let night = Night::healthy(21, Appliance::on_120_volts(), 1);
    let log = parse(&record(&night, 0, |_| {}).unwrap().log, Assumptions::default()).unwrap();
    Analysis::of(&log.trace).cycles.swap_remove(0)
}

/// Cycles with one interval each, which lasts so many seconds, and the one question that is asked of them.
pub fn measures(lasts: impl Iterator<Item = f64>) -> (Vec<Question>, Vec<Measured>) {
    let question = Question { programme: 0, interval: Some("drain".into()), measure: Measure::Lasts };
    (vec![question], lasts.map(|lasts| Measured::of_one("drain", lasts)).collect())
}
