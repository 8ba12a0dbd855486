//! The odds that a cycle is of a programme of the machine, and not of one that nobody knows.

use super::constants::UNKNOWN;
use super::{familiar, sibling};
use crate::alignment::Explanation;
use crate::chart::{Chart, Machine};

/// Logarithms of the odds that a cycle is of a programme, with whatever departs, and not of one that nobody knows.
#[derive(Clone, Copy, Debug)]
pub struct Odds {
    /// And not of one that is all its own.
    pub stranger: f64,
    /// And not of one that is like it but for what a choice of programme explains; infinite where there is nothing of the sort.
    pub sibling: f64,
}

impl Odds {
    /// Of this programme of the machine, as the cycle is explained by it.
    pub(super) fn new(machine: &Machine, chart: &Chart, explanation: &Explanation) -> Self {
        let before = (f64::from(chart.seen.max(1)) / UNKNOWN.get()).ln();
        let choice = sibling::choice(machine, chart, explanation);
        Self {
            stranger: before + familiar::foreseen(machine, chart, explanation),
            sibling: choice.map_or(f64::INFINITY, |choice| before - choice),
        }
    }

    /// And not of either.
    pub(super) fn of_this(self) -> f64 {
        self.stranger.min(self.sibling)
    }
}
