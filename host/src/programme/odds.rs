//! The odds that a cycle is of a programme of the machine, and not of one that nobody knows.

use super::constants::{STATED_BEFORE, STATED_MOST, STATED_PART, UNKNOWN, WRITTEN};
use super::{familiar, sibling};
use crate::alignment::Explanation;
use crate::chart::{Chart, Machine};
use crate::intervals::Cycle;

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
    pub(super) fn new(machine: &Machine, chart: &Chart, cycle: &Cycle, explanation: &Explanation) -> Self {
        let seen = if chart.seen == 0 { WRITTEN.get() } else { f64::from(chart.seen) };
        let before = (seen / UNKNOWN.get()).ln();
        let choice = sibling::choice(machine, chart, cycle, explanation);
        Self {
            stranger: before + familiar::foreseen(machine, chart, explanation),
            sibling: choice.map_or(f64::INFINITY, |choice| before - choice),
        }
    }

    /// And not of either.
    pub(super) fn of_this(self) -> f64 {
        self.stranger.min(self.sibling)
    }

    /// The odds as they are stated: of cycles of which this is said, so many times as many were of the programme as of one that nobody
    /// taught. The model's own odds choose well and are too extreme (J. C. Platt, in Advances in Large Margin Classifiers, 1999).
    #[must_use]
    pub fn stated(self) -> f64 {
        let most = STATED_MOST.get();
        (STATED_BEFORE.get() + STATED_PART.get() * self.of_this().clamp(-most, most)).exp()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stated_odds_rise_with_the_models_and_are_never_without_end() {
        let stated = |of_this| Odds { stranger: of_this, sibling: f64::INFINITY }.stated();
        let rising = [-1e9, -10.0, 0.0, 10.0, 1e9].map(stated);
        assert!(rising.is_sorted() && rising[0] > 0.5 && rising[4] < 100.0, "{rising:?}");
    }
}
